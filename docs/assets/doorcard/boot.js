/**
 * Boots Python in a worker from the files of the runtime.
 *
 * Everything is fetched at once, unpacked while it arrives, and compiled. Pyodide's loader asks for its
 * files by itself; it is handed the ones already under way. Nothing is fetched from elsewhere.
 *
 * A start that was kept on the device (`kept-start.js`) is woken instead, or the one that comes with the handbook
 * (`given-start.js`): the same interpreter with the same compiled modules at the same places, and over it the memory
 * as it was.
 */

import { openGivenStart } from "./given-start.js";
import { layPages } from "./memory-pages.js";
import { PACKING, Step, faultOfScript, statusOf } from "./messages.js";

/** @typedef {import("./messages.js").Manifest} Manifest */
/** @typedef {import("./messages.js").RuntimePart} RuntimePart */
/** @typedef {import("./kept-start.js").KeptStart} KeptStart */
/** @typedef {KeptStart & {given?: true}} Start */
/** @typedef {import("./kept-start.js").Layout} Layout */
/**
 * @typedef {object} Listener Told how far it has come.
 * @property {(loaded: number, total: number) => void} progress Bytes.
 * @property {(step: string) => void} step One of `Step`.
 */

const FOLDER = new URL("./runtime/", import.meta.url);
/** What the worker is asked for while Pyodide's loader runs, whose requests are answered otherwise, is fetched too. */
const ownFetch = self.fetch.bind(self);
const EXTENSION_FOLDER = "/extensions";
const PROGRESS_PAUSE_MS = 50;
const STALL = 9000; // Milliseconds; sooner than the page gives up a question that shows no sign of life.
const RECORD = 64; // Bytes in which the linker notes down where it has put a module.
const LOADED = 8; // Places in it: whether it was loaded before, of its memory, of its part of the table.
const MEMORY_PLACE = 12;
const TABLE_PLACE = 20;
const OWN_KEYS = 6; // Of Pyodide's seven fixed objects the last belongs to its installer, which is left out.

/**
 * Returns a function that counts the bytes of every file and tells now and then.
 * @param {() => number} total 0 as long as it is not known.
 * @param {Listener} listener
 * @returns {(bytes: number) => void}
 */
function countTo(total, listener) {
  let loaded = 0;
  let told = -PROGRESS_PAUSE_MS;
  return (bytes) => {
    loaded += bytes;
    const now = performance.now();
    if (!total() || (now - told < PROGRESS_PAUSE_MS && loaded < total())) return;
    told = now;
    listener.progress(loaded, total());
  };
}

/**
 * Fetches one file as it lies on the server, compressed.
 * @param {RuntimePart} file
 * @param {(bytes: number) => void} count
 * @param {AbortSignal} [signal]
 * @returns {Promise<ReadableStream>}
 */
async function fetchCounted(file, count, signal) {
  const response = await ownFetch(new URL(file.name, FOLDER), { signal });
  const status = statusOf(response);
  if (!response.ok || status === 404 || !response.body) throw new Error(`${file.name}: ${status}`);
  const counter = new TransformStream({
    transform(chunk, controller) {
      count(chunk.byteLength);
      controller.enqueue(chunk);
    },
  });
  return response.body.pipeThrough(counter);
}

/**
 * Fetches one file, and unpacks it as it arrives.
 * @param {RuntimePart} file
 * @param {(bytes: number) => void} count
 * @returns {Promise<ArrayBuffer>}
 */
async function fetchPacked(file, count) {
  const packed = fetchCounted(file, count);
  return packed.then(unpacked).catch((error) => tellFile(file, error));
}

/** @param {ReadableStream} packed */
const unpacked = (packed) => new Response(packed.pipeThrough(new DecompressionStream(PACKING))).arrayBuffer();

/**
 * A browser says of no file that is cut off or altered which one it is.
 * @param {RuntimePart} file
 * @param {unknown} error
 * @returns {never}
 */
