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

/** What the address leads to on this page; nothing if there is no such place, or the address was altered on its way. */
export function addressed() {
  try {
    return document.getElementById(decodeURIComponent(location.hash.slice(1)));
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
