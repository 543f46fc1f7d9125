/** What was chosen above tables stays chosen: on every page, until the next vehicle. */

import { parts } from "./parts.js";
import * as state from "./state.js";

const ID = "segments"; // In place of a form's name and of a calculator's: no form asks for it.

/** The choices of the page. */
const choices = () => parts(document, ".dc-segments input", HTMLInputElement);

/** Keeps one choice beside those of other pages. @param {HTMLInputElement} chosen */
async function keep({ name, value }) {
  const kept = (await state.recall()).records.find(({ id }) => id === ID);
  const fields = { ...kept?.fields, [name]: value };
  await state.keep({ id: ID, calculator: ID, title: "Tables", at: Date.now(), fields, values: [] });
}

/** Puts the choices kept into the page that is shown, and keeps what is chosen there. */
export async function followSegments() {
  const here = choices().filter((choice) => !choice.dataset.followed);
  if (!here.length) return;
  for (const choice of here) {
    choice.dataset.followed = "yes";
    choice.addEventListener("change", () => keep(choice));
  }
  const kept = (await state.recall()).records.find(({ id }) => id === ID);
  for (const choice of here) choice.checked ||= kept?.fields[choice.name] === choice.value;
}
