/**
 * “Next vehicle”: what is typed goes from every page, and there is a way back. Hours of measuring are asked about
 * first, and so is what the device cannot give back.
 */

import { vehicleChanged } from "./jobs.js";
import { guidedRuns } from "./guided-fields.js";
import * as state from "./state.js";
import { titleOf } from "./whose.js";

/** Told to every form of this page; a channel tells other tabs alone. */
export const CLEARED = "doorcard-cleared";
export const PUT_BACK = "doorcard-put-back";

const NO_WAY_BACK = "This browser keeps nothing: there is no way back. ";

export class NextVehicle {
  /** What a form's line says first, until something is typed. @type {import("./parts.js").Line[]} */
  lines = [];

  /** @param {() => void} flush Keeps what was typed last. @param {() => void} show Shows the form's line anew. */
  constructor(flush, show) {
    this.flush = flush;
    this.show = show;
  }

  /** @param {import("./parts.js").Line[]} lines */
  say(lines) {
    this.lines = lines;
    this.show();
  }

  /** Hours of measuring do not go by one tap, nor what has no way back. */
  async ask() {
    this.flush();
    const { records, ...bay } = await state.recall();
    const goes = records.filter((record) => !state.lasts(record, bay.titles)); // What is of a job stays with it.
    const runs = guidedRuns(goes);
    const nothingKept = state.keepsNothing();
    const stays = nothingKept && bay.open ? `What was typed for ${titleOf(bay.open, bay)} comes back with that job, as long as this tab stands open. ` : "";
    if (!runs && !(nothingKept && (goes.length || !bay.open))) return this.go(stays);
    const typed = `the values typed in this tab${bay.open ? " for no job" : ""}`;
    const words = `The next vehicle throws away ${runs ? `${runs} run${runs > 1 ? "s" : ""} of the guided tune` : typed}. ${nothingKept ? NO_WAY_BACK : ""}`;
    this.say([[words + stays, ["Throw them away", () => this.go(stays)], ["Keep them", () => this.say([])]]]);
  }

  /** @param {string} stays What is to be said of what stays in this tab alone. */
  async go(stays) {
    this.flush();
    const kept = await state.nextVehicle();
    document.dispatchEvent(new Event(CLEARED));
    if (kept) this.say([["The example is back on every page. ", ["Undo", () => this.undo(kept)]]]);
    else this.say([[`The example is back on this page. ${stays}`]]);
    vehicleChanged(); // A job that was open is closed, and each form's line shown anew.
  }

  /** @param {unknown[]} kept */
  async undo(kept) {
    this.lines = [];
    await state.putBack(kept);
    document.dispatchEvent(new Event(PUT_BACK));
    vehicleChanged();
  }
}
