/**
 * What was typed into the fields of a job and not put into it yet, by job. Two tabs may type for one job: neither
 * takes away what only the other knows.
 */

import * as state from "./state.js";

/** @typedef {Record<string, string>} Fields Text by field name. */

/** In place of a calculator's name. */
const UNSENT = "unsent";

/** What is kept, as this tab read or wrote it last: so a key is on the device even where the page is left at once. @type {Map<string, import("./state.js").Typed | null>} */
const kept = new Map();

/** Under what it is kept. @param {string} id The job's. */
export const unsentOf = (id) => `${id} ${UNSENT}`;

/** What was typed for a job and not put into it. @param {string} id @returns {Promise<Fields>} */
export async function unsentFor(id) {
  const { records } = await state.recall();
  const there = records.find((record) => record.id === unsentOf(id)) ?? null;
  kept.set(id, there);
  return there?.fields ?? {};
}

/**
 * Keeps what stands in a job's fields; what another tab has kept beside it stays.
 * @param {string} id The job's.
 * @param {Fields} known What this tab knew to be kept.
 * @param {Fields} now
 */
export function keepUnsent(id, known, now) {
  /** @type {import("./state.js").Change} */
  const change = (there) => {
    const others = Object.entries(there?.fields ?? {}).filter(([name]) => !(name in known));
    const fields = { ...Object.fromEntries(others), ...now };
    return Object.keys(fields).length ? state.note(unsentOf(id), UNSENT, "", fields) : null;
  };
  const there = kept.get(id) ?? null;
  kept.set(id, change(there));
  return state.changeAtOnce(unsentOf(id), there, change);
}

/**
 * What was typed for a job goes along with the one that is put beside it, in the same turn.
 * @param {IDBObjectStore} store
 * @param {string} from
 * @param {string} to
 */
export function takeAlong(store, from, to) {
  state.read(store, unsentOf(from), (record) => record && store.put({ ...record, id: unsentOf(to) }));
}

/** Forgets it, whichever tab it was typed in. @param {string} id */
export function forgetUnsent(id) {
  kept.delete(id);
  return state.forget(unsentOf(id));
}

state.follow(() => kept.forEach((_, id) => unsentFor(id)));
