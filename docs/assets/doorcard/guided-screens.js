/**
 * The screens of the guided tune: what stands on each, and how it is drawn. What it is all about, `guided.js` says.
 */

import { endRun } from "./guided-forms.js";
import { sheetShown } from "./guided-sheet.js";
import { button, part, parts } from "./parts.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {{stage: string, next_step: string, speaker: string, point: number | null, swept_from: number, done: number, of: number, time_left: number, acts: {act: string}[], doubts: {speaker: string, point: number, why: string}[]}} Standing What Python says. */
/** @typedef {[words: string, action: () => void, large?: boolean]} Way A button. */
/**
 * @typedef {object} Screen
 * @property {string} form The calculator whose form stands on it.
 * @property {string} go The words of its one large button; none where there is nothing to go on with.
 * @property {string} waits Why that cannot be pressed yet.
 * @property {string[]} [fields] The inputs that are asked for here; all, if it does not say.
 * @property {string} [title] What it says first; what Python says comes next, if it does not say.
 */
/**
 * @typedef {object} View What is shown.
 * @property {boolean} on One step a screen, not the whole page.
 * @property {Screen} screen
 * @property {Standing | null | undefined} standing
 * @property {boolean} may The large button may be pressed.
 * @property {import("./offers.js").Input[]} examples What of the plan is still the page's example.
 * @property {string} waits Why not.
 * @property {boolean} full All fields of the form are shown.
 * @property {boolean} refused The device keeps nothing.
 * @property {boolean} asked The reader is asked whose tune counts: until then nothing is kept.
 * @property {(string | Way)[]} told What there is to say, and to answer.
 * @property {string} onWhom On which job it is, in words; nothing where it is of none.
 * @property {string} sheet The sheet that is kept, as data; none before the tune.
 * @property {Way} starter
 * @property {Way[]} ways
 * @property {Way[]} runs Those that are kept, and what measures each once more.
 */

const PLAN = "guided-tune";
export const FORMS = Object.freeze(["response", "tune", "read-back", PLAN]);
/** The plan's own table of the sheet. */
const SHEET = '[data-result] .dc-table-block:has([aria-label="The sheet"])';
const RECORD = "Record above. This opens once the answer calls the run good enough.";
/** How a field is marked that is to be typed on this screen, and was not yet: that is no mistake. */
const OPEN = " ";
/** By the stages that Python names. @type {Readonly<Record<string, Screen>>} */
export const SCREENS = Object.freeze({
  "level check": {
    form: "response",
    go: "The level is right, go on",
    waits: "Record above. This opens once a run was neither too loud nor too quiet, and its answer stands.",
    fields: ["recording", "correction"],
  },
  measure: { form: "response", go: "Keep this run, go on", waits: RECORD, fields: ["recording"] },
  tune: {
    form: "tune",
    go: "Take this sheet, go on",
    waits: "This opens once the sheet stands above.",
    fields: ["channels", "filters", "turn_bass", "turned"],
  },
  "read back": { form: "read-back", go: "Every line agrees, go on", waits: "This opens once every line agrees." },
  "measure again": { form: "response", go: "Keep this run, go on", waits: RECORD, fields: ["recording"] },
  finished: { form: PLAN, go: "", waits: "", fields: [] },
});
/** @type {Screen} */
export const SET_UP = Object.freeze({
  title: "First this vehicle’s channels, with the crossovers that are loaded",
  form: PLAN,
  go: "These are this vehicle’s, go on",
  waits: "Mend what is marked above.",
  fields: ["channels", "points", "microphone", "bass_gain", "tilt"],
});
/** The calculators have not said yet where the way is. @type {Screen} */
export const WAITING = Object.freeze({ title: "Taking up where you were …", form: "", go: "", waits: "" });
/** The plan refuses something that was kept: how to mend that is said on the card. @type {Screen} */
export const REFUSED = Object.freeze({ title: "What was kept last does not fit: mend that first", form: "", go: "", waits: "" });
const WORDS = Object.freeze({
  example: "Of the page’s example until you change it",
  goWithExample: "This vehicle has the example’s channels, go on",
  ways: "Other ways, and the runs so far",
  again: "Measure again",
  cautions: "Cautions",
  warning: "Read first what the answer warns of",
  wait: "Wait: the answer above is for other values.",
  kept: "Kept on this device.",
  asked: "Not kept until you choose.",
  refused: "This browser keeps nothing: finish without closing this page, and save the files that the answers offer.",
});

