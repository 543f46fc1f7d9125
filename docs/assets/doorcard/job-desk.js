/**
 * `<doorcard-jobs>`: the jobs on this device, which of them is open, and what can be done with it as a whole.
 *
 * The open job stands as a file in the form of its page, which shows where it stands and makes its sheets; a file
 * chosen there by hand becomes a job of this device.
 */

import { askJob, changedBy, faultOf } from "./ask-job.js";
import { engine } from "./calculator.js";
import { moment } from "./clock.js";
import { askReason } from "./in-job.js";
import { entryFolds, wayTo } from "./job-entries.js";
import * as jobs from "./jobs.js";
import { canBeLinked } from "./links.js";
import { statusOf } from "./messages.js";
import { button, buttonFor, field, paragraph, part, parts, selection } from "./parts.js";
import { showTuning } from "./tuning-code.js";
import { replaceContent, unsentIn } from "./unsent.js";
import { forgetUnsent, keepUnsent, unsentFor } from "./unsent-of-job.js";

const FORM = "doorcard-calculator[data-calculator=job-sheet]";
const FILE = `${FORM} input[type=file]`;
const NOT_FETCHED = "The running job cannot be fetched here: keep the file that the line below names, and choose it.";
const FACTS_ALONE = "This is a file of facts alone, without a job sheet. Take it as a job? ";
const TOO_SLOW = "It was not changed, for another tab changed it meanwhile: press again.";
const TAKING_BACK = "taking back ";
const UNDELETED = "It could not be deleted here: clear this site’s data in the browser.";
const MOST_BYTES = 2_000_000; // As `calculators/job/reading.py` says.
const TOO_LARGE = "It is larger than 2 MB: this is no job file.";
const NOT_UTF8 = "It is not UTF-8 text.";
const PHOTOGRAPHS = "Photographs are not in this file.";
const NOT_PUT_IN = "Nor is what is typed here and not put in yet.";

/** @param {number} at */
const when = (at) => moment(new Date(at));

/** When a job was changed; of a file from elsewhere, when that says so and when it came. @param {jobs.Job} job */
function dated({ at, latest }) {
  if (latest === undefined) return `changed ${when(at)}`;
  return `${latest ? `last entry ${latest}` : "no entry with a date"}, came here ${when(at)}`;
}

/** A name for a job's file: the month and the job, and nobody's name. @param {jobs.Job} job */
function fileName({ title, at }) {
  const words = title.toLowerCase().replaceAll(/[^\p{L}\p{N}]+/gu, "-").replaceAll(/^-+|-+$/g, "");
  return `job-${when(at).slice(0, 7)}-${words || "untitled"}.json`;
}

/**
 * Why the day of a signature may be wrong: the device's clock says an earlier day than the job does.
 * @param {string} latest The last moment that the job tells. @param {number} at When it was last kept here.
 */
function doubtOfDay(latest, at) {
  const day = (/** @type {string} */ moment) => moment.split(" ")[0];
  const [today, last] = [day(moment()), day([latest, when(at)].sort()[1])];
  const words = `This device’s clock says ${today}, and the job was changed on ${last}: the day of this signature may be wrong.`;
  return last > today ? `${words} Set the clock right, or write the day by hand.` : "";
}

class DoorcardJobs extends HTMLElement {
  /** The job whose file stands in the form. @type {jobs.Job | null} */
  shown = null;
  /** What is to be said of how it is kept. */
  kept = "";
  /** The form's field is being filled from here. */
  filling = false;
  said = paragraph();
  /** What was deleted last: a line of its own, so that nothing else takes its Undo away. */
  deleted = paragraph();
  now = document.createElement("div");
  /** Where the open job stands, and what can be written into it; busy until that is told of the job as it is now. */
  standing = document.createElement("div");
  /** What was typed for the open job and not put into it, as it is kept on the device. @type {Record<string, string>} */
  left = {};
  list = document.createElement("ul");
  /** What a code of a sheet holds. */
  fromCode = document.createElement("div");
  readCode = () => showTuning(this.fromCode);
  /** Of the calculators, once they have answered. */
  release = "";
  /** The form's field for a file. @type {HTMLInputElement | undefined} */
  field;
  /** @type {(() => void) | undefined} */
  end;

