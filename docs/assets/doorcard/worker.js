/**
 * The worker: boots Python and works on what the page asks.
 *
 * All questions are worked on in turn, a slice each, and between two slices the worker listens: so a
 * stop, a newer key and another form are heard while long work goes on.
 */

import { addExtension, addPart, boot, fetchPart } from "./boot.js";
import { keepStart, keptStart, mayKeepStart } from "./kept-start.js";
import { Kind } from "./messages.js";
import { whyNotBrought } from "./not-brought.js";
import { asTyped } from "./rehearsal.js";
import { manifest } from "./runtime/manifest.js";
import { notLoaded, startAtOnce, startOf } from "./take-start.js";

const QUIET = 3000; // Milliseconds without a question before the rest is fetched and a start is kept.
const LONG = 1000; // Milliseconds of fetching after which it is said.
const ALONE = 1000; // Milliseconds from the start that the first form's answer has the network for itself.
const TYPING = 300; // Milliseconds from a key in which no long work on an example goes on: its answer is on the page already.
const REHEARSED = -1; // Number of the question that nobody asks.
const LATE = /\bLateExtensionError: ([\w.]+)/; // How Python says which compiled module an answer uses that is not there yet.
const NOT_HERE = /\bNotHereError: ([\w-]+)/; // And which calculator: an open job may need more than a form's own.
const FETCHING = "Fetching this calculator";

/** NumPy's Fourier transform, which every sound is made with. */
const TRANSFORM = "numpy.fft._pocketfft_umath";

/** The question that fills a form from the open job: its page waits for it, and it has a part of its own. */
const FILL = "job:fields";

/** The calculator that draws codes, on its tuning sheet: where it is given an address that they lead to. */
const DRAWS_CODES = "job-sheet";

/** Pyodide's interface. @type {any} */
let pyodide;

/** Python's side of the door, `calculators.browser`. @type {any} */
let door;

/** What the site build wrote about this runtime. @type {import("./messages.js").Manifest} */
const runtime = manifest;

/** @type {(message: import("./messages.js").StartMessage) => void} */
let tellStart = () => {};
/** @type {Promise<import("./messages.js").StartMessage>} */
const startMessage = new Promise((settle) => (tellStart = settle));

/** @type {(found: boolean) => void} */
let tellLooked = () => {};
/** Whether a start kept on the device is woken; settles once that is known. @type {Promise<boolean>} */
const waking = new Promise((settle) => (tellLooked = settle));

/** @type {(value?: unknown) => void} */
let tellStarted = () => {};
/** Settles once Python is there, for what has come before it. */
const started = new Promise((settle) => (tellStarted = settle));

/** Every module of our package is here. */
let whole = false;

/** What has come after the start or is on its way, by the names of the files. @type {Map<string, Promise<void>>} */
const parts = new Map();

/** Of these what is there: Python can import it. @type {Set<string>} */
const there = new Set();

/** The questions that wait for a part, by their numbers. @type {Map<number, Question>} */
const waiting = new Map();

/** @type {() => void} */
let tellAnswered = () => {};
/** The first answer is there, or has had its time: what other forms of the page need was not fetched before it. */
const answered = new Promise((settle) => (tellAnswered = () => settle(undefined)));

/** The calculator that was asked first. @type {string | undefined} */
let first;

/** The bytes kept, outside Python's memory. @type {Map<string, Uint8Array>} */
const kept = new Map();

/**
 * @typedef {{text: string, begun: boolean, example: boolean, fills: boolean, rehearsed: string, missed?: string}} Question
 *   `begun` once Python knows it; `rehearsed` is the calculator's name where it is worth a rehearsal; `missed` is the one
 *   that was fetched for it last.
 */
/** The questions at hand. @type {Map<number, Question>} */
const questions = new Map();

let working = false;

/**
 * Where NumPy's modules lie, as long as this Python may be kept as a start: until something is typed.
 * @type {import("./kept-start.js").Layout | undefined}
 */
let layout;

/** The memory holds, or will, what is somebody's. */
let touched = false;

/** This Python as it was before anything of anybody's came into its memory, until it is kept. @type {import("./kept-start.js").Start | undefined} */
let taken;

/** What each calculator answered last, as text, if it is worth a rehearsal. @type {Map<string, string>} */
const answeredLast = new Map();

/** Milliseconds of work for which that is still to be rehearsed. */
let rehearsal = 500;

