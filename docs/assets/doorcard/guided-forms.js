/** What the guided tune reads in the forms of its page, and what it does to their rows. */

import { heldBy } from "./guided-kept.js";
import { part } from "./parts.js";
import { setRowCount } from "./rows.js";
import { membersOf } from "./records.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {import("./guided-screens.js").Standing} Standing */
/** @typedef {import("./messages.js").MadeFile} MadeFile */

const LARGEST = 8_000_000; // Bytes of what is taken up: all of it is kept at every step.
/** The use that a run with everything must be good for. */
const COMPARED = "Left against right, before against after";
/** Inputs that the way fills: they are no settings. */
const FILLED = ["recording", "measurements", "sheet", "read_back", "again", "speaker", "point", "tie"];

/** Takes the rows of an input away. @param {DoorcardCalculator} form @param {string} rows */
export const emptyRows = (form, rows) => setRowCount(part(form, `[data-rows="${rows}"]`, HTMLElement), 0);

/** The fields of an input's rows, with their text. @param {DoorcardCalculator} form @param {string} rows */
export const rowsOf = (form, rows) => Object.fromEntries(Object.entries(form.inputs()).filter(([name]) => name.startsWith(`${rows}[`)));

/**
 * Makes the form of a run ready for it.
 * @param {DoorcardCalculator} form
 * @param {number} from Hz, where the sweep begins.
 * @param {boolean} whole Everything plays, once.
 */
export function prepareRun(form, from, whole) {
  // The plan says what the microphone is: the recorder need not guess.
  Object.assign(part(form, "doorcard-recorder", HTMLElement), { toldForm: true });
  form.fill({
    low: String(from),
    "low:unit": "Hz",
    recording: "",
    speaker: "",
    tie: "nothing",
    plays_in_file: whole ? "one" : "two: left, then right",
    play: whole ? "first" : "second",
  });
}

/** Turns the microphone off, if it is on. @param {DoorcardCalculator} form @param {string} words Why. */
export function endRun(form, words) {
  const recorder = /** @type {HTMLElement & {microphone: unknown, end: (words: string) => void}} */ (part(form, "doorcard-recorder", HTMLElement));
  if (recorder.microphone) recorder.end(words);
}

/** The fields of the read-back before anything was read: the names of a sheet's channels and filters. @param {string} sheet */
export function unreadOf(sheet) {
  const channels = /** @type {{name: string, filters: unknown[]}[]} */ (heldBy(sheet).channels ?? []);
  const shown = channels.flatMap(({ name }, at) =>
    Object.entries({ name, high_pass: "", low_pass: "", slope: "unread", polarity: "unread", delay: "", gain: "" }).map(([field, text]) => [`channels[${at}].${field}`, text]));
  const filters = channels.flatMap(({ name, filters: own }) => own.map(() => name)).flatMap((name, at) =>
    Object.entries({ name, frequency: "", gain: "", q: "" }).map(([field, text]) => [`filters[${at}].${field}`, text]));
  return { trim_in_front: "", ...Object.fromEntries([...shown, ...filters]) };
}

/** What a form's fields hold, but for what the way fills. @param {DoorcardCalculator} form */
export const settingsOf = (form) => Object.fromEntries(Object.entries(form.inputs()).filter(([name]) => !FILLED.includes(name.split("[")[0])));

/** @param {DoorcardCalculator} form @param {string} name */
export const fileField = (form, name) => part(form, `.dc-form [name="${name}"]`, HTMLInputElement);

/** A file is being put into a field from here: nobody has chosen it. */
let handing = false;
export const isHanded = () => handing;

/**
 * Puts a text into a file's field, as if it had been chosen there.
 * @param {DoorcardCalculator} form
 * @param {string} name
 * @param {string} file
 * @param {string | File} text Nothing, for none.
 */
export function putFile(form, name, file, text) {
  if (!text) return void form.fill({ [name]: "" });
  const field = fileField(form, name);
  const carrier = new DataTransfer();
  carrier.items.add(new File([text], file));
  field.files = carrier.files;
  handing = true;
  field.dispatchEvent(new Event("change", { bubbles: true }));
  handing = false;
}

/** The text of the files that are chosen; null if that is too much to be taken up. @param {HTMLInputElement} field */
export async function textIn(field) {
  const files = [...(field.files ?? [])];
  if (files.reduce((sum, { size }) => sum + size, 0) > LARGEST) return null;
  return (await Promise.all(files.map((file) => file.text()))).join("\n");
}

/** The values of a form's answer, null if it refuses, and what; undefined if there is no reply. @param {DoorcardCalculator} form */
export async function answerOf(form) {
  const reply = await form.beside("answer");
  if (!reply || !("errors" in reply)) return;
  return { values: reply.answer ? membersOf(reply.answer.values) : null, errors: reply.errors };
}

/** The text of a file that was made; none where there is none. @param {MadeFile[]} files @param {string} output */
function textOf(files, output) {
  const made = files.find((file) => file.output === output);
  return made ? new TextDecoder().decode(made.buffer) : "";
}

/**
 * What the answer of the stage's form gives to go on with; nothing if it is not good enough, or an example's.
 * @param {DoorcardCalculator} form
 * @param {MadeFile[]} files
 * @param {Standing} standing
 * @param {boolean} byTape
 */
export async function goodOf(form, files, { stage, speaker, point }, byTape) {
  const inputs = form.inputs();
  if (stage === "level check") {
    const recorder = /** @type {HTMLElement & {right: boolean}} */ (part(form, "doorcard-recorder", HTMLElement));
    return inputs.recording && recorder.right ? "right" : "";
  }
  if (stage === "measure") {
    const ofThisRun = inputs.recording && inputs.speaker === speaker && Number(inputs.point) === point;
    return ofThisRun ? textOf(files, "for_tune") : "";
  }
  if (stage === "tune") {
    const own = byTape ? inputs.begin_with === "distances" : inputs.begin_with === "measurements" && inputs.measurements;
    return own ? textOf(files, "data") : "";
  }
  if (stage === "read back") {
    const { different, word } = (await answerOf(form))?.values ?? {};
    return inputs.sheet && different === 0 ? String(word) : "";
  }
  if (stage !== "measure again" || !inputs.recording) return "";
  const uses = /** @type {{use: string, may: string}[]} */ ((await answerOf(form))?.values?.uses ?? []);
  return uses.find(({ use }) => use === COMPARED)?.may.startsWith("yes") ? textOf(files, "csv") : "";
}
