/**
 * The page's side of the calculators: starts one worker, keeps it, asks it, replaces it.
 *
 *     const engine = new Engine({ onState: showState });
 *     const reply = await engine.ask({ form: "delay-1", calculator: "delay", inputs });
 *     if (reply) show(reply); // null: overtaken by a newer question, or unable to answer
 *
 * A worker that crashed, hangs, does not hear a stop or has grown too large is replaced; the questions
 * at hand and the bytes kept come along. While the tab has been out of sight for long, there is none.
 */

import { dropStart } from "./kept-start.js";
import { Kind, Step, faultOfFile, faultOfScript } from "./messages.js";
import { endedWaking, noteWaking } from "./waking-note.js";

/** @typedef {import("./messages.js").Reply} Reply */
/** @typedef {import("./messages.js").Want} Want */
/**
 * @typedef {object} EngineState What the page may show in one quiet line.
 * @property {"starting" | "ready" | "unable"} phase
 * @property {string} message A sentence for the reader; empty when ready.
 * @property {number} loaded Bytes that have arrived.
 * @property {number} total Bytes to fetch; 0 while that is not known.
 * @property {string} details For a "copy details" button; mostly empty.
 */
/**
 * @typedef {object} Question
 * @property {string} calculator
 * @property {Record<string, string>} inputs Typed text by field name.
 * @property {Want[]} [want] What the reply shall hold; what is shown, if it says nothing.
 * @property {OnWorking} [onWorking] Told how far long work has come.
 * @property {boolean} [example] The values are the page's own, nobody's.
 * @property {string} [form] Questions of the same form overtake each other; the name of the
 *   calculator if it is not given.
 */
/** @typedef {(reply: Reply | null) => void} Settle */
/** @typedef {(working: import("./messages.js").WorkingMessage) => void} OnWorking */
/**
 * @typedef {Question & {form: string, want: Want[], example: boolean, id: number, attempts: number,
 *   sent: boolean, settle: Settle}} Pending
 */

const WORKER = new URL("./worker.js", import.meta.url);
const LOOK = 1000; // Milliseconds without a sign of life after which it is looked whether the worker lives.
const ENDED = "The browser ended the worker and said nothing.";
const MOST_ATTEMPTS = 2;
const MEGABYTE = 1_000_000;
const LARGEST_HEAP = 300 * MEGABYTE;
const SWIFT = "4g"; // The best that a browser says of a link: over one that is slower, bytes cost more than work.
const SMALL_DEVICE = 4; // GB, as the browser rounds them.

const WORDS = Object.freeze({
  starting: "Fetching the calculators",
  webassembly: "The calculators need WebAssembly, which this browser does not offer.",
  start: "The calculators could not start here.",
  stall: "The calculators have stopped loading.",
  long: "This took too long and was stopped. Try values that ask for less.",
  crash: "The calculator stopped twice with these values.",
  ended: "The calculators ended: the browser may be short of memory. Close other tabs, and press “Try again”.",
  byHand: "Stopped.",
  unread: "The file cannot be read any more. Choose it again.",
});

/** Bytes that may be kept at once on this device. */
export const MOST_KEPT = ((navigator.deviceMemory ?? Infinity) <= SMALL_DEVICE ? 32 : 100) * MEGABYTE;

/** Whether a lock is held; null where the browser does not tell. @param {string} lock */
async function isHeld(lock) {
  const told = await navigator.locks?.query().catch(() => null);
  return told?.held?.some(({ name }) => name === lock) ?? null;
}

export class Engine {
  /** The one of all pages of this tab: it outlives instant navigation. @type {Engine | null} */
  static ofTab = null;

