/**
 * A form and the open job: what the job holds for it, and the button that puts its answer into the job.
 *
 * Python reads the job, fills the fields and makes the change; here it is only asked, told and kept.
 */

import { askJob, changedBy, faultOf } from "./ask-job.js";
import { moment } from "./clock.js";
import { fieldsOf, isFile, typedValue } from "./fields.js";
import { keepFormer, saidFormer } from "./former-values.js";
import { change, recall, saidOf, watch } from "./jobs.js";
import { addressed, button, field, keyOfAnswer, paragraph, part } from "./parts.js";
import { listed } from "./offers.js";

/** @typedef {import("./jobs.js").Job} Job */
/** @typedef {{by: string, reason: string}} Signed */

/** Opened from a folder, an address that ends with a slash shows a list of files. */
const JOB_PAGE = new URL(location.protocol === "file:" ? "../../job/index.html" : "../../job/", import.meta.url);

const PUT = "Put this answer into";
const BESIDE = "Put it in as another one";

/** Whose place an answer takes. @param {import("./ask-job.js").Told["place"]} place */
function placeWords(place) {
  if (!place) return "";
  return place.figure ? `, in place of “${place.name}” (${place.figure})` : `, as “${place.name}”`;
}

/** What a form says beside the field of a file that the job's answer rests on. @param {import("./ask-job.js").Chosen} chosen */
function asksFor({ name, file, size }) {
  const large = size < 1e5 ? `${size} bytes` : `${(size / 1e6).toFixed(1)} MB`;
  return { name, words: `The job’s answer rests on “${file}”, ${large}: to work it out again, choose that file.` };
}

/** The initials last typed in this tab. */
let initials = "";

export class InJob {
  /** @type {Job | null} */
  job = null;
  /** What the job holds for the form. @type {import("./yours.js").OpenJob | null} */
  held = null;

  /**
   * @param {import("./calculator.js").DoorcardCalculator} form
   * @param {HTMLElement} place Where its answer stands.
   * @param {import("./engine.js").Engine} engine
   */
  constructor(form, place, engine) {
    this.form = form;
    this.engine = engine;
    /** The facts that the form's inputs stand for, as JSON by input. */
    this.paths = form.dataset.job ?? "{}";
    /** The name of the job's answer that the form is for, where that is not the first of its kind. */
    const another = new URLSearchParams(location.hash.slice(1)).get(keyOfAnswer(form.calculator));
    this.another = another ?? "";
    this.element = document.createElement("div");
    this.element.className = "dc-job";
    this.element.hidden = true;
    this.words = paragraph();
    this.words.setAttribute("role", "status");
    // What is typed here is of no field of the form.
    for (const kind of ["input", "change"]) this.element.addEventListener(kind, (event) => event.stopPropagation());
    this.press = button(PUT, () => this.put());
    this.beside = button(BESIDE, () => this.askName());
    this.element.append(this.press, this.beside, this.words);
    place.append(this.element);
    /** What is said over the fields while the job's values are not in them yet. */
    this.reading = paragraph();
    this.reading.className = "dc-job-reading";
    this.reading.hidden = true;
    part(form, ".dc-title", HTMLElement).after(this.reading);
    if (another !== null && form === addressed()) form.scrollIntoView();
    /** How often it looks just now. */
    this.looking = 0;
    this.end = watch(() => this.look());
    this.look();
  }

  /** Looks which job is open, and gives the form what it holds; the element is busy meanwhile. */
  async look() {
    this.looking += 1;
    this.element.ariaBusy = "true";
    await this.lookAt();
    this.looking -= 1;
    this.element.ariaBusy = String(this.looking > 0);
  }

  async lookAt() {
    const { open } = await recall();
    if (open?.id === this.job?.id && open?.file === this.job?.file) return;
    if (open?.id !== this.job?.id) {
      this.say("");
      this.element.hidden = true; // Its button names the job before.
      this.sayReading(open ? `“${open.title}” is open, and its values are being read: what stands here is not from it yet.` : "");
    }
    this.job = open;
    const told = open && (await this.asked(open));
    this.held = open && { title: open.title, at: open.at, inputs: told?.inputs ?? [], files: (told?.chosen ?? []).map(asksFor) };
    if (this.job !== open) return;
    if (open) this.press.textContent = `${PUT} “${open.title}”${placeWords(told?.place)}`;
    this.beside.hidden = !told?.place;
    await this.give();
    if (this.job !== open) return;
    this.element.hidden = !open; // Before the job's values stand in the form its answer is not to be put in.
    this.sayReading(open && told?.errors.length ? `“${open.title}” is open, and nothing here is from it: ${faultOf(told)}` : "");
  }

  /** @param {string} words */
  sayReading(words) {
    this.reading.textContent = words;
    this.reading.hidden = !words;
  }

  /** @param {Job} job */
  async asked({ file }) {
    const { engine, form, paths, another } = this;
    return askJob(engine, "fields", { job: file, calculator: form.calculator, paths, another }, form.form());
  }

