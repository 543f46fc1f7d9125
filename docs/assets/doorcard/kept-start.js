/**
 * The calculators' start, kept on this device: Python's memory as it was with every calculator loaded, before
 * anything was typed. The next page wakes it in place of starting Python anew.
 *
 * One cache beside the handbook's holds one entry, that of the release in use. It is used only if release,
 * browser, length and SHA-256 are what they were when it was made; after two failures none is made any more.
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
 * @property {number} length Bytes of the memory.
 * @property {string} sha256 Of the bytes on the device.
 * @property {Layout | null} layout
 */
/** @typedef {{layout: Layout, memory: Uint8Array<ArrayBuffer>}} KeptStart */

const CACHE = `doorcard-start ${new URL("../../", import.meta.url).pathname}`;
/** The folder of the scripts is named by the release: an entry is never met by another. */
const PLACE = new URL("./kept-start", import.meta.url).href;
const ABOUT = "Doorcard-Start";
const MOST_FAILURES = 2;
const MOST_BYTES = 10_000_000; // On the device: a memory in which much was asked already is not worth its room.
const LEAST_FREE = 500_000_000; // Bytes the browser must still offer.
const LEAST_MEMORY = 2; // GB, where the browser tells.

/** @returns {Promise<{entry: Entry, response: Response} | null>} */
async function standing() {
  if (!(await caches.has(CACHE))) return null;
  const response = await (await caches.open(CACHE)).match(PLACE);
  const about = response?.headers.get(ABOUT);
  return response && about ? { entry: JSON.parse(about), response } : null;
}

/** @param {Entry} entry @param {Blob | null} packed */
async function put(entry, packed) {
  const cache = await caches.open(CACHE);
  for (const request of await cache.keys()) if (request.url !== PLACE) await cache.delete(request); // Earlier releases'.
  await cache.put(PLACE, new Response(packed, { headers: { [ABOUT]: JSON.stringify(entry) } }));
}

/** @param {BufferSource} bytes */
async function sha256(bytes) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(sum, (byte) => byte.toString(16).padStart(2, "0")).join("");
}

/**
 * Unpacks a memory into the room it needs: through a response it would be copied twice more.
 * @param {ArrayBuffer} packed
 * @param {number} length
 * @throws {Error} if it is no such memory, or not as long.
 */
async function unpack(packed, length) {
  const { readable, writable } = new DecompressionStream("gzip");
  const writer = writable.getWriter();
  const reader = readable.getReader();
  const memory = new Uint8Array(length);
  let filled = 0;
  const fill = async () => {
    for (let piece = await reader.read(); !piece.done; piece = await reader.read()) {
      memory.set(piece.value, filled); // A RangeError for one that is longer.
      filled += piece.value.length;
    }
  };
  await Promise.all([writer.write(packed), writer.close(), fill()]);
  if (filled !== length) throw new Error(`The start kept has ${filled} bytes instead of ${length}.`);
  return memory;
}

/**
 * The start kept for a release, whole and undamaged; null if there is none.
 * @param {string} release
 * @returns {Promise<KeptStart | null>}
 */
export async function findStart(release) {
  try {
    const found = await standing();
    if (!found || !found.entry.layout || found.entry.release !== release || found.entry.browser !== navigator.userAgent) return null;
    const { layout, size, length, sha256: sum } = found.entry;
    const packed = await found.response.arrayBuffer();
    const whole = packed.byteLength === size && (await sha256(packed)) === sum;
    if (!whole) {
      await dropStart();
      return null;
    }
    return { layout, memory: await unpack(packed, length) };
  } catch {
    return null; // Where nothing is kept, or can be read, Python starts anew.
  }
}

/** Whether a start may be kept here: a server gave the page, no data is to be saved, there is room, and none has failed twice. */
export async function mayKeepStart() {
  const { connection, deviceMemory = Infinity } = /** @type {any} */ (navigator);
  if (!PLACE.startsWith("http") || connection?.saveData || deviceMemory < LEAST_MEMORY) return false;
  const { quota = 0, usage = 0 } = await navigator.storage.estimate();
  return quota - usage >= LEAST_FREE && ((await standing())?.entry.failures ?? 0) < MOST_FAILURES;
}

/**
 * Keeps a start, if it is not too large.
 * @param {string} release
 * @param {KeptStart} start
 */
export async function keepStart(release, { layout, memory }) {
  const stream = new Blob([memory]).stream().pipeThrough(new CompressionStream("gzip"));
  const packed = await new Response(stream).blob();
  if (packed.size > MOST_BYTES) return;
  const failures = (await standing())?.entry.failures ?? 0;
  const sum = await sha256(await packed.arrayBuffer());
  const entry = { release, browser: navigator.userAgent, failures, size: packed.size, length: memory.length, sha256: sum, layout };
  await put(entry, packed);
}

/** Lets go of a start that could not be woken, and counts that. */
export async function dropStart() {
  const entry = (await standing())?.entry;
  if (entry) await put({ ...entry, failures: entry.failures + 1, size: 0, layout: null }, null);
}

/** Bytes that a start takes on this device. @returns {Promise<number>} */
export async function sizeOfStart() {
  return (await standing().catch(() => null))?.entry.size ?? 0;
}
