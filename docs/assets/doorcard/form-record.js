/** The records of what was typed into a form, one for each job and one for none, as a tab writes them. */

import { fieldsFor } from "./fields.js";

/** @typedef {import("./state.js").Typed} Typed */

/** Whether a record is of a form, whichever vehicle it was typed for. @param {Typed} record @param {{id: string, calculator: string}} form */
export const isOfForm = ({ id, calculator }, form) => calculator === form.calculator && (id === form.id || id.startsWith(`${form.id}@`));

/** A record without some of its values; null where none is left. @param {Typed} record @param {string[]} names */
export function without(record, names) {
  const values = record.values.filter(({ name }) => !names.includes(name));
  return values.length ? { ...record, values, fields: fieldsFor(values, record.fields) } : null;
}

/**
 * What stands in a form, with what is kept of it that was not typed here, or that another tab has typed over since; null
 * where nothing is left.
 * @param {Typed} here
 * @param {Map<string, number>} times When each input was typed here.
 * @param {Typed | null} there What is kept.
 * @returns {Typed | null}
 */
export function withOthers(here, times, there) {
  const kept = there?.calculator === here.calculator ? there : null;
  const others = kept?.values.filter(({ name, at }) => isOthers(times.get(name), at)) ?? [];
  const typed = here.values.filter(({ name }) => others.every((value) => value.name !== name));
  const fields = { ...fieldsFor(typed, here.fields), ...fieldsFor(others, kept?.fields ?? {}) };
  return typed.length + others.length ? { ...here, values: [...typed, ...others], fields } : null;
}

/** @param {number | undefined} mine @param {number} at What is later than now was typed here, before the clock was set back. */
const isOthers = (mine, at) => mine === undefined || (at > mine && at <= Date.now());
