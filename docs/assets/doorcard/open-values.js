/**
 * `<doorcard-open-values>`: a button that fills the form it stands in from a small file that was kept, as if its
 * values were typed. Python reads the file.
 */

import { DoorcardCalculator, engine } from "./calculator.js";
import { button } from "./parts.js";

const MOST_BYTES = 20_000;
const UNREAD = "This file could not be read. Your values are still here.";

class DoorcardOpenValues extends HTMLElement {
  connectedCallback() {
    // It stands in no page, so that the form takes it for no field of its own.
    this.field = Object.assign(document.createElement("input"), { type: "file", accept: ".json,application/json" });
    this.field.addEventListener("change", () => this.open());
    this.said = document.createElement("span");
    this.said.setAttribute("role", "status");
    this.replaceChildren(button(`Open a ${this.dataset.what} you kept`, () => this.field?.click()), " ", this.said);
  }

  /** @param {string} words */
  say(words) {
    if (this.said) this.said.textContent = words;
  }

  async open() {
    const file = this.field?.files?.[0];
    const form = this.closest("doorcard-calculator");
    if (!file || !this.field || !(form instanceof DoorcardCalculator)) return;
    const contents = file.size > MOST_BYTES ? "" : await file.text();
    this.field.value = ""; // The same file may be chosen again.
    const reply = await engine().ask({
      form: `${form.form()} open`,
      calculator: `open:${form.calculator}`,
      inputs: { contents },
    });
    if (!this.isConnected) return;
    if (!reply || !("errors" in reply)) return this.say(engine().state.message || UNREAD);
    if (!reply.fields) return this.say(reply.errors[0]?.message ?? UNREAD);
    form.fill(reply.fields);
    form.hasTyped();
    this.say(`${file.name} is in the fields.`);
  }
}

customElements.define("doorcard-open-values", DoorcardOpenValues);
