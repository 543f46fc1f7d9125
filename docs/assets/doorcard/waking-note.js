/**
 * A start of the calculators that ends the whole tab as it is woken can tell nobody: the tab's own store does.
 *
 * It outlasts the tab's process, and no other tab sees it.
 */

import { dropStart } from "./kept-start.js";

const NOTE = "doorcard-waking";
const RELEASE = import.meta.url;

let noted = false;

/** Notes for this tab that a start is being woken, or no more: one that ends the whole tab leaves the note. @param {boolean} now */
export function noteWaking(now) {
  if (noted === now) return;
  noted = now;
  try {
    if (now) sessionStorage.setItem(NOTE, RELEASE);
    else sessionStorage.removeItem(NOTE);
  } catch {} // Where nothing can be noted down, nothing is kept.
}

/** Whether this tab ended as a start was being woken, which is laid to the start. */
export function endedWaking() {
  try {
    if (sessionStorage.getItem(NOTE) !== RELEASE) return false;
    sessionStorage.removeItem(NOTE);
  } catch {
    return false;
  }
  dropStart().catch(() => {});
  return true;
}
