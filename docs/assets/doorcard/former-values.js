/**
 * What stands in a form from before the vehicle changed, or so long that it may have: laid aside where another job is
 * opened, told on whatever leaves the form, and asked about before it goes into a job.
 */

import { span } from "./clock.js";
import { isOfForm } from "./form-record.js";
import { isDoubtful, isFormer } from "./whose.js";

/** @typedef {import("./yours.js").Yours} Yours */

/**
 * What was typed for the vehicle before goes back to the example, where the device has it: it is offered, and comes back
 * with its job. What is kept nowhere else stays, and is told. @param {Yours} yours
 */
export function layFormerAside(yours) {
  const { form, bay, kept, times } = yours;
  const there = kept.filter((record) => isOfForm(record, form)).flatMap(({ values }) => values.map(({ name }) => name));
  const former = yours.values().filter((value) => isFormer(value, bay) && there.includes(value.name)).map(({ name }) => name);
  if (!former.length) return;
  form.fill(Object.assign({}, ...former.map((name) => yours.example.get(name))), former);
  former.forEach((name) => times.delete(name)); // Typed once more it is of this vehicle.
}

/** The example stands here, but for what is kept of the vehicle in the bay, and what the open job holds. @param {Yours} yours */
export async function beginAnew(yours) {
  await yours.look();
  if (yours.link) return;
  const held = yours.ofJob();
  const names = yours.inputs.filter((input) => !held.includes(input)).map(({ name }) => name);
  yours.form.fill(Object.assign({}, ...names.map((name) => yours.example.get(name))), names);
  yours.times.clear();
  yours.bringBack();
  yours.show();
}

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
