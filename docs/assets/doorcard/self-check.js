/**
 * `<doorcard-check>`: a question drawn anew each time, judged by Python; what was right stays on the device.
 *
 * The page holds one question with its hint already; this draws others and lets them be answered. What is asked stays,
 * with what was filled in, until it was right or another is drawn: the calculator that it sends to is another page.
 *
 * `<doorcard-done>`: how many checks of a block are done.
 */

import { engine } from "./calculator.js";
import { moment } from "./clock.js";
import { button, part, parts } from "./parts.js";
import { isText, membersOf } from "./records.js";
import * as state from "./state.js";

const SEEDS = 2 ** 31;
const BROKEN = "This could not be judged. Draw another question.";
const UNKEPT = "This browser does not keep it: it does not count yet. “Check” tries again.";

/** @typedef {{draw: number, given: Record<string, string>}} Asked A question, by its draw, and what was filled in. */

/** Under what it is kept. @param {string} check */
const idOf = (check) => `study:${check}`;

/** On which days a check was right. @param {import("./state.js").Typed | null | undefined} record */
const daysIn = (record) => record?.fields.days?.split(" ") ?? [];

/** @param {import("./state.js").Typed[]} records @param {string} check */
const recordOf = (records, check) => records.find(({ id }) => id === idOf(check));

class DoorcardCheck extends HTMLElement {
  draw = 0;

  connectedCallback() {
    if (this.dataset.alive) return;
    this.dataset.alive = "yes";
    part(this, "[data-buttons]", HTMLElement).append(button("Check", () => this.judge()), button("Another question", () => this.another()));
    this.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target instanceof HTMLInputElement) this.judge();
    });
    this.addEventListener("input", () => this.note());
    this.begin();
  }

  get question() {
    return part(this, "[data-question]", HTMLFieldSetElement);
  }

  get verdict() {
    return part(this, "[data-verdict-place]", HTMLElement);
  }

  get check() {
    return this.dataset.check ?? "";
  }

  /** @param {Record<string, string>} given */
  ask(given) {
    const inputs = { draw: String(this.draw), ...given };
    return engine().ask({ form: `check:${this.check}`, calculator: `check:${this.check}`, inputs });
  }

  /** Asks what this tab was asked last; at first what the page holds, and once that was right another. */
  async begin() {
    const left = this.left();
    this.put(left ?? { draw: Number(this.dataset.draw), given: {} });
    const days = await this.showKept();
    if (!left && days.length && !Object.values(this.given()).some(Boolean)) this.another();
  }

  another() {
    return this.put({ draw: Math.floor(Math.random() * SEEDS), given: {} });
  }

  /** Puts a question in place. @param {Asked} asked */
  async put({ draw, given }) {
    this.draw = draw;
    this.verdict.replaceChildren();
    const reply = await this.ask({});
    if (!this.isConnected || draw !== this.draw) return;
    if (!reply || !("html" in reply)) {
      this.verdict.textContent = engine().state.message || BROKEN;
      return;
    }
    this.question.innerHTML = reply.html ?? "";
    for (const field of this.fields) {
      if (field.type === "text") field.value = given[field.name] ?? "";
      else field.checked = given[field.dataset.name ?? ""] === field.value;
    }
    this.question.disabled = false;
    this.note();
  }

  get noted() {
    return `doorcard-check ${this.check}`;
  }

  /** Notes what is asked, for this tab. */
  note() {
    try {
      sessionStorage.setItem(this.noted, JSON.stringify({ draw: this.draw, given: this.given() }));
    } catch {
      // Another question is drawn on coming back.
    }
  }

  /** What was asked and not yet right. @returns {Asked | null} */
  left() {
    try {
      const { draw, given } = membersOf(JSON.parse(sessionStorage.getItem(this.noted) ?? ""));
      const texts = Object.entries(membersOf(given)).flatMap(([name, text]) => (isText(text) ? [[name, text]] : []));
      return Number.isSafeInteger(draw) ? { draw: Number(draw), given: Object.fromEntries(texts) } : null;
    } catch {
      return null;
    }
  }

  /** It was right: another is drawn on coming back. */
  letGo() {
    try {
      sessionStorage.removeItem(this.noted);
    } catch {
      // Nothing was noted.
    }
  }

  get fields() {
    return parts(this.question, "input", HTMLInputElement);
  }

  /** What is filled in and chosen. @returns {Record<string, string>} */
  given() {
    /** @type {Record<string, string>} */
    const given = { answer: "" };
    for (const field of this.fields) {
      if (field.type === "text") given[field.name] = field.value;
      else if (field.checked) given[field.dataset.name ?? ""] = field.value;
    }
    return given;
  }

  async judge() {
    if (this.question.disabled) return state.tryAgain();
    const reply = await this.ask(this.given());
    if (!reply || !this.isConnected) return;
    const errors = "errors" in reply ? reply.errors : [{ field: "answer", message: BROKEN }];
    for (const place of parts(this.question, "[data-error]", HTMLElement)) {
      const own = errors.find(({ field }) => field === place.dataset.error);
      place.textContent = own?.message ?? "";
      place.hidden = !own;
    }
    this.verdict.innerHTML = "html" in reply ? reply.html ?? "" : "";
    if (!this.verdict.querySelector("[data-verdict=right]")) return;
    this.question.disabled = true;
    await this.keepRight(moment().split(" ")[0]);
  }

  /** @param {string} day */
  async keepRight(day) {
    const id = idOf(this.check);
    const title = part(this, "h2", HTMLElement).textContent ?? "";
    await state.change(id, (record) => {
      const days = [...new Set([...daysIn(record), day])].slice(-9).join(" ");
      return state.note(id, state.STUDY, title, { days });
    });
    if (!state.isRefused(id)) return this.settle();
    this.showKept();
    const end = state.ifNothingIsKept((trouble) => {
      if (trouble || state.isRefused(id)) return;
      end();
      this.settle();
    });
  }

  /** The device has kept it: not before is the question let go, though it is off the page by then. */
  settle() {
    if (this.question.disabled) this.letGo(); // Else another was drawn meanwhile.
    this.showKept();
  }

  /** Says on which days it was right, and gives them. */
  async showKept() {
    const days = daysIn(recordOf((await state.recall()).records, this.check));
    const wanted = Number(this.dataset.days);
    const place = part(this, "[data-kept]", HTMLElement);
    const refused = state.isRefused(idOf(this.check));
    if (refused) place.textContent = UNKEPT;
    else if (!days.length) place.textContent = "";
    else if (days.length < wanted) place.textContent = `Right on ${days.at(-1)}. Once more on another day.`;
    else place.textContent = `Done: right on ${days.slice(-wanted).join(" and ")}.`;
    if (!refused) this.toggleAttribute("data-done", days.length >= wanted);
    const all = parts(document, "doorcard-check", DoorcardCheck);
    const count = document.querySelector("[data-study-count]");
    if (count) count.textContent = `${all.filter((check) => check.hasAttribute("data-done")).length} of ${all.length} done on this device.`;
    return days;
  }
}

class DoorcardDone extends HTMLElement {
  async connectedCallback() {
    const { records } = await state.recall();
    const checks = this.dataset.checks?.split(" ") ?? [];
    const days = checks.map((check) => daysIn(recordOf(records, check)).length);
    const done = days.filter((count) => count >= Number(this.dataset.days)).length;
    if (days.some(Boolean)) this.textContent = ` ${done} of ${checks.length} done on this device.`;
  }
}

customElements.define("doorcard-check", DoorcardCheck);
customElements.define("doorcard-done", DoorcardDone);
