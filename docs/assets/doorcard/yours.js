/**
 * The line over a form that says whose values it holds, and from when: the example's, or yours.
 *
 * What was typed here is put back here, for each job its own. Where a job is open on this device, what it holds fills the inputs that
 * nobody has typed here. What was typed elsewhere for the same thing (see `offers.js`), what is old, what another tab
 * has typed and what was typed for the vehicle before is offered and waits for a tap.
 */

import { clock, span } from "./clock.js";
import { byInput, same } from "./fields.js";
import { markFields } from "./job-marks.js";
import { JOB_SHEET } from "./links.js";
import { CLEARED, NextVehicle, PUT_BACK } from "./next-vehicle.js";
import { READ_ANEW, byVehicle, carried, inputsOf, inWords, listed, ownFirst } from "./offers.js";
import { isOfForm, withOthers, without } from "./form-record.js";
import { keepFormer, layFormerAside } from "./former-values.js";
import { sayIfNotKept } from "./not-kept.js";
import { part, showLines } from "./parts.js";
import { untilNow } from "./records.js";
import * as state from "./state.js";
import { NOBODY, isDoubtful, isFormer, ownId } from "./whose.js";

const PAUSE = 150; // Milliseconds after a key before it is kept.
const LONGEST = 200_001; // A letter more than any field may have: what is too long for it is still told so.
const MOST_OFFERS = 2;
const LINK_LOST = "This link is not whole, or of another page: what stands here is not what was sent. Ask for it again. ";
const NO_LINK_HERE = "A link fills no job sheet. ";

/** @typedef {import("./state.js").Typed} Typed */
/** @typedef {import("./state.js").Value} Value */
/** @typedef {import("./offers.js").Input} Input */
/** @typedef {import("./parts.js").Line} Line */
/**
 * @typedef {object} Offer A value kept, as this form can take it.
 * @property {Input} input
 * @property {number} at
 * @property {string} [job]
 * @property {Record<string, string>} fields
 */
/** @typedef {{title: string, at: number, inputs: import("./ask-job.js").OfJob[], files: {name: string, words: string}[]}} OpenJob What the open job holds for this form. */
/**
 * @typedef {object} Form What the line needs of a form.
 * @property {HTMLElement} element
 * @property {string} id
 * @property {string} calculator
 * @property {string} title
 * @property {() => Record<string, string>} inputs
 * @property {Record<string, string>} example
 * @property {(fields: Record<string, string>, whole?: string[]) => string[]} fill Gives the fields that could not be filled.
 * @property {{otherRelease: boolean} | null} [linked] A link fills the form: what is kept waits.
 */

export class Yours {
  /** When each input that is not the example's was typed, and what. @type {Map<string, {text: string} & import("./whose.js").Kept>} */
  times = new Map();
  /** What is kept on the device, of every form. @type {Typed[]} */
  kept = [];
  /** The vehicle in the bay. @type {import("./whose.js").Bay} */
  bay = NOBODY;
  /** This form has something on the device. */
  written = false;
  /** The link that was followed cannot be read. */
  linkLost = false;
  opened = Date.now();
  touched = false;
  /** A way holds what stands here: under another job it says when that goes. */
  stays = false;
  /** Another tab has cleared what still stands here. */
  cleared = false;
  /** Of what something was kept that this form cannot hold. @type {Input[]} */
  leftOut = [];
  /** @type {OpenJob | null} */
  job = null;
  /** Inputs that the job has by an example, of which the reader says that it is so here. @type {Set<string>} */
  agreed = new Set();
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  timer;

  /** @param {Form} form */
  constructor(form) {
    this.form = form;
    /** The link that fills the form: what it brought is kept only once the reader takes it, or edits it. */
    this.link = form.linked ?? null;
    this.inputs = inputsOf(form.element);
    this.example = byInput(form.example);
    this.line = document.createElement("p");
    this.line.className = "dc-yours";
    this.line.hidden = true;
    part(form.element, ".dc-title", HTMLElement).after(this.line);
    this.next = new NextVehicle(() => this.flush(), () => this.show());
    this.endings = [state.follow(() => this.look()), sayIfNotKept(form.element, this.line)];
    this.flush = () => {
      if (this.timer) this.write();
    };
    this.clear = () => this.start(Date.now());
    this.restore = () => this.look(!this.touched); // What was typed here since then stands.
    addEventListener("pagehide", this.flush);
    document.addEventListener("visibilitychange", this.flush);
    document.addEventListener(CLEARED, this.clear);
    document.addEventListener(PUT_BACK, this.restore);
    /** What was typed here is back. */
    this.begun = this.look(true);
  }

