/**
 * `<doorcard-calculator>`: asks for a new answer at every keystroke and puts it under the form.
 *
 * The form and the first answer are in the page already; this only brings them to life. All
 * reading, checking and rendering is Python's.
 */

import { Engine } from "./engine.js";
import { keepHandbook } from "./keeping.js";
import { addRow, removeRow, showRowUnits } from "./rows.js";

const QUIET = 1000; // Milliseconds without typing before a screen reader is told.
const FAILURE = "Something went wrong inside this calculator. Your values are still here.";

/** One engine for all pages of the tab: it outlives instant navigation. @type {Engine | null} */
let engine = null;

/** @param {import("./engine.js").EngineState} state */
function tellAll(state) {
  // One that the browser has not made into its class yet asks for the state when it is.
  for (const element of document.querySelectorAll("doorcard-calculator:defined")) {
    /** @type {DoorcardCalculator} */ (element).showEngine(state);
  }
}

/** @param {number} bytes */
const megabytes = (bytes) => (bytes / 1e6).toFixed(1);

class DoorcardCalculator extends HTMLElement {
  connectedCallback() {
    this.timer = 0;
    this.result = this.querySelector("[data-result]");
    this.line = this.querySelector("[data-engine]");
    this.said = this.querySelector("[data-said]");
    this.addEventListener("input", () => this.update());
    this.addEventListener("change", (event) => this.changed(event));
    this.addEventListener("click", (event) => this.clicked(event));
    engine ??= new Engine({ onState: tellAll });
    this.showEngine(engine.state);
    this.update();
  }

  /** Typed text by field name. @returns {Record<string, string>} */
  inputs() {
    const fields = this.querySelectorAll(".dc-form :is(input, select, textarea)[name]");
    return Object.fromEntries([...fields].map((field) => [field.name, field.value]));
  }

  async update() {
    const reply = await engine.ask({
      form: this.form(),
      calculator: this.dataset.calculator,
      inputs: this.inputs(),
    });
    if (reply && this.isConnected) this.show(reply);
    if (reply) keepHandbook(); // Only now, so that the first answer comes first.
  }

  /** A name for this form among all forms of the tab. */
  form() {
    const all = [...document.querySelectorAll("doorcard-calculator")];
    return `${location.pathname}#${all.indexOf(this)}`;
  }

  /** @param {import("./messages.js").Reply} reply */
  show(reply) {
    if (reply.failure) return this.showFailure(reply.failure);
    this.showErrors(reply.errors);
    this.showResult(reply.html);
    this.dataset.live = reply.errors.length ? "errors" : "answer";
    clearTimeout(this.timer);
    this.timer = setTimeout(() => {
      if (this.typed) this.said.textContent = reply.said;
    }, QUIET);
  }

  /**
   * Puts a new result in place; what the reader has unfolded stays unfolded.
   * @param {string} html
   */
  showResult(html) {
    if (this.shown === html) return;
    const open = [...this.result.querySelectorAll("details")].map((part) => part.open);
    const places = [...this.result.querySelectorAll("doorcard-read-off")].map((part) => part.place);
    this.result.innerHTML = html;
    this.shown = html;
    this.result.querySelectorAll("details").forEach((part, index) => {
      part.open = open[index] ?? false;
    });
    this.result.querySelectorAll("doorcard-read-off").forEach((part, index) => {
      part.place = places[index];
    });
  }

  /** @param {import("./messages.js").FieldError[]} errors */
  showErrors(errors) {
    for (const place of this.querySelectorAll("[data-error]")) {
      const message = errors
        .filter((error) => error.field === place.dataset.error)
        .map((error) => error.message)
        .join(" ");
      place.textContent = message;
      place.hidden = !message;
      if (message) place.closest("details")?.setAttribute("open", "");
      this.field(place.dataset.error)?.setAttribute("aria-invalid", String(Boolean(message)));
    }
  }

  /** @param {string} name */
  field(name) {
    return this.querySelector(`.dc-form [name="${CSS.escape(name)}"]`);
  }

  /** One calm sentence, and the details for whoever wants to report them. @param {string} details */
  showFailure(details) {
    this.result.innerHTML = '<p class="dc-waiting"></p><button type="button" class="dc-button">Copy details</button>';
    this.shown = null;
    this.result.querySelector("p").textContent = FAILURE;
    this.result.querySelector("button").onclick = () => navigator.clipboard.writeText(details);
    this.dataset.live = "failure";
  }

  /** @param {import("./engine.js").EngineState} state */
  showEngine({ phase, message, loaded, total }) {
    const bytes = loaded && loaded < total ? `, ${megabytes(loaded)} of ${megabytes(total)} MB` : "";
    const text = phase === "ready" ? "" : `${message}${bytes}`;
    this.line.textContent = phase === "starting" && text ? `${text}. The answer below is already worked out.` : text;
    this.line.hidden = !text;
    if (phase === "unable") this.dataset.live = "unable";
  }

  /** @param {Event} event */
  changed(event) {
    this.typed = true;
    if (event.target.name?.includes("[]")) showRowUnits(event.target);
    this.update();
  }

  /** @param {Event} event */
  clicked(event) {
    const button = event.target.closest("button");
    if (!button) return;
    this.typed = true;
    if (button.matches(".dc-copy")) return copyTable(button);
    if (button.matches(".dc-add")) addRow(button.closest(".dc-rows"));
    else if (button.matches(".dc-remove")) removeRow(button.closest(".dc-row"));
    else return;
    this.update();
  }
}

/** Puts a table on the clipboard as columns parted by tabs. @param {HTMLElement} button */
async function copyTable(button) {
  const rows = [...button.parentElement.querySelectorAll("tr")];
  const text = rows.map((row) => [...row.cells].map((cell) => cell.textContent).join("\t")).join("\n");
  const before = button.textContent;
  await navigator.clipboard.writeText(text);
  button.textContent = "Copied";
  setTimeout(() => (button.textContent = before), 1500);
}

customElements.define("doorcard-calculator", DoorcardCalculator);
