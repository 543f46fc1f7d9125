/**
 * What stands in a form from before the vehicle changed, or so long that it may have: told on whatever leaves the form, and
 * asked about before it goes into a job.
 */

import { span } from "./clock.js";
import { isDoubtful, isFormer } from "./whose.js";

/** @typedef {import("./yours.js").Yours} Yours */

/** In words; nothing if nothing does. @param {Yours | undefined} yours */
export function saidFormer(yours) {
  if (!yours) return "";
  const doubtful = yours.values().filter((value) => isDoubtful(value, yours.bay));
  const former = doubtful.filter((value) => isFormer(value, yours.bay));
  const old = doubtful.filter((value) => !former.includes(value));
  const groups = /** @type {const} */ ([["Before the vehicle changed", former], ["Half a day ago or more", old]]);
  return groups.filter(([, some]) => some.length).map(([when, some]) => `${when}, from ${span(some)}: ${yours.listOf(some)}.`).join(" ");
}

/** The reader says that it is so on this vehicle, too. @param {Yours} yours */
export function keepFormer(yours) {
  for (const value of yours.values()) {
    const known = yours.times.get(value.name);
    if (known && isDoubtful(value, yours.bay)) Object.assign(known, yours.now());
  }
  yours.write();
}
