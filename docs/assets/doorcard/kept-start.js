/**
 * The calculators' start, kept on this device: Python's memory as it was with a page's calculators loaded, before
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
 * @property {string[]} parts Names of the files whose modules it holds.
 */
/** @typedef {{layout: Layout, parts: string[], memory: Uint8Array<ArrayBuffer>}} Start */
/**
 * @typedef {object} KeptStart
 * @property {Layout} layout
 * @property {number} length Bytes of the memory.
 * @property {string[]} [parts] Names of the files that have come after the start, whose modules it holds.
 * @property {Promise<Uint8Array<ArrayBuffer>>} memory On its way; it fails if it is not what was kept.
 */

const CACHE = `doorcard-start ${new URL("../../", import.meta.url).pathname}`;
/** The folder of the scripts is named by the release: an entry is never met by another. */
const PLACE = new URL("./kept-start", import.meta.url).href;
const ABOUT = "Doorcard-Start";
const MOST_FAILURES = 2;
const MOST_BYTES = 10_000_000; // On the device: a memory in which much was asked already is not worth its room.
const LEAST_FREE = 500_000_000; // Bytes the browser must still offer.
const LEAST_MEMORY = 2; // GB, where the browser tells.
const LEAST_LENGTH = 20 * 1024 ** 2; // Bytes of the memory with which the interpreter begins.
const SILENCE = 3000; // Milliseconds without a word of what is kept, after which Python starts without it.

/** @returns {Promise<{entry: Entry, response: Response} | null>} */
async function standing() {
  if (!(await caches.has(CACHE))) return null;
  const response = await (await caches.open(CACHE)).match(PLACE);
  const entry = entryOf(response?.headers.get(ABOUT) ?? "");
  return response && entry ? { entry, response } : null;
}

/** One that cannot be read is none, and is written over. @param {string} about @returns {Entry | null} */
function entryOf(about) {
  try {
    return JSON.parse(about);
  } catch {
    return null;
  }
}

/** @param {Entry} entry @param {Blob | null} packed */
async function put(entry, packed) {
  const cache = await caches.open(CACHE);
  for (const request of await cache.keys()) if (request.url !== PLACE) await cache.delete(request); // Earlier releases'.
  await cache.put(PLACE, new Response(packed, { headers: { [ABOUT]: JSON.stringify(entry) } }));
}

/** @param {BufferSource} bytes */
export async function sha256(bytes) {
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
 * Reads a start that may be kept here by a worker of its own (`kept-memory.js`), beside the one that makes the
 * interpreter for it: there is more to unpack than to compile.
 * @returns {{reader: Promise<Worker | null>, port: MessagePort}} The port is for `startFrom`, in the other worker.
 */
export function readBeside() {
  const { port1, port2 } = new MessageChannel();
  const open = async () => {
    // From a folder, and where the address is no safe one, there is no cache.
    if (!PLACE.startsWith("http") || !("caches" in self) || !(await caches.has(CACHE))) return null;
    const reader = new Worker(new URL("./kept-memory.js", import.meta.url), { type: "module" });
    reader.postMessage(port1, [port1]);
    return reader;
  };
  const reader = open().catch(() => null); // A browser may refuse its caches.
  reader.then((started) => started ?? port1.postMessage(null));
  return { reader, port: port2 };
}

/**
 * Says what is kept, and then hands its memory over, whole and undamaged, or says what is wrong with it.
 * @param {MessagePort} port
 */
export async function handOver(port) {
  const { entry, response } = (await standing().catch(() => null)) ?? {};
  const fits = entry?.layout && entry.browser === navigator.userAgent && entry.length >= LEAST_LENGTH;
  port.postMessage(fits ? entry : null);
  if (!fits || !response) return;
  try {
    const packed = await response.arrayBuffer();
    const whole = packed.byteLength === entry.size && (await sha256(packed)) === entry.sha256;
    if (!whole) throw new Error("The start kept is damaged.");
    const memory = await unpack(packed, entry.length);
    port.postMessage(memory, [memory.buffer]);
  } catch (error) {
    port.postMessage(String(error));
  }
}

/**
 * What `handOver` says at the other end: the start kept for a release; null where there is none, none can be read, or
 * nothing is said of one: the reader's script may not have come, and the next page may wake what is kept.
 * @param {MessagePort} port
 * @param {string} release
 * @returns {Promise<KeptStart | null>}
 */
export function startFrom(port, release) {
  return new Promise((settle) => {
    const silent = setTimeout(() => {
      port.close();
      settle(null);
    }, SILENCE);
    port.onmessage = ({ data: entry }) => {
      clearTimeout(silent);
      if (entry?.release !== release) return settle(null);
      const memory = new Promise((give, refuse) => {
        port.onmessage = ({ data }) => (typeof data === "string" ? refuse(new Error(data)) : give(data));
      });
      settle({ layout: entry.layout, length: entry.length, parts: entry.parts, memory });
    };
  });
}

/** Whether a start may be kept here: a server gave the page, there is room, and none has failed twice. */
export async function mayKeepStart() {
  const { deviceMemory = Infinity } = /** @type {any} */ (navigator);
  if (!PLACE.startsWith("http") || deviceMemory < LEAST_MEMORY) return false;
  const { quota = 0, usage = 0 } = await navigator.storage.estimate();
  return quota - usage >= LEAST_FREE && ((await standing())?.entry.failures ?? 0) < MOST_FAILURES;
}

/**
 * Keeps a start, if it is not too large.
 * @param {string} release
 * @param {Start} start
 */
export async function keepStart(release, { layout, parts, memory }) {
  const stream = new Blob([memory]).stream().pipeThrough(new CompressionStream("gzip"));
  const packed = await new Response(stream).blob();
  if (packed.size > MOST_BYTES) return;
  const failures = (await standing())?.entry.failures ?? 0;
  const sum = await sha256(await packed.arrayBuffer());
  const entry = { release, browser: navigator.userAgent, failures, size: packed.size, length: memory.length, sha256: sum, layout, parts };
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
