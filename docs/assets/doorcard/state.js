/**
 * What stays on this device: the one writer of IndexedDB.
 *
 * A record holds what was typed into one form, as text: of each input, what it means and when it was
 * typed. Tabs write one after another, and each tells the others. What is read back is text of unknown
 * origin: the form takes it field by field, and Python reads it as it reads typing. Nothing leaves the
 * device.
 *
 * What the device refuses waits in this tab until it keeps again, and is then made on what is there. Until then `recall`
 * gives it as if it were kept: no page has a queue of its own.
 *
 * @typedef {object} Value An input that is no longer the example's.
 * @property {string} name
 * @property {string} label
 * @property {string} means What it stands for; nothing for what stays with its form.
 * @property {string} unit The unit of its field, where none could be chosen.
 * @property {number} at When it was typed, in milliseconds since 1970.
 * @property {string} [job] The id of the job that was open then; nothing where none was.
 *
 * @typedef {object} Typed
 * @property {string} id The form: page and place on it.
 * @property {string} calculator The calculator that the form asks.
 * @property {string} title What the form is called.
 * @property {number} at When it was written.
 * @property {Record<string, string>} fields Text by field name.
 * @property {Value[]} values
 * @property {string} [job] The id of the job whose it is: it outlasts the vehicle as long as that job is there.
 *
 * Jobs stand beside what is typed: see `jobs.js`.
 *
 * @typedef {(record: Typed | null) => Typed | null} Change Of a record as it stands: null, where there is none, or none is to be.
 *
 * @typedef {{id: "vehicle", since: number}} Vehicle When the vehicle in the bay came: what was typed
 *   before is of another one.
 */

import { VEHICLE, isAhead, isText, isTyped, isVehicle, membersOf, recordUntilNow } from "./records.js";

const SITE = new URL("../../", import.meta.url).pathname;
const NAME = `doorcard ${SITE}`;
const STORE = "typed";

/** How the id of a job begins: a job outlasts the vehicle in the bay. */
export const JOB = "job:";
/** Id of the record that names the open job. */
const OPEN = "open";

/**
 * The open job and that of the vehicle in the bay, where the device would not keep the change; and when the vehicle came.
 * Refused: what the device holds in its place; nothing where only this tab is to know.
 * @type {{job: string, vehicle: string, since: number, refused?: string} | null}
 */
let openHere = null;

/** The titles of the jobs that the device would not keep, by id. @type {Map<string, string>} */
export const titlesHere = new Map();

/** In place of a calculator's name: what somebody has learnt, which no vehicle takes along. */
export const STUDY = "study";

/** Told that the device keeps nothing, and that it keeps again. @type {Set<(trouble: boolean) => void>} */
const troubled = new Set();
let trouble = false;
const PATIENCE = 3000; // Milliseconds; a browser's store may neither open nor fail.

/** Whether the device keeps nothing, as far as was tried. */
export const keepsNothing = () => trouble;

/** @param {boolean} now */
function tellTrouble(now) {
  if (trouble === now) return;
  trouble = now;
  troubled.forEach((tell) => tell(now));
}

/**
 * What is not on the device yet, in its order: it is writing it, or has refused it.
 * @type {{id: string, change: Change, refused: boolean}[]}
 */
let waiting = [];
let trying = false; // What was refused is being written just now.

/** What waits for a record. @param {string} id */
const waitingFor = (id) => waiting.filter((one) => one.id === id);

/** Whether the device has refused a change of a record, and has not kept it since. @param {string} id */
export const isRefused = (id) => waitingFor(id).some(({ refused }) => refused);

/** A record as it is once what waits for it is made. @param {string} id @param {Typed | null} record */
const withWaiting = (id, record) => waitingFor(id).reduce((made, { change }) => change(made), record);

/** All that was typed, with what waits. @param {unknown[]} kept @returns {Typed[]} */
function typedIn(kept) {
  const typed = new Map(kept.filter(isTyped).map((record) => [record.id, record]));
  const ids = [...typed.keys(), ...waiting.map(({ id }) => id)];
  return [...new Set(ids)].flatMap((id) => withWaiting(id, typed.get(id) ?? null) ?? []);
}

/** Writes what was refused, if the device has it by now: that it keeps again is told once nothing of it is left. */
export async function tryAgain() {
  if (trying) return;
  trying = true;
  let kept = true;
  for (let next = waiting.find(({ refused }) => refused); kept && next; next = waiting.find(({ refused }) => refused)) {
    kept = (await makeWaiting(next.id)) !== null;
  }
  if (kept && openHere?.refused !== undefined) kept = await openRefused(openHere, openHere.refused);
  trying = false;
  if (kept) tellTrouble(false);
}

