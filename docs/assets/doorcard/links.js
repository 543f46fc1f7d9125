/**
 * Links that carry the fields of a form in their fragment, which no browser sends to a server.
 *
 * What comes back from a link is text of unknown origin: the form takes it field by field, and Python reads it as
 * it reads typing. It is packed, so that a code of it is coarse enough for a camera.
 */

import { parts } from "./parts.js";

const MARK = "#doorcard=";
const LONGEST = 8000; // Letters of a link.
const LARGEST = 200_000; // Bytes of what it unfolds to.
const FORMAT = "deflate-raw";
/** The form of a job has the job itself. */
export const JOB_SHEET = "job-sheet"; // A stranger's shop on every paper of a job: no link fills that form.
const NO_LETTER = /[^\w-]/;

/** Whether a link to this page leads anywhere on another device: not where it was opened from a folder. */
export const canBeLinked = location.protocol !== "file:";

/** Whether a link can carry what stands in a form. @param {string} calculator */
export const canBeShared = (calculator) => canBeLinked && calculator !== JOB_SHEET;

/** @typedef {{calculator: string, scripts: string, fields: Record<string, string>}} Shared */

/** Whether this page was opened by a link that carries fields. */
export const carriesFields = () => location.hash.startsWith(MARK);

/**
 * A link to this page with these fields; none if it would be too long.
 * @param {Shared} shared
 */
export async function linkTo(shared) {
  const packed = new Blob([JSON.stringify(shared)]).stream().pipeThrough(new CompressionStream(FORMAT));
  const bytes = new Uint8Array(await new Response(packed).arrayBuffer());
  const letters = btoa(String.fromCodePoint(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  const link = `${location.origin}${location.pathname}${MARK}${letters}`;
  return link.length > LONGEST ? null : link;
}

/** What the link that opened this page carries; none if it is no such link. @returns {Promise<Shared | null>} */
export async function sharedBy(hash = location.hash) {
  if (!hash.startsWith(MARK) || hash.length > LONGEST) return null;
  try {
    const [packed] = hash.slice(MARK.length).split(NO_LETTER, 1); // A messenger takes the full stop behind a link into it.
    const letters = atob(packed.replaceAll("-", "+").replaceAll("_", "/"));
    const bytes = Uint8Array.from(letters, (letter) => letter.codePointAt(0) ?? 0);
    /** @type {unknown} */
    const read = JSON.parse(await unfolded(bytes));
    return isShared(read) ? read : null;
  } catch {
    return null; // A link that was cut short on its way.
  }
}

/** Packed text, as far as it may go: a few letters can unfold to a lot. @param {Uint8Array<ArrayBuffer>} bytes */
async function unfolded(bytes) {
  const reader = new Blob([bytes]).stream().pipeThrough(new DecompressionStream(FORMAT)).getReader();
  const decoder = new TextDecoder();
  let [text, size] = ["", 0];
  for (;;) {
    const { done, value } = await reader.read();
    if (done) return text + decoder.decode();
    size += value.byteLength;
    if (size > LARGEST) throw new RangeError("more than any form holds");
    text += decoder.decode(value, { stream: true });
  }
}

/** @param {unknown} read @returns {read is Shared} */
function isShared(read) {
  if (typeof read !== "object" || read === null) return false;
  const { calculator, scripts, fields } = /** @type {Partial<Shared>} */ (read);
  return (
    typeof calculator === "string" &&
    calculator !== JOB_SHEET &&
    typeof scripts === "string" &&
    typeof fields === "object" &&
    fields !== null &&
    Object.values(fields).every((text) => typeof text === "string")
  );
}

/**
 * Whether what a link brought is for no form of this page; the first one says so.
 * @param {Shared | null} shared
 * @param {HTMLElement} form
 */
export function isLost(shared, form) {
  const forms = parts(document, "doorcard-calculator", HTMLElement);
  return forms[0] === form && forms.every(({ dataset }) => dataset.calculator !== shared?.calculator);
}
