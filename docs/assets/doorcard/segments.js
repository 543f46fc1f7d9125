/** What was chosen above tables stays chosen: on every page, until the next vehicle. */

import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { parts } from "./parts.js";
import * as state from "./state.js";

const ID = "segments"; // In place of a form's name and of a calculator's: no form asks for it.

/** The choices of the page. */
const choices = () => parts(document, ".dc-segments input", HTMLInputElement);

/** Keeps one choice beside those of other pages. @param {HTMLInputElement} chosen */
const keep = ({ name, value }) =>
  state.change(ID, (record) => state.note(ID, ID, "Tables", { ...record?.fields, [name]: value }));

/** Chooses what is kept. */
async function look() {
  const kept = (await state.recall()).records.find(({ id }) => id === ID);
  for (const choice of choices()) choice.checked ||= kept?.fields[choice.name] === choice.value;
}

document.addEventListener(CLEARED, () => {
  for (const choice of choices()) choice.checked = choice.defaultChecked;
});
document.addEventListener(PUT_BACK, look);

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