  connectedCallback() {
    this.said.setAttribute("role", "status");
    this.deleted.setAttribute("role", "status");
    this.standing.addEventListener("click", (event) => this.standing.ariaBusy === "true" && event.stopPropagation(), true);
    this.standing.addEventListener("input", () => this.keepUnsent());
    const title = field("Name of a new job, without names of people", 60);
    const begin = button("Start a new job", () => this.begin(title.input.value));
    const first = paragraph(button("Open the running job", () => this.openRunning()));
    const second = paragraph(title.label, begin);
    this.replaceChildren(this.fromCode, this.said, this.deleted, this.now, this.standing, first, second, this.list);
    this.field = part(document, FILE, HTMLInputElement);
    this.field.addEventListener("change", () => this.choose());
    this.end = jobs.watch(() => this.show());
    this.show();
    addEventListener("hashchange", this.readCode);
    this.readCode();
  }

  disconnectedCallback() {
    removeEventListener("hashchange", this.readCode);
    this.end?.();
  }

  /** @param {string} question @param {Record<string, string>} inputs */
  ask(question, inputs) {
    return askJob(engine(), question, inputs, "job-desk");
  }

  /** @param {string} words */
  say(words) {
    this.said.textContent = words;
    if (words) this.said.scrollIntoView({ block: "nearest" });
  }

  /** Shows the open job, and all others. */
  async show() {
    const { jobs: all, open } = await jobs.recall();
    if (open?.id !== this.shown?.id) {
      this.standing.replaceChildren();
      if (this.said.querySelector("input, button")) this.say(""); // It was asked of the job before.
    }
    const kept = open ? jobs.saidOf(open) : "";
    if (open?.id !== this.shown?.id || open?.file !== this.shown?.file || kept !== this.kept) {
      this.shown = open;
      this.kept = kept;
      this.fillIn(open);
      this.showNow(open);
    }
    const others = all.filter(({ id }) => id !== open?.id);
    this.list.replaceChildren(...others.map((job) => this.lineOf(job)));
  }

  /** @param {jobs.Job} job */
  lineOf(job) {
    const line = document.createElement("li");
    line.append(`${job.title}, ${dated(job)} `, buttonFor("Open", job.title, () => jobs.open(job.id)), buttonFor("Delete", job.title, () => this.askDelete(job)));
    return line;
  }

  /** @param {jobs.Job} job */
  askDelete(job) {
    this.choice(`Delete “${job.title}”? `, ["Yes, delete it", () => this.delete(job)], ["No, leave it", () => {}]);
  }

  /**
   * Asks for a decision; what was asked goes with the answer.
   * @param {string} words
   * @param {...[label: string, action: () => unknown]} ways
   */
  choice(words, ...ways) {
    const buttons = ways.map(([label, action]) => button(label, () => {
      this.said.replaceChildren();
      action();
    }));
    this.said.replaceChildren(words, ...buttons);
    this.said.scrollIntoView({ block: "nearest" });
  }

  /** @param {jobs.Job | null} open */
  showNow(open) {
    const words = paragraph();
    this.now.replaceChildren(words);
    if (!open) return words.append("No job is open on this device.");
    words.append(`Open: ${open.title}, ${dated(open)}. `, this.kept ? `${this.kept} ` : "");
    words.append(button("Keep it as a file", () => this.export(open)), button("Close", () => jobs.open("")), button("Delete it here", () => this.askDelete(open)));
    if (open.before) words.append(button(`Take back: ${open.did}`, () => this.takeBack(open)));
    this.stand(open);
  }

