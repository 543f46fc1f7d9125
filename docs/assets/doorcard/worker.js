/**
 * The worker: boots Python and works on what the page asks.
 *
 * All questions are worked on in turn, a slice each, and between two slices the worker listens: so a
 * stop, a newer key and another form are heard while long work goes on.
 */

import { addLater, boot } from "./boot.js";
import { findStart, keepStart, mayKeepStart } from "./kept-start.js";
import { Kind } from "./messages.js";

const QUIET = 3000; // Milliseconds without a question before a start is kept.

/** The calculator that draws codes, on its tuning sheet: where it is given an address that they lead to. */
const CODED = "job-sheet";

/** Pyodide's interface. @type {any} */
let pyodide;

/** Python's side of the door, `calculators.browser`. @type {any} */
let door;

/** What the site build wrote about this runtime. @type {import("./messages.js").Manifest} */
let runtime;

/** Settles once codes can be made; none before the first is asked for. @type {Promise<void> | undefined} */
let codes;

/** The bytes kept, outside Python's memory. @type {Map<string, Uint8Array>} */
const kept = new Map();

/** The questions at hand; `begun` once Python knows one. @type {Map<number, {text: string, begun: boolean}>} */
const questions = new Map();

let working = false;

/**
 * Where NumPy's modules lie, as long as this Python may be kept as a start: until something is typed.
 * @type {import("./kept-start.js").Layout | undefined}
 */
let layout;

/** This Python was woken from a start kept on the device. */
let woken = false;

/** @type {ReturnType<typeof setTimeout> | undefined} */
let quiet;

/**
 * @param {import("./messages.js").FromWorker} message
 * @param {ArrayBuffer[]} [transferred]
 */
const tell = (message, transferred = []) => self.postMessage(message, transferred);

/** Tells the page that this worker is of no use any more. @param {unknown} error */
function tellUnable(error) {
  const details = error instanceof Error ? error.stack ?? error.message : String(error);
  tell({ kind: Kind.UNABLE, details });
}

const { port1, port2 } = new MessageChannel();

/** Lets every message that has come be heard. A timer would wait 4 ms for the same. */
const listen = () =>
  new Promise((settle) => {
    port1.onmessage = settle;
    port2.postMessage(null);
  });

/** @param {import("./messages.js").StartMessage} message */
async function start({ manifest, wake }) {
  runtime = manifest;
  try {
    const listener = {
      progress: (/** @type {number} */ loaded, /** @type {number} */ total) => tell({ kind: Kind.PROGRESS, loaded, total }),
      step: (/** @type {string} */ step) => tell({ kind: Kind.STEP, step }),
    };
    const made = await boot(manifest, listener, wake ? findStart(manifest.release) : undefined);
    ({ pyodide, woken } = made);
    if (!woken) layout = made.layout;
    door = pyodide.pyimport("calculators.browser");
    tell({ kind: Kind.READY });
  } catch (error) {
    tellUnable(error);
  }
}

/** Takes up the questions in turn until there are none. */
async function work() {
  if (working) return;
  working = true;
  while (questions.size) {
    for (const [id, question] of Array.from(questions)) {
      await listen();
      if (questions.get(id) === question) workOn(id, question);
    }
  }
  working = false;
  if (layout) quiet = setTimeout(keepThisStart, QUIET);
}

/**
 * Works on one question for one slice.
 * @param {number} id
 * @param {{text: string, begun: boolean}} question
 */
function workOn(id, question) {
  try {
    if (!question.begun) tell({ kind: Kind.WORKING, id, step: "", share: 0 });
    const text = question.begun ? door.advance(id) : door.begin(id, question.text);
    question.begun = true;
    const said = JSON.parse(text);
    if (said.working) return tell({ kind: Kind.WORKING, id, ...said.working });
    questions.delete(id);
    const buffers = said.files.length ? takeFiles(id) : [];
    buffers.forEach((buffer, index) => (said.files[index].buffer = buffer));
    tell({ kind: Kind.REPLY, id, heap: pyodide._module.HEAPU8.length, reply: said }, buffers);
  } catch (error) {
    questions.delete(id);
    // An exception of Python leaves Python usable; anything else is a crash of the interpreter. A Python that was
    // woken has no library to import from.
    if (!(error instanceof Error) || error.name !== "PythonError") return tellUnable(error);
    if (woken && /ImportError|ModuleNotFoundError/.test(error.message)) return tellUnable(error);
    tell({ kind: Kind.REPLY, id, heap: 0, reply: { failure: error.message } });
  }
}

