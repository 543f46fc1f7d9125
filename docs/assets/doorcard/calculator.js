/**
 * `<doorcard-calculator>`: asks for a new answer at every keystroke and puts it under the form.
 *
 * The form and the first answer are in the page already; this only brings them to life. All
 * reading, checking and rendering is Python's.
 *
 * An answer stands only over the values it is for. From the first changed character until the reply
 * to exactly these fields it is marked, and out of print, copy and screen reader; where no reply can
 * come, it is gone.
 */

import { AnswerBar, figureOf } from "./answer-bar.js";
import { goToField, showErrors, showNotes } from "./beside-fields.js";
import { Engine } from "./engine.js";
import { builtValue, canHold, fieldsOf, isFile, letGoOfExampleCurves, typedValue } from "./fields.js";
import { InJob } from "./in-job.js";
import { JOB_SHEET, canBeShared, carriesFields, isLost, sharedBy } from "./links.js";
import { loadAnew, scriptFor } from "./load-anew.js";
import { MadeFiles } from "./made-files.js";
import { labelsOfExample, linesOf } from "./of-example.js";
import { button, pageTitle, part, parts, write } from "./parts.js";
import { patch } from "./patching.js";
import { addRow, removeRow, setRowCount, showLines, showRowUnits } from "./rows.js";
import { addActions, copy, copyTable, foldCode } from "./sharing.js";
import { changeSign, chooseWord, convertTyped, easeTyping, flatten } from "./typing.js";
import { Yours } from "./yours.js";

const QUIET = 1000; // Milliseconds without typing before a screen reader is told.
const REACH = 100; // Milliseconds after which an answer can be reached again, or pales: each has all of it styled or painted anew, and its reader would wait.
const LONG = 1000; // Milliseconds of work after which it is said, and can be stopped.
const WAITING = "Not worked out yet for your values.";
const BELOW = " The answer below is for other ones.";
const EXAMPLE = " The answer below is worked out for the values shown.";
/** Told by a form to whoever leads through it: its reply stands. */
export const ANSWERED = "doorcard-answered";
const OTHER_RELEASE = "This page is of another release than the calculators at hand. Load it anew.";
const FAILURE = "Something went wrong inside this calculator. Your values are still here.";

/** The engine of the tab, from the first form on; where a page has one, `early.js` has started it. */
export const engine = () => Object.assign((Engine.ofTab ??= new Engine()), { onState: tellAll });

/** The forms of the page that are alive; one that comes later asks for the state by itself. */
function liveForms() {
  return parts(document, "doorcard-calculator", DoorcardCalculator).filter((form) => form.answered !== undefined);
}

/** @param {import("./engine.js").EngineState} state */
function tellAll(state) {
  for (const element of liveForms()) element.showEngine(state);
}

/** @param {number} bytes */
const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

/** Starts the calculators again, for every form of the page. */
function tryAgain() {
  engine().start();
  for (const element of liveForms()) element.update();
}

addEventListener("online", () => Engine.ofTab?.state.phase === "unable" && tryAgain());

export class DoorcardCalculator extends HTMLElement {
  /** The fields that the answer shown is for, as text; none while the form is not alive. @type {string | undefined} */
  answered;
  /** The fields that are asked about, as text. @type {string | undefined} */
  asking;
  /** The result shown, as Python wrote it; none while the page's own stands. @type {string | undefined} */
  shown;
  /** @type {string | undefined} */
  lineShown;
  /** Says how far long work is. @type {HTMLElement | undefined} */
  working;
  files = /** @type {MadeFiles | undefined} */ (undefined);
  /** @type {Yours | undefined} */
  yours;
  inJob = /** @type {InJob | undefined} */ (undefined);
  typed = false;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  timer;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  longTimer;
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  reachTimer;
  /** @type {AnswerBar | undefined} */
  bar;
  /** The fields that were wrong in the last reply. @type {string[]} */
  wrong = [];
  /** The fields of the page's own example, as text. */
  example = "";
  /** A link has filled the fields, and nobody has changed them since. */
  fromLink = false;