/** Told that another tab has written. @type {Set<() => void>} */
const followers = new Set();

/** None where the browser refuses this site its stores, or has none. */
function openChannel() {
  try {
    return new BroadcastChannel(NAME);
  } catch {
    return null;
  }
}

/** There may be room by now. */
function comeBack() {
  if (openHere?.refused !== undefined || waiting.some(({ refused }) => refused)) tryAgain();
}

/** What another tab could write this one can. */
function followOther() {
  comeBack();
  followers.forEach((follower) => follower());
}

const channel = openChannel();
if (channel) channel.onmessage = followOther;

addEventListener("focus", comeBack);
document.addEventListener("visibilitychange", comeBack);

/** @type {Promise<IDBDatabase> | null} */
let database = null;

function open() {
  database ??= new Promise((settle, refuse) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
    asked.onsuccess = () => {
      asked.result.onclose = () => (database = null);
      settle(asked.result);
    };
    asked.onerror = () => refuse(asked.error);
    asked.onblocked = () => refuse(new Error("blocked"));
  });
  return database;
}

/**
 * Does something with the store, and gives what it gave; null where the device keeps nothing.
 * @template Given
 * @param {"readonly" | "readwrite"} mode
 * @param {(store: IDBObjectStore) => IDBRequest<Given> | void} action
 * @returns {Promise<Given | null | undefined>}
 */
export async function withStore(mode, action) {
  let late = false;
  const timer = setTimeout(() => tellTrouble((late = true)), PATIENCE); // It may still come: what was asked is not dropped.
  const asked = open();
  try {
    const opened = await asked;
    const given = await new Promise((settle, refuse) => {
      const work = opened.transaction(STORE, mode);
      const request = action(work.objectStore(STORE));
      work.oncomplete = () => settle(request?.result);
      work.onabort = () => refuse(work.error);
    });
    if (trouble && (late || mode === "readwrite")) tryAgain();
    return given;
  } catch (error) {
    if (database === asked) database = null; // The next one tries to open it anew.
    asked.then((opened) => opened.close(), () => {});
    console.warn("Nothing is kept on this device:", error);
    tellTrouble(true);
    return null;
  } finally {
    clearTimeout(timer);
  }
}

/**
 * Writes, and tells the other tabs what is written.
 * @template Given
 * @param {(store: IDBObjectStore) => IDBRequest<Given> | void} action
 */
async function tell(action) {
  const given = await withStore("readwrite", action);
  if (given !== null) channel?.postMessage("written");
  return given;
}

/**
 * One writer at a time, over all tabs.
 * @template Given
 * @param {(store: IDBObjectStore) => IDBRequest<Given> | void} action
 * @returns {Promise<Given | null | undefined>}
 */
export async function inTurn(action) {
  const mine = () => tell(action);
  return navigator.locks ? navigator.locks.request(NAME, mine).catch(mine) : mine(); // Refused as the stores are.
}

/**
 * Writes times in the future down as now, once: read as now at each look, they would never be past.
 * @param {IDBObjectStore} store
 * @param {boolean} [arrives] Another vehicle comes now: all that is there was before it.
 */
function setBack(store, arrives = false) {
  const asked = store.getAll();
  asked.onsuccess = () => {
    const now = Date.now();
    const since = asked.result.find(isVehicle)?.since ?? 0;
    for (const record of asked.result.filter(isTyped))
      if (isAhead(record, now)) store.put(recordUntilNow(record, arrives ? Infinity : since, now));
    if (arrives || since > now) store.put({ id: VEHICLE, since: now });
  };
}

/**
 * Everything typed that is kept, newest first, and the vehicle in the bay. Unread: the device does not even give what it
 * keeps, and the records are what it refused.
 * @returns {Promise<{records: Typed[], unread: boolean} & import("./whose.js").Bay>}
 */
export async function recall() {
  const now = Date.now();
  let unread = false;
  /** @returns {Promise<unknown[]>} */
  const readAll = async () => {
    const all = await withStore("readonly", (store) => store.getAll());
    unread = !all;
    return all ?? [];
  };
  let kept = await readAll();
  if (kept.some((record) => (isTyped(record) || isVehicle(record)) && isAhead(record, now))) {
    await withStore("readwrite", (store) => setBack(store));
    kept = await readAll();
  }
  const since = Math.max(kept.find(isVehicle)?.since ?? 0, openHere?.since ?? 0);
  const titles = titlesIn(kept);
  const named = openHere?.vehicle ?? openAmong(kept);
  const open = titles.has(named) ? named : "";
  return { records: typedIn(kept).sort((one, other) => other.at - one.at), unread, since, open, titles };
}