  /**
   * @param {object} [options]
   * @param {string} [options.first] The calculator that will be asked first, where that is known before it is asked.
   * @param {(state: EngineState) => void} [options.onState] Told of every change.
   * @param {number} [options.stallLimit] Milliseconds without any progress before giving up.
   * @param {number} [options.answerLimit] Milliseconds without a sign of life while it works.
   * @param {number} [options.stopLimit] Milliseconds in which a stop must be heard.
   * @param {number} [options.wakeLimit] Milliseconds in which a start must be awake.
   * @param {number} [options.restAfter] Milliseconds out of sight after which the worker is let go.
   */
  constructor({
    first,
    onState = () => {},
    stallLimit = 45_000,
    answerLimit = 10_000,
    stopLimit = 1000,
    wakeLimit = 5000,
    restAfter = 300_000,
  } = {}) {
    this.first = first;
    this.onState = onState;
    this.stallLimit = stallLimit;
    this.answerLimit = answerLimit;
    this.stopLimit = stopLimit;
    this.wakeLimit = wakeLimit;
    this.restAfter = restAfter;
    /** @type {EngineState} */
    this.state = { phase: "starting", message: "", loaded: 0, total: 0, details: "" };
    /** The newest question of each form that has no reply yet. @type {Map<string, Pending>} */
    this.pending = new Map();
    /** The QR codes that are waited for. @type {Map<number, {link: string, settle: (code: string) => void}>} */
    this.drawing = new Map();
    /** The number of the question the worker is at; 0 while it has none. */
    this.at = 0;
    /** What is kept, by handle: a file is no memory of the page's. @type {Map<string, File>} */
    this.kept = new Map();
    /** Handles of the files that are being read for the worker. @type {Set<string>} */
    this.arriving = new Set();
    /** Whether the worker is ready. */
    this.listening = false;
    /** @type {Worker | null} */
    this.worker = null;
    /** Name of the lock that the worker holds; none while that is not known. */
    this.life = "";
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.lifeTimer = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.stopTimer = undefined;
    this.limited = false;
    this.lastId = 0;
    /** The worker is being woken from a start, or was, and none such has answered yet. */
    this.woken = false;
    /** That start is the one that comes with the handbook. */
    this.given = false;
    /** A start has answered: what ends from now on is not its fault. */
    this.proven = false;
    /** A start may be tried: one kept on the device, or the one that comes with the handbook. */
    this.mayWake = !endedWaking();
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.restTimer = undefined;
    document.addEventListener("visibilitychange", () => this.seen(!document.hidden));
    addEventListener("pagehide", () => this.letGo());
    addEventListener("pageshow", ({ persisted }) => persisted && this.endRest());
    this.start();
  }

  /**
   * Asks one question; the newest of a form wins.
   * @param {Question} question
   * @returns {Promise<Reply | null>} null if a newer one of the same form came, or if the
   *   calculators cannot run (`onState` has told why).
   */
  ask({ calculator, inputs, want = [], example = false, form = calculator, onWorking }) {
    const old = this.pending.get(form);
    if (old) this.drop(old, null);
    if (this.state.phase === "unable") return Promise.resolve(null);
    return new Promise((settle) => {
      this.lastId += 1;
      const id = this.lastId;
      const question = { calculator, inputs, want, example, form, onWorking, id, attempts: 0, sent: false, settle };
      this.pending.set(form, question);
      this.send(question);
      this.endRest();
    });
  }

  /**
   * The QR code of a link as SVG; empty if there can be none.
   * @param {string} link
   * @returns {Promise<string>}
   */
  codeOf(link) {
    if (this.state.phase === "unable") return Promise.resolve("");
    return new Promise((settle) => {
      this.lastId += 1;
      this.drawing.set(this.lastId, { link, settle });
      this.endRest();
      if (this.listening) this.worker?.postMessage({ kind: Kind.DRAW, id: this.lastId, link });
    });
  }

  endDrawing() {
    for (const { settle } of this.drawing.values()) settle("");
    this.drawing.clear();
  }

  /** Stops a form's question by the reader's hand. @param {string} form */
  stop(form) {
    const question = this.pending.get(form);
    if (!question) return;
    this.drop(question, { stopped: WORDS.byHand });
    clearTimeout(this.stopTimer);
    if (question.sent && this.listening) this.stopTimer = setTimeout(() => this.start(), this.stopLimit);
  }

