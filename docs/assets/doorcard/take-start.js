/** A start (`kept-start.js`) taken of a Python that runs. */

import { pagesOf } from "./memory-pages.js";

/** The modules that have come and that nothing has loaded yet, by their names. @param {any} pyodide @returns {string[]} */
export const notLoaded = (pyodide) => pyodide.pyimport("browser_start").not_loaded().toJs();

/**
 * Its memory as it is now. It holds the modules that are loaded; what else has come is not in it.
 * @param {any} pyodide
 * @param {import("./kept-start.js").Layout} layout
 * @param {string[]} parts Names of the files that have come after the start.
 * @returns {import("./kept-start.js").Start}
 */
export function startOf(pyodide, layout, parts) {
  const { HEAPU8: heap } = pyodide._module;
  const state = pyodide._api.serializeHiwireState();
  return { layout, state, length: heap.length, parts, memory: pagesOf(heap) };
}

/**
 * The same at one stroke, with every module loaded that has come; none where it cannot be taken, as for want of memory for
 * its copy: what the reader waits for goes on without.
 * @param {any} pyodide
 * @param {import("./kept-start.js").Layout} layout
 * @param {string[]} parts
 */
export function startAtOnce(pyodide, layout, parts) {
  try {
    for (const name of notLoaded(pyodide)) pyodide.pyimport(name);
    return startOf(pyodide, layout, parts);
  } catch (error) {
    console.info(`No start was kept: ${error}`);
  }
}
