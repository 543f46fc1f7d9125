/**
 * The jobs on this device, and which of them is open.
 *
 * A job is the text of its file; what is changed in it is worked out by Python and put in its place at once, so a tab
 * that is killed leaves the old file or the new one. Where another tab was faster, its change stands and this one is
 * made on top of it. What the device refuses to keep lives as long as the tab does, or until the device keeps again, and
 * can be kept as a file; where another tab has changed the job meanwhile, it becomes a job of its own.
 */

import { isText, membersOf } from "./records.js";
import { follow, ifNothingIsKept, inTurn, JOB, openAmong, openBeside, openJob, titlesHere, withStore } from "./state.js";
import { takeAlong, unsentOf } from "./unsent-of-job.js";

/**
 * @typedef {object} Job
 * @property {string} id
 * @property {string} title
 * @property {number} at When it was changed, in milliseconds since 1970.
 * @property {string} file The job file.
 * @property {string} before The file before its last change; empty where there was none.
 * @property {string} did Its last change, in words.
 * @property {string} [apart] The id of the job that it was put beside: another tab has changed that one otherwise.
 * @property {string} [latest] Of a file from elsewhere that nobody has changed here: its last entry, as it says itself.
 *
 * @typedef {{file: string, title: string, latest?: string}} Changed
 */

const UNKEPT = "This browser does not keep it: keep it as a file before you close this page.";
const GONE = "It is no longer on this device: another tab deleted it, or the browser cleared it away. Keep it as a file before you close this page, or delete it here.";
const APART = "Another tab changed this job while the browser kept nothing from here: this is a job of its own now, without that change; the other is in the list.";
const SECOND = " (second tab)"; // In the list alone: the vehicle's papers keep the name of the file.
const MOST_TRIES = 5;

/**
 * What the device would not keep, and the file that it holds in its place, by id. It does not wait in `state.js` with what is
 * typed: where another tab was faster it becomes a job of its own, one that was deleted does not come back by itself, and
 * the reader is asked before the page is left.
 * @type {Map<string, {job: Job, from: string | undefined, gone: boolean}>}
 */
const unkept = new Map();

/** Jobs that are being written. @type {Set<string>} */
const swapping = new Set();

/** The id under which a job was put beside another tab's. @type {WeakMap<Job, string>} */
const besides = new WeakMap();

/** What is said of a job that two tabs have changed, by id, as long as both stand in the list. @type {Map<string, string>} */
const apart = new Map();

/** @param {Job[]} jobs */
function noteApart(jobs) {
  apart.clear();
  for (const { id, title, apart: other } of jobs) {
    if (!other || jobs.every((job) => job.id !== other)) continue;
    apart.set(id, APART);
    if (!apart.has(other)) apart.set(other, `“${title}” in the list has changes of another tab that are not in this job.`);
  }
}

/** The browser asks before it leaves a page that holds such a job. @param {Event} event */
const askFirst = (event) => event.preventDefault();

/** @param {Job} job @param {string} [from] What the device holds in its place. @param {boolean} [gone] It held it. */
function holdHere(job, from, gone = false) {
  unkept.set(job.id, { job, from, gone });
  titlesHere.set(job.id, job.title);
  addEventListener("beforeunload", askFirst);
}

/** @param {string} id */
function letGo(id) {
  unkept.delete(id);
  titlesHere.delete(id);
  if (!unkept.size) removeEventListener("beforeunload", askFirst);
}

/** Told of every change from this tab. @type {Set<() => void>} */
const watchers = new Set();

/** @param {unknown} given @returns {given is Job} */
function isJob(given) {
  const { id, title, at, file, before, did, apart = "", latest = "" } = membersOf(given);
  return isText(id) && id.startsWith(JOB) && [title, file, before, did, apart, latest].every(isText) && Number.isFinite(at);
}

/** All jobs, the one changed last first, and the open one. @returns {Promise<{jobs: Job[], open: Job | null}>} */
export async function recall() {
  /** @type {unknown[]} */
  const kept = (await withStore("readonly", (store) => store.getAll())) ?? [];
  const jobs = [...kept.filter(isJob).filter(({ id }) => !unkept.has(id)), ...[...unkept.values()].map(({ job }) => job)];
  jobs.sort((one, other) => other.at - one.at);
  noteApart(jobs);
  const named = openAmong(kept);
  return { jobs, open: jobs.find(({ id }) => id === named) ?? null };
}

/** What is to be said of how a job is kept. @param {{id: string}} job */
export function saidOf({ id }) {
  const held = unkept.get(id);
  if (held) return held.gone ? GONE : UNKEPT;
  return apart.get(id) ?? "";
}