/** Turns that it has had. */
let turns = 0;

/** That is under way. */
let rehearsing = false;

/** This Python was woken from a start kept on the device. */
let woken = false;

/** It was woken from some start, and has no library to import from. */
let bare = false;

/** Data are to be saved. */
let saving = false;

/** @type {ReturnType<typeof setTimeout> | undefined} */
let quiet;

/** Something was typed just now. */
let typing = false;

/** @type {ReturnType<typeof setTimeout> | undefined} */
let rest;

/**
 * @param {import("./messages.js").FromWorker} message
 * @param {ArrayBuffer[]} [transferred]
 */
const tell = (message, transferred = []) => self.postMessage(message, transferred);

/** Tells the page that this worker is of no use any more. @param {unknown} error */
function tellUnable(error) {
  // Firefox leaves out of a stack what is at fault.
  const details = error instanceof Error ? `${error}\n${error.stack ?? ""}` : String(error);
  tell({ kind: Kind.UNABLE, details });
}

const { port1, port2 } = new MessageChannel();
port1.start();

/** Lets every message that has come be heard. A timer would wait 4 ms for the same. */
const listen = () =>
  new Promise((settle) => {
    port1.addEventListener("message", settle, { once: true });
    port2.postMessage(null);
  });

/** Gets Python ready. What every start needs is on its way before the page has said anything. */
async function start() {
  try {
    const found = keptStart(runtime.release);
    const kept = startMessage.then(({ kept: mayWake }) => (mayWake ? found : null));
    kept.then((own) => {
      for (const name of own?.parts ?? []) parts.set(name, Promise.resolve());
      tellLooked(Boolean(own));
    });
    const may = waking.then((isKept) => !isKept && mayKeepStart()).catch(() => false);
    const listener = {
      progress: (/** @type {number} */ loaded, /** @type {number} */ total) => tell({ kind: Kind.PROGRESS, loaded, total }),
      step: (/** @type {string} */ step) => tell({ kind: Kind.STEP, step }),
    };
    const made = await boot(runtime, listener, kept, startMessage.then(({ given }) => given));
    ({ pyodide } = made);
    woken = await waking;
    bare = Boolean(made.start);
    tellStarted();
    may.then((isSo) => (layout = isSo && !touched ? made.layout : undefined));
    door = pyodide.pyimport("calculators.browser");
    tell({ kind: Kind.READY });
    setTimeout(tellAnswered, woken ? 0 : ALONE); // The first one may never be asked; who was woken fetches nothing.
  } catch (error) {
    tellUnable(error);
  }
}

/**
 * Holds a lock as long as this worker lives: a browser that ends a worker, for want of memory, says nothing, but lets
 * the lock go. Some have none, or none from a folder.
 */
function hold() {
  const life = `doorcard worker ${Date.now()} ${Math.random()}`;
  const held = () => {
    tell({ kind: Kind.HELD, life });
    return new Promise(() => {});
  };
  navigator.locks?.request(life, held).catch(() => {});
}

/** @param {import("./messages.js").StartMessage} message */
function begin(message) {
  first = message.calculator;
  saving = message.saves;
  tellStart(message);
  if (first) bringFor(first).catch(() => {}); // What fails here is tried again once it is asked for.
}

/**
 * Fetches a file once, and gives it to Python: a part of our package, if nothing else is said.
 * @param {import("./messages.js").RuntimePart} file
 * @param {(bytes: Uint8Array<ArrayBuffer>) => void | Promise<void>} [give]
 * @returns {Promise<void>}
 */
function bring(file, give = (bytes) => addPart(pyodide, file, bytes)) {
  const known = parts.get(file.name);
  if (known) return known;
  let come = 0;
  const long = performance.now() + LONG;
  /** @param {number} bytes */
  const count = (bytes) => {
    come += bytes;
    const step = performance.now() < long ? "" : FETCHING;
    for (const id of waiting.keys()) tell({ kind: Kind.WORKING, id, step, share: come / file.size });
  };
  const brought = Promise.all([fetchPart(file, count), started]).then(async ([bytes]) => {
    await give(bytes);
    there.add(file.name);
  });
  parts.set(file.name, brought);
  brought.catch(() => parts.delete(file.name));
  return brought;
}

/**
 * Fetches what a question needs that has not come yet, or lies in the start that is woken.
 * @param {string} calculator
 * @param {boolean} sounds Its sounds are to be made.
 */
