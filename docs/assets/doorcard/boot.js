/**
 * Boots Python in a worker from the files of the runtime.
 *
 * Everything is fetched at once and compiled while it arrives. Pyodide's loader asks for its
 * files by itself; it is handed the ones already under way. Nothing is fetched from elsewhere.
 */

import { Step } from "./messages.js";

/** @typedef {import("./messages.js").Manifest} Manifest */
/** @typedef {import("./messages.js").RuntimeFile} RuntimeFile */
/**
 * @typedef {object} Listener Told how far it has come.
 * @property {(loaded: number, total: number) => void} progress Bytes.
 * @property {(step: string) => void} step One of `Step`.
 */

const FOLDER = new URL("./runtime/", import.meta.url);
const EXTENSION_FOLDER = "/extensions";
const PROGRESS_PAUSE_MS = 50;

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
 * @param {RuntimeFile} file
 * @param {(bytes: number) => void} count
 * @param {string} type
 * @returns {Promise<Response>}
 */
async function fetchPacked(file, count, type) {
  const response = await fetch(new URL(file.name, FOLDER));
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
 * Starts every transfer and compilation. Nothing waits for anything here.
 * @param {Manifest} manifest
 * @param {Listener} listener
 */
function startTransfers({ files, extensions, total }, listener) {
  const count = countTo(total, listener);
  /** @param {string} name */
  const script = async (name) => {
    const module = await import(new URL(files[name].name, FOLDER).href);
    count(files[name].size);
    return module;
  };
  /** @param {string} name */
  const compiled = (name) =>
    WebAssembly.compileStreaming(fetchPacked(files[name], count, "application/wasm"));
  return {
    glue: script("glue"),
    loader: script("loader"),
    interpreter: compiled("interpreter"),
    library: fetchPacked(files.library, count, "application/zip"),
    extensions: Promise.all(
      extensions.map(async (name) => /** @type {const} */ ([name, await compiled(name)])),
    ),
  };
}

/**
 * Runs Pyodide's loader with its requests answered from the transfers under way.
 * @param {Manifest} manifest
 * @param {ReturnType<typeof startTransfers>} transfers
 */
async function startPython(manifest, transfers) {
  const ownFetch = self.fetch;
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
    const [{ loadPyodide }] = await Promise.all([transfers.loader, transfers.glue]);
    const options = { indexURL: FOLDER.href, stdLibURL: library, lockFileURL: lock };
    return await loadPyodide({ ...options, env: { HOME: "/" }, checkAPIVersion: true });
  } finally {
    self.fetch = ownFetch;
    WebAssembly.instantiateStreaming = ownInstantiate;
  }
}

/**
 * Makes NumPy's compiled modules importable.
 * @param {any} pyodide
 * @param {(readonly [string, WebAssembly.Module])[]} modules
 */
function installExtensions(pyodide, modules) {
  const { loadWebAssemblyModule, preloadedWasm } = pyodide._module;
  const flags = { loadAsync: false, nodelete: true, allowUndefined: true };
  for (const [name, module] of modules) {
    const path = `${EXTENSION_FOLDER}/${name}`;
    preloadedWasm[path] = loadWebAssemblyModule(module, flags, path, {});
  }
  const names = modules.map(([name]) => name).join(" ");
  pyodide.pyimport("browser_start").install_extensions(names, EXTENSION_FOLDER);
}

/**
 * Makes a zip of Python that the start does without importable.
 * @param {any} pyodide
 * @param {RuntimeFile} file
 */
export async function addLater(pyodide, file) {
  const arrived = await fetchPacked(file, () => {}, "application/zip");
  const path = `/${file.name}.zip`;
  pyodide.FS.writeFile(path, new Uint8Array(await arrived.arrayBuffer()));
  pyodide.pyimport("sys").path.append(path);
}

/**
 * Gets Python ready to import our package and returns Pyodide's interface.
 * @param {Manifest} manifest
 * @param {Listener} listener
 */
export async function boot(manifest, listener) {
  listener.step(Step.DOWNLOAD);
  const transfers = startTransfers(manifest, listener);
  const arrived = Promise.all(Object.values(transfers));
  arrived.then(() => listener.step(Step.PYTHON), () => {});
  // Pyodide's loader waits for ever when a file fails; `arrived` fails in its place.
  const [pyodide] = await Promise.all([startPython(manifest, transfers), arrived]);
  listener.step(Step.CALCULATORS);
  installExtensions(pyodide, await transfers.extensions);
  return pyodide;
}