  /** Says what is out of date in the open job, and which hold points can be signed. @param {jobs.Job} open */
  async stand(open) {
    this.standing.ariaBusy = "true";
    const [told, left] = await Promise.all([this.ask("stand", { job: open.file }), unsentFor(open.id)]);
    if (this.shown !== open) return;
    if (told.errors.length) {
      return this.now.append(paragraph(`Where it stands cannot be told. ${faultOf(told)} `, button("Try again", () => this.showNow(open))));
    }
    /** @type {HTMLElement[]} */
    const content = [];
    if (told.release && told.release !== this.release) {
      this.release = told.release;
      this.fillIn(open);
    }
    const stale = told.stale ?? [];
    const here = stale.filter(({ form }) => !form);
    if (here.length) {
      const names = here.map(({ name, why }) => `${name} (${why})`);
      content.push(paragraph(`Out of date: ${names.join("; ")}. `, button("Work them out again", () => this.renew(open))));
    }
    content.push(...stale.filter(({ form }) => form).map((answer) => byFile(answer)));
    if (told.finished) content.push(paragraph("This job is finished."));
    if (told.entries) {
      /** @type {import("./job-entries.js").Ask} */
      const ask = (did, question, inputs, fields) => this.change(open, did, question, { ...inputs, at: moment() }, { fields });
      content.push(...entryFolds(told.entries, ask, (words, ...ways) => this.choice(words, ...ways)));
    }
    if (told.open?.length) content.push(this.signing(open, told.open, told.latest ?? ""));
    if (told.last) {
      const { point, words } = told.last;
      const unsign = () => this.change(open, `${point} no longer signed`, "unsign", { point, by: "", at: moment() });
      content.push(paragraph(`Signed last: ${point}, by ${words}. `, button("Take the signature back", unsign)));
    }
    if (told.customer) content.push(button("Erase the customer, for good", () => this.erase(open)));
    if (!this.standing.hasChildNodes()) this.left = left;
    replaceContent(this.standing, content, this.standing.hasChildNodes() ? {} : left);
    this.standing.ariaBusy = "false";
    this.keepUnsent();
  }

  /** Keeps what is typed and not put in yet: the page may be left, or another job opened, before it is. */
  keepUnsent() {
    const now = unsentIn(this.standing);
    if (!this.shown || JSON.stringify(now) === JSON.stringify(this.left)) return;
    keepUnsent(this.shown.id, this.left, now);
    this.left = now;
  }

  /** What is signed is told before it is. @param {jobs.Job} open @param {import("./ask-job.js").OpenPoint[]} points @param {string} latest */
  signing(open, points, latest) {
    const place = document.createElement("div");
    const { label, select } = selection("Hold point", "point", points.map(({ point, what }) => [`${point}, ${what}`, point]));
    const told = document.createElement("div");
    const show = () => told.replaceChildren(...this.signed(open, points[select.selectedIndex], latest));
    select.onchange = show;
    place.append(label, told);
    show();
    return place;
  }

  /** What a signature closes, and the fields for it; or what stands in its way. @param {jobs.Job} open @param {import("./ask-job.js").OpenPoint} point @param {string} latest */
  signed(open, { point, lines, stops, two, of_example: ofExample }, latest) {
    const doubt = stops.length ? "" : doubtOfDay(latest, open.at);
    const told = [...lines, ...(doubt ? [doubt] : []), ...(stops.length ? ["It cannot be signed yet."] : []), ...stops].map((words) => paragraph(words));
    if (stops.length) return told;
    const by = field("Initials of who did not do the work", 20);
    const other = field("Initials of the other one", 20);
    const why = field("Why values of an example are signed", 200);
    [by.input.name, other.input.name, why.input.name] = [`${point} by`, `${point} other`, `${point} reason`];
    const press = button("Sign", () => this.sign(open, point, by.input.value, two ? other.input.value : "", ofExample ? why.input.value : ""));
    return [...told, paragraph(by.label, ...(two ? [other.label] : []), ...(ofExample ? [why.label] : []), press)];
  }

