/**
 * The calculators' start, kept on this device: Python's memory as it was with a page's calculators loaded, before
 * anything was typed. The next page wakes it in place of starting Python anew.
 *
 * One cache beside the handbook's holds one entry, that of the release in use. It is used only if release, browser,
 * length and both SHA-256, of the bytes and of what is told of them, are what they were when it was made; after two
 * failures none is made any more.
 */

/**
 * @typedef {object} Layout Where NumPy's compiled modules lie; another layout cannot take the memory.
 * @property {number[]} lengths Length of the table of functions before the first and after each.
 * @property {[memory: number, table: number][]} places
 */
/**
 * @typedef {object} Entry
 * @property {string} release Of the runtime.
 * @property {string} browser
 * @property {number} failures How often a start of this release could not be woken.
 * @property {number} size Bytes on the device; 0 for an entry that only counts failures.
 * @property {boolean} packed Whether they are compressed.
 * @property {number} length Bytes of the memory.
 * @property {string} sha256 Of the bytes on the device.
 * @property {object} state
 * @property {Layout | null} layout
 * @property {string[]} parts Names of the files whose modules it holds.
 */
/** @typedef {{layout: Layout, parts: string[], state: object, length: number, memory: Uint8Array<ArrayBuffer>}} Start */
/**
 * @typedef {object} KeptStart
 * @property {Layout} layout
 * @property {object} state What Pyodide has to know of the memory.
 * @property {number} length Bytes of the memory.
 * @property {string[]} [parts] Names of the files that have come after the start, whose modules it holds.
 * @property {() => Promise<Uint8Array<ArrayBuffer>>} read Its memory in pages (`memory-pages.js`); fails if it is not what
 *   was kept.
 */

const CACHE = `doorcard-start ${new URL("../../", import.meta.url).pathname}`;
/** The folder of the scripts is named by the release: an entry is never met by another. */
const PLACE = new URL("./kept-start", import.meta.url).href;
const ABOUT = "Doorcard-Start";
const SUM = "Doorcard-Start-Sum"; // The SHA-256 of what the other header tells.
const MOST_FAILURES = 2;
// On the device, 20 MB with the handbook (a test adds up); a memory in which much was asked is not worth its room.
const MOST_BYTES = 11_500_000;
const LEAST_FREE = 500_000_000; // Bytes the browser must still offer.
const LEAST_MEMORY = 2; // GB, where the browser tells.
const LEAST_LENGTH = 20 * 1024 ** 2; // Bytes of the memory with which the interpreter begins.
const SILENCE = 3000; // Milliseconds in which the browser has to say what is kept: else Python starts without it.

/** One of which anything else is told than when it was made is let go. @returns {Promise<{entry: Entry, response: Response} | null>} */
async function standing() {
  // From a folder, and where the address is no safe one, there is no cache.
  if (!PLACE.startsWith("http") || !("caches" in self)) return null;
  const response = await caches.match(PLACE, { cacheName: CACHE });
  if (!response) return null;
  const about = response.headers.get(ABOUT) ?? "";
  if (response.headers.get(SUM) === (await sumOf(about))) return { entry: JSON.parse(about), response };
  await (await caches.open(CACHE)).delete(PLACE);
  return null;
}

/** @param {Entry} entry @param {BodyInit | null} body */
async function put(entry, body) {
  const cache = await caches.open(CACHE);
  for (const request of await cache.keys()) if (request.url !== PLACE) await cache.delete(request); // Earlier releases'.
  const about = JSON.stringify(entry);
  await cache.put(PLACE, new Response(body, { headers: { [ABOUT]: about, [SUM]: await sumOf(about) } }));
}

/** @param {string} text */
const sumOf = (text) => sha256(new TextEncoder().encode(text));

/** @param {BufferSource} bytes */
export async function sha256(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * The bytes of a kept memory, whole and undamaged.
 * @param {Entry} entry
 * @param {Response} response
 * @throws {Error} if they are not what was kept.
 */
async function bytesOf(entry, response) {
  // At once: a stream would stand still while the interpreter is unpacked and compiled here.
  const { FileReaderSync } = /** @type {any} */ (self); // Of workers alone.
  /** @type {ArrayBuffer} */
  const bytes = new FileReaderSync().readAsArrayBuffer(await response.blob());
  const whole = bytes.byteLength === entry.size && (await sha256(bytes)) === entry.sha256;
  if (!whole) throw new Error("The start kept is damaged.");
  return new Uint8Array(entry.packed ? await through(new DecompressionStream("gzip"), bytes).arrayBuffer() : bytes);
}

/** @param {CompressionStream | DecompressionStream} stream @param {BlobPart} bytes */
const through = (stream, bytes) => new Response(new Blob([bytes]).stream().pipeThrough(stream));

/**
 * The start kept for a release; null where there is none, none can be read, or the browser says nothing of one: the next
 * page may wake what is kept.
 * @param {string} release
 * @returns {Promise<KeptStart | null>}
 */
export async function keptStart(release) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  const silence = new Promise((/** @type {(none: null) => void} */ settle) => {
    timer = setTimeout(settle, SILENCE, null);
  });
  const found = await Promise.race([standing().catch(() => null), silence]); // A browser may refuse its caches.
  clearTimeout(timer);
  if (!found) return null;
  const { entry, response } = found;
  const { layout, state, length, parts } = entry;
  const fits = entry.release === release && entry.browser === navigator.userAgent && length >= LEAST_LENGTH;
  if (!layout || !fits) return null;
  return { layout, state, length, parts, read: () => bytesOf(entry, response) };
}

/** Whether a start may be kept here: a server gave the page, there is room, and none has failed twice. */
export async function mayKeepStart() {
  const { deviceMemory = Infinity } = /** @type {any} */ (navigator);
  if (!PLACE.startsWith("http") || deviceMemory < LEAST_MEMORY) return false;
  const { quota = 0, usage = 0 } = await navigator.storage.estimate();
  return quota - usage >= LEAST_FREE && ((await standing())?.entry.failures ?? 0) < MOST_FAILURES;
}

/**
 * Keeps a start, if it is not too large. It is compressed only where it would be: the next page would wait for it to unpack.
 * @param {string} release
 * @param {Start} start
 */
export async function keepStart(release, { layout, state, length, parts, memory }) {
  const packed = memory.length > MOST_BYTES;
  const body = packed ? new Uint8Array(await through(new CompressionStream("gzip"), memory).arrayBuffer()) : memory;
  if (body.length > MOST_BYTES) return;
  const failures = (await standing())?.entry.failures ?? 0;
  const about = { release, browser: navigator.userAgent, failures, size: body.length, packed, length };
  await put({ ...about, sha256: await sha256(body), state, layout, parts }, body);
}

/** Lets go of a start that could not be woken, and counts that, if there is room to. */
export async function dropStart() {
  const entry = (await standing())?.entry;
  if (!entry) return;
  const counted = put({ ...entry, failures: entry.failures + 1, size: 0, layout: null }, null);
  await counted.catch(async () => (await caches.open(CACHE)).delete(PLACE));
}

/** Bytes that a start takes on this device. @returns {Promise<number>} */
export async function sizeOfStart() {
  return (await standing().catch(() => null))?.entry.size ?? 0;
}
