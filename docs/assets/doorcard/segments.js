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

/** Keeps one choice beside those of other pages. @param {HTMLInputElement} chosen */
async function keep({ name, value }) {
  const early = bay === NOBODY; // A tap may come before the first look.
  if (early) bay = await state.recall();
  const noted = state.note(ownId(ID, bay), ID, "Tables", { [name]: value }, bay.open);
  state.change(noted.id, (record) => withMarks(record, noted));
  if (early) look();
}

/** Chooses what is kept of this vehicle, and else what the page shows first. */
async function look() {
  const { records, unread, ...vehicle } = await state.recall();
  if (unread) return; // What stands here is all there is.
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
  for (const choice of here) {
    choice.dataset.followed = "yes";
    choice.addEventListener("change", () => keep(choice));
  }
  await look();
}
