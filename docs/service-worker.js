/**
 * Keeps one whole release of the handbook on the device: all of it, or nothing.
 *
 * The site build writes `RELEASE` above: the build, the integrity of offline.json (the list of
 * files to keep), and the security policy, which a page's own cannot bind workers to.
 */
/* global RELEASE */
/** @typedef {{build: string, size: number, files: Record<string, {size: number, integrity: string}>}} List */

const worker = /** @type {ServiceWorkerGlobalScope} */ (/** @type {unknown} */ (self));

const LIST = "offline.json";
const SCOPE = worker.registration.scope;
const PREFIX = `doorcard ${new URL(SCOPE).pathname} `;
const CACHE = PREFIX + RELEASE.build;
const AT_ONCE = 6;

const place = (/** @type {string} */ url) => new URL(url, SCOPE).href;

/** The same contents with our headers; also forgets that a host redirected the request. @param {Response} response */
function kept(response) {
  const headers = new Headers({ "Content-Security-Policy": RELEASE.policy });
  const type = response.headers.get("Content-Type");
  if (type) headers.set("Content-Type", type);
  return new Response(response.body, { headers });
}

/** What earlier releases keep: a function from an integrity to a response, if there is one. */
async function keptBefore() {
  const found = new Map();
  for (const name of (await caches.keys()).filter((name) => name.startsWith(PREFIX))) {
    const cache = await caches.open(name);
    const list = await cache.match(place(LIST));
    if (!list) continue;
    const { files } = /** @type {List} */ (await list.json());
    for (const [url, { integrity }] of Object.entries(files)) {
      found.set(integrity, () => cache.match(place(url)));
    }
  }
  return async (/** @type {string} */ integrity) => found.get(integrity)?.();
}

/** @param {object} message */
async function tellPages(message) {
  const pages = await worker.clients.matchAll({ type: "window", includeUncontrolled: true });
  for (const page of pages) page.postMessage(message);
}

async function keepAll() {
  const before = await keptBefore();
  const cache = await caches.open(CACHE);
  const listed = await fetch(place(LIST), { integrity: RELEASE.list, cache: "no-cache" });
  /** @type {List} */
  const list = await listed.clone().json();
  const waiting = Object.entries(list.files);
  let loaded = 0;
  const lane = async () => {
    for (let next = waiting.shift(); next; next = waiting.shift()) {
      const [url, { integrity, size }] = next;
      const response =
        (await before(integrity)) ?? (await fetch(place(url), { integrity, cache: "no-cache" }));
      await cache.put(place(url), kept(response));
      loaded += size;
      tellPages({ kind: "keeping", build: list.build, loaded, total: list.size });
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, lane));
  await cache.put(place(LIST), kept(listed)); // Last: a cache with its list is a whole one.
}

async function install() {
  try {
    await keepAll();
  } catch (error) {
    await caches.delete(CACHE);
    throw error;
  }
}

async function activate() {
  for (const name of await caches.keys()) {
    if (name.startsWith(PREFIX) && name !== CACHE) await caches.delete(name);
  }
  await worker.clients.claim();
}

/** @param {Request} request */
async function answer(request) {
  const cache = await caches.open(CACHE);
  const { origin, pathname, search } = new URL(request.url);
  const address = origin + pathname.replace(/\/index\.html$/, "/");
  const found = await cache.match(address);
  if (found) return found;
  if (request.mode !== "navigate") return fetch(request);
  if (await cache.match(`${address}/`)) return Response.redirect(`${address}/${search}`);
  const response = await fetch(request).catch(() => null);
  return response && response.status !== 404 ? response : Response.redirect(place("404.html"));
}

worker.addEventListener("install", (event) => event.waitUntil(install()));
worker.addEventListener("activate", (event) => event.waitUntil(activate()));
worker.addEventListener("message", ({ data }) => {
  if (data === "use the newer version") worker.skipWaiting(); // The reader has agreed.
});
worker.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method === "GET" && url.startsWith(SCOPE)) event.respondWith(answer(event.request));
});