  /**
   * Ends a question, and tells the worker.
   * @param {Pending} question
   * @param {Reply | null} reply
   */
  drop(question, reply) {
    this.pending.delete(question.form);
    question.settle(reply);
    if (question.sent) this.worker?.postMessage({ kind: Kind.CANCEL, id: question.id });
  }

  /**
   * Keeps a file's bytes for the worker, under a handle that questions name.
   * @param {File} file
   * @returns {{handle: string} | {refused: string}} Refused before anything is read; a question that names
   *   the handle waits until the bytes are there.
   */
  keep(file) {
    const held = [...this.kept.values()].reduce((sum, { size }) => sum + size, 0);
    if (held + file.size > MOST_KEPT) {
      const most = `${MOST_KEPT / MEGABYTE} MB`;
      return { refused: held ? `Together with what is open this is more than ${most}.` : `This file has more than ${most}.` };
    }
    this.lastId += 1;
    const handle = `kept-${this.lastId}`;
    this.kept.set(handle, file);
    if (this.listening) this.handOver(handle, file);
    return { handle };
  }

  /** Lets go of kept bytes, in the worker too, and of the questions about them. @param {string} handle */
  forget(handle) {
    for (const question of this.about(handle)) this.drop(question, null);
    this.kept.delete(handle);
    this.arriving.delete(handle);
    if (this.listening) this.worker?.postMessage({ kind: Kind.FORGET, handle });
  }

  /** The questions that wait and name a handle. @param {string} handle */
  about(handle) {
    return [...this.pending.values()].filter(({ inputs }) => Object.values(inputs).includes(handle));
  }

  /**
   * Reads what is kept under a handle into the worker.
   * @param {string} handle
   * @param {File} file
   */
  async handOver(handle, file) {
    const { worker } = this;
    this.arriving.add(handle);
    const buffer = await file.arrayBuffer().catch(() => null); // It was moved, or its card is out.
    if (worker !== this.worker || !this.kept.has(handle)) return;
    this.arriving.delete(handle);
    if (!buffer) this.kept.delete(handle);
    if (buffer) worker?.postMessage({ kind: Kind.KEEP, handle, name: file.name, buffer }, [buffer]);
    for (const question of this.about(handle)) {
      if (buffer) this.send(question);
      else this.drop(question, { stopped: WORDS.unread });
    }
  }

  /**
   * Lets the worker go once nobody has seen the tab for long, and starts one when somebody does.
   * @param {boolean} inSight
   */
  seen(inSight) {
    clearTimeout(this.restTimer);
    if (inSight) return this.endRest();
    this.restTimer = setTimeout(() => this.rest(), this.restAfter);
  }

  /** Its memory is the tab's largest part; what was typed and chosen is the page's, and comes along. */
  rest() {
    if (this.state.phase === "ready" && !this.pending.size && !this.drawing.size) this.letGo();
  }

  /** A page that is left may be kept for the way back, and its worker with it, halted in the middle of its work. */
  letGo() {
    this.limit(0, null);
    this.worker?.terminate();
    this.worker = null;
    this.listening = false;
  }

  /** What was asked before is asked again. */
  endRest() {
    if (!this.worker && this.state.phase !== "unable") this.start();
  }

  /** A start that does not wake, or does not answer, is not used again, and one kept on the device is let go. */
  startAnew() {
    if (!this.given) dropStart().catch(() => {}); // Where nothing can be let go, nothing is kept.
    this.mayWake = false;
    this.start();
  }