  end() {
    this.flush();
    removeEventListener("pagehide", this.flush);
    document.removeEventListener("visibilitychange", this.flush);
    document.removeEventListener(CLEARED, this.clear);
    document.removeEventListener(PUT_BACK, this.restore);
    this.endings.forEach((end) => end());
    this.line.remove();
  }

  /** The inputs that hold what the open job holds. @returns {Input[]} */
  ofJob() {
    const here = byInput(this.form.inputs());
    const held = (this.job?.inputs ?? []).filter(({ name, fields }) => same(here.get(name) ?? {}, fields));
    return this.inputs.filter(({ name }) => held.some((one) => one.name === name));
  }

  /** The inputs that hold the page's example, or one that the job took over. @returns {Input[]} */
  ofExample() {
    const other = new Set([...this.ofJob().filter((input) => !this.inJobByExample(input)), ...this.values()].map(({ name }) => name));
    return this.inputs.filter(({ name }) => !other.has(name));
  }

  /** Whether the job has an input as a page showed it, and nobody says that it is theirs. @param {Input} input */
  inJobByExample({ name }) {
    return !this.agreed.has(name) && Boolean(this.job?.inputs.find((one) => one.name === name)?.example);
  }

  /** The inputs that are neither the example's nor the job's, and when each was typed. @returns {Value[]} */
  values() {
    const here = byInput(this.form.inputs());
    const ofJob = this.ofJob();
    return this.inputs.flatMap((input) => {
      const text = JSON.stringify(here.get(input.name) ?? {}); // A table may have lost its last row.
      if (ofJob.includes(input) || text === JSON.stringify(this.example.get(input.name) ?? {})) return [];
      const known = this.times.get(input.name);
      const { at, job } = known?.text === text ? known : this.now();
      if (known?.text !== text) this.leftOut = this.leftOut.filter(({ name }) => name !== input.name); // It was typed over.
      this.times.set(input.name, { text, at, job });
      return [{ ...input, at, job }];
    });
  }

  /** What the reader types or takes is of the vehicle in the bay: never before it came, though the clock was set back since. */
  now() {
    return { at: Math.max(Date.now(), this.bay.since), job: this.bay.open };
  }

  /** What is kept of this form for the vehicle in the bay. */
  own() {
    return this.keptAs(ownId(this.form.id, this.bay));
  }

  /** @param {string} wanted */
  keptAs(wanted) {
    return this.kept.find(({ id, calculator }) => id === wanted && calculator === this.form.calculator);
  }

  /** What is kept of this form for this vehicle and for none, this one's last. @returns {Typed[]} */
  keptHere() {
    return [this.bay.open ? this.keptAs(this.form.id) : undefined, this.own()].filter((record) => record !== undefined);
  }

  /** Whether it goes into the record of the vehicle in the bay. @param {import("./whose.js").Kept} kept */
  isOfThis(kept) {
    return (kept.job ?? "") === this.bay.open || !isDoubtful(kept, this.bay);
  }

  /** The reader has typed. */
  typed() {
    this.touched = true;
    this.next.lines = [];
    this.letLinkGo();
    clearTimeout(this.timer);
    this.timer = setTimeout(() => this.write(), PAUSE);
  }

  /** Keeps what stands here and is of the vehicle in the bay; the example is not kept, nor is a file. @returns {void} */
  write() {
    if (this.bay === NOBODY) return void this.begun.then(() => this.write()); // Whose it is is not known yet.
    clearTimeout(this.timer);
    this.timer = undefined;
    this.link = null;
    const { form: { calculator, title }, bay: { open: job } } = this;
    const id = ownId(this.form.id, this.bay);
    const values = this.values().filter((value) => value.means && this.isOfThis(value)).map((value) => ({ ...value, job }));
    const typed = [...this.times].filter(([, known]) => this.isOfThis(known));
    for (const [, known] of typed) known.job = job; // A job that was just made takes on what was typed before it.
    const times = new Map(typed.map(([name, { at }]) => [name, at]));
    const here = { id, calculator, title, at: Date.now(), values, fields: this.form.inputs(), job };
    /** @type {import("./state.js").Change} */
    const change = (there) => withOthers(here, times, there);
    const record = change(this.own() ?? null);
    this.letGoOfNone([...times.keys()]);
    this.kept = [...(record ? [record] : []), ...this.kept.filter((one) => one.id !== id)];
    this.written = true;
    this.cleared = false;
    this.show();
    if (record) state.keep(record, change);
    else state.forget(id, change);
  }

