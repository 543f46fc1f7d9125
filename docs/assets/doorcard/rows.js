/** Adding and removing rows of a form: `speakers[2].distance` is field 2 of the rows `speakers`. */

import { hasUnit } from "./offers.js";
import { part, parts, write } from "./parts.js";

const NEW_ROW = "__row__";
const ATTRIBUTES = ["id", "name", "for", "aria-describedby", "data-error"];

/** Adds a row for the reader to fill. @param {HTMLElement} rows */
export function addRow(rows) {
  forgetRemoved(rows);
  const row = appendRow(rows);
  row.setAttribute("open", ""); // Only a long one takes notice.
  part(row, "input, select", HTMLElement).focus();
}

/** Tells in the one line of each long row what its fields hold. @param {HTMLElement} form */
export function showLines(form) {
  for (const line of parts(form, ".dc-row-list [data-line]", HTMLElement)) {
    const words = parts(/** @type {HTMLElement} */ (line.closest(".dc-row")), ".dc-control", HTMLElement).map(held).filter(Boolean).join(", ");
    write(line, words);
  }
}

/** What a field holds, with its unit, be it typed there; nothing if it is empty. @param {HTMLElement} control */
function held(control) {
  const field = control.querySelector("input, select");
  if (field instanceof HTMLSelectElement) return field.value && (field.selectedOptions[0]?.textContent ?? "");
  if (!(field instanceof HTMLInputElement) || !field.value) return "";
  const unit = hasUnit(field.value) ? "" : (control.querySelector(".dc-unit")?.textContent ?? "");
  return `${field.value} ${unit}`.trim();
}

/**
 * Gives rows a number of rows, as near as their limits allow.
 * @param {HTMLElement} rows
 * @param {number} wanted
 */
export function setRowCount(rows, wanted) {
  const list = part(rows, ".dc-row-list", HTMLElement);
  forgetRemoved(rows);
  const count = Math.min(Math.max(wanted, Number(rows.dataset.least)), Number(rows.dataset.most));
  while (list.children.length > count) list.lastElementChild?.remove();
  while (list.children.length < count) appendRow(rows);
  showLimits(rows);
}

/** @param {HTMLElement} rows */
function appendRow(rows) {
  const list = part(rows, ".dc-row-list", HTMLElement);
  const { content } = part(rows, "template", HTMLTemplateElement);
  const row = part(document.importNode(content, true), "*", HTMLElement);
  number(row, NEW_ROW, String(list.children.length));
  list.append(row);
  parts(rows, ".dc-unit-choice", HTMLSelectElement).forEach(showRowUnits);
  showLimits(rows);
  return row;
}

/**
 * Takes a row away, and offers to put it back.
 * @param {HTMLElement} row
 * @param {() => void} putBack Told when it is back.
 */
export function removeRow(row, putBack) {
  const rows = /** @type {HTMLElement} */ (row.closest(".dc-rows"));
  const list = part(rows, ".dc-row-list", HTMLElement);
  const place = [...list.children].indexOf(row);
  row.remove();
  numberRows(list);
  showLimits(rows);
  const name = row.querySelector("input")?.value || row.getAttribute("aria-label")?.toLowerCase();
  const undo = document.createElement("button");
  undo.type = "button";
  undo.className = "dc-button";
  undo.textContent = "Undo";
  undo.onclick = () => {
    list.insertBefore(row, list.children[place] ?? null);
    numberRows(list);
    showLimits(rows);
    forgetRemoved(rows);
    part(row, "input, select", HTMLElement).focus();
    putBack();
  };
  const line = document.createElement("p");
  line.className = "dc-removed";
  line.append(`Removed: ${name}. `, undo);
  forgetRemoved(rows);
  list.after(line);
  undo.focus();
}

/** What was taken away cannot come back to its place any more. @param {HTMLElement} rows */
function forgetRemoved(rows) {
  rows.querySelector(".dc-removed")?.remove();
}

/** Every row gets the number of its place. @param {HTMLElement} list */
function numberRows(list) {
  [...list.children].forEach((row, index) => number(row, String.raw`\d+`, String(index)));
}

/** Shows a unit that was chosen for a column behind the label of each of its fields. @param {HTMLSelectElement} choice */
export function showRowUnits(choice) {
  if (!choice.name.includes("[]")) return;
  const [before, after] = choice.name.replace(":unit", "").split("[]");
  const rows = /** @type {HTMLElement} */ (choice.closest(".dc-rows"));
  for (const field of parts(rows, "input[name]", HTMLInputElement)) {
    const shown = field.closest(".dc-field")?.querySelector('[data-unit="shown"]');
    if (shown && field.name.startsWith(`${before}[`) && field.name.endsWith(after)) shown.textContent = choice.value;
  }
}

/**
 * Gives a row its number wherever its fields are named.
 * @param {Element} row
 * @param {string} old Pattern of the number it has.
 * @param {string} index
 */
function number(row, old, index) {
  const pattern = new RegExp(String.raw`\[${old}\]`, "g");
  for (const element of row.querySelectorAll("*")) {
    for (const name of ATTRIBUTES) {
      const value = element.getAttribute(name);
      if (value) element.setAttribute(name, value.replace(pattern, `[${index}]`));
    }
  }
}

/** Buttons that would lead to too few or too many rows are off. @param {HTMLElement} rows */
function showLimits(rows) {
  const count = rows.querySelectorAll(".dc-row").length;
  part(rows, ".dc-add", HTMLButtonElement).disabled = count >= Number(rows.dataset.most);
  for (const button of parts(rows, ".dc-remove", HTMLButtonElement)) {
    button.disabled = count <= Number(rows.dataset.least);
  }
}
