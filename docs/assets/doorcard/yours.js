/**
 * The line over a form that says whose values it holds: the example's, or yours and from when.
 *
 * What was typed here is put back here. What was typed for the same calculator on another page, what is old,
 * and what another tab has typed is offered and waits for a tap. Between different calculators nothing is
 * carried: the same name may be in another unit there, and mean another thing.
 */

import { part } from "./parts.js";
import * as state from "./state.js";

const OLD = 12 * 60 * 60 * 1000; // Milliseconds: by then another vehicle may stand in the bay.
const PAUSE = 150; // Milliseconds after a key before it is kept.
const LONGEST = 200_000;
const CLEARED = "doorcard-cleared"; // To every form of this page; a channel tells other tabs alone.
const PUT_BACK = "doorcard-put-back";
const NOT_KEPT = "This browser keeps nothing for this page: what you type goes when the page does.";

/** @typedef {import("./state.js").Typed} Typed */
/**
 * @typedef {object} Form What the line needs of a form.
 * @property {HTMLElement} element
 * @property {string} id
 * @property {string} calculator
 * @property {string} title
 * @property {() => Record<string, string>} inputs
 * @property {Record<string, string>} example
 * @property {(fields: Record<string, string>) => void} fill
 */

/** Name of the input that a field belongs to. @param {string} field */
const inputOf = (field) => field.split(/[[.:]/)[0];

/** @param {number} at */
function clock(at) {
  const when = new Date(at);
  const time = when.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (when.toDateString() === new Date().toDateString()) return time;
  return `${when.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}, ${time}`;
}

export class Yours {
  /** @param {Form} form */
  constructor(form) {
    this.form = form;
    this.line = document.createElement("p");
    this.line.className = "dc-yours";
    this.line.hidden = true;
    part(form.element, ".dc-title", HTMLElement).after(this.line);
    /** When what stands here was last written by this tab, or taken from what is kept. */
    this.at = 0;
    this.notKept = false;
    this.touched = false;
    this.timer = 0;
    this.endings = [
      state.follow(() => this.look()),
      state.ifNothingIsKept(() => {
        this.notKept = true;
        this.say(NOT_KEPT);
      }),
    ];
    this.flush = () => this.timer && this.write();
    this.clear = () => this.cleared();
    this.restore = () => this.putBack();
    addEventListener("pagehide", this.flush);
    document.addEventListener("visibilitychange", this.flush);
    document.addEventListener(CLEARED, this.clear);
    document.addEventListener(PUT_BACK, this.restore);
    this.look(true);
  }

  end() {
    this.flush();
    removeEventListener("pagehide", this.flush);
    document.removeEventListener("visibilitychange", this.flush);
    document.removeEventListener(CLEARED, this.clear);
    document.removeEventListener(PUT_BACK, this.restore);
    this.endings.forEach((end) => end());
  }

  /** Names of the inputs that are not the example's. */
  changed() {
    const inputs = this.form.inputs();
    const names = Object.keys({ ...inputs, ...this.form.example });
    return [...new Set(names.filter((name) => inputs[name] !== this.form.example[name]).map(inputOf))];
  }

  /** The reader has typed. */
  typed() {
    this.touched = true;
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.write(), PAUSE);
  }

  /** Keeps what stands here; the example is not kept. */
  write() {
    clearTimeout(this.timer);
    this.timer = 0;
    const { id, calculator, title } = this.form;
    const changed = this.changed();
    this.at = Date.now();
    this.show(changed.length > 0);
    if (!changed.length) return state.forget(id);
    return state.keep({ id, calculator, title, at: this.at, fields: this.form.inputs(), changed });
  }

  /**
   * Looks at what is kept: puts back what was typed here, offers the rest.
   * @param {boolean} [first] The page has just come.
   */
  async look(first = false) {
    const kept = await state.recall();
    const records = kept.filter(({ calculator }) => calculator === this.form.calculator);
    if (this.touched && first) return;
    const own = records.find(({ id }) => id === this.form.id);
    if (own && own.at > this.at) {
      if (first && Date.now() - own.at < OLD) return this.take(own);
      return this.offer(own, first ? "Yours" : "Yours, in another tab");
    }
    if (own) return;
    if (!first && this.changed().length) {
      return this.say("Cleared in another tab. ", ["Back to the example", () => this.backToExample()]);
    }
    if (this.touched) return;
    const other = records.find((record) => this.shared(record).length);
    if (other) this.offer(other, `From “${other.title}”`);
  }

  /** Names of the inputs typed there that are here, too. @param {Typed} record */
  shared(record) {
    const here = new Set(Object.keys(this.form.example).map(inputOf));
    return record.changed.filter((name) => here.has(name));
  }

  /** @param {Typed} record */
  take(record) {
    const fields = Object.entries(record.fields).filter(([, text]) => text.length <= LONGEST);
    this.form.fill(Object.fromEntries(fields));
    if (record.id !== this.form.id) return this.write();
    this.at = record.at;
    this.show(true);
  }

  /**
   * @param {Typed} record
   * @param {string} whose
   */
  offer(record, whose) {
    const names = this.shared(record).map((name) => name.replaceAll("_", " "));
    const what = names.length ? ` (${names.slice(0, 4).join(", ")}${names.length > 4 ? " …" : ""})` : "";
    this.say(`${whose}, from ${clock(record.at)}${what}. `, ["Use them", () => this.take(record)], this.next());
  }

  /** @param {boolean} yours What stands here is not the example. */
  show(yours) {
    if (this.notKept) return;
    if (!yours) return this.say("");
    this.say(`Yours, from ${clock(this.at)}. `, ["Back to the example", () => this.backToExample()], this.next());
  }

  backToExample() {
    this.form.fill(this.form.example);
    this.write();
  }

  /** The button that clears everything typed, on every page. */
  next() {
    return /** @type {const} */ (["Next vehicle", () => this.nextVehicle()]);
  }

  async nextVehicle() {
    this.flush();
    const records = await state.forgetAll();
    document.dispatchEvent(new Event(CLEARED));
    this.say("Cleared on every page. ", ["Undo", async () => {
      await state.putBack(records);
      document.dispatchEvent(new Event(PUT_BACK));
    }]);
  }

  /** The reader has gone on to the next vehicle, at this form or at another of the page. */
  cleared() {
    clearTimeout(this.timer);
    this.timer = 0;
    this.touched = false;
    this.at = Date.now();
    this.form.fill(this.form.example);
    this.say("");
  }

  /** The reader has taken that back; what was typed here since then stands. */
  putBack() {
    if (this.touched) return;
    this.at = 0;
    this.look(true);
  }

  /**
   * @param {string} words
   * @param {...readonly [string, () => void]} actions
   */
  say(words, ...actions) {
    this.line.replaceChildren(words);
    for (const [label, action] of actions) {
      const made = document.createElement("button");
      made.type = "button";
      made.className = "dc-button";
      made.textContent = label;
      made.onclick = action;
      this.line.append(made);
    }
    this.line.hidden = !words;
  }
}
