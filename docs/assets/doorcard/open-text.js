/** `<doorcard-open-text>`: a button that puts a text file into the field of several lines beside it. */

import { button, part } from "./parts.js";

const MOST_BYTES = 1_000_000;
const TOO_LARGE = "This file is too large to be a curve. What stood here is still here.";
const NO_TEXT = "This file is no text. What stood here is still here.";

class DoorcardOpenText extends HTMLElement {
  said = document.createElement("p");

  connectedCallback() {
    // It stands in no page, so that the form takes it for no field of its own.
    this.file = Object.assign(document.createElement("input"), { type: "file", accept: ".txt,.csv,text/*" });
    this.file.addEventListener("change", () => this.open());
    this.said.className = "dc-help";
    this.said.setAttribute("role", "status");
    this.replaceChildren(button("Open a text file", () => this.file?.click()), this.said);
  }

  async open() {
    const file = this.file?.files?.[0];
    const field = part(this.closest(".dc-field"), "textarea", HTMLTextAreaElement);
    if (!file || !this.file) return;
    const text = file.size > MOST_BYTES ? null : await file.text();
    this.file.value = ""; // The same file may be chosen again.
    const binary = text?.includes("\0"); // A recording chosen in place of its curve.
    this.said.textContent = text === null ? TOO_LARGE : binary ? NO_TEXT : "";
    if (text === null || binary) return;
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

customElements.define("doorcard-open-text", DoorcardOpenText);