function tellFile(file, error) {
  throw error instanceof TypeError ? new Error(`${file.name}: not whole`) : error;
}

/**
 * An import says of no file that fails why it does.
 * @param {RuntimePart} file
 * @param {unknown} error
 * @returns {Promise<never>}
 */
async function tellScript(file, error) {
  const reply = await ownFetch(new URL(file.name, FOLDER)).catch((fault) => tellFile(file, fault));
  throw new Error(`${file.name}: ${faultOfScript(reply)}`, { cause: error });
}

/**
 * Starts every transfer and compilation. Nothing waits for anything here, but the start that comes with the handbook
 * to hear that none is kept, and the library to hear that there is neither, which would hold it already.
 * @param {Manifest} manifest
 * @param {Listener} listener
 * @param {Promise<Start | null>} kept
 * @param {Promise<boolean>} mayFetch Whether the start that comes with the handbook may be fetched.
 */
function startTransfers(manifest, listener, kept, mayFetch) {
  const { files, extensions } = manifest;
  let total = 0;
  const count = countTo(() => total, listener);
  const given = async () => {
    if (!(await mayFetch)) return null;
    const { hear, signal, end } = watchFor(count);
    const found = await openGivenStart(manifest, (file) => fetchCounted(file, hear, signal));
    Promise.resolve(found?.read()).then(end, end);
    return found;
  };
  /** @type {Promise<Start | null>} */
  const start = kept.then((own) => own ?? given());
  start.then((found) => {
    ({ total } = (found?.given && manifest.start) || manifest);
  });
  /** @param {string} name */
  const script = async (name) => {
    const address = new URL(files[name].name, FOLDER).href;
    const module = await import(address).catch((error) => tellScript(files[name], error));
    count(files[name].size);
    return module;
  };
  /** @type {Promise<ArrayBuffer>[]} */
  const unpacking = [];
  /**
   * Not while it arrives: Chromium takes longer for both then, and Firefox holds a thread, which it keeps when the page is
   * left meanwhile: after a few such pages none could start.
   * @param {string} name
   */
  const compiled = (name) => {
    const bytes = fetchPacked(files[name], count);
    unpacking.push(bytes);
    return bytes.then((all) => WebAssembly.compile(all));
  };
  return {
    start,
    glue: script("glue"),
    loader: script("loader"),
    interpreter: compiled("interpreter"),
    // A memory that was kept holds them, as they were then.
    data: kept.then((own) => (own && !own.given ? null : fetchPacked(files.data, count))),
    library: start.then(async (found) => (new Response(found ? null : await fetchPacked(files.library, count)))),
    extensions: Promise.all(
      extensions.map(async (name) => /** @type {const} */ ([name, await compiled(name)])),
    ),
    // Read while the browser compiles, beside this worker, which has nothing else to do then.
    memory: start.then(async (found) => found && (await Promise.allSettled(unpacking), found.read())),
  };
}

/**
 * Runs Pyodide's loader with its requests answered from the transfers under way.
 * @param {Manifest} manifest
 * @param {ReturnType<typeof startTransfers>} transfers
 * @param {Start | null} start
 * @param {() => void} waking Called when all has come and the start is about to wake.
 * @returns {Promise<{pyodide: any, layout: Layout}>}
 */