  /** Starts a fresh worker; also the way to try again when the phase is `unable`. */
  start() {
    clearTimeout(this.stopTimer);
    this.worker?.terminate();
    this.listening = false;
    this.life = "";
    this.woken = this.given = false;
    this.arriving.clear();
    this.endDrawing(); // Not asked again: it may be what the last worker ended with.
    this.at = 0;
    for (const question of this.pending.values()) question.sent = false;
    this.change({ phase: "starting", message: WORDS.starting, loaded: 0, total: 0, details: "" });
    if (typeof WebAssembly !== "object") return this.giveUp(WORDS.webassembly, "");
    const worker = new Worker(WORKER, { type: "module", name: "doorcard" });
    this.worker = worker;
    worker.onmessage = ({ data }) => worker === this.worker && this.hear(data);
    worker.onerror = ({ message }) => (message ? this.recover(message) : this.tellUnloaded(worker));
    this.limit(this.stallLimit, () => this.giveUp(WORDS.stall, ""));
    // Told: a worker may not hear of what its reader has chosen.
    const { saveData: saves = false, effectiveType = SWIFT } = navigator.connection ?? {};
    const given = this.mayWake && !saves && effectiveType === SWIFT;
    worker.postMessage({ kind: Kind.START, calculator: this.first, kept: this.mayWake, given, saves });
    this.first = undefined; // Known of the first start alone: later nobody may ask that one again.
    for (const question of this.pending.values()) this.send(question);
  }

  /** A worker whose script did not come: the server says why. @param {Worker} worker */
  async tellUnloaded(worker) {
    const told = await fetch(WORKER).then((reply) => `${WORKER.pathname}: ${faultOfScript(reply)}`, String);
    if (worker === this.worker) this.recover(told);
  }

  /** @param {import("./messages.js").FromWorker} message */
  hear(message) {
    if (message.kind === Kind.UNABLE) return this.recover(message.details);
    if (message.kind === Kind.HELD) return void this.trust(message.life);
    if (message.kind === Kind.READY) return this.welcome();
    if (message.kind === Kind.PROGRESS || message.kind === Kind.STEP) {
      this.given ||= message.kind === Kind.STEP && message.step === Step.GIVEN;
      this.woken ||= this.given || (message.kind === Kind.STEP && message.step === Step.WAKING);
      if (this.woken) this.limit(this.wakeLimit, () => this.startAnew());
      else this.limit(this.stallLimit, () => this.giveUp(WORDS.stall, ""));
      if (message.kind === Kind.STEP) this.change({ message: message.step });
      else this.change({ loaded: message.loaded, total: message.total });
      return;
    }
    if (message.kind === Kind.DRAWN) {
      this.drawing.get(message.id)?.settle(message.code);
      this.drawing.delete(message.id);
      return;
    }
    if (message.kind === Kind.WORKING) this.follow(message);
    else if (message.kind === Kind.REPLY) this.finish(message);
    else {
      clearTimeout(this.stopTimer);
      if (this.at === message.id) this.at = 0;
    }
    this.limitAnswer();
  }

  /** Goes by the worker's lock from here on, if this page sees it held. @param {string} life */
  async trust(life) {
    const { worker } = this;
    if (!(await isHeld(life)) || worker !== this.worker) return;
    this.life = life;
    await this.lookAlive(); // What is waited for already was asked before the lock was known.
  }

  /**
   * While something is waited for: looks whether the worker still holds its lock, as it does however busy it is. A
   * page that waited for the lock itself would not be kept for the way back.
   */
  async lookAlive() {
    const { worker } = this;
    const alive = await isHeld(this.life);
    if (alive === null || !this.limited || worker !== this.worker) return;
    if (!alive) return this.recover(ENDED);
    clearTimeout(this.lifeTimer);
    this.lifeTimer = setTimeout(() => this.lookAlive(), LOOK);
  }

  /** Gives a worker that is ready what is kept, then what is asked. */
  welcome() {
    this.limit(0, null);
    if (this.proven) this.woken = false;
    this.change({ phase: "ready", message: "" });
    this.listening = true;
    for (const [handle, file] of this.kept) this.handOver(handle, file);
    for (const question of this.pending.values()) this.send(question);
    this.limitAnswer();
    for (const [id, { link }] of this.drawing) this.worker?.postMessage({ kind: Kind.DRAW, id, link });
  }

