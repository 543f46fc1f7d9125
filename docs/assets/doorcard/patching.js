/**
 * Puts a new answer in the place of an old one by changing what differs: a browser lays out and paints anew only that,
 * and what the reader has scrolled or unfolded stays as it is.
 */

import { parts } from "./parts.js";
import { DoorcardReadOff } from "./read-off.js";

/** Set by the reader's hand, and not by an answer. */
const OWN = "open";

/** @typedef {[ChildNode, Node]} Pair What stands there, and what comes in its place. */

/**
 * Whether an element fills itself. What it holds stays: it may be fields, and for a new field a browser looks through all
 * forms of the page. @param {Node} node
 */
const fillsItself = (node) => node.nodeName.includes("-") && !node.hasChildNodes();

/**
 * Makes what lies in an element as HTML says, but for the folds that are open and what is read off a chart.
 * @param {Element} place
 * @param {string} html
 */
export function patch(place, html) {
  const open = parts(place, "details[open]", HTMLDetailsElement).map(nameOf);
  const readAt = new Map(parts(place, "doorcard-read-off", DoorcardReadOff).map((readOff) => [nameOf(readOff), readOff.place]));
  const template = document.createElement("template");
  template.innerHTML = html;
  /** @type {Pair[]} */
  const built = [];
  patchChildren(place, template.content, built);
  for (const [old, fresh] of built) old.replaceWith(fresh);
  for (const fold of parts(place, "details", HTMLDetailsElement)) fold.open = open.includes(nameOf(fold));
  for (const readOff of parts(place, "doorcard-read-off", DoorcardReadOff)) readOff.place = readAt.get(nameOf(readOff));
}

/**
 * What a fold or a read-off is called, by its own words and those of its chart: with another answer it may be another one
 * of them all. @param {Element} element
 */
const nameOf = (element) =>
  [element.closest("figure")?.querySelector("figcaption"), element.querySelector(":scope > summary")].map((words) => words?.textContent).join();

/**
 * @param {Node} old
 * @param {Node} fresh Its children may be taken from it.
 * @param {Pair[]} built Elements of a kind of their own that come filled: they build themselves anew of what lies around them, so last.
 */
function patchChildren(old, fresh, built) {
  const hidden = old instanceof HTMLDetailsElement && !old.open; // To compare it would take longer than to lay it out.
  let there = old.firstChild;
  for (let next = fresh.firstChild; next; ) {
    const now = next;
    next = next.nextSibling;
    if (!there) {
      old.appendChild(now);
      continue;
    }
    const after = there.nextSibling;
    const stays = now.nodeName === "SUMMARY" || fillsItself(now);
    if (there.nodeName !== now.nodeName || (hidden && !stays)) old.replaceChild(now, there);
    else if (now.nodeName.includes("-") && !stays) built.push([there, now]);
    else patchNode(there, now, built);
    there = after;
  }
  while (there) {
    const after = there.nextSibling;
    old.removeChild(there);
    there = after;
  }
}

/** @param {Node} old @param {Node} fresh @param {Pair[]} built */
function patchNode(old, fresh, built) {
  if (old.isEqualNode(fresh)) return; // Most of a long answer: the browser sees that sooner than what follows would.
  if (!(old instanceof Element) || !(fresh instanceof Element)) {
    if (old.nodeValue !== fresh.nodeValue) old.nodeValue = fresh.nodeValue;
    return;
  }
  for (const name of fresh.getAttributeNames()) {
    const value = fresh.getAttribute(name) ?? "";
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  for (const name of old.getAttributeNames()) if (name !== OWN && !fresh.hasAttribute(name)) old.removeAttribute(name);
  if (!fillsItself(fresh)) patchChildren(old, fresh, built);
}