  /** @param {jobs.Job} job @param {string} point @param {string} by @param {string} second @param {string} reason */
  sign(job, point, by, second, reason) {
    return this.change(job, `${point} signed`, "sign", { point, by, second, reason, at: moment() });
  }

  /** @param {jobs.Job} job */
  renew(job) {
    return this.change(job, "answers worked out again", "renew", { at: moment() });
  }

  /** Nothing of the device holds who it was from here on. @param {jobs.Job} job */
  erase(job) {
    const done = () => {
      parts(this.standing, "input", HTMLInputElement).forEach((input) => (input.value = input.defaultValue));
      this.left = {};
      forgetUnsent(job.id);
    };
    return this.change(job, "customer erased", "erase", {}, { back: false, done });
  }

  /** @param {jobs.Job} job */
  takeBack(job) {
    // What takes a taking back away does the change again.
    const did = job.did.startsWith(TAKING_BACK) ? job.did.slice(TAKING_BACK.length) : TAKING_BACK + job.did;
    return this.change(job, did, "take-back", { before: job.before, at: moment() });
  }

  /**
   * Makes a change; behind a hold point a reason is asked for first.
   * @param {{id: string}} job
   * @param {string} did
   * @param {string} question
   * @param {Record<string, string>} inputs
   * @param {{back?: boolean, fields?: HTMLInputElement[], done?: () => void}} [how] Whether it can be taken back, what fields
   *   it sends, and what follows once it is made.
   */
  async change({ id }, did, question, inputs, how = {}) {
    const { back, fields = [] } = how;
    const sent = fields.map(({ value }) => value);
    this.say("");
    let locked = false;
    const done = await jobs.change(id, did, async ({ file }) => {
      const told = await this.ask(question, { job: file, ...inputs });
      locked = Boolean(told.locked);
      this.say(faultOf(told));
      return changedBy(told);
    }, back);
    if (done) {
      fields.forEach((input, number) => (input.defaultValue = sent[number]));
      how.done?.();
    } else if (!this.said.textContent) this.say(TOO_SLOW);
    if (!locked) return;
    const words = this.said.textContent ?? "";
    askReason(this.said, words, "Do it with this reason", (signed) => this.change({ id }, did, question, { ...inputs, ...signed }, how));
  }

  /** Opens what a question gives as a job of its own; which other has its name is said. @param {string} question @param {Record<string, string>} inputs */
  async take(question, inputs) {
    const told = await this.ask(question, inputs);
    const made = changedBy(told);
    if (!made) {
      this.say(faultOf(told));
      return told;
    }
    const others = (await jobs.recall()).jobs.filter(({ title, file }) => title === made.title && file !== made.file);
    await jobs.add({ ...made, latest: told.latest });
    this.say(others.map((job) => `Another job of this name is on this device: ${dated(job)}.`).join(" "));
    return told;
  }

  /** Says why a file was not taken, and leads back from it to the open job. @param {string} words */
  refuse(words) {
    const { shown } = this;
    if (shown) this.choice(`${words} `, [`Show “${shown.title}” again`, () => this.fillIn(this.shown)]);
    else this.say(words);
  }

  /** The running job's file. */
  async running() {
    const reply = await fetch(new URL(this.dataset.job ?? "", document.baseURI)).catch(() => null);
    if (reply?.ok && statusOf(reply) !== 404) return reply.text();
    this.say(NOT_FETCHED);
    return null;
  }

  async openRunning() {
    const file = await this.running();
    if (file) await this.take("take", { job: file, at: moment() });
    this.field?.scrollIntoView({ block: "center" });
  }

  /** A new job asks for what the running job asks for. @param {string} title */
  async begin(title) {
    if (!title.trim()) return this.say("Type a name for it first.");
    const file = await this.running();
    if (file) await this.take("new", { job: file, title });
  }

