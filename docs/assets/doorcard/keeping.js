/**
 * Keeps the handbook on the device: registers the service worker and knows how far it is.
 *
 * One state for all pages of the tab; the elements that show it come and go with the pages.
 */

const SITE = new URL("../../", import.meta.url);
const SERVICE_WORKER = new URL("service-worker.js", SITE);
const LIST = new URL("offline.json", SITE);
const LONGEST_WAIT = 30_000; // Milliseconds for the first answer, before the download starts anyway.

/**
 * @typedef {object} State
 * @property {"unable" | "offered" | "keeping" | "broken" | "kept"} phase
 * @property {boolean} newer A newer version is on the device too, and waits to be used.
 * @property {number} loaded Bytes kept so far.
 * @property {number} total Bytes of the whole handbook; 0 while that is not known.
 */

/** @type {State} */
let state = { phase: "offered", newer: false, loaded: 0, total: 0 };
/** @type {Set<(state: State) => void>} */
const listeners = new Set();
/** @type {ServiceWorkerRegistration | undefined} */
let registration;
/** @type {Promise<void> | undefined} */
let registering;

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

/**
 * Starts to keep the handbook; a second call changes nothing unless the first one failed.
 *
 * The page calls this when its calculator has answered, so that the answer comes first.
 */
export function keepHandbook() {
  registering ??= register().catch((error) => {
    console.warn(`The handbook was not kept: ${error}`);
    registering = undefined;
    if (state.phase !== "kept") set({ phase: "broken" });
  });
  return registering;
}

async function register() {
  if (state.phase === "unable") return;
  if (state.phase !== "kept") set({ phase: "keeping", loaded: 0 });
  const options = { scope: SITE.pathname, updateViaCache: /** @type {const} */ ("none") };
  take(await navigator.serviceWorker.register(SERVICE_WORKER, options));
}

/** Asks the browser not to clear away what is kept; some ask the reader. */
export function askToStay() {
  navigator.storage?.persist?.();
}

/** Puts the newer version to use: all tabs of the handbook load it. */
export function useNewer() {
  registration?.waiting?.postMessage("use the newer version");
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
    if (worker.state === "redundant" && !registration?.active) {
      registering = undefined;
      set({ phase: "broken" });
    } else show();
  });
}

function show() {
  if (!registration?.active) return;
  set({ phase: "kept", newer: Boolean(registration.waiting), loaded: state.total });
}

/** The size is said before anything is fetched. */
async function findSize() {
  const response = await fetch(LIST).catch(() => null);
  if (response?.ok) set({ total: (await response.json()).size });
}

/** Another page of the handbook may have asked for the newer version; then this one follows. */
function reloadWithNewer() {
  let controlled = Boolean(navigator.serviceWorker.controller);
  navigator.serviceWorker.addEventListener("controllerchange", () => {
    if (controlled) location.reload();
    controlled = true;
  });
}

/** @param {MessageEvent} event */
function hear({ data }) {
  if (data?.kind !== "keeping" || state.phase !== "keeping") return;
  set({ loaded: data.loaded, total: data.total });
}

/** Waits until the page has what it needs itself; a page with a calculator says so. */
function keepWhenQuiet() {
  const calculators = document.querySelector("doorcard-calculator");
  setTimeout(keepHandbook, calculators ? LONGEST_WAIT : 1000);
}

async function start() {
  if (!navigator.serviceWorker) return set({ phase: "unable" });
  reloadWithNewer();
  navigator.serviceWorker.addEventListener("message", hear);
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) registration?.update().catch(() => {}); // Without a network: later.
  });
  const found = await navigator.serviceWorker.getRegistration(SITE);
  if (found?.scope === SITE.href) take(found);
  findSize();
  if (document.readyState === "complete") keepWhenQuiet();
  else addEventListener("load", keepWhenQuiet, { once: true });
}

start();
