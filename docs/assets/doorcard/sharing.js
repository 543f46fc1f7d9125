/** Taking an answer along: a link or its code, text with title, values and answer, paper. */

import { printCard } from "./cards.js";
import { linkTo } from "./links.js";
import { lineOf } from "./of-example.js";
import { listed } from "./offers.js";
import { button, parts } from "./parts.js";

/**
 * @typedef {object} Answer
 * @property {string} title
 * @property {HTMLElement} result
 * @property {(list?: (labels: string[]) => string) => string[]} whose Its job, and which of its values are another vehicle's or the page's example's, in lines.
 * @property {boolean} canBeShared Whether a link can carry it.
 * @property {() => import("./links.js").Shared} shared What a link to it carries.
 * @property {(link: string) => Promise<string>} codeOf The QR code of a link as SVG; empty if there can be none.
 */

const TOO_LONG = "Too much for a link";
const BY_HAND = "This browser did not let the link be copied. Copy it from here:";
const FEW_VALUES = 12; // Of what it is for; more stand under the answer on a card.
const NO_CODE = "No code: share the link instead";

/**
 * The answer as lines of text: title, the values it is for, dangers and checks, what came out.
 * @param {Answer} answer
 */
function answerAsText({ title, result, whose }) {
  const rows = (/** @type {string} */ selector) =>
    parts(result, selector, HTMLElement).map((row) => [...row.children].map((cell) => cell.textContent?.trim()).join(": "));
  const advice = parts(result, ".dc-advice", HTMLElement).map((one) =>
    [...one.childNodes].map((node) => (node instanceof HTMLButtonElement ? "" : node.textContent)).join("").trim());
  return [title, "", "For", ...rows(".dc-given tr"), ...whose(), "", ...advice, "Answer", ...rows(".dc-answers > div"), ...rows(".dc-table tr")].join("\n");
}

/**
 * Puts what can be done with an answer under it.
 * @param {HTMLElement} place
 * @param {Answer} answer
 */
export function addActions(place, answer) {
  const actions = document.createElement("div");
  actions.className = "dc-actions";
  const code = button("QR code", (pressed) => showCode(answer, pressed));
  code.setAttribute("aria-expanded", "false");
  actions.append(
    ...(answer.canBeShared ? [button("Share", (pressed) => share(answer, pressed))] : []),
    button("Copy", (pressed) => copy(answerAsText(answer), pressed)),
    ...(answer.canBeShared ? [code] : []),
    button("Print card", () => card(answer)),
    button("Print page", () => print()),
  );
  place.append(actions);
}

/** No code, and no link, stands under an answer that is another one by now. @param {HTMLElement} place */
export function foldCode(place) {
  place.querySelector(".dc-actions figure")?.remove();
  place.querySelector(".dc-link")?.remove();
  place.querySelector(".dc-actions [aria-expanded]")?.setAttribute("aria-expanded", "false");
}

/**
 * Hands a link with the fields to the device's own sheet, or to the clipboard, or else to the reader's hand.
 * @param {Answer} answer
 * @param {HTMLElement} pressed
 */
async function share({ title, shared }, pressed) {
  const url = await linkTo(shared());
  if (!url) return say(pressed, TOO_LONG);
  if (!navigator.share) return (await copy(url, pressed)) || showLink(url, /** @type {HTMLElement} */ (pressed.parentElement));
  await navigator.share({ title, url }).catch(() => {}); // The reader thought better of it.
}

/**
 * Shows a link in a field, chosen whole.
 * @param {string} url
 * @param {HTMLElement} actions
 */
function showLink(url, actions) {
  actions.querySelector(".dc-link")?.remove();
  const field = Object.assign(document.createElement("input"), { readOnly: true, value: url });
  const label = document.createElement("label");
  label.className = "dc-link";
  label.append(BY_HAND, field);
  actions.append(label);
  field.select();
}

/**
 * Shows the code that opens this answer on the phone that looks at it, or takes it away again.
 * @param {Answer} answer
 * @param {HTMLElement} pressed
 */
async function showCode({ title, shared, codeOf }, pressed) {
  const actions = /** @type {HTMLElement} */ (pressed.parentElement);
  if (actions.querySelector("figure")) return foldCode(/** @type {HTMLElement} */ (actions.parentElement));
  const asked = shared();
  const link = await linkTo(asked);
  const code = link && (await codeOf(link));
  if (JSON.stringify(shared()) !== JSON.stringify(asked) || actions.querySelector("figure")) return;
  if (!code) return say(pressed, link ? NO_CODE : TOO_LONG);
  const figure = document.createElement("figure");
  figure.innerHTML = code;
  const words = document.createElement("figcaption");
  words.textContent = `Opens “${title}” with these values on the phone whose camera reads it.`;
  figure.append(words);
  actions.append(figure);
  pressed.setAttribute("aria-expanded", "true");
  figure.scrollIntoView({ block: "nearest" });
}

/** Prints the answer alone, on a card of A6. @param {Answer} answer */
async function card({ title, result, whose, canBeShared, shared, codeOf }) {
  const lines = whose(listed).map(lineOf);
  // Another answer may stand there once the code has come.
  const copy = /** @type {HTMLElement} */ (result.cloneNode(true));
  for (const given of parts(copy, ".dc-given", HTMLTableElement)) if (given.rows.length > FEW_VALUES) copy.append(given);
  const content = [...lines, copy];
  const link = canBeShared ? await linkTo(shared()) : null;
  const code = link ? await codeOf(link) : "";
  printCard({ title, content, code });
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
 * @returns {Promise<boolean>} Whether it is there.
 */
export async function copy(text, pressed) {
  const writing = navigator.clipboard?.writeText(text) ?? Promise.reject();
  const copied = await writing.then(() => true, () => false);
  say(pressed, copied ? "Copied" : "This browser did not let it be copied");
  return copied;
}

/** The names of buttons that say something, and what gives each its own again. @type {Map<HTMLElement, {name: string | null, timer: ReturnType<typeof setTimeout>}>} */
const saying = new Map();

/**
 * Says something on a button for a moment.
 * @param {HTMLElement} pressed
 * @param {string} words
 */
function say(pressed, words) {
  const { name, timer } = saying.get(pressed) ?? { name: pressed.textContent };
  clearTimeout(timer);
  const end = () => {
    pressed.textContent = name;
    saying.delete(pressed);
  };
  pressed.textContent = words;
  saying.set(pressed, { name, timer: setTimeout(end, 1500) });
}
