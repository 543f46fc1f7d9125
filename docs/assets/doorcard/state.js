/**
 * What stays on this device: the one writer of IndexedDB.
 *
 * A record holds what was typed into one form, as text, and when. Tabs write one after another, and
 * each tells the others. What is read back is text of unknown origin: the form takes it field by field,
 * and Python reads it as it reads typing. Nothing leaves the device.
 *
 * @typedef {object} Typed
 * @property {string} id The form: page and place on it.
 * @property {string} calculator The calculator that the form asks.
 * @property {string} title What the form is called.
 * @property {number} at When it was typed, in milliseconds since 1970.
 * @property {Record<string, string>} fields Text by field name.
 * @property {string[]} changed Names of the inputs that are no longer the example's.
 */

const SITE = new URL("../../", import.meta.url).pathname;
const NAME = `doorcard ${SITE}`;
const STORE = "typed";

/** Told that the device keeps nothing, once. @type {Set<() => void>} */
const troubled = new Set();
let trouble = false;

/** Told that another tab has written. @type {Set<() => void>} */
const followers = new Set();

const channel = typeof BroadcastChannel === "function" ? new BroadcastChannel(NAME) : null;
if (channel) channel.onmessage = () => followers.forEach((follower) => follower());

/** @type {Promise<IDBDatabase> | null} */
let database = null;

function open() {
  database ??= new Promise((settle, refuse) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => asked.result.createObjectStore(STORE, { keyPath: "id" });
    asked.onsuccess = () => settle(asked.result);
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
async function withStore(mode, action) {
  try {
    const opened = await open();
    return await new Promise((settle, refuse) => {
      const work = opened.transaction(STORE, mode);
      const request = action(work.objectStore(STORE));
      work.oncomplete = () => settle(request?.result);
      work.onabort = () => refuse(work.error);
    });
  } catch (error) {
    console.warn("Nothing is kept on this device:", error);
    if (!trouble) troubled.forEach((tell) => tell());
    trouble = true;
    return null;
  }
}

/** One writer at a time, over all tabs. @param {(store: IDBObjectStore) => void} action */
async function write(action) {
  const work = () => withStore("readwrite", action);
  await (navigator.locks ? navigator.locks.request(NAME, work) : work());
  channel?.postMessage("written");
}

/** @param {unknown} record @returns {record is Typed} */
function isTyped(record) {
  if (typeof record !== "object" || record === null) return false;
  /** @type {{[Name in keyof Typed]?: unknown}} */
  const { id, calculator, title, at, fields, changed } = record;
  return (
    [id, calculator, title].every(isText) &&
    Number.isFinite(at) &&
    typeof fields === "object" &&
    Object.values(fields ?? { none: fields }).every(isText) &&
    Array.isArray(changed) &&
    changed.every(isText)
  );
}

/** @param {unknown} value @returns {value is string} */
const isText = (value) => typeof value === "string";

/** Everything typed that is kept, newest first. @returns {Promise<Typed[]>} */
export async function recall() {
  /** @type {unknown[]} */
  const records = (await withStore("readonly", (store) => store.getAll())) ?? [];
  return records.filter(isTyped).sort((one, other) => other.at - one.at);
}

/** @param {Typed} record */
export const keep = (record) => write((store) => store.put(record));

/** @param {string} id */
export const forget = (id) => write((store) => store.delete(id));

/** Forgets everything typed, and gives it, for `putBack`. @returns {Promise<Typed[]>} */
export async function forgetAll() {
  const all = await recall();
  await write((store) => store.clear());
  return all;
}

/** Puts records back, but for those that something newer was typed over. @param {Typed[]} records */
export const putBack = (records) =>
  write((store) => {
    for (const record of records) {
      const asked = store.get(record.id);
      asked.onsuccess = () => {
        if (!(asked.result?.at > record.at)) store.put(record);
      };
    }
  });

/** @param {() => void} follower Told of every change by another tab; gives what ends it. */
export function follow(follower) {
  followers.add(follower);
  return () => followers.delete(follower);
}

/** @param {() => void} tell Told once if the device keeps nothing; gives what ends it. */
export function ifNothingIsKept(tell) {
  if (trouble) tell();
  troubled.add(tell);
  return () => troubled.delete(tell);
}