async function bringFor(calculator, sounds = false) {
  await waking;
  const part = runtime.parts[calculator === FILL ? "job" : calculator.replace(/^open:/, "")];
  // Without a network a device that keeps the handbook has the rest alone.
  if (!whole) await (part ? bring(part).catch(bringRest) : bringRest());
  // What takes long is not begun twice.
  const late = runtime.late.filter((name) => part?.long || (sounds && name === TRANSFORM));
  await Promise.all(late.map(bringExtension)).catch(() => {});
}

/**
 * Few answers use these modules of NumPy's. No start is kept of a Python that holds one.
 * @param {string} name
 */
function bringExtension(name) {
  return bring(runtime.files[name], (bytes) => {
    layout = undefined;
    return addExtension(pyodide, name, bytes);
  });
}

async function bringRest() {
  await bring(runtime.files.rest);
  whole = true;
}

/**
 * Takes up the questions in turn until there are none: a new one first, a reader's own before all, so that it waits for one
 * slice at most, and no example's long work between two keys.
 */
async function work() {
  if (working) return;
  working = true;
  let rehearsed = false;
  while (questions.size) {
    await listen();
    const all = [...questions].filter(([, { begun, example }]) => !(typing && begun && example));
    const next = all.find(([, { begun, example, fills }]) => !(begun || example || fills)) ?? all.find(([, { begun }]) => !begun) ?? all[0];
    // For an example's long work nobody waits: it takes turns with the rehearsal.
    rehearsed = !rehearsed && Boolean(next?.[1].begun && next[1].example) && rehearseOnce();
    if (rehearsed) continue;
    if (next) workOn(...next);
    else if (questions.size) {
      working = false;
      return;
    }
  }
  working = false;
  clearTimeout(quiet);
  quiet = setTimeout(settle, QUIET);
  rehearse();
}

/**
 * Answers the page's forms again and again while nobody types, with their numbers moved: what has run for long enough a
 * browser compiles once more, for speed, and the reader's first keys would wait for that.
 */
async function rehearse() {
  if (rehearsing) return; // Two at once would have a key wait for both.
  rehearsing = true;
  do await listen();
  while (!typing && !questions.size && !waiting.size && !working && rehearseOnce());
  rehearsing = false;
}

/** One form, if there is any still to rehearse. */
function rehearseOnce() {
  if (rehearsal <= 0 || !answeredLast.size || saving) return false;
  turns += 1;
  const began = performance.now();
  const [[calculator, question]] = [...answeredLast].slice(turns % answeredLast.size);
  try {
    door.begin(REHEARSED, asTyped(question, turns));
  } catch {
    answeredLast.delete(calculator);
  }
  rehearsal -= performance.now() - began;
  return true;
}

/**
 * Works on one question for one slice.
 * @param {number} id
 * @param {Question} question
 */