  /** A file chosen by hand; what is no job is refused beside its field, and the open job stays as it is. */
  async choose() {
    const file = this.filling ? undefined : this.field?.files?.[0];
    if (!file) return;
    if (file.size > MOST_BYTES) return this.refuse(TOO_LARGE);
    const bytes = await file.arrayBuffer();
    const text = utf8(bytes);
    if (text === null) this.refuse(NOT_UTF8);
    else await this.takeFile(text);
  }

  /** A file from elsewhere becomes a job; what stands in it was checked by nobody here. @param {string} file @param {string} sure */
  async takeFile(file, sure = "") {
    const told = await this.take("take", { job: file, sure, at: moment() });
    const leave = () => this.shown && this.fillIn(this.shown);
    if (told.factsAlone) this.choice(FACTS_ALONE, ["Take it", () => this.takeFile(file, "yes")], ["Leave it", leave]);
    else if (told.errors.length) this.refuse(faultOf(told));
    if (told.signed?.length) this.say(`${this.said.textContent} Signed elsewhere, not checked here: ${told.signed.join("; ")}.`.trim());
  }

  /** @param {jobs.Job} job */
  async delete({ id, title }) {
    const left = await unsentFor(id);
    const isShown = this.shown?.id === id;
    const { gone, was } = await jobs.remove(id);
    if (!gone) return this.deleted.replaceChildren(UNDELETED);
    forgetUnsent(id);
    this.deleted.replaceChildren(`Deleted: ${title}. `);
    if (was) this.deleted.append(button("Undo", async () => {
      this.deleted.replaceChildren();
      if (Object.keys(left).length) keepUnsent(id, {}, left); // Before the job: its page looks for it.
      const opens = isShown && !this.shown;
      if (opens) await jobs.open(""); // What was typed since is not this job's.
      await jobs.put(was);
      if (opens) await jobs.open(id);
    }));
  }

  /** @param {jobs.Job} job */
  export(job) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([job.file], { type: "application/json" }));
    link.download = fileName(job);
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
    this.say(Object.keys(unsentIn(this.standing)).length ? `${PHOTOGRAPHS} ${NOT_PUT_IN}` : PHOTOGRAPHS);
  }

  /**
   * What stands on its sheets besides the job: the address that the codes lead to, for from a folder they would lead
   * nowhere on another phone; the shop whose copy this is; the release.
   * @param {Element | null} form The desk's own: the page may have been left meanwhile.
   */
  fillInSheets(form) {
    const shop = document.querySelector(".dc-shop p");
    const told = {
      address: canBeLinked ? new URL("../", location.href).href : "",
      shop: shop instanceof HTMLElement ? shop.innerText.split("\n").join(", ") : "",
      release: this.release,
    };
    for (const [name, words] of Object.entries(told)) {
      if (words) part(form, `[name=${name}]`, HTMLInputElement).value = words;
    }
  }

  /** Puts the open job into the form, as a file chosen by hand. @param {jobs.Job | null} job */
  fillIn(job) {
    const { field: place } = this;
    if (!place || (!job && !place.dataset.handle)) return;
    const chosen = new DataTransfer();
    if (job) chosen.items.add(new File([job.file], fileName(job), { type: "application/json" }));
    place.files = chosen.files;
    this.fillInSheets(place.closest(FORM));
    this.filling = true;
    place.dispatchEvent(new Event("change", { bubbles: true }));
    this.filling = false;
  }
}

/** Nothing where bytes are no UTF-8: read all the same, letters would be lost for good. @param {ArrayBuffer} bytes */
function utf8(bytes) {
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    return null;
  }
}

/** What is out of date and rests on a file, with the way to its form. @param {import("./ask-job.js").Stale} answer */
function byFile({ name, why, form, files }) {
  const line = paragraph(`Out of date: ${name} (${why}). `);
  const way = form && wayTo(form, "Open its form");
  if (way) line.append(way, `, choose ${files.map((file) => `“${file}”`).join(" and ")} there, and put the answer in again.`);
  return line;
}

customElements.define("doorcard-jobs", DoorcardJobs);