/** @param {string} kind @param {string} words */
const element = (kind, words) => Object.assign(document.createElement(kind), { textContent: words });

/** @param {string} kind @param {string} name A class. @param {Node[]} within */
function block(kind, name, ...within) {
  const made = Object.assign(document.createElement(kind), { className: name });
  made.append(...within);
  return made;
}

/**
 * Draws what has changed: a button that goes away under a finger is never pressed.
 * @param {HTMLElement} place
 * @param {unknown[]} words What it shows.
 * @param {() => (Node | string)[]} make
 */
function redraw(place, words, make) {
  const text = JSON.stringify(words);
  if (place.dataset.shown === text) return;
  place.dataset.shown = text;
  place.replaceChildren(...make());
}

/** @param {Way} way */
function buttonOf([words, action, large]) {
  const made = button(words, action);
  if (large) made.classList.add("dc-guide-large");
  return made;
}

/** The form of a calculator. @param {HTMLElement} article @param {string} name */
export function formIn(article, name) {
  return /** @type {DoorcardCalculator} */ (part(article, `doorcard-calculator[data-calculator="${name}"]`, HTMLElement));
}

export class Screens {
  /** @param {HTMLElement} article @param {() => void} go What the large button does. */
  constructor(article, go) {
    this.article = article;
    this.title = block("p", "dc-guide-now");
    this.title.setAttribute("role", "status");
    this.title.tabIndex = -1;
    this.progress = document.createElement("progress");
    this.progress.setAttribute("aria-label", "Runs done");
    this.left = document.createElement("p");
    this.told = document.createElement("p");
    this.told.setAttribute("role", "status");
    this.acts = document.createElement("ol");
    this.start = block("p", "dc-guide-start");
    this.sheet = document.createElement("div");
    this.card = block("section", "dc-guide", this.title, this.progress, this.left, this.told, this.acts, this.sheet, this.start);
    this.why = document.createElement("p");
    this.goer = button("", go);
    this.goer.classList.add("dc-guide-go");
    this.bar = block("section", "dc-guide-bar", this.why, this.goer);
    this.bar.hidden = true; // Its button has no words before the first screen.
    this.ways = document.createElement("p");
    this.ways.className = "dc-walk";
    this.runs = document.createElement("ul");
    this.more = block("details", "dc-guide", element("summary", WORDS.ways), this.ways, this.runs);
    const cautions = parts(article, ":scope > .dc-cautions", HTMLElement).map((shown) => shown.cloneNode(true));
    this.cautions = block("details", "dc-guide", element("summary", WORDS.cautions), ...cautions);
    part(article, ":scope > h1 ~ :is(p, h2)", HTMLElement).before(this.card);
    article.append(this.more, this.cautions, this.bar);
  }

  /** The reader is led to the head of the screen. */
  begin() {
    this.title.focus({ preventScroll: true });
    (this.article.matches(".dc-guided") ? this.article : this.card).scrollIntoView();
  }