/** The titles of all jobs, by id. @param {unknown[]} kept @returns {Map<string, string>} */
const titlesIn = (kept) =>
  new Map([
    ...kept.map(membersOf).flatMap(({ id, title }) => (isText(id) && id.startsWith(JOB) && isText(title) ? [pair(id, title)] : [])),
    ...titlesHere,
  ]);

/** @param {string} id @param {string} title @returns {[string, string]} */
const pair = (id, title) => [id, title];

/** The id of the open job; nothing where none is. @param {unknown[]} kept What the device keeps. */
export function openAmong(kept) {
  if (openHere) return openHere.job;
  const { job } = membersOf(kept.find((record) => membersOf(record).id === OPEN));
  return isText(job) ? job : "";
}

/** The device's open job, or that none is. @param {IDBObjectStore} store @param {string} job */
function putOpen(store, job) {
  if (job) store.put({ id: OPEN, job });
  else store.delete(OPEN);
}

/**
 * Opens a job; none: closes the one that is open. That is another vehicle, but for a job that was made just now while none
 * was open: it takes on what was typed before it.
 * @param {string} id @param {boolean} made
 */
export async function openJob(id, made) {
  const { open: before, since } = await recall();
  const refused = openHere?.refused ?? before;
  const isAnother = (/** @type {string} */ former) => former !== id && (former !== "" || !made);
  const kept = await inTurn((store) => {
    const former = store.get(OPEN);
    former.onsuccess = () => {
      if (openHere || isAnother(former.result?.job ?? "")) arrived(store);
    };
    putOpen(store, id);
  });
  openHere = kept === null ? { job: id, vehicle: id, since: isAnother(before) ? Date.now() : since, refused } : null;
}

/**
 * Opens on the device what it refused to open, unless another tab has opened another job since: that one counts then.
 * @param {NonNullable<typeof openHere>} here @param {string} before What the device held. @returns {Promise<boolean>} Whether it keeps.
 */
async function openRefused(here, before) {
  const kept = await inTurn((store) => {
    const asked = store.get(OPEN);
    asked.onsuccess = () => {
      if (openHere !== here || (asked.result?.job ?? "") !== before) return;
      store.put({ id: VEHICLE, since: here.since });
      putOpen(store, here.job);
    };
  });
  if (kept === null) return false;
  if (openHere === here) openHere = null;
  followers.forEach((follower) => follower());
  return true;
}

/** Opens, in this tab alone, a job that goes on with another one's vehicle. @param {string} id @param {string} vehicle That other job. */
export const openBeside = (id, vehicle) => void (openHere = { job: id, vehicle, since: openHere?.since ?? 0 });

/** Puts a record in its place; null takes away what is there. @param {IDBObjectStore} store @param {string} id @param {Typed | null} record */
function put(store, id, record) {
  if (record) store.put(record);
  else store.delete(id);
  store.transaction.commit?.();
}

/**
 * What was written waits no longer; null: the device has refused it.
 * @template Given
 * @param {typeof waiting} made
 * @param {Given | null} given
 */
function settle(made, given) {
  if (given === null) for (const one of made) one.refused = true;
  else waiting = waiting.filter((one) => !made.includes(one));
  return given;
}

/** Makes what waits for a record, on what is there by then. @param {string} id */
async function makeWaiting(id) {
  let made = waitingFor(id);
  const given = await tell((store) => read(store, id, (record) => {
    made = waitingFor(id);
    if (made.length) put(store, id, record);
  }));
  return settle(made, given);
}

/**
 * Reads a record, with what waits for it.
 * @param {IDBObjectStore} store
 * @param {string} id
 * @param {(record: Typed | null) => void} then
 */
export function read(store, id, then) {
  const asked = store.get(id);
  asked.onsuccess = () => then(withWaiting(id, isTyped(asked.result) ? asked.result : null));
}

/**
 * A record of what is no form's.
 * @param {string} id
 * @param {string} calculator What stands in place of a calculator's name.
 * @param {string} title
 * @param {Record<string, string>} fields
 * @param {string} [job] The id of the job whose it is.
 * @returns {Typed}
 */
export const note = (id, calculator, title, fields, job = "") => ({ id, calculator, title, at: Date.now(), fields, values: [], job });

/**
 * Changes a record as it stands by then: another tab may have written it last. Null where the device refuses it, as with
 * all below: then it waits.
 * @param {string} id @param {Change} change
 */
export function change(id, change) {
  waiting.push({ id, change, refused: false });
  return makeWaiting(id);
}

