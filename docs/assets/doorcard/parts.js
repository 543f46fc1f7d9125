/**
 * The element that our own HTML is known to hold, as the kind it is.
 * @template {Element} Kind
 * @param {ParentNode | null | undefined} root
 * @param {string} selector
 * @param {new (...arguments_: any[]) => Kind} kind
 * @returns {Kind}
 * @throws {Error} if there is none: the page and its script are of different releases.
 */
export function part(root, selector, kind) {
  const found = root?.querySelector(selector);
  if (!(found instanceof kind)) throw new Error(`This page holds no ${selector}.`);
  return found;
}

/**
 * All elements that fit, as the kind they are.
 * @template {Element} Kind
 * @param {ParentNode} root
 * @param {string} selector
 * @param {new (...arguments_: any[]) => Kind} kind
 * @returns {Kind[]}
 */
export function parts(root, selector, kind) {
  /** @type {(found: Element) => found is Kind} */
  const fits = (found) => found instanceof kind;
  return [...root.querySelectorAll(selector)].filter(fits);
}

/** What stands in an address before the name of the answer that a form is opened for, and before the form's calculator. */
const ANSWER = "answer-of-";

/** @param {string} calculator */
export const keyOfAnswer = (calculator) => `${ANSWER}${calculator}`;

/**
 * What the address leads to on this page: a place, or the first form for an answer. Nothing if there is none such, or the
 * address was altered on its way.
 */
export function addressed() {
  const named = location.hash.slice(1);
  const key = [...new URLSearchParams(named).keys()].find((each) => each.startsWith(ANSWER));
  if (key) return document.querySelector(`doorcard-calculator[data-calculator="${CSS.escape(key.slice(ANSWER.length))}"]`);
  try {
    return document.getElementById(decodeURIComponent(named));
  } catch {
    return null;
  }
}

/** What the page is called, without what may stand beside its title. */
export const pageTitle = () => document.querySelector(".md-content h1")?.firstChild?.textContent?.trim() ?? "";

/**
 * Writes words into an element where others stand: a browser lays out again whatever is written, were it the same.
 * @param {Element} element
 * @param {string} words
 */
export function write(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

/**
 * A button of ours.
 * @param {string} words
 * @param {(pressed: HTMLElement) => void} action
 */
export function button(words, action) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "dc-button";
  made.textContent = words;
  made.onclick = () => action(made);
  return made;
}

/** A button of which there are several: its name says for what. @param {string} words @param {string} what @param {() => unknown} action */
export function buttonFor(words, what, action) {
  const made = button(words, action);
  made.setAttribute("aria-label", `${words}: ${what}`);
  return made;
}

/** A line of its own. @param {(string | Node)[]} content */
export function paragraph(...content) {
  const made = document.createElement("p");
  made.append(...content);
  return made;
}

/** @typedef {(string | readonly [label: string, action: () => void])[]} Line Words, and buttons behind them. */

/** Shows lines in a place, which is hidden where there is none. @param {HTMLElement} place @param {Line[]} lines */
export function showLines(place, lines) {
  const made = lines.map((line) => {
    const element = document.createElement("span");
    element.append(...line.map((one) => (typeof one === "string" ? one : button(...one))));
    return element;
  });
  place.replaceChildren(...made);
  place.hidden = !made.length;
}

/**
 * A field with its label round it.
 * @param {string} words
 * @param {number} longest
 */
export function field(words, longest) {
  const label = document.createElement("label");
  const input = document.createElement("input");
  input.maxLength = longest;
  input.autocomplete = "off";
  label.append(`${words} `, input, " ");
  return { label, input };
}

/**
 * A selection with its label round it.
 * @param {string} words
 * @param {string} name
 * @param {(readonly [words: string, value: string])[]} options
 */
export function selection(words, name, options) {
  const label = document.createElement("label");
  const select = document.createElement("select");
  select.name = name;
  select.append(...options.map(([shown, value]) => new Option(shown, value)));
  label.append(`${words} `, select, " ");
  return { label, select };
}
