/**
 * Taking an answer along: a link that carries the fields, text with title, values and answer, paper.
 *
 * The fields stand in the link's fragment, which no browser sends to a server. What comes back from a link is text of
 * unknown origin: the form takes it field by field, and Python reads it as it reads typing.
 */

import { button, parts } from "./parts.js";

const MARK = "#doorcard=";
const LONGEST = 8000; // Letters of a link; a schedule of many runs does not fit, and is no link then.

/** @typedef {{calculator: string, scripts: string, fields: Record<string, string>}} Shared */

/**
 * A link to this page with these fields; none if it would be too long.
 * @param {Shared} shared
 */
function linkTo(shared) {
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
function answerAsText(title, result) {
  const rows = (/** @type {string} */ selector) =>
    parts(result, selector, HTMLElement).map((row) => [...row.children].map((cell) => cell.textContent?.trim()).join(": "));
  return [title, "", "For", ...rows(".dc-given tr"), "", "Answer", ...rows(".dc-answers > div"), ...rows(".dc-table tr")].join("\n");
}

/**
 * Puts what can be done with an answer under it.
 * @param {HTMLElement} place
 * @param {{title: string, result: HTMLElement, shared: () => Shared}} answer
 */
export function addActions(place, { title, result, shared }) {
  const actions = document.createElement("p");
  actions.className = "dc-actions";
  actions.append(
    button("Share", (pressed) => share(title, shared(), pressed)),
    button("Copy", (pressed) => copy(answerAsText(title, result), pressed)),
    button("Print", () => print()),
  );
  place.append(actions);
}

/**
 * Hands a link with the fields to the device's own sheet, or to the clipboard.
 * @param {string} title
 * @param {Shared} shared
 * @param {HTMLElement} pressed
 */
async function share(title, shared, pressed) {
  const url = linkTo(shared);
  if (!url) return say(pressed, "Too much for a link");
  if (!navigator.share) return copy(url, pressed);
  await navigator.share({ title, url }).catch(() => {}); // The reader thought better of it.
}

/** Puts a table on the clipboard as columns parted by tabs. @param {HTMLElement} pressed */
export function copyTable(pressed) {
  const rows = parts(/** @type {HTMLElement} */ (pressed.parentElement), "tr", HTMLTableRowElement);
  const text = rows.map((row) => [...row.cells].map((cell) => cell.textContent).join("\t")).join("\n");
  return copy(text, pressed);
}

/**
 * Puts text on the clipboard, and says on the button whether it is there.
 * @param {string} text
 * @param {HTMLElement} pressed
 */
export async function copy(text, pressed) {
  const copied = navigator.clipboard?.writeText(text) ?? Promise.reject();
  say(pressed, await copied.then(() => "Copied", () => "This browser did not let it be copied"));
}

/**
 * Says something on a button for a moment.
 * @param {HTMLElement} pressed
 * @param {string} words
 */
function say(pressed, words) {
  const before = pressed.textContent;
  pressed.textContent = words;
  setTimeout(() => (pressed.textContent = before), 1500);
}
