/**
 * Keeps a whole release of the handbook on the device, once the reader has asked for it.
 *
 * Files lie in one cache by what is in them, so a newer release costs what has changed; text lies there packed, in
 * a quarter of the room. A cache for each release holds its list alone, and only when every file of it is there: a
 * list that stands is a promise, checked again whenever a page starts. A file is held against its sum when it is
 * served: one that is damaged goes, and is fetched anew.
 *
 * The site build writes `RELEASE` above: the build, the integrity of offline.json (the list of
 * files to keep), and the security policy, which a page's own cannot bind workers to.
 */
/* global RELEASE */
/** @typedef {{size: number, packed?: number, integrity: string}} Line Bytes to fetch, and on the device if it is packed. */
/** @typedef {{build: string, size: number, kept: number, files: Record<string, Line>}} List */

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

const SCOPE = worker.registration.scope;
const PREFIX = `doorcard ${new URL(SCOPE).pathname} `;
const FILES = `${PREFIX}files`;
const OWN = PREFIX + RELEASE.build;
const AT_ONCE = 6;
const PACKED = "Doorcard-Packed";
const SUM = "Doorcard-Sum"; // The SHA-256 of what lies on the device, packed or not.
const LATER = [408, 429]; // What a host answers that would give the file another time.

/** @param {string} address Relative to the home page. */
const place = (address) => new URL(address, SCOPE).href;
const LIST = place("offline.json");
const MISSING_PAGE = place("404.html");

/** Where the file of these contents is kept. @param {string} integrity */
const key = (integrity) => place(`kept/${encodeURIComponent(integrity)}`);

/** Why the handbook could not be kept, in a word that the page turns into a sentence. */
class NotKept extends Error {
  /**
   * @param {"room" | "differs" | "absent" | "stopped"} why
   * @param {object} [more] What the sentence needs.
   */
  constructor(why, more = {}) {
    super(why);
    this.told = { why, ...more };
  }
}

/** The reader has stopped what is being fetched. */
let stopped = false;

/** The lists that stand, read once for each life of this worker. @type {Promise<Map<string, List>> | undefined} */
let lists;

/** @param {object} message */
async function tellPages(message) {
  const pages = await worker.clients.matchAll({ type: "window", includeUncontrolled: true });
  for (const page of pages) page.postMessage(message);
}

/** The lists that stand, by the names of their caches. @returns {Promise<Map<string, List>>} */
async function listsKept() {
  const lists = new Map();
  for (const name of await caches.keys()) {
    if (!name.startsWith(PREFIX) || name === FILES) continue;
    const list = await (await caches.open(name)).match(LIST);
    if (list) lists.set(name, await list.json());
  }
  return lists;
}

/**
 * What the device holds; nothing where its storage is at fault, for then the server can still answer.
 * @template Found
 * @param {Promise<Found>} asked
 */
const ifThere = (asked) => asked.catch((error) => void console.warn("What is kept here cannot be read:", error));

/** The files of a list that are not on the device. @param {List} list */
async function missing({ files }) {
  const kept = await (await caches.open(FILES)).keys();
  const there = new Set(kept.map(({ url }) => url));
  return Object.entries(files).filter(([, { integrity }]) => !there.has(key(integrity)));
}

