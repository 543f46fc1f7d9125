/** What was chosen above tables stays chosen, on every page: for the vehicle in the bay, or for the job that is open. */

import { Marks } from "./marks.js";
import { parts } from "./parts.js";

const marks = new Marks("segments", () => (choices().length ? "segments" : ""), show);

/** The choices of the page. */
const choices = () => parts(document, ".dc-segments input", HTMLInputElement);

/** Chooses what is kept of this vehicle, and else what the page shows first. */
function show() {
  for (const choice of choices()) choice.checked = choice.defaultChecked;
  for (const choice of choices()) choice.checked ||= marks.own.get(choice.name)?.text === choice.value;
}

/** Puts the choices kept into the page that is shown, and keeps what is chosen there. */
export async function followSegments() {
  const here = choices().filter((choice) => !choice.dataset.followed);
  if (!here.length) return;
  for (const choice of here) {
    choice.dataset.followed = "yes";
    choice.addEventListener("change", () => marks.set({ [choice.name]: choice.value }));
  }
  await marks.look();
}