  connectedCallback() {
    if (!import.meta.url.includes(`/${this.dataset.scripts}`)) {
      this.state.textContent = OTHER_RELEASE;
      return loadAnew();
    }
    this.example = this.answered = JSON.stringify(this.inputs(builtValue));
    this.bar = new AnswerBar(this, part(this, "[data-answer]", HTMLElement), () => engine().stop(this.form()));
    this.files = new MadeFiles(this.result, () => this.makeFiles(), () => labelsOfExample(this));
    easeTyping(this);
    this.addEventListener("focusin", () => this.showBar());
    this.addEventListener("input", ({ target }) => {
      letGoOfExampleCurves(this, target);
      this.hasTyped();
    });
    this.addEventListener("change", (event) => this.changed(event));
    this.addEventListener("click", (event) => this.clicked(event));
    addEventListener("hashchange", this.followLink);
    this.querySelector(".dc-form")?.removeAttribute("disabled");
    addActions(part(this, "[data-answer]", HTMLElement), {
      title: this.titleText, result: this.result,
      canBeShared: canBeShared(this.calculator),
      whose: (list) => linesOf(this, list),
      shared: () => ({ calculator: this.calculator, scripts: this.dataset.scripts ?? "", fields: this.inputs() }),
      codeOf: (link) => engine().codeOf(link),
    });
    this.update();
    for (const place of parts(this, "doorcard-recorder", HTMLElement)) scriptFor(place, import("./recorder.js"));
    if (this.calculator === "guided-tune") scriptFor(this, import("./guided.js")).then((script) => script?.lead(this));
    if (carriesFields()) this.followLink();
    else this.begin(null);
    if (this.calculator !== JOB_SHEET) this.inJob = new InJob(this, part(this, "[data-answer]", HTMLElement), engine());
  }

  /** Takes what the address carries, if it is for this form; a link may also be opened into a page that stands. */
  followLink = async () => {
    if (!carriesFields()) return;
    const shared = await sharedBy();
    if (!this.isConnected) return;
    if (shared?.calculator === this.calculator) return this.begin(shared);
    if (!this.yours) this.begin(null);
    if (isLost(shared, this)) this.yours?.sayLinkLost();
  };

  /** Puts in what a link brings, or what was typed here before. @param {import("./links.js").Shared | null} linked */
  begin(linked) {
    this.yours?.end();
    this.yours = new Yours({
      linked: linked && { otherRelease: linked.scripts !== this.dataset.scripts },
      element: this,
      id: this.form(),
      calculator: this.calculator,
      title: pageTitle() || this.titleText,
      inputs: () => this.inputs(),
      example: JSON.parse(this.example),
      fill: (fields, whole) => this.fill(fields, whole),
    });
    this.inJob?.give();
    if (!linked) return;
    this.fromLink = true;
    this.fill(linked.fields, parts(this, "[data-rows]", HTMLElement).map(({ dataset }) => dataset.rows ?? ""));
    this.scrollIntoView();
  }

  get titleText() {
    return part(this, ".dc-title", HTMLElement).textContent ?? "";
  }

  get result() {
    return part(this, "[data-result]", HTMLElement);
  }

  get line() {
    return part(this, "[data-engine]", HTMLElement);
  }

  get state() {
    return part(this, "[data-state]", HTMLElement);
  }

  get said() {
    return part(this, "[data-said]", HTMLElement);
  }

  /** Name of the calculator that the form asks. */
  get calculator() {
    return this.dataset.calculator ?? "";
  }

  disconnectedCallback() {
    this.yours?.end();
    this.inJob?.end();
    removeEventListener("hashchange", this.followLink);
    this.files?.show([]);
    for (const field of fieldsOf(this)) if (isFile(field)) letGo(field);
    this.bar?.end();
    clearTimeout(this.longTimer);
  }

  /** The reader has changed a field, or the rows. */
  hasTyped() {
    this.typed = true;
    this.fromLink = false;
    this.yours?.typed();
    this.update();
  }