function workOn(id, question) {
  try {
    if (!question.begun) tell({ kind: Kind.WORKING, id, step: "", share: 0 });
    if (question.fills) beforeJob();
    const text = question.begun ? door.advance(id) : door.begin(id, question.text);
    question.begun = true;
    const said = JSON.parse(text);
    questions.delete(id);
    if (said.working) {
      questions.set(id, question); // Its next turn comes after the others'.
      return tell({ kind: Kind.WORKING, id, ...said.working });
    }
    const buffers = said.files.length ? takeFiles(id) : [];
    buffers.forEach((buffer, index) => (said.files[index].buffer = buffer));
    tell({ kind: Kind.REPLY, id, heap: pyodide._module.HEAPU8.length, reply: said }, buffers);
    if (question.rehearsed) answeredLast.set(question.rehearsed, question.text);
    tellAnswered();
  } catch (error) {
    questions.delete(id);
    const late = error instanceof Error && LATE.exec(error.message);
    if (late) return takeUp(id, question, bringExtension(late[1]));
    const missed = error instanceof Error && NOT_HERE.exec(error.message)?.[1];
    if (missed && missed !== question.missed) return takeUp(id, { ...question, missed }, bringFor(missed));
    // An exception of Python leaves Python usable; anything else is a crash of the interpreter.
    if (!(error instanceof Error) || error.name !== "PythonError") return tellUnable(error);
    if (bare && /ImportError|ModuleNotFoundError/.test(error.message)) return tellUnable(error);
    if (/MemoryError/.test(error.message)) return tellUnable(error); // It never gives any back: a new one has room.
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

/** While nothing is asked: what the next page may need, and the next start. */
async function settle() {
  if (saving) return;
  try {
    if (layout && !questions.size && !waiting.size) await takeWholeStart();
    if (taken) await keepStart(runtime.release, taken);
  } catch (error) {
    layout = undefined;
    console.info(`No start was kept: ${error}`); // The next page starts Python anew, as this one did.
  }
  taken = undefined;
  try {
    await bringRest();
    await Promise.all(runtime.late.map(bringExtension)); // Later there may be no network.
  } catch {
    // Out of the network's reach; whoever needs it asks again.
  }
}

/**
 * Takes a start with every module loaded that has come. What was typed stays in a memory even after it was let go: so
 * from the first key on none is taken.
 */
async function takeWholeStart() {
  await bringFor(FILL).catch(() => {}); // The next page may have a job open.
  for (const name of notLoaded(pyodide)) {
    await listen();
    if (!layout || questions.size) return; // After the answer it is quiet once more.
    pyodide.pyimport(name);
  }
  pyodide.pyimport("gc").collect();
  await listen();
  if (!layout || questions.size) return;
  taken = startOf(pyodide, layout, [...there]);
  layout = undefined;
}

/** The open job is about to be read: a start is taken before. Where all calculators have come it would load too many. */
function beforeJob() {
  if (layout && !whole && !saving) taken = startAtOnce(pyodide, layout, [...there]);
  layout = undefined;
  touched = true;
}

/** From here on the memory holds what is the reader's. */
function touch() {
  touched = true;
  layout = undefined;
  clearTimeout(quiet);
  typing = true;
  clearTimeout(rest);
  rest = setTimeout(() => {
    typing = false;
    work();
  }, TYPING);
}

/** @param {import("./messages.js").AskMessage} message */
function ask({ id, calculator, inputs, want, example }) {
  const fills = calculator === FILL;
  if (!example && !fills) touch();
  clearTimeout(quiet);
  const text = JSON.stringify({ calculator, inputs, want, release: runtime.calculators });
  const bringAll = async () => {
    if (!fills && calculator !== (first ??= calculator)) await answered;
    await bringFor(calculator, want?.includes("sound"));
    if (calculator === DRAWS_CODES && "address" in inputs && inputs.address) await bring(runtime.files.codes).catch(() => {}); // Its sheet says so.
  };
  // Long work, a job's too, is waited for at each key anyway; and of a file what it came to stands for whoever asks next.
  const own = calculator in runtime.parts && !runtime.parts[calculator].long && !want?.some((each) => each === "files" || each === "sound");
  const rehearsed = own && !Object.values(inputs).some((typed) => kept.has(typed)) ? calculator : "";
  takeUp(id, { text, example: Boolean(example), fills, rehearsed }, bringAll());
}

/**
 * Works on a question, from its beginning, once what it needs has come.
 * @param {number} id
 * @param {Omit<Question, "begun">} asked
 * @param {Promise<void>} brought
 */
async function takeUp(id, asked, brought) {
  waiting.set(id, { ...asked, begun: false });
  const failed = await brought.then(() => null, whyNotBrought);
  if (!failed) await started;
  const question = waiting.get(id);
  if (!question) return; // It was taken back.
  waiting.delete(id);
  if (failed) return tell({ kind: Kind.REPLY, id, heap: 0, reply: failed });
  questions.set(id, question);
  work();
}

/** @param {import("./messages.js").CancelMessage} message */
function cancel({ id }) {
  if (questions.get(id)?.begun) door.stop(id);
  questions.delete(id);
  waiting.delete(id);
  tell({ kind: Kind.STOPPED, id });
}

/** @param {import("./messages.js").DrawMessage} message */
async function draw({ id, link }) {
  let code = "";
  touch();
  try {
    await bring(runtime.files.codes);
    code = door.code_of(link);
  } catch {} // Out of the network's reach; the reader is told that there is none.
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
  if (data.kind === Kind.START) begin(data);
  else if (data.kind === Kind.KEEP) keep(data);
  else if (data.kind === Kind.FORGET) forget(data);
  else if (data.kind === Kind.ASK) ask(data);
  else if (data.kind === Kind.DRAW) draw(data);
  else cancel(data);
};

hold();
start();
