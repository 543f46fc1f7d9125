/**
 * What was typed into the fields of a job and not put into it yet, by job. Two tabs may type for one job: neither
 * takes away what only the other knows. What the device would not keep is held here until it keeps again.
 */

import * as state from "./state.js";

/** @typedef {Record<string, string>} Fields Text by field name. */

/** In place of a calculator's name. */
const UNSENT = "unsent";

/** What is not on the device yet, by job: what this tab knew of the fields, and what stands in them. @type {Map<string, {known: Fields, now: Fields}>} */
const held = new Map();

/** What is kept, as this tab read or wrote it last: so a key is on the device even where the page is left at once. @type {Map<string, Fields>} */
const kept = new Map();

/** Under what it is kept. @param {string} id The job's. */
export const unsentOf = (id) => `${id} ${UNSENT}`;

/** What is kept with what is held here. @param {string} id The job's. @param {Fields} there What is kept. @returns {Fields} */
function withHeld(id, there) {
  const { known = {}, now = {} } = held.get(id) ?? {};
  return { ...Object.fromEntries(Object.entries(there).filter(([name]) => !(name in known))), ...now };
}

/** What was typed for a job and not put into it. @param {string} id @returns {Promise<Fields>} */
export async function unsentFor(id) {
  const { records } = await state.recall();
  const there = records.find((record) => record.id === unsentOf(id))?.fields ?? {};
  kept.set(id, there);
  return withHeld(id, there);
}

/**
 * Keeps what stands in a job's fields; what another tab has kept beside it stays.
 * @param {string} id The job's.
 * @param {Fields} known What this tab knew to be kept.
 * @param {Fields} now
 */
export function keepUnsent(id, known, now) {
  held.set(id, { known: { ...held.get(id)?.known, ...known }, now });
  return write(id);
}

/** @param {string} id */
async function write(id) {
  const mine = held.get(id);
  const fields = withHeld(id, kept.get(id) ?? {});
  const any = Object.keys(fields).length > 0;
  const given = await (any ? state.keep(state.note(unsentOf(id), UNSENT, "", fields)) : state.forget(unsentOf(id)));
  if (given === null) return;
  kept.set(id, fields);
  if (held.get(id) === mine) held.delete(id);
}

/**
 * What was typed for a job goes along with the one that is put beside it, in the same turn.
 * @param {IDBObjectStore} store
 * @param {string} from
 * @param {string} to
 */
export function takeAlong(store, from, to) {
  const asked = store.get(unsentOf(from));
  asked.onsuccess = () => {
    const fields = withHeld(from, asked.result?.fields ?? {});
    if (Object.keys(fields).length) store.put(state.note(unsentOf(to), UNSENT, "", fields));
  };
}

/** Forgets it, whichever tab it was typed in. @param {string} id */
export function forgetUnsent(id) {
  held.delete(id);
  kept.delete(id);
  return state.forget(unsentOf(id));
}

state.follow(() => kept.forEach((_, id) => unsentFor(id)));

state.ifNothingIsKept((trouble) => {
  if (!trouble) for (const id of held.keys()) write(id);
});