  /** What the open job has taken on is no longer kept for none. @param {string[]} names */
  letGoOfNone(names) {
    const none = this.bay.open ? this.keptAs(this.form.id) : undefined;
    const gone = (none?.values ?? []).filter((value) => names.includes(value.name) && !isDoubtful(value, this.bay)).map(({ name }) => name);
    if (!gone.length) return;
    state.change(this.form.id, (there) => there && without(there, gone));
    this.kept = this.kept.flatMap((record) => (record === none ? without(record, gone) ?? [] : [record]));
  }

  /**
   * Looks at what is kept: puts back what was typed here, and offers the rest.
   * @param {boolean} [first] The page has just come.
   * @returns {Promise<void>}
   */
  async look(first = false) {
    const { records, ...bay } = await state.recall();
    const changed = this.bay !== NOBODY && bay.open !== this.bay.open;
    if (changed && this.timer) {
      this.flush(); // It was typed for the job before.
      return this.look(first);
    }
    if (changed) this.written = this.touched = false;
    for (const known of this.times.values()) known.at = untilNow(known.at, this.bay.since, Date.now());
    this.kept = records;
    this.bay = bay;
    const own = this.own();
    if ((first || changed) && !this.touched && !this.link && !this.stays) this.bringBack();
    this.cleared = this.written && !own && !this.timer;
    this.written ||= Boolean(own);
    this.show();
  }

  /** What is kept of the vehicle in the bay stands here, and nothing of another. */
  bringBack() {
    layFormerAside(this);
    for (const record of this.keptHere()) {
      const fresh = this.offersOf(record, this.values()).filter((offer) => !isDoubtful(offer, this.bay));
      this.fill(fresh, (offer) => offer);
    }
  }

  /**
   * What of a record this form asks for, too, and has not.
   * @param {Typed} record
   * @param {Value[]} values What is typed here.
   * @returns {Offer[]}
   */
  offersOf(record, values) {
    const own = record === this.own();
    const place = own || record.id === this.form.id;
    if (!isOfForm(record, this.form) && READ_ANEW.includes(this.form.calculator)) return [];
    const asked = record.values.filter(({ name }) => this.inputs.some((input) => input.name === name));
    if (!asked.length) return [];
    const here = this.form.inputs();
    const there = byInput(record.fields);
    return asked.flatMap((value) => {
      const input = this.inputs.find(({ name }) => name === value.name);
      const mine = values.find(({ name }) => name === value.name);
      const isLast = !mine || (own && value.at > mine.at) || (isFormer(mine, this.bay) && !isFormer(value, this.bay));
      if (!input || !isLast) return [];
      const fields = carried(this.form.element, input, value, there.get(input.name) ?? {});
      if (!fields) return place ? this.leaveOut(input) : [];
      const differs = Object.entries(fields).some(([name, text]) => here[name] !== text);
      return differs ? [{ input, at: value.at, job: value.job, fields }] : [];
    });
  }

  /** @param {Input} input */
  leaveOut(input) {
    if (!this.isLeftOut(input)) this.leftOut.push(input);
    return [];
  }

  /** @param {Input} input */
  isLeftOut({ name }) {
    return this.leftOut.some((input) => input.name === name);
  }

  /**
   * Puts offers into their fields. One too long stays empty: the example's would stand among the reader's own.
   * @param {Offer[]} offers
   * @param {(offer: Offer) => import("./whose.js").Kept} timeOf When each counts as typed.
   */
  fill(offers, timeOf) {
    if (!offers.length) return;
    const texts = offers.flatMap(({ fields }) => Object.entries(fields));
    const long = texts.filter(([, text]) => text.length > LONGEST).map(([name]) => name);
    const missed = [...long, ...this.form.fill(Object.fromEntries(texts.map(([name, text]) => [name, long.includes(name) ? "" : text])))];
    const here = byInput(this.form.inputs());
    for (const offer of offers) {
      const { name } = offer.input;
      const { at, job } = timeOf(offer);
      this.times.set(name, { text: JSON.stringify(here.get(name)), at, job });
      if (missed.some((field) => field in offer.fields)) this.leaveOut(offer.input);
    }
  }

