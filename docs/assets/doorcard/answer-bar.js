/**
 * The bar that keeps the answer in sight on a phone: while a field has the focus, and while the form is on
 * the screen and its answer is not. It lies on the keys, or on the bottom bar, and leads to the answer. Of long work
 * it says in place of the old figure how far that is, with a Stop: the form's own may lie under it, or off the screen.
 */

import { button, part, parts, write } from "./parts.js";

/** @typedef {"example" | "yours" | "stale" | "danger" | "error"} Whose Whose an answer is, or why it is none. */
/**
 * @typedef {object} Shown
 * @property {Whose} whose
 * @property {string} tag The state in words.
 * @property {string} name What the figure is.
 * @property {string} figure
 * @property {string} [words] A sentence under it.
 * @property {HTMLElement} leadsTo The answer, or the field that is wrong.
 */

const keys = globalThis.visualViewport;

/** Keys that lie over the page push the bar up; where the browser makes the page smaller, they are 0 high. */
function measureKeys() {
  const high = keys ? Math.max(0, innerHeight - keys.height - keys.offsetTop) : 0;
  document.documentElement.style.setProperty("--keys", `${high}px`);
}

keys?.addEventListener("resize", measureKeys);
keys?.addEventListener("scroll", measureKeys);

/** Fields that the keys come up for. */
const TYPED = 'input:not([type="file"]), textarea';

/**
 * Tells the style which form has the focus, and whether the keys are up for it. Were the style to look for the focus by
 * `:has()`, a browser would look at the whole page again at each new answer.
 * @param {EventTarget | null} now What has the focus.
 */
function noteFocus(now) {
  for (const element of document.querySelectorAll("[data-focus]")) element.removeAttribute("data-focus");
  const form = now instanceof Element && now.closest(".dc-form");
  if (!form) return;
  const focus = now.matches(TYPED) ? "keys" : "field";
  for (const element of [document.documentElement, form.closest(".dc-calculator")]) element?.setAttribute("data-focus", focus);
}

document.addEventListener("focusin", ({ target }) => noteFocus(target));
document.addEventListener("focusout", ({ relatedTarget }) => noteFocus(relatedTarget));

/**
 * What the bar says of a main answer: of figures by rows, that of the row which has the focus; of words, what is
 * decisive in the size of a figure, and the words under it.
 * @param {HTMLElement} form
 * @param {HTMLElement | null} main
 * @returns {{name: string, figure: string, words?: string}}
 */
export function figureOf(form, main) {
  if (!main) return { name: "", figure: "" };
  const [label, value] = parts(main, "dt, dd", HTMLElement);
  const name = label?.textContent ?? "";
  const also = main.querySelector(".dc-also")?.textContent ?? "";
  const answer = (value?.textContent ?? "").replace(also, "").trim();
  const ofRow = figureOfRow(form, answer);
  if (ofRow) return { name: `${name}: ${ofRow.row}`, figure: ofRow.figure };
  const { figure, name: brief = "" } = main.dataset;
  return figure ? { name: brief, figure, words: `${name}${name.endsWith("?") ? "" : ":"} ${answer}` } : { name, figure: answer };
}

/** A figure of a row: one number, and a unit behind the last of them. */
const FIGURE = /^−?\d+(\.\d+)?( [^\s\d]+)?$/;

/**
 * Of figures that are named after the rows of the form: that of the row which has the focus. It is known by its place,
 * for two rows may have one name, or one name begin another; each figure must stand at the place of its row.
 * @param {HTMLElement} form
 * @param {string} answer
 */
function figureOfRow(form, answer) {
  const row = parts(form, ".dc-row", HTMLElement).find((each) => each.contains(document.activeElement));
  if (!row?.parentElement) return null;
  const rows = parts(row.parentElement, ".dc-row", HTMLElement);
  const names = rows.map((each) => each.querySelector("input")?.value.trim() ?? "");
  const told = answer.split(answer.includes("; ") ? "; " : ", ");
  const figures = told.map((words, place) => (words.startsWith(`${names[place]} `) ? words.slice(`${names[place]} `.length) : ""));
  if (told.length !== rows.length || !figures.every((figure) => FIGURE.test(figure))) return null;
  const place = rows.indexOf(row);
  return { row: names[place], figure: figures[place] };
}

export class AnswerBar {
  /**
   * @param {HTMLElement} calculator
   * @param {HTMLElement} answer
   * @param {() => void} stop Ends long work.
   */
  constructor(calculator, answer, stop) {
    this.element = document.createElement("div");
    this.element.className = "dc-bar";
    this.element.hidden = true;
    this.element.innerHTML = '<a><span class="dc-bar-words"><span class="dc-tag"></span> <span data-name></span><span data-working></span></span><strong></strong><span data-words></span></a>';
    this.link = part(this.element, "a", HTMLAnchorElement);
    this.element.addEventListener("click", (event) => this.go(event));
    const stopper = button("Stop", stop);
    stopper.addEventListener("click", (event) => event.stopPropagation()); // It leads nowhere.
    stopper.addEventListener("mousedown", (event) => event.preventDefault()); // The field keeps the focus, and so the bar its place.
    this.element.append(stopper);
    calculator.append(this.element);
    this.calculator = calculator;
    calculator.addEventListener("focusin", () => this.element.removeAttribute("data-away")); // The page scrolls to the field.
    /** What it leads to. */
    this.leadsTo = answer;
    const seen = new Map();
    this.watcher = new IntersectionObserver((entries) => {
      for (const { target, isIntersecting } of entries) seen.set(target, isIntersecting);
      this.element.toggleAttribute("data-on", seen.get(calculator) && !seen.get(answer));
      this.element.toggleAttribute("data-away", !seen.get(calculator)); // What is on the screen is another answer.
    }, { rootMargin: "-60px 0px -90px 0px" });
    this.watcher.observe(calculator);
    this.watcher.observe(answer);
  }

  /** @param {Shown} shown */
  show({ whose, tag, name, figure, words = "", leadsTo }) {
    if (document.activeElement === document.body) noteFocus(null); // A field that is taken away loses it unheard.
    this.leadsTo = leadsTo;
    this.element.toggleAttribute("data-stop", Boolean(this.calculator.querySelector(".dc-state > .dc-button")));
    this.element.hidden = !figure;
    this.element.dataset.whose = whose;
    if (this.link.hash !== `#${leadsTo.id}`) this.link.setAttribute("href", `#${leadsTo.id}`);
    write(part(this.element, ".dc-tag", HTMLElement), tag);
    write(part(this.element, "[data-name]", HTMLElement), name);
    write(part(this.element, "strong", HTMLElement), figure);
    write(part(this.element, "[data-words]", HTMLElement), words);
  }

  /** @param {string} words How far long work is; they are shown while the form has a Stop. */
  showWorking(words) {
    part(this.element, "[data-working]", HTMLElement).textContent = words;
    this.element.setAttribute("data-stop", "");
  }

  /** The answer comes into sight and the keys go; a wrong field gets the focus. @param {Event} event */
  go(event) {
    event.preventDefault();
    this.leadsTo.focus({ preventScroll: true });
    this.leadsTo.scrollIntoView({ block: this.leadsTo.matches("input, select, textarea") ? "center" : "start" });
  }

  end() {
    this.watcher.disconnect();
    noteFocus(document.activeElement);
  }
}