/** @param {() => void} watcher Told of every change, by this tab or another; gives what ends it. */
export function watch(watcher) {
  watchers.add(watcher);
  const end = follow(watcher);
  return () => {
    watchers.delete(watcher);
    end();
  };
}

const tellAll = () => watchers.forEach((watcher) => watcher());

/** The reader has gone on to the next vehicle, or taken that back. */
export const vehicleChanged = tellAll;

/** Opens a job; none: closes the one that is open. @param {string} id @param {boolean} [made] Just now. */
export async function open(id, made = false) {
  await openJob(id, made);
  tellAll();
}

const newId = () => `${JOB}${Date.now()}-${Math.random()}`;

/** Keeps a new job and opens it; one with the same file is opened alone. @param {Changed} made */
export async function add({ file, title, latest }) {
  navigator.storage?.persist?.().catch(() => {}); // That the browser shall not clear it away; some ask the reader.
  const same = (await recall()).jobs.find((job) => job.file === file);
  const id = same?.id ?? newId();
  if (!same) await put({ id, title, at: Date.now(), file, before: "", did: "", latest });
  await open(id, !same);
}

/** @param {Job} job */
export async function put(job) {
  const kept = await inTurn((store) => void store.put(job));
  if (kept === null) holdHere(job);
  tellAll();
}

/**
 * Deletes a job.
 * @param {string} id
 * @returns {Promise<{gone: boolean, was: Job | null}>} What it was by then: another tab may have changed it last, or deleted it.
 */
export async function remove(id) {
  const held = unkept.get(id)?.job ?? null;
  letGo(id);
  const stood = await inTurn((store) => {
    const asked = store.get(id);
    store.delete(id);
    store.delete(unsentOf(id));
    return asked;
  });
  tellAll();
  if (stood !== null) return { gone: true, was: held ?? (isJob(stood) ? stood : null) };
  const { jobs } = await recall(); // One that this tab alone held may have an older self on the device.
  return { gone: held !== null && jobs.every((job) => job.id !== id), was: held };
}

/**
 * Changes a job as it stands on the device.
 * @param {string} id
 * @param {string} did The change in words.
 * @param {(job: Job) => Promise<Changed | null>} work None: nothing is changed.
 * @param {boolean} back Whether it can be taken back; if not, the device does not keep what it was.
 * @returns {Promise<boolean>} Whether it was changed.
 */
export async function change(id, did, work, back = true) {
  let now = id;
  for (let tries = 0; tries < MOST_TRIES; tries += 1) {
    const job = (await recall()).jobs.find((one) => one.id === now);
    const made = job && (await work(job));
    if (!made) return false;
    const title = job.apart ? secondOf(made.title) : made.title;
    if (await swap(job, { ...made, title, apart: job.apart, id: now, at: Date.now(), before: back ? job.file : "", did })) return true;
    now = besides.get(job) ?? now; // It was put beside another tab's while this was worked out.
  }
  return false;
}

/** @param {string} title */
const secondOf = (title) => (title.endsWith(SECOND) ? title : title + SECOND);

/**
 * Puts a job in the place of what it was made from, if that still stands there. What only this tab held goes beside
 * what another tab has put there since.
 * @param {Job} old
 * @param {Job} made
 */
async function swap(old, made) {
  const held = unkept.get(old.id);
  if (held && held.job !== old) return false; // This tab has changed it since.
  const from = held ? held.from : old.file;
  const beside = { ...made, id: newId(), title: secondOf(made.title), apart: old.id };
  /** @type {Job | undefined} */
  let put;
  let stands = true;
  swapping.add(old.id);
  const kept = await inTurn((store) => {
    const asked = store.get(old.id);
    asked.onsuccess = () => {
      stands = unkept.get(old.id) === held; // Else this tab has written or changed it while this one waited.
      if (!stands) return;
      const there = asked.result?.file;
      if (there === from) put = made;
      else if (held && there !== undefined) put = beside;
      if (put) store.put(put);
      if (put === beside) takeAlong(store, old.id, beside.id);
    };
  });
  swapping.delete(old.id);
  if (!stands) return false;
  if (kept === null || (held && !put)) holdHere(made, from, kept !== null);
  else if (!put) return false;
  else letGo(old.id);
  if (kept !== null && put === beside) {
    besides.set(old, beside.id);
    openBeside(beside.id, old.id); // In this tab alone: the other goes on with its own.
  }
  tellAll();
  return true;
}

ifNothingIsKept((trouble) => {
  if (trouble) return;
  for (const { job } of unkept.values()) if (!swapping.has(job.id)) swap(job, job);
});
