/** What the guided tune reads in the forms of its page, and what it does to their rows. */

import { part } from "./parts.js";
import { setRowCount } from "./rows.js";
import * as state from "./state.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {import("./messages.js").MadeFile} MadeFile */

/** Inputs that the way fills: they are no settings. */
const FILLED = ["recording", "measurements", "sheet", "read_back", "again", "speaker", "point", "tie"];

/** Takes the rows of an input away. @param {DoorcardCalculator} form @param {string} rows */
export const emptyRows = (form, rows) => setRowCount(part(form, `[data-rows="${rows}"]`, HTMLElement), 0);

/** The fields of an input's rows, with their text. @param {DoorcardCalculator} form @param {string} rows */
export const rowsOf = (form, rows) => Object.fromEntries(Object.entries(form.inputs()).filter(([name]) => name.startsWith(`${rows}[`)));

/** What a form's fields hold, but for what the way fills. @param {DoorcardCalculator} form */
export const settingsOf = (form) => Object.fromEntries(Object.entries(form.inputs()).filter(([name]) => !FILLED.includes(name.split("[")[0])));

/** @param {DoorcardCalculator} form @param {string} name */
export const fileField = (form, name) => part(form, `.dc-form [name="${name}"]`, HTMLInputElement);

/** The values of a form's answer; null if it refuses, undefined if there is no reply. @param {DoorcardCalculator} form */
export async function valuesOf(form) {
  const reply = await form.beside("answer");
  if (!reply || !("errors" in reply)) return;
  return reply.answer ? state.membersOf(reply.answer.values) : null;
}

/** The text of a file that was made; none where there is none. @param {MadeFile[]} files @param {string} output */
export function textOf(files, output) {
  const made = files.find((file) => file.output === output);
  return made ? new TextDecoder().decode(made.buffer) : "";
}
