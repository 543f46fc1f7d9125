/** The fields of a form: what they hold, and what they can hold. */

import { parts } from "./parts.js";

/** @typedef {HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement} Field */

/** The fields of a form, in their order. @param {HTMLElement} form @returns {Field[]} */
export function fieldsOf(form) {
  return [.../** @type {NodeListOf<Field>} */ (form.querySelectorAll(".dc-form :is(input, select, textarea)[name]"))];
}

/** @param {Field} field @returns {field is HTMLInputElement} */
export function isFile(field) {
  return field instanceof HTMLInputElement && field.type === "file";
}

/**
 * What a field holds, each accent and its letter as one sign, for two ways to write a name are one name; a file's is the
 * handle it is kept under.
 * @param {Field} field
 */
export function typedValue(field) {
  return isFile(field) ? field.dataset.handle ?? "" : field.value.normalize("NFC");
}

/** What a field held when the page was built. @param {Field} field */
export function builtValue(field) {
  if (!(field instanceof HTMLSelectElement)) return field.defaultValue;
  return ([...field.options].find((option) => option.defaultSelected) ?? field.options[0])?.value ?? "";
}

/** Whether a field can hold a text: a selection holds its own words alone. @param {Field} field @param {string} text */
export function canHold(field, text) {
  if (isFile(field)) return text === "";
  return !(field instanceof HTMLSelectElement) || [...field.options].some(({ value }) => value === text);
}

/** Name of the input that a field belongs to. @param {string} field */
export const inputOf = (field) => field.split(/[[.:]/)[0];

/**
 * Text by field name, by the input that the fields belong to.
 * @param {Record<string, string>} fields
 * @returns {Map<string, Record<string, string>>}
 */
export function byInput(fields) {
  /** @type {Map<string, Record<string, string>>} */
  const inputs = new Map();
  for (const [name, text] of Object.entries(fields)) {
    const input = inputOf(name);
    const own = inputs.get(input) ?? {};
    own[name] = text;
    inputs.set(input, own);
  }
  return inputs;
}

/**
 * Those of the fields that stand for some values.
 * @param {{name: string}[]} values
 * @param {Record<string, string>} fields
 * @returns {Record<string, string>}
 */
export function fieldsFor(values, fields) {
  const inputs = byInput(fields);
  return Object.assign({}, ...values.map(({ name }) => inputs.get(name)));
}

/**
 * Whether fields hold what others do, and no more.
 * @param {Record<string, string>} here
 * @param {Record<string, string>} there
 */
export function same(here, there) {
  const names = Object.keys(there);
  return names.length === Object.keys(here).length && names.every((name) => here[name] === there[name]);
}

/**
 * Another curve in place of the example's takes the example's other curves away: one answer would mix two vehicles.
 * Whoever tries out a change within the example's curve keeps them.
 * @param {HTMLElement} form
 * @param {EventTarget | null} typed
 */
export function letGoOfExampleCurves(form, typed) {
  if (!(typed instanceof HTMLTextAreaElement)) return;
  const [begins] = builtValue(typed).split("\n");
  if (!begins || typed.value.includes(begins)) return;
  for (const curve of parts(form, "textarea", HTMLTextAreaElement))
    if (curve !== typed && curve.value === builtValue(curve)) curve.value = "";
}