  /**
   * Another job is open, the same one was changed, or none is open: what stands here of the former follows.
   * @param {OpenJob | null} job
   */
  async setJob(job) {
    await this.begun;
    await this.look(); // Another job is another vehicle: what was typed for the one before does not stand in its way.
    const typed = new Set(this.values().filter((value) => !isFormer(value, this.bay)).map(({ name }) => name));
    const former = this.ofJob().map(({ name }) => name);
    this.job = job;
    this.agreed.clear();
    const inputs = (job?.inputs ?? []).filter(({ name }) => !typed.has(name));
    const gone = former.filter((name) => !job?.inputs.some((one) => one.name === name));
    const fields = Object.assign({}, ...gone.map((name) => this.example.get(name)), ...inputs.map((one) => one.fields));
    if (!this.link && gone.length + inputs.length) this.form.fill(fields, [...gone, ...inputs.map(({ name }) => name)]);
    const held = new Set(this.ofJob().map(({ name }) => name));
    const kept = this.keptHere().flatMap(({ values }) => values).filter((value) => this.isOfThis(value));
    if (kept.some(({ name }) => held.has(name))) return this.write(); // From now on the job keeps them.
    this.show();
  }

  /** The reader takes what the job holds. @param {Input[]} inputs */
  takeOfJob(inputs) {
    const wanted = (this.job?.inputs ?? []).filter(({ name }) => inputs.some((input) => input.name === name));
    this.form.fill(Object.assign({}, ...wanted.map(({ fields }) => fields)));
    this.write();
  }

  /** The reader takes an offer: from now on it is of this form, and of this vehicle. @param {Offer[]} offers */
  take(offers) {
    this.fill(offers, () => this.now());
    this.write();
  }

  /** Says whose values stand here, and what is offered. */
  show() {
    if (this.link) return this.sayLink(this.link);
    const values = this.values();
    const lines = [...this.saidOfJob(), ...this.saidHere(values), ...this.saidInJob(values), ...this.saidOffers(values)];
    lines[0]?.push(["Next vehicle", () => this.next.ask()]);
    const left = listed(this.leftOut.filter(({ name }) => values.every((value) => value.name !== name)).map(({ label }) => label));
    markFields(this.form.element, this.job, this.ofJob());
    if (this.linkLost) lines.unshift([this.form.calculator === JOB_SHEET ? NO_LINK_HERE : LINK_LOST, ["Go on without it", () => this.goOnWithoutLink()]]);
    showLines(this.line, [...this.next.lines, ...lines, ...(left ? [[`Left out, for it does not fit in here: ${left}.`]] : [])]);
  }

  /** @param {{otherRelease: boolean}} link */
  sayLink({ otherRelease }) {
    const words = otherRelease ? "From a link, made with another release of this handbook. " : "From a link. ";
    showLines(this.line, [[words, ["Keep them", () => keepFormer(this)], ["Not these", () => this.refuseLink()]]]);
  }

  sayLinkLost() {
    this.linkLost = true;
    this.show();
  }

  /** A link that cannot be read has been told of: loaded anew, the page does not say it again. */
  letLinkGo() {
    if (!this.linkLost) return;
    this.linkLost = false;
    history.replaceState(history.state, "", location.pathname + location.search);
  }

  goOnWithoutLink() {
    this.letLinkGo();
    this.show();
  }

  /** Back to what stood here before the link. */
  refuseLink() {
    this.link = null;
    this.fillExample();
    this.begun = this.look(true);
    this.setJob(this.job);
  }

  /** What stands here as the open job has it. @returns {Line[]} */
  saidOfJob() {
    const held = this.ofJob();
    if (!this.job || !held.length) return [];
    const shown = held.filter((input) => this.inJobByExample(input));
    const agreed = held.filter(({ name }) => this.agreed.has(name));
    const known = held.filter((input) => !shown.includes(input) && !agreed.includes(input));
    /** @type {(words: string, inputs: Input[], ...more: Line) => Line[]} */
    const said = (words, inputs, ...more) => (inputs.length ? [[`${words}: ${this.listOf(inputs)}. `, ...more]] : []);
    const lines = [
      ...said(this.jobWords("From"), known),
      ...said("In the job, but of a page’s example, not yours", shown, ["So here too", () => this.agree(shown)]),
      ...said("Yours in the job, too, once you put this answer into it", agreed),
    ];
    if (this.ofExample().length > shown.length && !this.values().length) lines.at(-1)?.push("The rest is the example’s. ");
    return lines;
  }

