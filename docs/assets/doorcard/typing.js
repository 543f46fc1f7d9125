/**
 * What a thumb needs in a form: a first tap selects what stands in a field, Enter goes on to the next one, a
 * key of ours changes the sign, few words lie side by side, another unit converts what was typed, and bands take a row of numbers at once.
 */

import { clearFraction, readNumber } from "./numerals.js";
import { part, parts } from "./parts.js";

const LEAST_FIGURES = 4;
const MOST_FIGURES = 12;

/** The field that has just got the focus; a second tap puts the cursor, as ever. Weak: its page may have gone. @type {WeakRef<EventTarget> | null} */
let fresh = null;

/** @param {EventTarget | null} target @returns {target is HTMLInputElement} */
function isTextField(target) {
  return target instanceof HTMLInputElement && target.type === "text";
}

/** @param {FocusEvent} event */
function focused({ target }) {
  if (!isTextField(target)) return;
  fresh = new WeakRef(target);
  target.select();
}

/** The tap that gave the focus has put the cursor, too. @param {MouseEvent} event */
function clicked({ target }) {
  if (isTextField(target) && target === fresh?.deref() && target.selectionStart === target.selectionEnd) target.select();
  fresh = null;
}

/** Enter is the next key. @param {KeyboardEvent} event */
function pressed(event) {
  const { target, key, currentTarget } = event;
  if (key !== "Enter" || !isTextField(target) || !(currentTarget instanceof HTMLElement)) return;
  event.preventDefault();
  const fields = parts(currentTarget, ".dc-form :is(input, select, textarea)", HTMLElement);
  const next = fields.slice(fields.indexOf(target) + 1).find((field) => field.checkVisibility());
  if (next) next.focus();
  else target.blur();
}

/** Tells whoever listens that a field was typed in. @param {HTMLInputElement} field */
const tell = (field) => field.dispatchEvent(new InputEvent("input", { bubbles: true }));

/** Makes a number negative, or positive again. @param {HTMLInputElement} field */
export function changeSign(field) {
  const text = field.value.trim();
  field.value = /^[-−]/.test(text) ? text.slice(1) : `-${text.replace(/^\+/, "")}`;
  field.focus();
  tell(field);
}

/** A tap on one of few words chooses it in the field that they lie over. @param {Element} word */
export function chooseWord(word) {
  const field = part(/** @type {HTMLElement} */ (word.closest(".dc-control")), "select", HTMLSelectElement);
  field.focus({ preventScroll: true });
  const chosen = [...(word.parentElement?.children ?? [])].indexOf(word);
  if (field.selectedIndex === chosen) return;
  field.selectedIndex = chosen;
  for (const told of ["input", "change"]) field.dispatchEvent(new Event(told, { bubbles: true }));
}

/** What bands held before they were set to 0, by the button that did it. @type {WeakMap<HTMLElement, string[]>} */
const flattened = new WeakMap();

/** Sets all bands to 0; pressed again, it takes that back. @param {HTMLElement} pressed */
export function flatten(pressed) {
  const fields = parts(/** @type {HTMLElement} */ (pressed.closest(".dc-bands")), "input", HTMLInputElement);
  const held = flattened.get(pressed);
  const undone = held && fields.every(({ value }) => value === "0");
  if (undone) flattened.delete(pressed);
  else flattened.set(pressed, fields.map(({ value }) => value));
  fields.forEach((field, at) => (field.value = (undone && held[at]) || "0"));
  pressed.textContent = undone ? "All to 0" : "Undo: all to 0";
  tell(fields[0]);
}

/**
 * The cells of a row or a column, as a table copies it; none where several rows have several: which of them, nobody can say.
 * @param {string} text
 */
function cellsIn(text) {
  const cellsOf = (/** @type {string} */ row) => (/[\t;]/.test(text) ? row.split(/[\t;]/) : row.trim().split(/\s+/));
  const rows = text.replace(/\r?\n$/, "").split(/\r?\n/).map(cellsOf);
  return rows.length > 1 && rows.some((cells) => cells.length > 1) ? [] : rows.flat().map((cell) => cell.trim());
}