/** @param {ArrayBuffer} bytes */
async function sumOf(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/** A file as the list says it is, without the host's headers, as it is to lie here. @param {string} address @param {Line} line */
async function fetchWhole(address, { integrity, packed }) {
  const options = /** @type {const} */ ({ cache: "no-cache" });
  try {
    const { body, headers } = await fetch(place(address), { ...options, integrity });
    const type = headers.get("Content-Type");
    const own = new Headers(type ? { "Content-Type": type } : {});
    const packs = packed && body && "CompressionStream" in worker;
    if (packs) own.set(PACKED, "gzip");
    const bytes = await new Response(packs ? body.pipeThrough(new CompressionStream("gzip")) : body).arrayBuffer();
    own.set(SUM, await sumOf(bytes));
    return new Response(bytes, { headers: own });
  } catch (error) {
    // Another file is one that comes whole without the check; a download that breaks off is none.
    const other = await fetch(place(address), options).catch(() => null);
    const refused = other && other.status >= 400 && other.status < 500 && !LATER.includes(other.status);
    if (refused) throw new NotKept("absent", { address });
    throw other?.ok && (await other.blob().catch(() => null)) ? new NotKept("differs", { address }) : error;
  }
}

/** Fails before anything is fetched that will not fit. @param {number} needed Bytes. */
async function findRoom(needed) {
  const told = await navigator.storage?.estimate?.().catch(() => undefined); // Then the store itself says it.
  const { quota = Infinity, usage = 0 } = told ?? {};
  if (quota - usage < needed) throw new NotKept("room", { needed, free: Math.max(0, quota - usage) });
}

/** Fetches what is not on the device, and tells the pages how far it is. @param {List} list */
async function fill(list) {
  const waiting = await missing(list);
  const total = waiting.reduce((sum, [, { size }]) => sum + size, 0);
  const room = waiting.reduce((sum, [, { size, packed = size }]) => sum + packed, 0);
  await findRoom(room);
  const cache = await caches.open(FILES);
  let loaded = 0;
  const lane = async () => {
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      if (stopped) throw new NotKept("stopped");
      const [address, line] = next;
      await cache.put(key(line.integrity), await fetchWhole(address, line));
      loaded += line.size;
      tellPages({ kind: "keeping", loaded, total });
    }
  };
  const guarded = () =>
    lane().catch((error) => {
      waiting.length = 0; // The other lanes end, too: after them nobody tells of progress any more.
      throw error;
    });
  const ends = await Promise.allSettled(Array.from({ length: AT_ONCE }, guarded));
  const failed = ends.find((end) => end.status === "rejected");
  if (!failed) return;
  const full = failed.reason instanceof DOMException && failed.reason.name === "QuotaExceededError";
  throw full ? new NotKept("room", { needed: room, free: 0 }) : failed.reason;
}

/** Lets go of what no list names, as long as that may go on. @param {() => boolean} [mayGoOn] */
async function sweep(mayGoOn = () => true) {
  const lists = [...(await listsKept()).values()];
  const named = new Set(lists.flatMap(({ files }) => Object.values(files).map(({ integrity }) => key(integrity))));
  if (!mayGoOn()) return;
  if (!named.size) return void (await caches.delete(FILES));
  const cache = await caches.open(FILES);
  for (const request of await cache.keys()) if (mayGoOn() && !named.has(request.url)) await cache.delete(request);
}

/** The list of this release, from the device or from the server. */
async function ownList() {
  const own = await (await caches.open(OWN)).match(LIST);
  return own ?? fetch(LIST, { integrity: RELEASE.list, cache: "no-cache" });
}

/** Keeps every file of this release, then its list. @returns {Promise<List>} */
async function keepAll() {
  const listed = await ownList();
  /** @type {List} */
  const list = await listed.clone().json();
  await fill(list);
  await fill(list); // What another version's sweep has taken meanwhile; mostly nothing.
  await (await caches.open(OWN)).put(LIST, listed);
  return list;
}

/** Whether the browser's storage failed, and not the network. @param {unknown} error */
const ofStorage = (error) => error instanceof DOMException && !["NetworkError", "AbortError"].includes(error.name);

/** @param {unknown} error */
const why = (error) => (error instanceof NotKept ? error.told : { why: ofStorage(error) ? "storage" : "network" });

async function install() {
  try {
    await keepAll();
  } catch (error) {
    await caches.delete(OWN);
    // What has come stays for the next try only where the network broke off.
    if (error instanceof NotKept) await sweep();
    await tellPages({ kind: "not kept", ...why(error) });
    throw error;
  }
}

/** Nobody fetches a newer version just now, whose list is written last. */
const atRest = () => !worker.registration.installing;

/** Lets go of earlier releases, unless a second page is open, which may be of one; says whether there were any. */
async function letGo() {
  const pages = await worker.clients.matchAll({ type: "window", includeUncontrolled: true });
  let earlier = false;
  if (pages.length > 1) return earlier;
  for (const name of await caches.keys()) {
    const mayGo = atRest() && !worker.registration.waiting;
    if (mayGo && name.startsWith(PREFIX) && name !== FILES && name !== OWN) earlier = (await caches.delete(name)) || earlier;
  }
  return earlier;
}

async function activate() {
  await sweep(atRest);
  await worker.clients.claim();
}

