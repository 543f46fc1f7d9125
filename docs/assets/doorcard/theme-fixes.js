/** What the theme leaves undone for readers who work by keyboard or by ear. */

import { addressed, part } from "./parts.js";

/** Keys that the theme acts on alone, even while a button has the focus (WCAG 2.1.4). */
const SHORTCUTS = new Set(["p", ",", "n", ".", "f", "s", "/"]);

/** @param {KeyboardEvent} event */
function stopShortcut(event) {
  const { target, key, ctrlKey, metaKey, altKey } = event;
  if (!SHORTCUTS.has(key.toLowerCase()) || ctrlKey || metaKey || altKey) return;
  const field = target instanceof Element && target.closest("input, textarea, [contenteditable]");
  if (!field) event.stopImmediatePropagation();
}

/** A page swapped in place is read from its heading, as a page that was loaded would be. */
function focusHeading() {
  const heading = location.hash ? null : document.querySelector(".md-content h1"); // A hit of the search has one, too.
  if (!(heading instanceof HTMLElement)) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

/** A section that has a page of its own opens with a bare arrow: say what the arrow opens. */
function nameSections() {
  for (const arrow of document.querySelectorAll(".md-nav__container > label[id]")) {
    const words = document.createElement("span");
    words.className = "dc-nav-name";
    words.textContent = `Pages under ${arrow.previousElementSibling?.textContent?.trim()}`;
    if (!arrow.querySelector(".dc-nav-name")) arrow.append(words);
  }
}

/** A wide table scrolls in a box of the theme's: the arrow keys must reach it. */
function openTablesToKeyboard() {
  for (const box of document.querySelectorAll(".md-typeset__scrollwrap:not([tabindex])")) {
    box.setAttribute("tabindex", "0");
    box.setAttribute("role", "group");
    box.setAttribute("aria-label", "Table");
  }
}

/** The bottom bar's search opens the theme's; what was asked last is typed over. @param {MouseEvent} event */
function openSearch({ target }) {
  if (!(target instanceof Element) || !target.closest("[data-search]")) return;
  part(document, "#__search", HTMLInputElement).click();
  const query = part(document, "[data-md-component=search-query]", HTMLInputElement);
  query.focus();
  query.select();
}

/** The theme's parts of the page that is shown. @type {Element[]} */
let shown = [];

/**
 * The theme's listeners hold on to each sidebar it has swapped away, and with it to the whole page it stood in:
 * what is left of a page is taken apart, or a tablet that stays on all day keeps every page it has shown.
 */
function takeApart() {
  for (const old of shown) if (!old.isConnected) old.replaceChildren();
  shown = [...document.querySelectorAll("[data-md-component]")];
}

/** The address of a link to another page that was followed. */
let followed = "";

/**
 * While the search is open the theme pins the page behind it, and a moment after a hit was tapped it would put
 * whatever is shown then to where the page before had stood.
 */
function unpin() {
  document.body.removeAttribute("data-md-scrolllock");
  document.body.style.top = "";
}

/** A click on no link says nothing of one: the theme clicks its own box to close the search after a hit. @param {MouseEvent} event */
function noteLink({ target }) {
  const link = target instanceof Element && target.closest("a[href]");
  if (!(link instanceof HTMLAnchorElement)) return;
  if (link.closest(".md-search-result")) unpin();
  followed = link.pathname !== location.pathname ? link.href : "";
}

/** A link tapped while the page still scrolls: the theme would take the old page's place for the new one's. */
function standAtPlace() {
  if (followed === location.href) {
    const place = addressed();
    if (place) place.scrollIntoView();
    else if (!location.hash) scrollTo(0, 0);
  }
  followed = "";
}

addEventListener("click", openSearch);
addEventListener("click", noteLink, { capture: true });
addEventListener("keydown", stopShortcut, { capture: true });

/** The page that is shown, mended. @param {boolean} first Whether it was loaded, and not swapped in place. */
export function mendPage(first) {
  takeApart();
  nameSections();
  setTimeout(openTablesToKeyboard); // The theme boxes tables in while it hears of the page.
  if (first) return;
  focusHeading();
  setTimeout(standAtPlace); // After the theme.
}