async function startPython(manifest, transfers, start, waking) {
  const ownInstantiate = WebAssembly.instantiateStreaming;
  const library = new URL("library", FOLDER).href;
  const lock = new URL("lock", FOLDER).href;
  self.fetch = async (resource) => {
    const address = String(resource);
    if (address === library) return transfers.library;
    if (address === lock) return Response.json(manifest.lock);
    return new Response(null, { status: 404 });
  };
  WebAssembly.instantiateStreaming = async (_source, imports) => {
    const module = await transfers.interpreter;
    const instance = await WebAssembly.instantiate(module, imports);
    const data = await transfers.data;
    const { memory, __memory_base: place } = /** @type {any} */ (imports).env;
    if (data) new Uint8Array(memory.buffer).set(new Uint8Array(data), place.value);
    return { module, instance };
  };
  try {
    const [{ loadPyodide }] = await Promise.all([transfers.loader, transfers.glue]);
    const laidOut = layWhenMade(transfers, start, waking);
    const options = { indexURL: FOLDER.href, stdLibURL: library, lockFileURL: lock };
    // The loader asks how long it is before it is there.
    const woken = start ? { _loadSnapshot: roomFor(start, waking) } : {};
    const settings = { ...options, ...woken, _makeSnapshot: true, env: { HOME: "/" }, checkAPIVersion: true };
    const pyodide = await loadPyodide(settings);
    return { pyodide, layout: await laidOut };
  } finally {
    self.fetch = ownFetch;
    WebAssembly.instantiateStreaming = ownInstantiate;
  }
}

/** Room for the memory of a start; that there is none is laid to the start. @param {Start} start @param {() => void} waking */
function roomFor({ length }, waking) {
  try {
    return new Uint8Array(length);
  } catch (error) {
    waking();
    throw error;
  }
}

/**
 * Loads NumPy's compiled modules as soon as there is an interpreter, before the loader puts the memory of a start into
 * it, which is waited for here.
 * @param {Pick<ReturnType<typeof startTransfers>, "extensions" | "memory">} arriving
 * @param {Start | null} start Where they have to lie.
 * @param {() => void} waking
 * @returns {Promise<Layout>} Where they lie.
 */
function layWhenMade(arriving, start, waking) {
  const scope = /** @type {any} */ (self);
  const make = scope._createPyodideModule;
  return new Promise((settle) => {
    scope._createPyodideModule = async (/** @type {unknown} */ settings) => {
      scope._createPyodideModule = make;
      const module = await make(settings);
      const extensions = await arriving.extensions;
      const keys = module.API.getExpectedKeys;
      module.API.getExpectedKeys = () => keys().slice(0, OWN_KEYS);
      try {
        settle(layExtensions(module, extensions, start?.layout));
      } catch (error) {
        if (start) waking(); // What ends now is laid to it.
        throw error;
      }
      const memory = await arriving.memory;
      if (!start || !memory) return module;
      waking();
      module.API.restoreSnapshot = () => {
        delete module.API.restoreSnapshot; // It would hold the memory.
        layPages(module.HEAPU8, memory);
        return start.state;
      };
      return module;
    };
  });
}

/**
 * @param {any} module Pyodide's interpreter.
 * @param {(readonly [string, WebAssembly.Module])[]} extensions
 * @param {Layout} [layout]
 * @returns {Layout}
 * @throws {Error} if they cannot lie where they have to: the memory was made by another interpreter.
 */
function layExtensions(module, extensions, layout) {
  const flags = { loadAsync: false, nodelete: true, allowUndefined: true };
  const lengths = [module.wasmTable.length];
  const places = extensions.map(([name, compiled], index) => {
    // In a memory that will be overwritten whole, the last bytes serve.
    const record = layout ? module.HEAPU8.length - RECORD : module.getMemory(RECORD);
    if (layout) {
      module.HEAPU8[record + LOADED] = 1;
      module.HEAPU32[(record + MEMORY_PLACE) >> 2] = layout.places[index][0];
      module.HEAPU32[(record + TABLE_PLACE) >> 2] = layout.places[index][1];
    }
    const path = `${EXTENSION_FOLDER}/${name}`;
    module.preloadedWasm[path] = module.loadWebAssemblyModule(compiled, flags, path, {}, record);
    lengths.push(module.wasmTable.length);
    return /** @type {[number, number]} */ (
      [MEMORY_PLACE, TABLE_PLACE].map((place) => module.HEAPU32[(record + place) >> 2])
    );
  });
  const laid = { lengths, places };
  if (layout && JSON.stringify(layout) !== JSON.stringify(laid)) throw new Error("The start has another layout.");
  return laid;
}