/** Several numbers pasted into one band go on into the bands behind it; a band whose cell is empty is flat. @param {ClipboardEvent} event */
function pasted(event) {
  const { target, clipboardData } = event;
  const list = isTextField(target) && target.closest(".dc-band-list");
  const cells = cellsIn(clipboardData?.getData("text") ?? "");
  if (!list || cells.length < 2) return;
  event.preventDefault();
  list.parentElement?.querySelector(".dc-too-many")?.remove();
  const fields = parts(list, "input", HTMLInputElement);
  const bands = fields.slice(fields.indexOf(target));
  while (cells.length > bands.length && !cells.at(-1)) cells.pop();
  if (cells.length > bands.length) return sayTooMany(list, cells.length, bands.length);
  cells.forEach((cell, at) => (bands[at].value = cell || "0"));
  tell(target);
}

/** @param {Element} list @param {number} numbers @param {number} bands */
function sayTooMany(list, numbers, bands) {
  const words = `These are ${numbers} numbers, and from this band on there are ${bands}: nothing was pasted.`;
  const line = Object.assign(document.createElement("p"), { className: "dc-error dc-too-many", textContent: words });
  line.setAttribute("role", "alert");
  list.before(line);
  list.addEventListener("input", () => line.remove(), { once: true });
}

/**
 * A number in one unit as text in another, to as many figures as it was typed with, at least four.
 * @param {{number: number, figures: number}} typed
 * @param {DOMStringMap} from Factor and offset of a unit: value = (shown + offset) × factor.
 * @param {DOMStringMap} to
 */
function converted({ number, figures }, from, to) {
  const shown = valueOf(number, from) / Number(to.factor) - Number(to.offset);
  return clearFraction(String(Number(shown.toPrecision(Math.min(Math.max(figures, LEAST_FIGURES), MOST_FIGURES)))));
}

/** @param {number} shown @param {DOMStringMap} unit */
const valueOf = (shown, { factor, offset }) => (shown + Number(offset)) * Number(factor);

/** The text of each field before it was converted, to come back to it exactly. @type {WeakMap<HTMLInputElement, {unit: string, text: string, now: string}>} */
const before = new WeakMap();

/**
 * What the fields of a unit hold keeps its meaning when another unit is chosen; where a field holds what may be two
 * numbers, the unit stays, and the field is shown, with what the calculators ask beside it.
 * @param {HTMLSelectElement} choice
 */
export function convertTyped(choice) {
  const from = [...choice.options].find(({ value }) => value === choice.dataset.was) ?? choice.options[0];
  const to = choice.selectedOptions[0];
  if (from.dataset.factor && from !== to) {
    const fields = ofUnit(choice);
    const { low, high } = choice.dataset;
    /** @param {number} number */
    const fits = (number) => Number(low) <= valueOf(number, from.dataset) && valueOf(number, from.dataset) <= Number(high);
    const read = fields.map(({ value }) => readNumber(value, fits));
    const unclear = fields[read.indexOf("unclear")];
    if (unclear) {
      choice.value = from.value;
      return unclear.focus();
    }
    read.forEach((typed, at) => convertOne(fields[at], typed === "unclear" ? null : typed, from, to));
  }
  choice.dataset.was = choice.value;
}

/** The fields that a choice of unit is for: one, or those of a column. @param {HTMLSelectElement} choice */
function ofUnit(choice) {
  const [start, end] = choice.name.replace(":unit", "").split("[]");
  const form = /** @type {HTMLElement} */ (choice.closest(".dc-form"));
  return parts(form, "input[name]", HTMLInputElement).filter(({ name }) =>
    end === undefined ? name === start : name.startsWith(`${start}[`) && name.endsWith(`]${end}`));
}

/**
 * What is no number alone stays as it is: it names its own unit, or is refused in any.
 * @param {HTMLInputElement} field
 * @param {{number: number, figures: number} | null} typed
 * @param {HTMLOptionElement} from
 * @param {HTMLOptionElement} to
 */
function convertOne(field, typed, from, to) {
  const known = before.get(field);
  if (!typed) return;
  const text = known?.unit === to.value && known.now === field.value ? known.text : converted(typed, from.dataset, to.dataset);
  if (known?.now !== field.value) before.set(field, { unit: from.value, text: field.value, now: text });
  else before.set(field, { ...known, now: text });
  field.value = text;
}

/** Makes a form easy for a thumb. @param {HTMLElement} calculator */
export function easeTyping(calculator) {
  calculator.addEventListener("focusin", focused);
  calculator.addEventListener("click", clicked);
  calculator.addEventListener("keydown", pressed);
  calculator.addEventListener("paste", pasted);
}