  /** @param {View} view */
  show({ on, screen, standing, may, examples, waits, full, refused, asked, told, onWhom, sheet, starter, ways, runs }) {
    this.article.classList.toggle("dc-guided", on);
    for (const name of FORMS) this.showForm(name, on && name === screen.form, full ? undefined : screen.fields);
    const { next_step = "", done = 0, of = 0, time_left = 0, acts = [] } = standing ?? {};
    const setUp = screen === SET_UP;
    const { title = next_step } = screen;
    if (this.title.textContent !== title) this.title.textContent = title;
    this.title.hidden = this.left.hidden = this.more.hidden = this.cautions.hidden = !on;
    this.progress.hidden = !on || setUp || !of;
    this.progress.max = of || 1;
    this.progress.value = done;
    const minutes = Math.ceil(time_left / 60);
    const far = setUp || !of ? "" : `${done} of ${of} runs done${onWhom}${minutes ? `; about ${minutes} min of runs left` : ""}. `;
    const untouched = setUp ? examples.filter(({ name }) => screen.fields?.includes(name)) : [];
    const whose = untouched.length ? `${WORDS.example}: ${untouched.map(({ label }) => label).join("; ")}. ` : "";
    this.left.textContent = far + whose + (refused ? WORDS.refused : asked ? WORDS.asked : WORDS.kept);
    redraw(this.told, told, () => told.map((one) => (typeof one === "string" ? one : buttonOf(one))));
    this.told.hidden = !told.length;
    this.acts.hidden = !on || setUp;
    redraw(this.acts, acts, () => acts.map(({ act }) => element("li", act)));
    const table = sheet ? /** @type {HTMLElement | null} */ (formIn(this.article, PLAN).querySelector(SHEET)) : null;
    const own = screen.form === PLAN; // Its answer has the table.
    redraw(this.sheet, [sheet, own, table?.outerHTML], () => (table ? sheetShown(sheet, table, own) : []));
    this.sheet.hidden = !on || setUp || screen.form === "response";
    redraw(this.start, [starter], () => [buttonOf(starter)]);
    this.start.hidden = on;
    this.bar.hidden = !on || !screen.go;
    this.goer.textContent = untouched.some(({ name }) => name === "channels") ? WORDS.goWithExample : screen.go;
    this.goer.toggleAttribute("disabled", !may);
    const warned = may || screen.form === "response" ? this.warning(screen.form) : null; // A run that is not good enough is read, too.
    const words = may ? "" : waits;
    redraw(this.why, [words, warned && screen.form], () => [words, ...(warned ? [" ", button(WORDS.warning, () => this.readWarning(screen.form))] : [])]);
    redraw(this.ways, ways, () => ways.map(buttonOf));
    redraw(this.runs, runs, () => runs.map(([words, action]) => block("li", "", new Text(`${words} `), button(WORDS.again, action))));
  }

  /** The answer is not there yet: the button was pressed in vain. */
  wait() {
    redraw(this.why, [WORDS.wait], () => [WORDS.wait]);
  }

  /** Nobody goes on past what an answer warns of, and has not been told. @param {string} name */
  warning(name) {
    return /** @type {HTMLElement | null} */ (formIn(this.article, name).querySelector("[data-answer]:not(.dc-away) [data-result] .dc-advice"));
  }

  /** The warning may stand far from the button, above or below what is on the screen. @param {string} name */
  readWarning(name) {
    const warning = this.warning(name);
    if (!warning) return;
    warning.tabIndex = -1;
    warning.focus({ preventScroll: true });
    warning.scrollIntoView({ block: "center" });
  }

  /**
   * Of a form that fills itself only what is asked for is shown.
   * @param {string} name
   * @param {boolean} shown
   * @param {string[] | undefined} fields All, if it does not say.
   */
  showForm(name, shown, fields) {
    const form = formIn(this.article, name);
    form.closest("article > *")?.toggleAttribute("data-guided", shown);
    const asked = fields?.map((field) => `[data-input="${field}"], [data-field="${field}"]`).join(", ");
    for (const field of form.querySelectorAll(".dc-form > *")) {
      const own = !asked || field.matches(asked) || field.querySelector(asked);
      field.classList.toggle("dc-away", shown && fields !== undefined && !(fields.length && own));
    }
    if (name === "read-back") parts(form, ".dc-row input:not([placeholder])", HTMLInputElement).forEach((field) => (field.placeholder = OPEN));
    const examples = name === "response" && !form.inputs().recording;
    part(form, "[data-answer]", HTMLElement).classList.toggle("dc-away", shown && examples);
    if (name !== "response" || shown || !this.article.matches(".dc-guided")) return;
    endRun(form, ""); // Nobody sees it any more.
  }
}
