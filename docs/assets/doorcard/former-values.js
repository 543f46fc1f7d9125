/** What stands in a form from before the vehicle changed: told on whatever leaves the form, and asked about before it goes into a job. */

import { span } from "./clock.js";
import { isFormer } from "./whose.js";

/** @typedef {import("./yours.js").Yours} Yours */

/** In words; nothing if nothing does. @param {Yours | undefined} yours */
export function saidFormer(yours) {
  const former = yours?.values().filter((value) => isFormer(value, yours.bay)) ?? [];
  return former.length ? `Before the vehicle changed, from ${span(former)}: ${yours?.listOf(former)}.` : "";
}

/** The reader says that it is so on this vehicle, too. @param {Yours} yours */
export function keepFormer(yours) {
  for (const value of yours.values()) {
    const known = yours.times.get(value.name);
    if (known && isFormer(value, yours.bay)) Object.assign(known, yours.now());
  }
  yours.write();
}
