/**
 * Keeps the handbook on the device when the reader asks: registers the service worker and knows how far it is.
 *
 * One state for all pages of the tab; the elements that show it come and go with the pages.
 */

import { sizeOfStart } from "./kept-start.js";

const SITE = new URL("../../", import.meta.url);
const SERVICE_WORKER = new URL("service-worker.js", SITE);
const LIST = new URL("offline.json", SITE);
const SETTLED = 1000; // Milliseconds after which a network that has come back is trusted.

/**
 * @typedef {object} State
 * @property {"looking" | "unable" | "folder" | "offered" | "keeping" | "not kept" | "not whole" | "kept"} phase
 *   Kept is said only when the service worker has found every file. A copy that was opened from a folder is there
 *   already.
 * @property {"" | "ready" | "elsewhere" | "not fetched"} newer A newer version waits to be used, is used by
 *   another tab, or could not be fetched.
 * @property {string} why Why it is not kept, not whole, or not fetched: "network", "storage", "room", "absent" or "differs".
 * @property {string} address The file that is absent, or differs from its release.
 * @property {number} missing Files that are not there.
 * @property {number} loaded Bytes fetched so far.
 * @property {number} total Bytes of the whole handbook, or of what is being fetched; 0 while that is not known.
 * @property {number} kept Bytes that the whole handbook takes on the device.
 * @property {number} start Bytes that a start of the calculators takes beside it.
 * @property {number} needed Bytes for which there is no room.
 * @property {number} free Bytes that are free.
 */

/** @type {State} */
let state = {
  phase: "looking", newer: "", why: "", address: "", missing: 0, loaded: 0, total: 0, kept: 0, start: 0, needed: 0, free: 0,
};
/** @type {Set<(state: State) => void>} */
const listeners = new Set();
/** @type {ServiceWorkerRegistration | undefined} */
let registration;
/** The reader of this tab has asked for the newer version. */
let asked = false;
/** The reader has stopped what was asked for. */
let stopped = false;

/** @param {Partial<State>} change */
function set(change) {
  state = { ...state, ...change };
  for (const listener of listeners) listener(state);
}

/**
 * Calls `listener` now and at each change; returns what ends that.
 * @param {(state: State) => void} listener
 */
export function follow(listener) {
  listeners.add(listener);
  listener(state);
  return () => listeners.delete(listener);
}

/** Starts to keep the handbook, or to fetch what is missing; the reader has asked for it. */
export async function keepHandbook() {
  if (registration?.active) return look();
  navigator.storage?.persist?.(); // That the browser shall not clear away what is kept; some ask the reader.
  stopped = false;
  set({ phase: "keeping", loaded: 0 });
  const options = { scope: SITE.pathname, updateViaCache: /** @type {const} */ ("none") };
  try {
    take(await navigator.serviceWorker.register(SERVICE_WORKER, options));
    if (stopped) stopKeeping(); // There was nobody yet to hear it.
  } catch (error) {
    console.warn(`The handbook was not kept: ${error}`);
    // What came is no script: a page, of a network that wants to be signed in to.
    const differs = error instanceof DOMException && error.name === "SecurityError";
    set({ phase: "not kept", why: differs ? "differs" : "network", address: "service-worker.js" });
  }
}

/** Stops what is being fetched. */
export function stopKeeping() {
  stopped = true;
  (registration?.installing ?? registration?.active)?.postMessage("stop");
}

/** Puts the newer version to use in this tab, or fetches it once more. */
export function useNewer() {
  if (state.newer === "elsewhere") return location.reload();
  if (state.newer === "not fetched") return update();
  asked = true;
  registration?.waiting?.postMessage("use the newer version");
}

/** The sizes of the whole, and of the calculators' start that is there without being asked for, are said before anything is fetched. */
export async function findSize() {
  if (state.total) return;
  sizeOfStart().then((start) => set({ start }));
  const told = await fetch(LIST).then((reply) => (reply.ok ? reply.json() : null)).catch(() => null); // It may be a page.
  if (told && !state.total) set({ total: told.size, kept: told.kept });
}

/** Looks again for what is missing, and lets the browser look for a newer version. */
function update() {
  if (state.phase === "not whole") look();
  registration?.update().catch(() => {}); // Without a network: later.
}

/** Has the service worker look whether every file is there, and tells it whose release this page is of. */
function look() {
  registration?.active?.postMessage({ check: import.meta.url });
}

/** @param {ServiceWorkerRegistration} found */
function take(found) {
  if (registration !== found) found.addEventListener("updatefound", () => watch(found.installing));
  registration = found;
  watch(found.installing);
  show();
}

/** @param {ServiceWorker | null} worker */
function watch(worker) {
  worker?.addEventListener("statechange", () => {
    const ended = worker.state === "redundant" && !registration?.active;
    if (ended && state.phase === "keeping") set({ phase: "not kept", why: "network" }); // It could not tell.
    else show();
  });
}

function show() {
  if (registration?.waiting && registration.active) set({ newer: "ready" });
  if (state.phase !== "kept") look();
}

/** What the service worker tells. @param {MessageEvent} event */
function hear({ data }) {
  const { kind, ...told } = data ?? {};
  const first = !registration?.active;
  if (kind === "keeping" && (first || state.phase !== "kept")) set({ phase: "keeping", ...told });
  else if (kind === "whole") {
    set({ phase: "kept", ...told });
    sizeOfStart().then((start) => set({ start })); // By then the phase may be another.
  }
  else if (kind === "not whole") set({ phase: "not whole", ...told });
  else if (kind === "not kept" && first) set(told.why === "stopped" ? { phase: "offered", total: 0 } : { phase: "not kept", ...told });
  else if (kind === "not kept" && told.why !== "stopped" && !registration?.waiting) set({ newer: "not fetched", ...told });
}

/** A newer version never reloads a tab whose reader has not asked for it. */
function followController() {
  let controlled = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (controlled && asked) location.reload();
    else if (controlled) set({ newer: "elsewhere" });
    controlled = true;
  });
}

async function start() {
  if (location.protocol === "file:") return set({ phase: "folder" });
  if (!navigator.serviceWorker) return set({ phase: "unable" });
  followController();
  navigator.serviceWorker.addEventListener("message", hear);
  addEventListener("online", () => setTimeout(look, SETTLED));
  document.addEventListener("visibilitychange", () => document.hidden || update());
  try {
    const found = await navigator.serviceWorker.getRegistration(SITE);
    if (found?.scope !== SITE.href) return set({ phase: "offered" });
    take(found);
    if (!found.active) set({ phase: found.installing ? "keeping" : "offered" });
  } catch {
    set({ phase: "unable" }); // A private window may refuse to tell.
  }
}

start();
