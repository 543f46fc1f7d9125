/** That the device keeps nothing, said over the first form of a page alone: once is enough. */

import { paragraph } from "./parts.js";
import * as state from "./state.js";

const NOT_KEPT = "This browser keeps nothing for this page: what you type goes when the page does.";

/** Whether a form of this page says it. */
let isSaid = false;

/** Says it in a form, under its line, until the device keeps again; gives what ends it. @param {HTMLElement} form @param {HTMLElement} line */
export function sayIfNotKept(form, line) {
  const said = Object.assign(paragraph(NOT_KEPT), { className: "dc-not-kept" });
  const end = state.ifNothingIsKept((trouble) => {
    if (!trouble) said.remove();
    else if (!isSaid) line.after(said);
    isSaid = trouble;
  });
  return () => {
    end();
    if (said.parentElement) isSaid = false; // The next page says it anew.
    said.remove();
  };
}
