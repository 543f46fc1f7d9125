/** Adding and removing rows of a form: `speakers[2].distance` is field 2 of the rows `speakers`. */

const NEW_ROW = "__row__";
const ATTRIBUTES = ["id", "name", "for", "aria-describedby", "data-error"];

/** @param {HTMLElement} rows */
export function addRow(rows) {
  const list = rows.querySelector(".dc-row-list");
  const row = rows.querySelector("template").content.firstElementChild.cloneNode(true);
  number(row, NEW_ROW, String(list.children.length));
  list.append(row);
  rows.querySelectorAll(".dc-unit-choice").forEach(showRowUnits);
  row.querySelector("input, select").focus();
  showLimits(rows);
}

/** @param {HTMLElement} row */
export function removeRow(row) {
  const rows = row.closest(".dc-rows");
  const list = row.parentElement;
  row.remove();
  [...list.children].forEach((other, index) => number(other, String.raw`\d+`, String(index)));
  rows.querySelector(".dc-add").focus();
  showLimits(rows);
}

/** Shows the unit chosen for a column behind the label of each of its fields. @param {HTMLSelectElement} choice */
export function showRowUnits(choice) {
  const [before, after] = choice.name.replace(":unit", "").split("[]");
  for (const field of choice.closest(".dc-rows").querySelectorAll("input[name]")) {
    const shown = field.closest(".dc-field").querySelector('[data-unit="shown"]');
    if (shown && field.name.startsWith(`${before}[`) && field.name.endsWith(after)) {
      shown.textContent = choice.value;
    }
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
  rows.querySelector(".dc-add").disabled = count >= Number(rows.dataset.most);
  for (const button of rows.querySelectorAll(".dc-remove")) {
    button.disabled = count <= Number(rows.dataset.least);
  }
}