/** The bytes of the files made for a question, out of Python's memory. @param {number} id @returns {ArrayBuffer[]} */
function takeFiles(id) {
  const files = door.files_of(id);
  const buffers = files.toJs().map((/** @type {Uint8Array} */ bytes) => bytes.slice().buffer);
  files.destroy();
  return buffers;
}

/**
 * Keeps this Python on the device, with every module loaded, as a start for the next page. What was typed stays
 * in a memory even after it was let go: so from the first key on nothing is kept.
 */
async function keepThisStart() {
  try {
    if (!(await mayKeepStart())) return;
    for (const name of pyodide.pyimport("browser_start").not_loaded().toJs()) {
      await listen();
      if (!layout || questions.size) return; // After the answer it is quiet once more.
      pyodide.pyimport(name);
    }
    pyodide.pyimport("gc").collect();
    await listen();
    if (!layout || questions.size) return;
    const start = { layout, memory: pyodide.makeMemorySnapshot() };
    layout = undefined;
    await keepStart(runtime.release, start);
  } catch (error) {
    layout = undefined;
    console.info(`No start was kept: ${error}`); // The next page starts Python anew, as this one did.
  }
}

/** From here on the memory holds what is the reader's. */
function touch() {
  layout = undefined;
  clearTimeout(quiet);
}

/** Fetches what draws codes, once. */
const fetchCodes = () => (codes ??= addLater(pyodide, runtime.files.codes)).catch((error) => {
  codes = undefined; // Out of the network's reach; the next one may come through.
  throw error;
});

/** @param {import("./messages.js").AskMessage} message */
async function ask({ id, calculator, inputs, want, example }) {
  if (!example) touch();
  clearTimeout(quiet);
  if (calculator === CODED && "address" in inputs && inputs.address) await fetchCodes().catch(() => {}); // Its sheet says so.
  questions.set(id, { text: JSON.stringify({ calculator, inputs, want, release: runtime.calculators }), begun: false });
  work();
}

/** @param {import("./messages.js").CancelMessage} message */
function cancel({ id }) {
  if (questions.get(id)?.begun) door.stop(id);
  questions.delete(id);
  tell({ kind: Kind.STOPPED, id });
}

/** @param {import("./messages.js").DrawMessage} message */
async function draw({ id, link }) {
  let code = "";
  touch();
  try {
    await fetchCodes();
    code = door.code_of(link);
  } catch {} // The reader is told that there is none.
  tell({ kind: Kind.DRAWN, id, code });
}

/** @param {import("./messages.js").KeepMessage} message */
function keep({ handle, name, buffer }) {
  touch();
  kept.set(handle, new Uint8Array(buffer));
  /** @type {(start: number, count: number) => Uint8Array | undefined} */
  const read = (start, count) => kept.get(handle)?.subarray(start, start + count);
  door.keep(handle, name, buffer.byteLength, read);
}

/** @param {import("./messages.js").ForgetMessage} message */
function forget({ handle }) {
  kept.delete(handle);
  door.forget(handle);
}

/** @param {MessageEvent<import("./messages.js").ToWorker>} event */
self.onmessage = ({ data }) => {
  if (data.kind === Kind.START) start(data);
  else if (data.kind === Kind.KEEP) keep(data);
  else if (data.kind === Kind.FORGET) forget(data);
  else if (data.kind === Kind.ASK) ask(data);
  else if (data.kind === Kind.DRAW) draw(data);
  else cancel(data);
};