  /**
   * Puts text into fields, as many rows as it has; of inputs that are whole no row stays that it has not.
   * @param {Record<string, string>} fields @param {string[]} [whole]
   * @returns {string[]} The names of those that are no fields here, or cannot hold their text.
   */
  fill(fields, whole = []) {
    for (const rows of parts(this, ".dc-rows", HTMLElement)) {
      const own = new RegExp(String.raw`^${rows.dataset.rows}\[(\d{1,4})\]`);
      const last = Math.max(-1, ...Object.keys(fields).map((name) => Number(name.match(own)?.[1] ?? -1)));
      if (last >= 0 || whole.includes(rows.dataset.rows ?? "")) setRowCount(rows, last + 1);
    }
    const missed = new Set(Object.keys(fields));
    for (const field of fieldsOf(this)) {
      const text = fields[field.name];
      if (text === undefined || !canHold(field, text)) continue;
      missed.delete(field.name);
      if (isFile(field)) letGo(field);
      field.value = text;
      if (field instanceof HTMLSelectElement) {
        field.dataset.was = text;
        showRowUnits(field);
      }
    }
    this.update();
    return [...missed];
  }

  /**
   * Typed text by field name.
   * @param {(field: import("./fields.js").Field) => string} [read]
   * @returns {Record<string, string>}
   */
  inputs(read = typedValue) {
    return Object.fromEntries(fieldsOf(this).map((field) => [field.name, read(field)]));
  }

  async update() {
    const inputs = this.inputs();
    const asking = JSON.stringify(inputs);
    // A field that is left tells again what it told at its last key.
    const asked = this.asking === asking ? null : this.ask(inputs, asking);
    showLines(this); // After the question: meanwhile it is worked on.
    this.showEngine(engine().state, asking);
    if (!asked) return;
    const reply = await asked;
    if (this.asking === asking) {
      this.asking = undefined;
      clearTimeout(this.longTimer);
    }
    if (reply && this.isConnected) this.show(reply, asking);
  }

  /** @param {Record<string, string>} inputs @param {string} asking The same, as text. */
  ask(inputs, asking) {
    this.asking = asking;
    clearTimeout(this.longTimer);
    this.longTimer = setTimeout(() => this.showWorking({ step: "Still working", share: 0 }), LONG);
    const onWorking = (/** @type {import("./messages.js").WorkingMessage} */ working) => this.showWorking(working);
    return engine().ask({ form: this.form(), calculator: this.calculator, inputs, example: asking === this.example, onWorking });
  }

  /**
   * Says how far long work is, and offers to stop it.
   * @param {{step: string, share: number}} working
   */
  showWorking({ step, share }) {
    if (!step || engine().state.phase !== "ready") return;
    this.working ??= document.createElement("span");
    this.working.textContent = share ? ` ${step}, ${Math.round(100 * share)} %. ` : ` ${step}. `;
    this.bar?.showWorking(this.working.textContent);
    if (this.working.isConnected) return;
    this.state.append(this.working, button("Stop", () => engine().stop(this.form())));
  }

  /** A name for this form among all forms of the tab. */
  form() {
    const all = [...document.querySelectorAll(`doorcard-calculator[data-calculator="${this.calculator}"]`)];
    return `${location.pathname}#${this.calculator}-${all.indexOf(this)}`;
  }

