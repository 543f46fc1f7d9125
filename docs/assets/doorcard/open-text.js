/** `<doorcard-open-text>`: a button that puts a text file into the field of several lines beside it. */

import { button, part } from "./parts.js";

const MOST_BYTES = 1_000_000;

class DoorcardOpenText extends HTMLElement {
  connectedCallback() {
    // It stands in no page, so that the form takes it for no field of its own.
    this.file = Object.assign(document.createElement("input"), { type: "file", accept: ".txt,.csv,text/*" });
    this.file.addEventListener("change", () => this.open());
    this.replaceChildren(button("Open a text file", () => this.file?.click()));
  }

  async open() {
    const file = this.file?.files?.[0];
    const field = part(this.closest(".dc-field"), "textarea", HTMLTextAreaElement);
    if (!file || !this.file) return;
    field.value = file.size > MOST_BYTES ? "This file is too large to be a curve." : await file.text();
    this.file.value = ""; // The same file may be chosen again.
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

customElements.define("doorcard-open-text", DoorcardOpenText);
