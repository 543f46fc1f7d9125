/**
 * `<doorcard-check>`: a question drawn anew each time, judged by Python; what was right stays on the device.
 *
 * The page holds one question with its hint already; this draws others and lets them be answered.
 */

import { engine } from "./calculator.js";
import { button, part, parts } from "./parts.js";
import * as state from "./state.js";

const SEEDS = 2 ** 31;
const BROKEN = "This could not be judged. Draw another question.";

class DoorcardCheck extends HTMLElement {
  draw = 0;

  connectedCallback() {
    if (this.dataset.alive) return;
    this.dataset.alive = "yes";
    part(this, "[data-buttons]", HTMLElement).append(button("Check", () => this.judge()), button("Another question", () => this.another()));
    this.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && event.target instanceof HTMLInputElement) this.judge();
    });
    this.showKept();
    this.another();
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

  /** Puts another question in place. */
  async another() {
    this.draw = Math.floor(Math.random() * SEEDS);
    this.verdict.replaceChildren();
    const reply = await this.ask({});
    if (!this.isConnected) return;
    if (!reply || !("html" in reply)) {
      this.verdict.textContent = engine().state.message || BROKEN;
      return;
    }
    this.question.innerHTML = reply.html ?? "";
    this.question.disabled = false;
  }

  /** What is filled in and chosen. @returns {Record<string, string>} */
  given() {
    /** @type {Record<string, string>} */
    const given = { answer: "" };
    for (const field of parts(this.question, "input", HTMLInputElement)) {
      if (field.type === "text") given[field.name] = field.value;
      else if (field.checked) given[field.dataset.name ?? ""] = field.value;
    }
    return given;
  }

  async judge() {
    if (this.question.disabled) return;
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
    await this.keepRight();
    this.showKept();
  }

  /** Which days it was right on. @returns {Promise<string[]>} */
  async days() {
    const kept = (await state.recall()).records.find(({ id }) => id === `study:${this.check}`);
    return kept?.fields.days?.split(" ") ?? [];
  }

  async keepRight() {
    const today = new Date().toISOString().slice(0, 10);
    const days = [...new Set([...(await this.days()), today])].slice(-9).join(" ");
    const title = part(this, "h2", HTMLElement).textContent ?? "";
    await state.keep({ id: `study:${this.check}`, calculator: state.STUDY, title, at: Date.now(), fields: { days }, values: [] });
  }

  async showKept() {
    const days = await this.days();
    const wanted = Number(this.dataset.days);
    const place = part(this, "[data-kept]", HTMLElement);
    if (!days.length) place.textContent = "";
    else if (days.length < wanted) place.textContent = `Right on ${days.at(-1)}. Once more on another day.`;
    else place.textContent = `Done: right on ${days.slice(-wanted).join(" and ")}.`;
    this.toggleAttribute("data-done", days.length >= wanted);
    const all = parts(document, "doorcard-check", DoorcardCheck);
    const count = document.querySelector("[data-study-count]");
    if (count) count.textContent = `${all.filter((check) => check.hasAttribute("data-done")).length} of ${all.length} done on this device.`;
  }
}

customElements.define("doorcard-check", DoorcardCheck);
