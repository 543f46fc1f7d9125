/** What was chosen above tables stays chosen, on every page: for the vehicle in the bay, or for the job that is open. */

import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { parts } from "./parts.js";
import * as state from "./state.js";
import { NOBODY, marksOf, ownId, withMarks } from "./whose.js";

const ID = "segments"; // In place of a form's name and of a calculator's: no form asks for it.

/** The choices of the page. */
const choices = () => parts(document, ".dc-segments input", HTMLInputElement);

/** The vehicle in the bay, as was looked at last. @type {import("./whose.js").Bay} */
let bay = NOBODY;

/** The last change from here; the device may still be writing it. @type {Promise<unknown>} */
let writing = Promise.resolve();

/** Keeps one choice beside those of other pages. @param {HTMLInputElement} chosen */
async function keep({ name, value }) {
  if (bay === NOBODY) bay = await state.recall(); // A tap may come before the first look.
  const id = ownId(ID, bay);
  return state.change(id, (record) => withMarks(record, state.note(id, ID, "Tables", { [name]: value }, bay.open)));
}

/** Chooses what is kept of this vehicle, and else what the page shows first. What was read before the last change from here is out of date. */
async function look() {
  const before = writing;
  const kept = await before;
  const { records, ...vehicle } = await state.recall();
  if (before !== writing) return void look();
  if (kept === null && vehicle.open === bay.open && vehicle.since === bay.since) return; // Nothing is kept: what stands here is all there is.
  bay = vehicle;
  const { own } = marksOf(records, ID, ID, bay);
  for (const choice of choices()) choice.checked = choice.defaultChecked;
  for (const choice of choices()) choice.checked ||= own.get(choice.name)?.text === choice.value;
}

document.addEventListener(CLEARED, look);
document.addEventListener(PUT_BACK, look);
state.follow(look);

/** Puts the choices kept into the page that is shown, and keeps what is chosen there. */
export async function followSegments() {
  const here = choices().filter((choice) => !choice.dataset.followed);
  if (!here.length) return;
  writing = Promise.resolve();
  for (const choice of here) {
    choice.dataset.followed = "yes";
    choice.addEventListener("change", () => (writing = keep(choice)));
  }
  await look();
}
