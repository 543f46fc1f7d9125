/** What was typed and not sent yet stays while its part of the page is made anew, with what is chosen and which folds are open. */

import { parts } from "./parts.js";

const PRESSED = "a, button, input, select, summary";

/** @param {HTMLElement} element */
const nameOf = (element) => element.getAttribute("name") || element.getAttribute("aria-label") || element.textContent;

/** @param {HTMLDetailsElement} fold */
const isOpen = ({ open }) => open;

/** @param {HTMLInputElement} field */
const isTyped = ({ value, defaultValue }) => value !== defaultValue;

/**
 * What was typed into a place and not sent, with what is chosen beside it; nothing where nothing was typed.
 * @param {HTMLElement} place
 * @returns {Record<string, string>}
 */
export function unsentIn(place) {
  const typed = parts(place, "input", HTMLInputElement).filter(isTyped);
  const beside = typed.length ? parts(place, "select", HTMLSelectElement) : [];
  return Object.fromEntries([...beside, ...typed].map(({ name, value }) => [name, value]));
}

/**
 * Puts new content into a place. Fields and selections are known by their names, folds and buttons by their words;
 * what differs from a field's `defaultValue` was typed.
 * @param {HTMLElement} place
 * @param {HTMLElement[]} content
 * @param {Record<string, string>} left What was typed and chosen when the page was left.
 */
export function replaceContent(place, content, left = {}) {
  const before = Object.entries(left);
  const fields = parts(place, "input", HTMLInputElement).filter(isTyped);
  const typed = new Map([...before, ...fields.map(({ name, value }) => /** @type {const} */ ([name, value]))]);
  const selects = parts(place, "select", HTMLSelectElement);
  const chosen = new Map([...before, ...selects.map(({ name, value }) => /** @type {const} */ ([name, value]))]);
  const open = new Set(parts(place, "details", HTMLDetailsElement).filter(isOpen).map(titleOf));
  const focused = parts(place, PRESSED, HTMLElement).find((element) => element === document.activeElement);
  place.replaceChildren(...content);
  for (const select of parts(place, "select", HTMLSelectElement)) choose(select, chosen.get(select.name));
  for (const input of parts(place, "input", HTMLInputElement)) input.value = typed.get(input.name) ?? input.value;
  for (const fold of parts(place, "details", HTMLDetailsElement)) {
    fold.open = open.has(titleOf(fold)) || (before.length > 0 && parts(fold, "input", HTMLInputElement).some(isTyped));
  }
  const same = focused && parts(place, PRESSED, HTMLElement).find((element) => nameOf(element) === nameOf(focused));
  same?.focus({ preventScroll: true });
  if (focused instanceof HTMLInputElement && same instanceof HTMLInputElement) same.setSelectionRange(focused.selectionStart, focused.selectionEnd);
}

/** @param {HTMLDetailsElement} fold */
const titleOf = (fold) => fold.querySelector("summary")?.textContent;

/** Chooses what was chosen, where it is still offered. @param {HTMLSelectElement} select @param {string | undefined} value */
function choose(select, value) {
  if ([...select.options].every((option) => option.value !== value)) return;
  select.value = value ?? "";
  select.dispatchEvent(new Event("change"));
}