/** Looks whether every file is there, and fetches those that are not; gives the files once they are. */
async function check() {
  stopped = false;
  try {
    const { kept, files } = await keepAll();
    lists = listsKept();
    await lists; // What is there and cannot be read is of no use.
    await tellPages({ kind: "whole", kept });
    return files;
  } catch (error) {
    const list = (await ifThere(listsKept()))?.get(OWN);
    const gone = list && (await ifThere(missing(list)));
    await tellPages({ kind: "not whole", missing: gone?.length ?? 0, ...why(error) });
    return undefined;
  }
}

/** A check under way is one for all tabs. @type {ReturnType<typeof check> | undefined} */
let checking;

const look = () => (checking ??= check().finally(() => (checking = undefined)));

/**
 * Looks for a page, and lets go of earlier releases once that page is of this one and no other is open.
 * @param {string} [script] Where the script lies that the page runs; a page of an earlier release may not say so.
 */
async function lookFor(script = "") {
  const files = await look();
  const own = files && script.slice(SCOPE.length) in files;
  // Otherwise what no list names may be the part of a newer version that came before the network broke off.
  if (own && (await letGo())) await sweep(atRest);
}

/** What a reader without a network sees in place of a page that is not on the device. */
function missedPage() {
  const words = `<!doctype html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width,initial-scale=1">
<title>Not on this device</title></head>
<body><h1>This page is not on this device</h1>
<p>There is no network, and this address is not among the pages kept here, or what was kept of it is damaged.
Connect once, then load this page again.</p>
<p><a href="">Load this page again</a></p><p><a href="${SCOPE}">Go to the start</a></p></body></html>`;
  return new Response(words, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8" } });
}

/** The integrity of what an address stands for: of this release, or of a page's that is still open. @param {string} address */
async function integrityOf(address) {
  lists ??= listsKept();
  lists.catch(() => (lists = undefined)); // A fault of the browser's storage may be over at the next look.
  const known = await lists;
  const own = known.get(OWN)?.files[address];
  if (own || !address.startsWith("assets/")) return own?.integrity;
  for (const { files } of known.values()) if (files[address]) return files[address].integrity;
  return undefined;
}

/** What cannot be read is damaged; where memory is short it is not. @param {unknown} error */
function noneIfDamaged(error) {
  if (error instanceof TypeError) return undefined;
  throw error;
}

/** What is kept under an address and whole, with our headers. @param {string} address Relative to the home page. */
async function keptAt(address) {
  const integrity = await integrityOf(address);
  const cache = await caches.open(FILES);
  const found = integrity && (await cache.match(key(integrity)));
  if (!found) return undefined;
  const headers = new Headers({ "Content-Security-Policy": RELEASE.policy });
  const type = found.headers.get("Content-Type");
  if (type) headers.set("Content-Type", type);
  const bytes = await found.arrayBuffer().catch(noneIfDamaged);
  const sum = found.headers.get(SUM); // What an earlier release kept may have none.
  if (bytes && (!sum || sum === (await sumOf(bytes)))) {
    const { body } = new Response(bytes);
    // A new response forgets, too, that a host redirected the request.
    return new Response(found.headers.has(PACKED) ? body?.pipeThrough(new DecompressionStream("gzip")) : bytes, { headers });
  }
  await cache.delete(key(integrity));
  look();
  return undefined;
}

/** @param {Request} request */
async function answer(request) {
  const { origin, pathname, search } = new URL(request.url);
  const asked = origin + pathname.replace(/\/index\.html$/, "/");
  const address = asked.slice(SCOPE.length) || "./";
  const found = await ifThere(keptAt(address));
  if (found) return found;
  if (request.mode !== "navigate") return fetch(request);
  if (await ifThere(integrityOf(`${address}/`))) return Response.redirect(`${asked}/${search}`);
  const response = await fetch(request).catch(() => missedPage());
  return response.status === 404 && asked !== MISSING_PAGE ? Response.redirect(MISSING_PAGE) : response;
}

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("message", (event) => {
  if (event.data === "use the newer version") worker.skipWaiting(); // The reader has agreed.
  else if (event.data === "stop") stopped = true;
  else if (event.data === "check" || event.data.check) event.waitUntil(lookFor(event.data.check));
});
worker.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method !== "GET" || !url.startsWith(SCOPE)) return;
  const answered = answer(event.request);
  event.respondWith(answered);
  event.waitUntil(answered.then(() => checking)); // What was found damaged is fetched anew.
});