  /** The reader says that it is here as the example has it. @param {Input[]} inputs */
  agree(inputs) {
    inputs.forEach(({ name }) => this.agreed.add(name));
    this.show();
  }

  /** What the open job has otherwise than it was typed here. @param {Value[]} values @returns {Line[]} */
  saidInJob(values) {
    const other = (this.job?.inputs ?? []).filter(({ name }) => values.some((value) => value.name === name));
    const inputs = this.inputs.filter(({ name }) => other.some((one) => one.name === name));
    if (!inputs.length) return [];
    const fields = Object.assign({}, ...other.map((one) => one.fields));
    const list = listed(inputs.map((input) => inWords(this.form.element, input, fields)));
    const words = inputs.length > 1 ? "Use them" : "Use it";
    return [[`${this.jobWords("In")}: ${list}. `, [words, () => this.takeOfJob(inputs)]]];
  }

  /** @param {"From" | "In"} before */
  jobWords(before) {
    return `${before} the job “${this.job?.title}”, ${clock(this.job?.at ?? 0)}`;
  }

  /** Whose values stand here. @param {Value[]} values @returns {Line[]} */
  saidHere(values) {
    if (!values.length) return [];
    const said = [...byVehicle(values, this.bay)].flatMap(([whose, some]) => {
      const whole = some.filter((value) => !this.isLeftOut(value));
      const groups = /** @type {const} */ ([["", whole], [", without what does not fit in here", some.filter((value) => this.isLeftOut(value))]]);
      return groups.filter(([, them]) => them.length).map(([but, them]) => `${whose}, from ${span(them)}${but}: ${this.listOf(them)}. `);
    });
    const cleared = this.cleared ? "Cleared in another tab. " : "";
    const rest = this.ofExample().length ? "The rest is the example’s. " : "";
    return [[cleared, ...said, rest, ["Back to the example", () => this.backToExample()]]];
  }

  /** What is offered, this vehicle's before another's, the newest first. @param {Value[]} values What is typed here. @returns {Line[]} */
  saidOffers(values) {
    /** @type {Set<Input>} */
    const taken = new Set();
    const all = this.kept.flatMap((record) => this.offersOf(record, values).map((offer) => ({ ...offer, record })));
    const said = ownFirst(all, this.bay).flatMap((offers) => {
      const some = offers.filter(({ input }) => !taken.has(input));
      if (!some.length) return [];
      some.forEach(({ input }) => taken.add(input));
      const [whose] = byVehicle(some, this.bay).keys();
      const fields = Object.assign({}, ...some.map((offer) => offer.fields));
      const list = listed(some.map(({ input }) => inWords(this.form.element, input, fields)));
      const words = `${whose}${this.placeOf(some[0].record, some)}, from ${span(some)}: ${list}. `;
      return [/** @type {Line} */ ([words, [some.length > 1 ? "Use them" : "Use it", () => this.take(some)]])];
    });
    return said.slice(0, MOST_OFFERS);
  }

  /** Where values were typed, if not here. @param {Typed} record @param {Offer[]} values */
  placeOf(record, values) {
    if (!isOfForm(record, this.form)) return `, on “${record.title}”`;
    return record === this.own() && values.some(({ at }) => at > this.opened) ? ", in another tab" : "";
  }

  /** @param {Input[]} inputs */
  listOf(inputs) {
    const fields = this.form.inputs();
    return listed(inputs.map((input) => inWords(this.form.element, input, fields)));
  }

  /** Without a row more. */
  fillExample() {
    this.form.fill(this.form.example, this.inputs.map(({ name }) => name));
  }

  backToExample() {
    this.letLinkGo();
    this.fillExample();
    this.kept = this.kept.filter((record) => record !== this.own());
    this.leftOut = [];
    this.write();
    this.setJob(this.job); // What the open job holds goes before the example.
  }

  /** The reader has gone on to the next vehicle, at this form or at another of the page. @param {number} since */
  start(since) {
    clearTimeout(this.timer);
    this.timer = undefined;
    this.touched = false;
    this.next.lines = [];
    this.letLinkGo();
    this.written = false;
    this.times.clear();
    this.bay = { ...this.bay, since, open: "" };
    this.kept = [];
    this.leftOut = [];
    this.job = null;
    this.fillExample();
    this.show();
  }
}
