/**
 * Makes a memory of the page's Python outside a browser, with the page's own `boot.js`: by `given_start.py`.
 *
 *     node make_start.mjs FOLDER OUTPUT LANGUAGE
 *     node make_start.mjs FOLDER OUTPUT LANGUAGE LAYOUT LENGTH
 *
 * `FOLDER` holds the worker's scripts, the runtime and `manifest.json`. The first writes Pyodide's snapshot of the
 * start with every module loaded that has come, and prints the layout of NumPy's compiled modules. The second, told
 * that layout and the memory's length, writes what an interpreter has in its memory by itself, before a kept one is
 * put there. What differs from one machine or day to the next (clock, chance, language, address) is fixed here.
 */

import { readFileSync, writeFileSync, writeSync } from "node:fs";
import { argv, exit, stdout } from "node:process";
import { pathToFileURL } from "node:url";

const [folder, output, language, layout, length] = argv.slice(2);
const root = pathToFileURL(`${folder}/`);

const LARGEST = 65_536; // Bytes of what is taken at once; one that is larger may not fit into the memory any more.
const SMALLEST = 16;
const STDERR = 2;

/** Gives a name of the worker's world its value, over what Node has under it. @param {string} name @param {unknown} value */
const put = (name, value) => Object.defineProperty(globalThis, name, { value, configurable: true, writable: true });

put("process", undefined); // By it Pyodide would know Node.
put("self", globalThis);
put("location", root);
put("navigator", { userAgent: "a browser", language, languages: [language] });
put("importScripts", () => {
  throw new TypeError("A worker that is a module imports.");
});
put("fetch", async (/** @type {string | URL} */ address) => new Response(readFileSync(new URL(address))));
put("crypto", { getRandomValues: (/** @type {Uint8Array} */ bytes) => bytes.fill(0) });
put("performance", { now: () => 0 });
Date.now = () => 0;

const manifest = JSON.parse(readFileSync(new URL("manifest.json", root), "utf8"));
const { boot } = await import(new URL("boot.js", root).href);
const listener = { progress() {}, step() {} };

/**
 * What was let go of still stands in the memory, and would be shipped: takes all of it that lies below the last byte
 * in use, cleared, and gives it back.
 * @param {any} module
 */
function clearFree(module) {
  const end = module.HEAPU32.findLastIndex((/** @type {number} */ word) => word) * 4;
  const held = [];
  for (let size = LARGEST; size >= SMALLEST; size /= 2) {
    let place = module.getMemory(size);
    for (; place < end; place = module.getMemory(size)) held.push(place);
    module._free(place);
  }
  held.forEach(module._free);
}

/** Every module that has come is loaded, as before a start is kept on a device. */
async function makeStart() {
  const { pyodide, layout: laid } = await boot(manifest, listener);
  pyodide.pyimport("calculators.browser").destroy();
  const names = pyodide.pyimport("browser_start").not_loaded();
  for (const name of names.toJs()) pyodide.pyimport(name).destroy();
  names.destroy();
  pyodide.pyimport("browser_start").forget_texts();
  pyodide.pyimport("gc").collect();
  clearFree(pyodide._module);
  writeFileSync(output, pyodide.makeMemorySnapshot());
  stdout.write(JSON.stringify(laid));
}

/** Pyodide asks for a kept memory to be put over the interpreter's own: that is what this one begins with. */
async function makeBare() {
  await import(new URL(`runtime/${manifest.files.glue.name}`, root).href);
  const scope = /** @type {any} */ (globalThis);
  const make = scope._createPyodideModule;
  scope._createPyodideModule = async (/** @type {unknown} */ settings) => {
    const module = await make(settings);
    const restoreSnapshot = () => {
      writeFileSync(output, module.HEAPU8);
      exit(0);
    };
    Object.defineProperty(module.API, "restoreSnapshot", { get: () => restoreSnapshot, set() {} }); // `boot.js` sets its own.
    return module;
  };
  const read = async () => new Uint8Array();
  const start = { layout: JSON.parse(layout), length: Number(length), state: {}, given: /** @type {const} */ (true), read };
  await boot(manifest, listener, Promise.resolve(start));
}

await (layout ? makeBare() : makeStart()).catch((error) => {
  writeSync(STDERR, String(error)); // By itself Node prints the script too, all of which is one line.
  exit(1);
});
exit(0);
