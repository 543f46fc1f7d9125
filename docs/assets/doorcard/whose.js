/**
 * Whose what is kept on this device is: of the vehicle in the bay, or of another. One rule for all that is typed, ticked,
 * walked, chosen and measured.
 *
 * What was kept while a job was open is of that job's vehicle, and comes back with it. What was kept while none was open is
 * of the vehicle in the bay until that changes. All else waits for a tap.
 */

import { clock } from "./clock.js";

/**
 * @typedef {object} Bay The vehicle in the bay.
 * @property {number} since When it came.
 * @property {string} open The id of the open job; nothing where none is.
 * @property {Map<string, string>} titles Of all jobs on this device, by id.
 *
 * @typedef {object} Kept
 * @property {number} at When it was kept, in milliseconds since 1970.
 * @property {string} [job] The id of the job that was open then; nothing where none was.
 */

const OLD = 12 * 60 * 60 * 1000; // Milliseconds: by then another vehicle may stand in the bay, though nobody has said so.

/** Before anything was looked at. @type {Bay} */
export const NOBODY = Object.freeze({ since: 0, open: "", titles: new Map() });

/** Whether it is of another vehicle. @param {Kept} kept @param {Bay} bay */
export const isFormer = ({ at, job }, { since, open }) => (job ? job !== open : at < since);

/** Whether it may be of another vehicle: what was typed waits for a tap then. @param {Kept} kept @param {Bay} bay */
export const isDoubtful = (kept, bay) => isFormer(kept, bay) || (!kept.job && isOld(kept));

/** Whether it was kept so long ago that it may be so no longer. @param {Kept} kept */
export const isOld = ({ at }) => Date.now() - at >= OLD;

/**
 * Whether it stands by itself though it says "done": then it must be of the open job, not only of none.
 * @param {Kept} kept @param {Bay} bay
 */
export const isOwn = (kept, bay) => (kept.job ?? "") === bay.open && !isDoubtful(kept, bay);

/** When it was kept and of what vehicle, in words that go on from what it is. @param {Kept} kept @param {Bay} bay */
export function ofWhom(kept, bay) {
  const when = `of ${clock(kept.at)}`;
  if (isOwn(kept, bay)) return `${when}: it may be so no longer`;
  if (kept.job) return `${when}, of ${titleOf(kept.job, bay)}`;
  if (isFormer(kept, bay)) return `${when}, of the vehicle before`;
  return bay.open ? `${when}, of no job` : `${when}: another vehicle may stand here by now`;
}

/** On which job it is, in words that go on from what it is; nothing where it is of none. @param {string} job @param {Bay} bay */
export const onWhom = (job, bay) => (job ? ` on ${titleOf(job, bay)}` : "");

/** A job in words. @param {string} job @param {Bay} bay */
export function titleOf(job, { titles }) {
  if (!job) return "no job";
  return titles.has(job) ? `“${titles.get(job)}”` : "a job that was deleted";
}

/** The id of a record that each job has for itself. @param {string} id @param {Pick<Bay, "open">} bay */
export const ownId = (id, { open }) => (open ? `${id}@${open}` : id);

/**
 * What of a kind is kept: of the vehicle in the bay, and of whom else it may be, each field with its text.
 * @param {import("./state.js").Typed[]} records
 * @param {string} kind
 * @param {string} id
 * @param {Bay} bay
 */
export function marksOf(records, kind, id, bay) {
  /** @type {Map<string, Mark>} */
  const own = new Map();
  /** @type {Map<string, Mark>} */
  const others = new Map();
  for (const place of new Set([ownId(id, bay), id])) {
    const record = records.find((one) => one.id === place && one.calculator === kind);
    for (const [name, text] of Object.entries(record?.fields ?? {})) {
      const at = record?.values.find((value) => value.name === name)?.at ?? record?.at ?? 0;
      const mark = { text, at, job: record?.job };
      if (isOwn(mark, bay)) own.set(name, mark);
      else if (!own.has(name)) others.set(name, mark);
    }
  }
  return { own, others };
}

/** @typedef {Kept & {text: string}} Mark */

/**
 * A record with what is noted now in place of what stood there; none where nothing is left.
 * @param {import("./state.js").Typed | null} record As it stands.
 * @param {import("./state.js").Typed} noted An empty text takes its field away.
 * @returns {import("./state.js").Typed | null}
 */
export function withMarks(record, noted) {
  const stood = record?.calculator === noted.calculator ? record : null;
  const kept = Object.entries(stood?.fields ?? {}).filter(([name]) => !(name in noted.fields));
  const set = Object.entries(noted.fields).filter(([, text]) => text);
  const timed = kept.map(([name]) => stood?.values.find((value) => value.name === name) ?? markAt(name, stood?.at ?? 0));
  const values = [...timed, ...set.map(([name]) => markAt(name, noted.at))];
  return values.length ? { ...noted, fields: Object.fromEntries([...kept, ...set]), values } : null;
}

/** When a field was set; it is no form's. @param {string} name @param {number} at */
const markAt = (name, at) => ({ name, label: "", means: "", unit: "", at });