  /** A worker that is not ready yet takes it up once it is, unless it needs what is kept. @param {Pending} question */
  send(question) {
    if (!this.worker || question.sent) return;
    const notThere = this.listening ? this.arriving : this.kept;
    if (Object.values(question.inputs).some((text) => notThere.has(text))) return;
    question.sent = true;
    if (!this.limited) this.limitAnswer(); // It counts from the last sign of life, not from the last key.
    const { id, calculator, inputs, want, example } = question;
    this.worker?.postMessage({ kind: Kind.ASK, id, calculator, inputs, want, example });
  }

  /** Gives a working worker time for its next sign of life. */
  limitAnswer() {
    if (!this.listening) return;
    const busy = [...this.pending.values()].some((question) => question.sent);
    this.limit(this.answerLimit, busy ? () => this.stopAnswer() : null);
  }

  /** The question of that number, if it still waits. @param {number} id */
  question(id) {
    return [...this.pending.values()].find((question) => question.id === id);
  }

  /** @param {import("./messages.js").WorkingMessage} message */
  follow(message) {
    this.at = message.id;
    this.question(message.id)?.onWorking?.(message);
  }

  /** @param {import("./messages.js").ReplyMessage} message */
  finish({ id, heap, reply }) {
    const question = this.question(id);
    if (this.at === id) this.at = 0;
    this.proven ||= this.woken;
    this.woken = false;
    if (question) {
      this.pending.delete(question.form);
      question.settle(reply);
    }
    // Its memory never shrinks: a worker that has grown is replaced while nobody waits.
    if (heap > LARGEST_HEAP && !this.pending.size) this.start();
  }

  /** The question that the worker is at, as far as can be told. */
  culprit() {
    if (this.at) return this.question(this.at); // None if a newer one has overtaken it.
    return [...this.pending.values()].find((question) => question.sent);
  }

  /** An answer that does not end is stopped with its worker; the other questions go on. */
  stopAnswer() {
    if (this.woken) return this.startAnew();
    const question = this.culprit();
    if (question) {
      this.pending.delete(question.form);
      question.settle({ stopped: WORDS.long });
    }
    this.start();
  }

  /**
   * After a crash: start again and ask again once. A worker that never got ready is given up.
   * @param {string} details
   */
  recover(details) {
    if (this.woken) return this.startAnew();
    const short = details === ENDED || details.includes("MemoryError");
    if (this.state.phase !== "ready") return this.giveUp(faultOfFile(details) ?? (short ? WORDS.ended : WORDS.start), details);
    this.mayWake = false; // The second try is a Python of its own, lest what was woken lacks something.
    const question = this.culprit();
    if (question) {
      question.attempts += 1;
      if (question.attempts >= MOST_ATTEMPTS) {
        this.pending.delete(question.form);
        question.settle({ stopped: short ? WORDS.ended : WORDS.crash, failure: details });
      }
    }
    this.start();
  }

  /**
   * @param {string} message
   * @param {string} details
   */
  giveUp(message, details) {
    this.limit(0, null);
    this.worker?.terminate();
    this.worker = null;
    this.listening = false;
    for (const question of this.pending.values()) question.settle(null);
    this.pending.clear();
    this.endDrawing();
    this.change({ phase: "unable", message, details });
  }

  /** @param {Partial<EngineState>} change */
  change(change) {
    this.state = { ...this.state, ...change };
    this.onState(this.state);
  }

  /**
   * Sets the one time limit, in place of the last one; meanwhile a worker whose lock is known is looked after.
   * @param {number} milliseconds
   * @param {(() => void) | null} action null: no limit any more.
   */
  limit(milliseconds, action) {
    clearTimeout(this.timer);
    clearTimeout(this.lifeTimer);
    this.limited = Boolean(action);
    noteWaking(this.woken && this.limited);
    if (action) this.timer = setTimeout(action, milliseconds);
    if (action && this.life) this.lifeTimer = setTimeout(() => this.lookAlive(), LOOK);
  }
}