  /**
   * @param {import("./messages.js").Reply} reply
   * @param {string} answered The fields it is the reply to, as text.
   */
  show(reply, answered) {
    this.answered = answered;
    const { errors = [], notes = [] } = /** @type {Partial<import("./messages.js").Answered>} */ (reply);
    this.wrong = [...new Set(errors.map(({ field }) => field))];
    showErrors(this, errors); // What stands beside the fields is never of other values, even where no answer came.
    showNotes(this, notes);
    if (!("errors" in reply)) {
      this.dataset.live = "failure";
      this.showFailure(reply);
      this.showEngine(engine().state);
      return void this.dispatchEvent(new CustomEvent(ANSWERED, { detail: reply }));
    }
    const { files, html = "", said = "" } = reply;
    this.dataset.live = errors.length ? "errors" : "answer";
    this.showResult(html);
    this.files?.show(files);
    this.showEngine(engine().state);
    this.dispatchEvent(new CustomEvent(ANSWERED, { detail: reply }));
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      if (this.typed) this.said.textContent = [said, ...notes.map(({ message }) => message)].join(" ").trim();
    }, QUIET);
  }

  /**
   * Puts a new result in place; what the reader has unfolded stays unfolded.
   * @param {string} html
   */
  showResult(html) {
    if (this.shown === html) return;
    patch(this.result, html);
    this.shown = html;
    for (const place of parts(this.result, "doorcard-listening", HTMLElement)) scriptFor(place, import("./listening.js"));
  }

  /** Has the files of the answer that stands made, or says why they are not; a newer question overtakes this one. */
  async makeFiles() {
    const inputs = JSON.parse(this.answered || "{}");
    const reply = await engine().ask({ form: this.form(), calculator: this.calculator, inputs, want: ["files"], onWorking: (working) => this.showWorking(working) });
    if (!reply || !this.isConnected) return null;
    this.showEngine(engine().state); // How far it was is said no more.
    return "files" in reply ? reply.files : (reply.stopped ?? FAILURE);
  }

  /**
   * Asks beside the form, which is not touched: for something else of its answer, or another calculator.
   * @param {import("./messages.js").Want} want
   */
  beside(want, calculator = this.calculator, inputs = this.inputs()) {
    return engine().ask({ form: `${this.form()} ${want}`, calculator, inputs, want: [want] });
  }

  /**
   * One calm sentence in place of the answer, and the details for whoever wants to report them.
   * @param {import("./messages.js").Ended} reply
   */
  showFailure({ stopped = FAILURE, failure }) {
    const line = document.createElement("p");
    line.className = "dc-waiting";
    line.textContent = stopped;
    this.result.replaceChildren(line);
    this.shown = undefined;
    this.result.append(button("Try again", () => {
      this.answered = "";
      this.update();
    }));
    if (failure) this.result.append(button("Copy details", (pressed) => copy(failure, pressed)));
    if (this.typed) this.said.textContent = stopped;
  }

  /**
   * Shows how far the calculators are, and whether the answer shown is for what the fields hold.
   * @param {import("./engine.js").EngineState} state
   * @param {string} [here] What the fields hold, as text.
   */
  showEngine({ phase, message, loaded, total, details }, here = JSON.stringify(this.inputs())) {
    const current = here === this.answered;
    const bytes = phase === "starting" && loaded && loaded < total ? `, ${megabytes(loaded)} of ${megabytes(total)} MB` : "";
    const text = phase === "starting" && message ? `${message}${bytes}.` : message;
    const line = text && current ? text + EXAMPLE : text;
    if (this.lineShown !== line) {
      // Not built anew at each key: a button that goes away under a finger is never pressed.
      this.line.textContent = line;
      const copied = details ? [button("Copy details", (pressed) => copy(details, pressed))] : [];
      if (phase === "unable") this.line.append(button("Try again", tryAgain), ...copied);
      this.line.hidden = !line;
      this.lineShown = line;
    }
    this.showWhetherCurrent(current, phase === "unable");
  }

  /**
   * @param {boolean} current The answer shown is for what the fields hold.
   * @param {boolean} unable No other answer can come.
   */
  showWhetherCurrent(current, unable) {
    const answer = !this.result.querySelector(".dc-waiting");
    const words = current ? "" : WAITING + (answer && !unable ? BELOW : "");
    if (!words || this.state.firstChild?.textContent !== words) this.state.textContent = words;
    clearTimeout(this.reachTimer);
    if (current) this.result.removeAttribute("data-late");
    else this.result.inert = true;
    this.reachTimer = setTimeout(() => (this.result.inert = this.result.toggleAttribute("data-late", !current)), REACH);
    this.result.hidden = !current && unable;
    this.result.setAttribute("aria-busy", String(!current && !unable));
    if (unable) this.dataset.live = "unable";
    this.showWhose(current);
    if (current) return;
    foldCode(this);
    if (!unable) this.dataset.live = "stale";
    clearTimeout(this.timer);
    this.said.textContent = ""; // It told the answer for other values.
  }

  /**
   * Whose the answer is, in words, colour and form.
   * @param {boolean} current The answer shown is for what the fields hold.
   */
  showWhose(current) {
    const example = this.answered === this.example || this.ofNoRecording;
    this.toggleAttribute("data-example", example); // Beside a danger, and on paper, it must be known as well.
    const whose = this.whose(current, example);
    const own = example ? "Example" : this.fromLink ? "From a link" : `Yours, ${new Date().toTimeString().slice(0, 5)}`;
    const tag = { example: own, yours: own, danger: `Danger. ${own}`, error: "No answer", stale: "Not yet for your numbers" }[whose];
    if (this.dataset.whose === whose && this.whoseOf === this.answered) return this.showBar();
    this.dataset.whose = whose;
    this.whoseOf = this.answered;
    write(part(this, "[data-tag]", HTMLElement), tag);
    this.showBar();
  }

  /** The answer is of the page's own recording: that is nobody's, whatever else was typed. */
  get ofNoRecording() {
    const { field } = parts(this, "doorcard-recorder", HTMLElement)[0]?.dataset ?? {};
    return field !== undefined && !JSON.parse(this.answered || "{}")[field];
  }

  /** The fields that the state shown is of, as text. @type {string | undefined} */
  whoseOf;

  /**
   * @param {boolean} current
   * @param {boolean} example
   * @returns {import("./answer-bar.js").Whose}
   */
  whose(current, example) {
    if (!current) return "stale";
    if (this.result.querySelector(".dc-waiting")) return "error";
    if (this.result.querySelector(".dc-danger")) return "danger";
    return example ? "example" : "yours";
  }

  /** The bar says the main figure; of a list, the row that is being typed; of wrong fields, the first; or why there is none. */
  showBar() {
    const { whose = "example" } = this.dataset;
    const tag = part(this, "[data-tag]", HTMLElement).textContent ?? "";
    const answer = part(this, "[data-answer]", HTMLElement);
    if (whose === "error") {
      const field = fieldsOf(this).find(({ name }) => name === this.wrong[0]);
      const label = field?.labels?.[0]?.textContent ?? "";
      const told = field ? this.querySelector(`[data-error="${CSS.escape(field.name)}"]`) : this.result.querySelector(".dc-waiting");
      const name = label ? `See “${label}”` : "";
      return this.bar?.show({ whose, tag, name, figure: label ? `${this.wrong.length} to mend` : "None", words: told?.textContent ?? "", leadsTo: field ?? answer });
    }
    const said = figureOf(this, /** @type {HTMLElement | null} */ (this.result.querySelector(".dc-main")));
    this.bar?.show({ whose: /** @type {import("./answer-bar.js").Whose} */ (whose), tag, ...said, leadsTo: answer });
  }

  /** @param {Event} event */
  changed({ target }) {
    if (target instanceof HTMLInputElement && isFile(target)) return this.keepFile(target);
    if (target instanceof HTMLSelectElement && target.name.endsWith(":unit")) {
      convertTyped(target);
      showRowUnits(target);
      this.hasTyped();
    }
    this.update();
  }

  /** Hands a chosen file over to the worker; the one before it is let go. @param {HTMLInputElement} field */
  keepFile(field) {
    letGo(field);
    const files = [...(field.files ?? [])];
    const file = files.length > 1 ? new File(files.flatMap((each) => [each, "\n"]), `${files.length} files`) : files[0];
    const kept = file ? engine().keep(file) : { handle: "" };
    if ("handle" in kept) field.dataset.handle = kept.handle;
    else field.dataset.refused = kept.refused;
    this.hasTyped();
  }

  /** @param {Event} event */
  clicked({ target }) {
    const word = target instanceof Element && target.closest(".dc-beside > span");
    if (word) return chooseWord(word);
    const pressed = target instanceof Element ? target.closest("button") : null;
    if (pressed?.matches(".dc-copy")) return copyTable(pressed);
    if (pressed?.matches(".dc-about")) return goToField(this, pressed.dataset.about ?? "");
    if (pressed?.matches(".dc-flat")) return flatten(pressed);
    if (pressed?.matches(".dc-sign")) return changeSign(part(pressed.parentElement, "input", HTMLInputElement));
    const rows = pressed?.closest(".dc-rows");
    if (!(rows instanceof HTMLElement)) return;
    const row = pressed?.closest(".dc-row");
    if (pressed?.matches(".dc-add")) addRow(rows);
    else if (pressed?.matches(".dc-remove") && row instanceof HTMLElement) removeRow(row, () => this.hasTyped());
    else return;
    this.hasTyped();
  }
}

/** Lets go of the file that a field has. @param {import("./fields.js").Field} field */
function letGo(field) {
  if (field.dataset.handle) engine().forget(field.dataset.handle);
  field.dataset.handle = "";
  field.dataset.refused = "";
}

customElements.define("doorcard-calculator", DoorcardCalculator);
