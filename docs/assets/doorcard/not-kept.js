/** That the device keeps nothing, said over the first form of a page alone: once is enough. */

import { paragraph, parts } from "./parts.js";
import * as state from "./state.js";

const NOT_KEPT = "This browser keeps nothing for this page: what you type goes when the page does.";

/** Whether the reader knows. */
let isSaid = false;

/** Says it in a form, under its line, until the device keeps again; gives what ends it. @param {HTMLElement} form @param {HTMLElement} line */
export function sayIfNotKept(form, line) {
  return state.ifNothingIsKept((trouble) => {
    if (!trouble) parts(form, ".dc-not-kept", HTMLElement).forEach((said) => said.remove());
    else if (!isSaid) line.after(Object.assign(paragraph(NOT_KEPT), { className: "dc-not-kept" }));
    isSaid = trouble;
  });
}
