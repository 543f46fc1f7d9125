/** What a reader is told where something that an answer needs has not come. */

import { NotFetched } from "./boot.js";
import { faultOfFile } from "./messages.js";

const NOT_FETCHED = "This calculator could not be fetched: no network, or a slow one.";
const NOT_LOADED =
  "This calculator has come, but cannot be loaded: its file was altered on the way, or there is too little memory. Close other tabs, and load the page anew.";

/** @param {unknown} error @returns {import("./messages.js").Reply} */
export function whyNotBrought(error) {
  const fault = faultOfFile(String(error));
  if (!(error instanceof NotFetched)) return { stopped: fault ?? NOT_LOADED, failure: String(error) };
  return { stopped: fault ?? NOT_FETCHED };
}