/**
 * Ends a transfer of which nothing has come for as long as `STALL` says.
 * @param {(bytes: number) => void} count Told of what `hear` is told.
 */
function watchFor(count) {
  const stalled = new AbortController();
  const begin = () => setTimeout(() => stalled.abort(), STALL);
  let timer = begin();
  /** @param {number} bytes */
  const hear = (bytes) => {
    clearTimeout(timer);
    timer = begin();
    count(bytes);
  };
  return { hear, signal: stalled.signal, end: () => clearTimeout(timer) };
}

/** A file has not come whole: it is for the network, or the server, to bring it. */
export class NotFetched extends Error {}

/**
 * Fetches a file that the start does without.
 * @param {RuntimePart} file
 * @param {(bytes: number) => void} [count]
 * @returns {Promise<Uint8Array<ArrayBuffer>>}
 * @throws {NotFetched} if it does not come, or nothing of it for as long as `STALL` says.
 * @throws {Error} if it has come and cannot be unpacked.
 */
export async function fetchPart(file, count = () => {}) {
  const { hear, signal, end } = watchFor(count);
  const packed = await fetchCounted(file, hear, signal)
    .then((body) => new Response(body).blob())
    .catch((error) => Promise.reject(new NotFetched(error.message)))
    .finally(end);
  return new Uint8Array(await unpacked(packed.stream()).catch((error) => tellFile(file, error)));
}

/**
 * Makes it importable.
 * @param {any} pyodide
 * @param {RuntimePart} file
 * @param {Uint8Array} bytes
 */
export function addPart(pyodide, file, bytes) {
  const path = `/${file.name.replaceAll("/", "-")}.zip`;
  pyodide.FS.writeFile(path, bytes);
  pyodide.pyimport("browser_start").add_part(path);
}

/**
 * Makes a compiled module of NumPy's importable that the start does without.
 * @param {any} pyodide
 * @param {string} name
 * @param {Uint8Array<ArrayBuffer>} bytes
 */
export async function addExtension(pyodide, name, bytes) {
  layExtensions(pyodide._module, [[name, await WebAssembly.compile(bytes)]]);
  pyodide.pyimport("browser_start").add_extensions(name, EXTENSION_FOLDER);
}

/**
 * Gets Python ready to import our package and returns Pyodide's interface.
 * @param {Manifest} manifest
 * @param {Listener} listener
 * @param {Promise<Start | null>} kept The start to wake, if there is one.
 * @param {Promise<boolean>} mayFetch Whether the start that comes with the handbook may be fetched where none is kept.
 * @returns {Promise<{pyodide: any, layout: Layout, start: Start | null}>} `start` is the one woken.
 */
export async function boot(manifest, listener, kept = Promise.resolve(null), mayFetch = Promise.resolve(false)) {
  listener.step(Step.DOWNLOAD);
  const transfers = startTransfers(manifest, listener, kept, mayFetch);
  const arrived = Promise.all(Object.values(transfers));
  arrived.catch(() => {}); // What fails before it is waited for is told then.
  const start = await transfers.start;
  const waking = () => listener.step(start?.given ? Step.GIVEN : Step.WAKING);
  transfers.memory.catch(waking); // So that what ends now is laid to the start.
  arrived.then(() => start || listener.step(Step.PYTHON), () => {});
  // Pyodide's loader waits for ever when a file fails; `arrived` fails in its place.
  const [{ pyodide, layout }] = await Promise.all([startPython(manifest, transfers, start, waking), arrived]);
  if (!start) {
    listener.step(Step.CALCULATORS);
    pyodide.pyimport("browser_start").add_extensions(manifest.extensions.join(" "), EXTENSION_FOLDER);
  }
  return { pyodide, layout, start };
}
