/** The sheet of a guided tune, where it is typed in from: to be read, printed and kept. */

import { printCard } from "./cards.js";
import { button } from "./parts.js";

const WORDS = Object.freeze({ print: "Print the sheet", keep: "Keep the sheet’s file" });

/** Where the sheet's bytes are at hand; those of the one before are let go. */
let address = "";

/**
 * @param {string} text The sheet as data.
 * @param {HTMLElement} table As the plan's answer shows it.
 * @param {boolean} shown It stands on the screen already.
 */
export function sheetShown(text, table, shown) {
  const copy = /** @type {HTMLElement} */ (table.cloneNode(true));
  copy.querySelector(".dc-copy")?.remove(); // Its press is heard by a form alone.
  const link = Object.assign(document.createElement("a"), { className: "dc-button", textContent: WORDS.keep, download: "tuning-sheet.json" });
  URL.revokeObjectURL(address);
  link.href = address = URL.createObjectURL(new Blob([text], { type: "application/json" }));
  const print = button(WORDS.print, () => printCard({ title: "The sheet", content: [copy], code: "" }));
  const ways = document.createElement("p");
  ways.append(print, " ", link);
  return shown ? [ways] : [copy, ways];
}
