/**
 * Boots Python in a worker from the files of the runtime.
 *
 * Everything is fetched at once and compiled while it arrives. Pyodide's loader asks for its
 * files by itself; it is handed the ones already under way. Nothing is fetched from elsewhere.
 *
 * A start that was kept on the device (`kept-start.js`) is woken instead: the same interpreter with the same
 * compiled modules at the same places, and over it the memory as it was.
 */

import { Step } from "./messages.js";

/** @typedef {import("./messages.js").Manifest} Manifest */
/** @typedef {import("./messages.js").RuntimePart} RuntimePart */
/** @typedef {import("./kept-start.js").KeptStart} KeptStart */
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
/**
 * In Firefox a module that is compiled while it arrives holds a thread, and keeps it when its page is left meanwhile:
 * after a few such pages none could start. There it is compiled once it has come.
 */
const HOLDS_THREADS = navigator.userAgent.includes("Firefox/");
const OWN_KEYS = 6; // Of Pyodide's seven fixed objects the last belongs to its installer, which is left out.

/**
 * Returns a function that counts the bytes of every file and tells now and then.
 * @param {number} total
 * @param {Listener} listener
 * @returns {(bytes: number) => void}
 */
function countTo(total, listener) {
  let loaded = 0;
  let told = -PROGRESS_PAUSE_MS;
  return (bytes) => {
    loaded += bytes;
    const now = performance.now();
    if (now - told < PROGRESS_PAUSE_MS && loaded < total) return;
    told = now;
    listener.progress(loaded, total);
  };
}

/**
 * Fetches one file, which lies on the server compressed, and unpacks it as it arrives.
 * @param {RuntimePart} file
 * @param {(bytes: number) => void} count
 * @param {string} type
 * @param {AbortSignal} [signal]
 * @returns {Promise<Response>}
 */
async function fetchPacked(file, count, type, signal) {
  const response = await ownFetch(new URL(file.name, FOLDER), { signal });
  if (!response.ok || !response.body) throw new Error(`${file.name}: ${response.status}`);
  const counter = new TransformStream({
    transform(chunk, controller) {
      count(chunk.byteLength);
      controller.enqueue(chunk);
    },
  });
  const body = response.body.pipeThrough(counter).pipeThrough(new DecompressionStream("gzip"));
  return new Response(body, { headers: { "Content-Type": type } });
}

/**
 * An import says of no file that fails why it does.
 * @param {RuntimePart} file
 * @param {unknown} error
 * @returns {Promise<never>}
 */
async function tellMissing(file, error) {
  const { status } = await ownFetch(new URL(file.name, FOLDER));
  throw status === 404 ? new Error(`${file.name}: 404`) : error;
}

/**
 * Starts every transfer and compilation. Nothing waits for anything here, but the library to hear that no start
 * is kept that holds it already.
 * @param {Manifest} manifest
 * @param {Listener} listener
 * @param {Promise<KeptStart | null>} kept
 */
function startTransfers({ files, extensions, total }, listener, kept) {
  const count = countTo(total, listener);
  /** @param {string} name */
  const script = async (name) => {
    const address = new URL(files[name].name, FOLDER).href;
    const module = await import(address).catch((error) => tellMissing(files[name], error));
    count(files[name].size);
    return module;
  };
  /** @param {string} name */
  const compiled = async (name) => {
    const arriving = fetchPacked(files[name], count, "application/wasm");
    if (!HOLDS_THREADS) return WebAssembly.compileStreaming(arriving);
    return WebAssembly.compile(await (await arriving).arrayBuffer());
  };
  return {
    glue: script("glue"),
    loader: script("loader"),
    interpreter: compiled("interpreter"),
    library: kept.then((start) => (start ? new Response() : fetchPacked(files.library, count, "application/zip"))),
    extensions: Promise.all(
      extensions.map(async (name) => /** @type {const} */ ([name, await compiled(name)])),
    ),
  };
}

/**
 * Runs Pyodide's loader with its requests answered from the transfers under way.
 * @param {Manifest} manifest
 * @param {ReturnType<typeof startTransfers>} transfers
 * @param {KeptStart | null} start
 * @returns {Promise<{pyodide: any, layout: Layout}>}
 */
