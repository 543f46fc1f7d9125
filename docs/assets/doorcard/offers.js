/**
 * What a form can take of what was typed into another.
 *
 * A value goes under its name, and only to an input that has the same label and means the same: the
 * quantity of a number, the words of a choice, the columns of rows. Its unit goes with it.
 */

import { canHold, fieldsOf, isFile } from "./fields.js";
import { parts } from "./parts.js";
import { isFormer, isOld } from "./whose.js";

/** @typedef {import("./state.js").Value} Value */
/**
 * @typedef {object} Input What a form asks for.
 * @property {string} name
 * @property {string} label
 * @property {string} means What its value stands for; nothing for what stays with this form.
 * @property {string} unit The unit of its field, where none can be chosen.
 */

/** Calculators of what is read off a screen: nothing typed elsewhere may stand in for looking at it. */
export const READ_ANEW = Object.freeze(["read-back"]);
const LONGEST_SHOWN = 24;
const MOST_SHOWN = 4;

/** What a form asks for. @param {HTMLElement} form @returns {Input[]} */
export function inputsOf(form) {
  return parts(form, "[data-input]", HTMLElement).map(({ dataset }) => ({
    name: dataset.input ?? "",
    label: dataset.label ?? "",
    means: dataset.means ?? "",
    unit: dataset.onlyUnit ?? "",
  }));
}

/**
 * The fields of a form that stand for a value typed elsewhere.
 * @param {HTMLElement} form
 * @param {Input} input The form's own, of the value's name.
 * @param {Value} value
 * @param {Record<string, string>} typed The fields that the value was typed into.
 * @returns {Record<string, string> | null} None if the form cannot take it as it was meant.
 */
export function carried(form, input, value, typed) {
  if (!input.means || input.label !== value.label || input.means !== value.means) return null;
  const fields = inUnitsOf(form, input, value.unit, typed);
  const known = new Map(fieldsOf(form).map((field) => [field.name, field]));
  const fits = Object.entries(fields ?? {}).every(([name, text]) => {
    const field = known.get(name);
    return field ? canHold(field, text) : name.includes("["); // A row that is not there yet.
  });
  return fits ? fields : null;
}

/**
 * A number's text with the unit it was typed in: chosen, where it can be chosen here, else behind it.
 * @param {HTMLElement} form
 * @param {Input} input
 * @param {string} onlyUnit
 * @param {Record<string, string>} fields
 */
function inUnitsOf(form, { name, unit: here }, onlyUnit, fields) {
  const text = fields[name];
  if (text === undefined) return fields; // Rows mean the same only in the same units.
  const choice = `${name}:unit`;
  const unit = fields[choice] ?? onlyUnit;
  const choices = fieldsOf(form).find((field) => field.name === choice);
  if (choices && canHold(choices, unit)) return { [name]: text, [choice]: unit };
  if ((!choices && unit === here) || hasUnit(text)) return { [name]: text };
  return unit ? { [name]: `${text} ${unit}` } : null;
}

/** Whether a number was typed with its unit behind it. @param {string} text */
export const hasUnit = (text) => /[^\d\s.,]\s*$/.test(text);

/**
 * An input with what stands for it, as a reader would say it; of rows and bands, the label alone.
 * @param {HTMLElement} form
 * @param {Input} input
 * @param {Record<string, string>} fields
 */
export function inWords(form, { name, label, unit: only }, fields) {
  const text = fields[name];
  const field = fieldsOf(form).find((one) => one.name === name);
  if (text === undefined || !field || isFile(field) || field instanceof HTMLTextAreaElement) return label;
  if (field instanceof HTMLSelectElement) {
    const chosen = [...field.options].find(({ value }) => value === text);
    return `${label} ${chosen?.textContent ?? text}`;
  }
  const unit = fields[`${name}:unit`] ?? only;
  const shown = text.length > LONGEST_SHOWN ? `${text.slice(0, LONGEST_SHOWN)} …` : text || "left empty";
  return `${label} ${shown}${unit && text && !hasUnit(text) ? ` ${unit}` : ""}`;
}

/** A list of which a few are shown. @param {string[]} words */
export function listed(words) {
  const more = words.length - MOST_SHOWN;
  return [...words.slice(0, MOST_SHOWN), ...(more > 0 ? [`${more} more`] : [])].join("; ");
}

/**
 * Values of the vehicle in the bay, and those of another.
 * @template {import("./whose.js").Kept} Timed
 * @param {Timed[]} values
 * @param {import("./whose.js").Bay} bay
 * @returns {Map<string, Timed[]>}
 */
export function byVehicle(values, bay) {
  const former = values.filter((value) => isFormer(value, bay));
  const own = values.filter((value) => !isFormer(value, bay));
  const groups = /** @type {const} */ ([["Yours", own], ["Before the vehicle changed", former]]);
  return new Map(groups.filter(([, some]) => some.length));
}

/**
 * Offers as they are told, a group for each record: this vehicle's before another's. What a job had long ago waits for that
 * job alone.
 * @template {import("./whose.js").Kept & {record: object}} Offered
 * @param {Offered[]} offers
 * @param {import("./whose.js").Bay} bay
 * @returns {Offered[][]}
 */
export function ownFirst(offers, bay) {
  const own = offers.filter((offer) => !isFormer(offer, bay));
  const former = offers.filter((offer) => isFormer(offer, bay) && !(offer.job && isOld(offer)));
  const records = new Set(offers.map(({ record }) => record));
  const groups = [own, former].flatMap((some) => [...records].map((one) => some.filter(({ record }) => record === one)));
  return groups.filter((some) => some.length);
}
