/**
 * The page's side of the calculators: starts one worker, keeps it, asks it, restarts it.
 *
 *     const engine = new Engine({ onState: showState });
 *     const reply = await engine.ask({ form: "delay-1", calculator: "delay", inputs });
 *     if (reply) show(reply); // null: overtaken by a newer question, or unable to answer
 */

import { Kind } from "./messages.js";

/** @typedef {import("./messages.js").Reply} Reply */
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
 * @property {object} inputs Typed text by field name.
 * @property {"answer"[]} [want] What the reply shall hold besides what is shown.
 * @property {string} [form] Questions of the same form overtake each other; the name of the
 *   calculator if it is not given.
 */
/** @typedef {(reply: Reply | null) => void} Settle */
/** @typedef {Question & {form: string, id: number, attempts: number, settle: Settle}} Pending */

const WORKER = new URL("./worker.js", import.meta.url);
const MANIFEST = new URL("./runtime/manifest.json", import.meta.url);
const MOST_ATTEMPTS = 2;

const WORDS = Object.freeze({
  starting: "Fetching the calculators",
  webassembly: "The calculators need WebAssembly, which this browser does not offer.",
  start: "The calculators could not start here.",
  stall: "The calculators have stopped loading.",
  long: "This took too long and was stopped. Try values that ask for less.",
  crash: "The calculator stopped twice with these values.",
});

export class Engine {
  /**
   * @param {object} [options]
   * @param {(state: EngineState) => void} [options.onState] Told of every change.
   * @param {number} [options.stallLimit] Milliseconds without any progress before giving up.
   * @param {number} [options.answerLimit] Milliseconds that one answer may take.
   */
  constructor({ onState = () => {}, stallLimit = 45_000, answerLimit = 60_000 } = {}) {
    this.onState = onState;
    this.stallLimit = stallLimit;
    this.answerLimit = answerLimit;
    /** @type {EngineState} */
    this.state = { phase: "starting", message: "", loaded: 0, total: 0, details: "" };
    /** The newest question of each form that still waits. @type {Map<string, Pending>} */
    this.waiting = new Map();
    /** The question the worker is at. @type {Pending | null} */
    this.asked = null;
    /** @type {Worker | null} */
    this.worker = null;
    /** @type {ReturnType<typeof setTimeout> | undefined} */
    this.timer = undefined;
    this.lastId = 0;
    this.start();
  }

  /**
   * Asks one question; the newest of a form wins.
   * @param {Question} question
   * @returns {Promise<Reply | null>} null if a newer one of the same form came, or if the
   *   calculators cannot run (`onState` has told why).
   */
  ask({ calculator, inputs, want = [], form = calculator }) {
    if (this.asked?.form === form) this.asked.settle(null);
    this.waiting.get(form)?.settle(null);
    this.waiting.delete(form);
    if (this.state.phase === "unable") return Promise.resolve(null);
    return new Promise((settle) => {
      this.lastId += 1;
      this.waiting.set(form, { calculator, inputs, want, form, id: this.lastId, attempts: 0, settle });
      this.sendNext();
    });
  }

  /** Starts a fresh worker; also the way to try again when the phase is `unable`. */
  start() {
    this.worker?.terminate();
    this.change({ phase: "starting", message: WORDS.starting, loaded: 0, total: 0, details: "" });
    if (typeof WebAssembly !== "object") return this.giveUp(WORDS.webassembly, "");
    const worker = new Worker(WORKER, { type: "module", name: "doorcard" });
    this.worker = worker;
    worker.onmessage = ({ data }) => this.hear(data);
    worker.onerror = (event) => this.recover(event.message ?? "the worker did not load");
    this.limit(this.stallLimit, () => this.giveUp(WORDS.stall, ""));
    this.sendManifest(worker);
  }

  /**
   * Fetches the list of the runtime's files while the worker itself is loading. A release has
   * a folder of its own, so the list and the files always belong together.
   * @param {Worker} worker
   */
  async sendManifest(worker) {
    try {
      const response = await fetch(MANIFEST);
      if (!response.ok) throw new Error(`${MANIFEST.pathname}: ${response.status}`);
      worker.postMessage({ kind: Kind.START, manifest: await response.json() });
    } catch (error) {
      if (worker === this.worker) this.giveUp(WORDS.start, String(error));
    }
  }

  /** @param {import("./messages.js").FromWorker} message */
  hear(message) {
    if (message.kind === Kind.REPLY) return this.finish(message);
    if (message.kind === Kind.UNABLE) return this.recover(message.details);
    if (message.kind === Kind.READY) {
      this.limit(0, null);
      this.change({ phase: "ready", message: "" });
      return this.sendNext();
    }
    this.limit(this.stallLimit, () => this.giveUp(WORDS.stall, ""));
    if (message.kind === Kind.STEP) this.change({ message: message.step });
    else this.change({ loaded: message.loaded, total: message.total });
  }

  /** Sends the question that has waited longest, unless the worker is busy or not ready. */
  sendNext() {
    const question = this.waiting.values().next().value;
    if (this.state.phase !== "ready" || this.asked || !question || !this.worker) return;
    this.waiting.delete(question.form);
    question.attempts += 1;
    this.asked = question;
    this.limit(this.answerLimit, () => this.stopAnswer());
    const { id, calculator, inputs, want } = question;
    this.worker.postMessage({ kind: Kind.ASK, id, calculator, inputs, want });
  }

  /** @param {import("./messages.js").ReplyMessage} message */
  finish({ kind, id, ...reply }) {
    if (this.asked?.id !== id) return;
    this.limit(0, null);
    this.asked.settle(reply);
    this.asked = null;
    this.sendNext();
  }

  /** An answer that does not end is stopped with its worker; the other questions go on. */
  stopAnswer() {
    this.asked?.settle({ stopped: WORDS.long });
    this.asked = null;
    this.start();
  }

  /**
   * After a crash: start again and ask again once. A worker that never got ready is given up.
   * @param {string} details
   */
  recover(details) {
    if (this.state.phase !== "ready") return this.giveUp(WORDS.start, details);
    const question = this.asked;
    this.asked = null;
    if (question && question.attempts >= MOST_ATTEMPTS) {
      question.settle({ stopped: WORDS.crash, failure: details });
    } else if (question && !this.waiting.has(question.form)) {
      this.waiting.set(question.form, question);
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
    for (const question of this.waiting.values()) question.settle(null);
    this.waiting.clear();
    this.change({ phase: "unable", message, details });
  }

  /** @param {Partial<EngineState>} change */
  change(change) {
    this.state = { ...this.state, ...change };
    this.onState(this.state);
  }

  /**
   * Sets the one time limit, in place of the last one.
   * @param {number} milliseconds
   * @param {(() => void) | null} action null: no limit any more.
   */
  limit(milliseconds, action) {
    clearTimeout(this.timer);
    if (action) this.timer = setTimeout(action, milliseconds);
  }
}
