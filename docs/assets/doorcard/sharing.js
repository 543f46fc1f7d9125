/**
 * Taking an answer along: a link that carries the fields, text with title, values and answer, paper.
 *
 * The fields stand in the link's fragment, which no browser sends to a server. What comes back from a link is text of
 * unknown origin: the form takes it field by field, and Python reads it as it reads typing.
 */

import { parts } from "./parts.js";

const MARK = "#doorcard=";
const LONGEST = 8000; // Letters of a link; a schedule of many runs does not fit, and is no link then.

/** @typedef {{calculator: string, scripts: string, fields: Record<string, string>}} Shared */

/**
 * A link to this page with these fields; none if it would be too long.
 * @param {Shared} shared
 */
export function linkTo(shared) {
  const bytes = new TextEncoder().encode(JSON.stringify(shared));
  const letters = btoa(String.fromCodePoint(...bytes)).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  const link = `${location.origin}${location.pathname}${MARK}${letters}`;
  return link.length > LONGEST ? null : link;
}

/** What the link that opened this page carries; none if it is no such link. @returns {Shared | null} */
export function sharedBy(hash = location.hash) {
  if (!hash.startsWith(MARK) || hash.length > LONGEST) return null;
  try {
    const letters = atob(hash.slice(MARK.length).replaceAll("-", "+").replaceAll("_", "/"));
    const bytes = Uint8Array.from(letters, (letter) => letter.codePointAt(0) ?? 0);
    /** @type {unknown} */
    const read = JSON.parse(new TextDecoder().decode(bytes));
    return isShared(read) ? read : null;
  } catch {
    return null; // A link that was cut short on its way.
  }
}

/** @param {unknown} read @returns {read is Shared} */
function isShared(read) {
  if (typeof read !== "object" || read === null) return false;
  const { calculator, scripts, fields } = /** @type {Partial<Shared>} */ (read);
  return (
    typeof calculator === "string" &&
    typeof scripts === "string" &&
    typeof fields === "object" &&
    fields !== null &&
    Object.values(fields).every((text) => typeof text === "string")
  );
}

/**
 * The answer as lines of text: title, the values it is for, what came out.
 * @param {string} title
 * @param {HTMLElement} result
 */
export function answerAsText(title, result) {
  const rows = (/** @type {string} */ selector) =>
    parts(result, selector, HTMLElement).map((row) => [...row.children].map((cell) => cell.textContent?.trim()).join(": "));
  return [title, "", "For", ...rows(".dc-given tr"), "", "Answer", ...rows(".dc-answers > div"), ...rows(".dc-table tr")].join("\n");
}
