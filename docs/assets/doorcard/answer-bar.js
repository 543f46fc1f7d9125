/**
 * The bar that keeps the answer in sight on a phone: while a field has the focus, and while the form is on
 * the screen and its answer is not. It lies on the keys, or on the bottom bar, and leads to the answer.
 */

import { part, parts } from "./parts.js";

/** @typedef {"example" | "yours" | "stale" | "danger" | "error"} Whose Whose an answer is, or why it is none. */
/**
 * @typedef {object} Shown
 * @property {Whose} whose
 * @property {string} tag The state in words.
 * @property {string} name What the figure is.
 * @property {string} figure
 * @property {HTMLElement} leadsTo The answer, or the field that is wrong.
 */

const LONG = 24; // Signs: more than two lines hold in the size of a figure.
const keys = globalThis.visualViewport;

/** Keys that lie over the page push the bar up; where the browser makes the page smaller, they are 0 high. */
function measureKeys() {
  const high = keys ? Math.max(0, innerHeight - keys.height - keys.offsetTop) : 0;
  document.documentElement.style.setProperty("--keys", `${high}px`);
}

keys?.addEventListener("resize", measureKeys);
keys?.addEventListener("scroll", measureKeys);

/**
 * What the bar says of a main answer: of figures by rows, that of the row which has the focus; anything else is said whole.
 * @param {HTMLElement} form
 * @param {string} answer
 */
export function figureOf(form, answer) {
  const rows = parts(form, ".dc-row", HTMLElement);
  /** @param {HTMLElement | undefined} row @param {string} figure */
  const tells = (row, figure) => {
    const name = row?.querySelector("input")?.value;
    return Boolean(name && figure.startsWith(`${name} `));
  };
  const figures = answer.split(/[,;] /);
  if (!figures.every((figure) => rows.some((row) => tells(row, figure)))) return answer;
  const row = rows.find((each) => each.contains(document.activeElement));
  return figures.find((figure) => tells(row, figure)) ?? answer;
}

export class AnswerBar {
  /**
   * @param {HTMLElement} calculator
   * @param {HTMLElement} answer
   */
  constructor(calculator, answer) {
    this.element = document.createElement("a");
    this.element.className = "dc-bar";
    this.element.hidden = true;
    this.element.innerHTML = '<span class="dc-bar-words"><span class="dc-tag"></span> <span data-name></span></span><strong></strong>';
    this.element.addEventListener("click", (event) => this.go(event));
    calculator.append(this.element);
    /** What it leads to. */
    this.leadsTo = answer;
    const seen = new Map();
    this.watcher = new IntersectionObserver((entries) => {
      for (const { target, isIntersecting } of entries) seen.set(target, isIntersecting);
      this.element.toggleAttribute("data-on", seen.get(calculator) && !seen.get(answer));
    }, { rootMargin: "-60px 0px -90px 0px" });
    this.watcher.observe(calculator);
    this.watcher.observe(answer);
  }

  /** @param {Shown} shown */
  show({ whose, tag, name, figure, leadsTo }) {
    this.leadsTo = leadsTo;
    this.element.hidden = !figure;
    this.element.dataset.whose = whose;
    this.element.toggleAttribute("data-long", figure.length > LONG);
    this.element.setAttribute("href", `#${leadsTo.id}`);
    part(this.element, ".dc-tag", HTMLElement).textContent = tag;
    part(this.element, "[data-name]", HTMLElement).textContent = name;
    part(this.element, "strong", HTMLElement).textContent = figure;
  }

  /** The answer comes into sight and the keys go; a wrong field gets the focus. @param {Event} event */
  go(event) {
    event.preventDefault();
    this.leadsTo.focus({ preventScroll: true });
    this.leadsTo.scrollIntoView({ block: this.leadsTo.matches("input, select, textarea") ? "center" : "start" });
  }

  end() {
    this.watcher.disconnect();
  }
}