/**
 * Changes a record as this tab knows it: it waits for no other tab, and is on the device even where the page is left at
 * once. Refused, it is made later on what is there by then.
 * @param {string} id @param {Typed | null} known @param {Change} change
 */
export async function changeAtOnce(id, known, change) {
  waiting.push({ id, change, refused: false });
  const made = waitingFor(id);
  return settle(made, await tell((store) => put(store, id, withWaiting(id, known))));
}

/**
 * Keeps a record; it takes the place of what waits for it.
 * @param {Typed} record @param {Change} [later] What is made of what is there, where the device refuses it now.
 */
export const keep = (record, later = () => record) => instead(record.id, record, later);

/** Takes a record away. @param {string} id @param {Change} [later] As above. */
export const forget = (id, later = () => null) => instead(id, null, later);

/**
 * Moves a record to another id at one stroke: refused, it stays where it is. It takes the place of what waits for either.
 * @param {string} from @param {Typed} record @param {Change} arrives @param {Change} leaves What is made of what is there
 *   and here, where the device refuses it now.
 */
export async function move(from, record, arrives, leaves) {
  waiting = waiting.filter(({ id }) => id !== record.id && id !== from);
  const made = [{ id: record.id, change: arrives, refused: false }, { id: from, change: leaves, refused: false }];
  waiting.push(...made); // It arrives before it leaves.
  return settle(made, await tell((store) => {
    store.delete(from);
    put(store, record.id, record);
  }));
}

/** @param {string} id @param {Typed | null} record @param {Change} later */
function instead(id, record, later) {
  waiting = waiting.filter((one) => one.id !== id);
  return changeAtOnce(id, record, later);
}

/** Whether a record outlasts the vehicle: a job, what is of one, what was learnt. @param {unknown} record @param {Map<string, string>} titles */
export function lasts(record, titles) {
  const { id, calculator, job } = membersOf(record);
  if (id === OPEN) return false;
  return calculator === STUDY || (isText(id) && id.startsWith(JOB)) || (isText(job) && titles.has(job));
}

/**
 * Forgets everything typed that is of no job, and closes the job: the next vehicle is here.
 * @returns {Promise<unknown[] | null>} What was kept, for `putBack`; null where the device keeps nothing.
 */
export async function nextVehicle() {
  const { records, titles, open } = await recall();
  const lasting = records.filter((record) => lasts(record, titles)).map(({ id }) => id);
  /** @type {unknown[]} */
  let before = [];
  const made = [...waiting];
  const kept = await inTurn((store) => {
    const all = store.getAll();
    all.addEventListener("success", () => {
      before = [...all.result.filter((record) => !isTyped(record)), ...typedIn(all.result)];
      const there = titlesIn(all.result);
      for (const record of before) if (lasts(record, there)) store.put(record);
    });
    store.clear();
    arrived(store);
    return all;
  });
  if (kept) settle(made, kept);
  else waiting = waiting.filter(({ id }) => lasting.includes(id));
  openHere = kept ? null : { job: "", vehicle: "", since: Date.now(), refused: openHere?.refused ?? open };
  return kept ? before : null;
}

/** Another vehicle is in the bay: what was typed until now is of the one before. @param {IDBObjectStore} store */
const arrived = (store) => setBack(store, true);

/** Puts back what was kept, but for what something newer was typed over. @param {unknown[]} kept */
export const putBack = (kept) =>
  inTurn((store) => {
    const ofJob = kept.some((record) => membersOf(record).id === OPEN);
    if (ofJob) store.put({ id: VEHICLE, since: Date.now() }); // What was typed since is not that job's.
    else if (!kept.some(isVehicle)) store.delete(VEHICLE);
    for (const record of kept) {
      if (isVehicle(record) && !ofJob) store.put(record);
      if (membersOf(record).id === OPEN) putIfNone(store, record);
      if (!isTyped(record)) continue;
      const asked = store.get(record.id);
      asked.onsuccess = () => {
        if (!(asked.result?.at > record.at)) store.put(record);
      };
    }
  });

/** @param {IDBObjectStore} store @param {unknown} record The open job, unless another was opened since. */
function putIfNone(store, record) {
  const asked = store.get(OPEN);
  asked.onsuccess = () => {
    if (!asked.result) store.put(record);
  };
}

/** @param {() => void} follower Told of every change by another tab; gives what ends it. */
export function follow(follower) {
  followers.add(follower);
  return () => followers.delete(follower);
}

/** @param {(trouble: boolean) => void} tell Told if the device keeps nothing, and if it keeps again; gives what ends it. */
export function ifNothingIsKept(tell) {
  if (trouble) tell(true);
  troubled.add(tell);
  return () => troubled.delete(tell);
}
