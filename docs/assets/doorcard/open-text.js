/** `<doorcard-open-text>`: a button that puts a text file into the field of several lines beside it. */

import { button, part } from "./parts.js";

const BYTES = 3; // Of a letter at most, as a field counts them.
const WIDE = new Map([["255 254", "utf-16le"], ["254 255", "utf-16be"]]); // By their first two bytes, as some programs write.
const TOO_LONG = (/** @type {number} */ most) =>
  `This file is too long for a curve: at most ${most.toLocaleString("en")} letters, some 10,000 lines. Export it ` +
  "with 24 to 96 points to the octave. What stood here is still here.";
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
    const most = field.maxLength - 1; // The field takes a letter more than is read.
    const start = new Uint8Array(await file.slice(0, BYTES * field.maxLength).arrayBuffer()); // Of a longer file it tells.
    const letters = new TextDecoder(WIDE.get(start.slice(0, 2).join(" ")) ?? "utf-8").decode(start);
    const text = letters.replaceAll("\r\n", "\n");
    this.file.value = ""; // The same file may be chosen again.
    const binary = text.includes("\0"); // A recording chosen in place of its curve.
    this.said.textContent = binary ? NO_TEXT : text.length > most ? TOO_LONG(most) : "";
    if (this.said.textContent) return;
    field.value = text;
    field.dispatchEvent(new Event("input", { bubbles: true }));
  }
}

customElements.define("doorcard-open-text", DoorcardOpenText);
