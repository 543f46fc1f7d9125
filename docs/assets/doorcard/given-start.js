/**
 * The start that comes with the handbook: Python's memory as the build has left it, with every module loaded that all
 * answers need. It is laid over an interpreter that has just been made, as a start kept on the device is
 * (`kept-start.js`), and holds nothing of any reader's. The build says how it is written (`given_start.py`).
 */

import { sha256 } from "./kept-start.js";
import { PACKING } from "./messages.js";

/** @typedef {import("./kept-start.js").KeptStart & {given: true}} GivenStart */

/** A module of WebAssembly that has but the type of a structure: a browser takes it that has types of such a kind. */
const STRUCTURE = new Uint8Array([0, 97, 115, 109, 1, 0, 0, 0, 1, 3, 1, 95, 0]);
/**
 * Where these types are, but for iPhones, Pyodide adds a function of its own to the interpreter's; where it does not,
 * all functions after it have other numbers than in the memory. That is known before it is fetched.
 */
const NUMBERED_ALIKE = WebAssembly.validate(STRUCTURE) && !/iPad|iPhone|iPod/.test(navigator.platform);

/**
 * Asks for the start that comes with the handbook.
 * @param {import("./messages.js").Manifest} manifest
 * @param {(file: import("./messages.js").RuntimeFile) => Promise<ReadableStream>} fetchFile As it lies on the server.
 * @returns {Promise<GivenStart | null>} null if there is none, it cannot be had, or does not fit this browser: Python
 *   starts without.
 */
export async function openGivenStart({ start, files }, fetchFile) {
  const file = start && NUMBERED_ALIKE && (await fetchFile(files.start).catch(() => null));
  if (!file) return null;
  const memory = unpacked(file, files.start);
  return { ...start, given: true, read: () => memory };
}

/**
 * Unpacks the file of a start as it arrives, and sees that it is the one that the build has made.
 * @param {ReadableStream} file
 * @param {import("./messages.js").RuntimeFile} told
 * @returns {Promise<Uint8Array<ArrayBuffer>>}
 */
async function unpacked(file, told) {
  const [one, other] = file.tee();
  const check = async () => {
    const packed = await new Response(other).arrayBuffer();
    // Where the address is no safe one, a browser reckons no sum, and keeps nothing either.
    if (self.isSecureContext && (await sha256(packed)) !== told.sha256) throw new Error("The start is damaged.");
  };
  const pages = new Response(one.pipeThrough(new DecompressionStream(PACKING))).arrayBuffer();
  return new Uint8Array((await Promise.all([pages, check()]))[0]);
}