async function startPython(manifest, transfers, start) {
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
    return { module, instance: await WebAssembly.instantiate(module, imports) };
  };
  try {
    const [{ loadPyodide }, , extensions] = await Promise.all([transfers.loader, transfers.glue, transfers.extensions]);
    const laidOut = layWhenMade(extensions, start);
    const options = { indexURL: FOLDER.href, stdLibURL: library, lockFileURL: lock };
    // The loader asks how long it is before it is there.
    const kept = start ? { _loadSnapshot: new Uint8Array(start.length) } : { _makeSnapshot: true };
    const pyodide = await loadPyodide({ ...options, ...kept, env: { HOME: "/" }, checkAPIVersion: true });
    return { pyodide, layout: await laidOut };
  } finally {
    self.fetch = ownFetch;
    WebAssembly.instantiateStreaming = ownInstantiate;
  }
}

/**
 * Loads NumPy's compiled modules as soon as there is an interpreter, before the loader puts a kept memory into it,
 * which is waited for here.
 * @param {(readonly [string, WebAssembly.Module])[]} extensions
 * @param {KeptStart | null} start Where they have to lie.
 * @returns {Promise<Layout>} Where they lie.
 */
function layWhenMade(extensions, start) {
  const scope = /** @type {any} */ (self);
  const make = scope._createPyodideModule;
  return new Promise((settle) => {
    scope._createPyodideModule = async (/** @type {unknown} */ settings) => {
      const module = await make(settings);
      const keys = module.API.getExpectedKeys;
      module.API.getExpectedKeys = () => keys().slice(0, OWN_KEYS);
      settle(layExtensions(module, extensions, start?.layout));
      if (!start) return module;
      const restore = module.API.restoreSnapshot;
      const memory = await start.memory;
      module.API.restoreSnapshot = () => restore(memory);
      return module;
    };
  });
}

/**
 * @param {any} module Pyodide's interpreter.
 * @param {(readonly [string, WebAssembly.Module])[]} extensions
 * @param {Layout | undefined} layout
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
  if (layout && JSON.stringify(layout) !== JSON.stringify(laid)) throw new Error("The start kept has another layout.");
  return laid;
}

/**
 * Fetches a zip of Python that the start does without.
 * @param {RuntimePart} file
 * @param {(bytes: number) => void} [count]
 * @returns {Promise<Uint8Array>}
 * @throws {Error} if nothing has come for as long as `STALL` says.
 */
export async function fetchPart(file, count = () => {}) {
  const stalled = new AbortController();
  let timer = setTimeout(() => stalled.abort(), STALL);
  /** @param {number} bytes */
  const hear = (bytes) => {
    clearTimeout(timer);
    timer = setTimeout(() => stalled.abort(), STALL);
    count(bytes);
  };
  try {
    const arrived = await fetchPacked(file, hear, "application/zip", stalled.signal);
    return new Uint8Array(await arrived.arrayBuffer());
  } finally {
    clearTimeout(timer);
  }
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
 * Gets Python ready to import our package and returns Pyodide's interface.
 * @param {Manifest} manifest
 * @param {Listener} listener
 * @param {Promise<KeptStart | null>} kept The start to wake, if there is one.
 * @returns {Promise<{pyodide: any, layout: Layout, woken: boolean}>}
 */
export async function boot(manifest, listener, kept = Promise.resolve(null)) {
  listener.step(Step.DOWNLOAD);
  const transfers = startTransfers(manifest, listener, kept);
  const arrived = Promise.all(Object.values(transfers));
  const start = await kept;
  start?.memory.catch(() => listener.step(Step.WAKING)); // So that what ends now is laid to the start kept.
  arrived.then(() => listener.step(start ? Step.WAKING : Step.PYTHON), () => {});
  // Pyodide's loader waits for ever when a file fails; `arrived` fails in its place.
  const [{ pyodide, layout }] = await Promise.all([startPython(manifest, transfers, start), arrived]);
  if (!start) {
    listener.step(Step.CALCULATORS);
    pyodide.pyimport("browser_start").install_extensions(manifest.extensions.join(" "), EXTENSION_FOLDER);
  }
  return { pyodide, layout, woken: Boolean(start) };
}
