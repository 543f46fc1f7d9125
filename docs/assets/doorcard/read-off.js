/**
 * `<doorcard-read-off>`: reads one line of the chart's table, by a slider or by a number typed; under the table, what
 * the chart can be kept as.
 */

import { clearFraction, readNumber } from "./numerals.js";
import { button, part, write } from "./parts.js";

/** What a chart can be kept as. */
const KINDS = /** @type {const} */ ([["SVG", "drawing"], ["PNG", "picture"], ["CSV", "numbers"]]);

export class DoorcardReadOff extends HTMLElement {
  /** @type {HTMLTableRowElement[]} */
  rows = [];
  /** @type {string[]} */
  heads = [];
  /** Whether the reader has read anything off. */
  moved = false;
  /** What the chart does short of the place typed: it is read there. @type {"" | "begins" | "ends"} */
  short = "";
  /** Ends once it has left the page. */
  gone = new AbortController();

  /** In a fold that is shut nothing is read off, and every key brings a new one. */
  connectedCallback() {
    const fold = this.closest("details:not([open])");
    if (fold) fold.addEventListener("toggle", () => this.build(), { once: true, signal: this.gone.signal });
    else this.build();
  }

  /** The fold stays, and would hold each one that was ever in it. */
  disconnectedCallback() {
    this.gone.abort();
  }

  build() {
    if (this.rows.length) return;
    this.innerHTML =
      '<div class="dc-read"><label>Read off at: <span></span> <input type="text" inputmode="decimal" autocomplete="off"></label>' +
      '<input type="range" min="0" step="1"></div><p class="dc-error" role="alert" hidden></p><p class="dc-read-values"></p>';
    const { slider, typed } = this;
    slider.addEventListener("input", () => this.move(slider.value));
    typed.addEventListener("input", () => this.take(typed.value.trim()));
    // What is read off is no answer to the form: the calculator around must not hear of it.
    for (const kind of ["input", "change"]) this.addEventListener(kind, (event) => event.stopPropagation());
    typed.addEventListener("keydown", (event) => {
      if (event.key === "Enter") event.preventDefault();
    });
    this.addKeeping();
    this.readTable();
  }

  /** Reads the table, anew for each answer, where it starts. */
  readTable() {
    const table = part(this.parentElement, "table", HTMLTableElement);
    this.rows = [...table.tBodies[0].rows];
    this.heads = [...table.querySelectorAll("thead th")].map((cell) => cell.textContent ?? "");
    write(part(this, "span", HTMLElement), this.heads[0]);
    const { slider } = this;
    slider.setAttribute("aria-label", `Read off at: ${this.heads[0]}`);
    slider.max = String(this.rows.length - 1);
    slider.value = this.dataset.start ?? "0";
    this.clear();
    this.moved = false;
    this.read();
  }

  /** Under the table, what the chart can be kept as. */
  addKeeping() {
    const figure = /** @type {HTMLElement} */ (this.closest("figure"));
    const said = document.createElement("span");
    said.setAttribute("role", "status");
    const keep = KINDS.map(([kind, what]) => button(`Keep the ${what} (${kind})`, async () => (said.textContent = await kept(figure, kind))));
    part(figure, "doorcard-keep-chart", HTMLElement).replaceChildren(...keep, said);
  }

  get typed() {
    return part(this, "[type=text]", HTMLInputElement);
  }

  get slider() {
    return part(this, "[type=range]", HTMLInputElement);
  }

  /** Where the reader reads, so that it can be kept when the chart is drawn anew; none if it never moved. */
  get place() {
    return this.moved ? cellNumber(this.at(this.slider.value)) : undefined;
  }

  set place(value) {
    if (!this.isConnected || (value === undefined && this.closest("details:not([open])"))) return;
    if (this.rows.length) this.readTable();
    else this.build();
    if (value !== undefined) this.find(value);
  }

  /** @param {string | number} row */
  at(row) {
    return this.rows[Number(row)].cells[0].textContent ?? "";
  }

  /** Reads the line that lies nearest, by ratio where all are above zero. @param {number} value */
  find(value) {
    if (!Number.isFinite(value)) return;
    const places = this.rows.map((_, row) => cellNumber(this.at(row)));
    const far = (/** @type {number} */ place) => (places[0] > 0 && value > 0 ? Math.abs(Math.log(place / value)) : Math.abs(place - value));
    this.moved = true;
    this.slider.value = String(places.reduce((best, place, row) => (far(place) < far(places[best]) ? row : best), 0));
    this.read();
  }

  /** @param {string} row */
  move(row) {
    this.moved = true;
    this.slider.value = row;
    this.clear();
    this.read();
  }

  /** Reads where the reader typed, k for thousands, its unit or none, as the form beside it. @param {string} text */
  take(text) {
    const unit = this.heads[0].split(", ").at(-1)?.toLowerCase() ?? "";
    const bare = unit && text.toLowerCase().endsWith(unit) ? text.slice(0, -unit.length) : text;
    const [, digits = "", thousands] = /^(.*?)\s*(k?)\s*$/i.exec(bare) ?? [];
    const times = thousands ? 1000 : 1;
    const [first, last] = [0, this.rows.length - 1].map((row) => cellNumber(this.at(row)));
    const read = readNumber(digits, (place) => first <= place * times && place * times <= last);
    if (read && read !== "unclear") {
      const place = read.number * times;
      this.short = place < first ? "begins" : place > last ? "ends" : "";
      this.find(place);
      return this.say("");
    }
    const clear = read ? clearFraction(digits) : digits;
    const twoWays = `“${digits}” can be read in two ways: type ${digits.replaceAll(/[.,]/g, "")} or ${clear}.`;
    this.say(text && (clear === digits ? `“${text}” is not one number.` : twoWays));
  }

  clear() {
    this.short = "";
    this.typed.value = "";
    this.say("");
  }

  /** What is wrong with the place typed; no words if nothing is. @param {string} words */
  say(words) {
    const line = part(this, ".dc-error", HTMLElement);
    write(line, words);
    line.hidden = !words;
    this.typed.setAttribute("aria-invalid", String(Boolean(words)));
  }

  read() {
    const [at, ...values] = [...this.rows[Number(this.slider.value)].cells].map((cell) => cell.textContent);
    const parts = values.map((value, index) => value && `${this.heads[index + 1]}: ${value}`).filter(Boolean);
    const place = this.short ? `${at}, where the chart ${this.short}` : at;
    this.slider.setAttribute("aria-valuetext", `${place}; ${parts.join("; ")}`);
    write(part(this, ".dc-read-values", HTMLElement), `${place} — ${parts.join(" · ")}`);
  }
}

/** The number of a cell: k for thousands, a true minus. @param {string} text */
function cellNumber(text) {
  const parts = /^\s*([-−]?[\d.]+)\s*(k?)/i.exec(text);
  return parts ? Number(parts[1].replace("−", "-")) * (parts[2] ? 1000 : 1) : NaN;
}

customElements.define("doorcard-read-off", DoorcardReadOff);

/** Keeps a chart; what went wrong, in words. @param {HTMLElement} figure @param {import("./keep-chart.js").Kind} kind */
async function kept(figure, kind) {
  const script = await import("./keep-chart.js").catch(() => null);
  if (!script) return "Could not be kept: load the page again.";
  return script.keepChart(figure, kind).then(() => "", () => "No picture could be made: keep the drawing (SVG).");
}