  /** Gives the form what the job holds. */
  give() {
    return this.form.yours?.setJob(this.held);
  }

  /** Puts the form's values and their answer into the job. @param {{by: string, reason: string, links?: string, another?: string}} [signed] */
  async put(signed = { by: "", reason: "" }) {
    const { job, form } = this;
    if (!job) return;
    const former = saidFormer(form.yours);
    if (former) return this.askFormer(former, signed);
    const inputs = {
      calculator: form.calculator,
      paths: this.paths,
      fields: JSON.stringify(form.inputs()),
      example: JSON.stringify(form.yours?.ofExample().map(({ name }) => name) ?? []),
      another: this.another,
      at: moment(),
      // A question that names a file waits until the calculators have it.
      ...Object.fromEntries(fieldsOf(form).filter(isFile).map((field) => [`file of ${field.name}`, typedValue(field)])),
      ...signed,
    };
    /** @type {import("./ask-job.js").Told} */
    let told = { errors: [] };
    const done = await change(job.id, form.titleText, async ({ file }) => {
      told = await askJob(this.engine, "put", { job: file, ...inputs }, form.form());
      return changedBy(told);
    });
    if (told.linked) return this.askLinks(faultOf(told), signed);
    if (told.locked) return this.askWhy(faultOf(told), signed);
    if (!done) return this.say(faultOf(told) || "It was not put in: press again.");
    const example = told.example?.length ? ` Of the page’s example, not yours: ${told.example.join("; ")}.` : "";
    const left = told.left?.length ? ` Not put in, for it follows from another answer: ${listed(told.left)}.` : "";
    const stale = told.stale?.length ? ` Out of date by now: ${listed(told.stale.map(({ name }) => name))}.` : "";
    const lost = (told.lost ?? []).map(({ name, why }) => ` No answer any more: ${name} (${why.replace(/\.$/, "")}).`).join("");
    const others = told.others?.length ? ` It rested on another file before: ${listed(told.others)}.` : "";
    const beside = told.beside?.length ? ` Keep beside it, for it is not in the job: ${listed(told.beside)}.` : "";
    const moved = told.moved?.length ? ` ${told.moved.join(" ")}` : "";
    const kept = saidOf((await recall()).open ?? job);
    this.say(`It is in the job “${job.title}”.${kept && ` ${kept}`}${beside}${moved}${others}${example}${left}${stale}${lost} `);
    const link = document.createElement("a");
    link.href = JOB_PAGE.href;
    link.textContent = "To the job";
    this.words.append(link);
  }

  /** What was typed for another vehicle goes into no job unasked. @param {string} words @param {Parameters<InJob["put"]>[0]} signed */
  askFormer(words, signed) {
    const agree = button("So here too", () => {
      if (this.form.yours) keepFormer(this.form.yours);
      this.put(signed);
    });
    this.words.replaceChildren(`${words} Is it so on “${this.job?.title}”? `, agree, " ", button("Leave it", () => this.say("")));
  }

  /** A job may have two of a kind, as a second feed: asks for the name of this one. */
  askName() {
    const name = field("Name of this one, as rear feed", 40);
    this.words.replaceChildren(name.label, button("Put it in under this name", () => {
      if (name.input.value.trim()) this.put({ by: "", reason: "", another: name.input.value.normalize() });
    }));
    name.input.focus();
  }

  /** A hold point closes what would be changed: asks for the reason. @param {string} words @param {{links?: string, another?: string}} asked */
  askWhy(words, { links = "", another = this.another }) {
    askReason(this.words, words, "Put it in with this reason", (signed) => this.put({ ...signed, links, another }));
  }

  /** A value was typed over another answer: asks which of them stands. @param {string} words @param {{reason: string, another?: string}} asked */
  askLinks(words, { reason, another = this.another }) {
    const cut = (/** @type {Signed} */ signed) => this.put({ ...signed, links: "cut", another });
    const fields = askReason(this.words, words, "Cut it, with this reason", cut);
    fields.reason.value = reason;
    const keep = () => this.put({ by: fields.by.value, reason: fields.reason.value, links: "keep", another });
    this.words.append(" ", button("Keep it linked", keep));
  }

  /** @param {string} words */
  say(words) {
    this.words.textContent = words;
  }
}

/**
 * Asks for a reason and initials.
 * @param {HTMLElement} place Where it is asked, in the place of what stands there.
 * @param {string} words Why it is asked.
 * @param {string} press
 * @param {(signed: Signed) => void} then
 */
export function askReason(place, words, press, then) {
  const [reason, by] = [field("Reason", 400), field("Initials", 20)];
  by.input.value = initials;
  const done = button(press, () => {
    initials = by.input.value;
    then({ by: by.input.value, reason: reason.input.value });
  });
  place.replaceChildren(`${words} `, reason.label, by.label, done);
  reason.input.focus();
  return { reason: reason.input, by: by.input };
}
