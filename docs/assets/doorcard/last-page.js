/**
 * "Last" in the bottom bar: back to the last other page with a calculator, to the form that was worked in there. A
 * tab that was opened anew, as after an empty battery, knows of none: there it leads to a guided tune that waits, and
 * the home page says how far that is.
 */

import { guidedRuns } from "./guided-fields.js";
import * as state from "./state.js";
import { isOwn } from "./whose.js";

const KEPT = "doorcard-last-pages";

/** The last pages, the newest first: each its path, and behind a # the form worked in. @returns {string[]} */
function lastPages() {
  /** @type {unknown} */
  const read = JSON.parse(sessionStorage.getItem(KEPT) ?? "[]");
  return Array.isArray(read) ? read.filter((page) => typeof page === "string" && page.startsWith("/")) : [];
}

/** @param {string} page */
const isShown = (page) => page.split("#")[0] === location.pathname;

/** The guided tune of this vehicle that has some runs done and is not finished: its page, and how far it is. */
async function waitingTune() {
  const { records, ...bay } = await state.recall();
  for (const record of records) {
    const runs = guidedRuns([record]);
    const of = Number(record.fields.of);
    const path = record.id.split("#")[0];
    if (!isOwn(record, bay) || !runs || !path.startsWith("/")) continue;
    if (!(runs >= of)) return { path, words: `A guided tune waits: ${Number.isInteger(of) && of ? `${runs} of ${of} runs` : `${runs} runs`}` };
    if (record.fields.finished === "no") return { path, words: "A guided tune is not finished" };
  }
  return null;
}

/** @param {HTMLAnchorElement | null} last "Last", where it leads to no page yet. */
async function leadToTune(last) {
  const line = document.querySelector("[data-waits]");
  if (!last && !line) return;
  const tune = await waitingTune();
  if (!tune) return;
  if (last && !isShown(tune.path)) Object.assign(last, { pathname: tune.path, hash: "" });
  const link = Object.assign(document.createElement("a"), { href: location.href, textContent: tune.words });
  Object.assign(link, { pathname: tune.path, search: "", hash: "" });
  line?.replaceChildren(link);
  line?.toggleAttribute("hidden", false);
}

/** Notes the page that is shown, and leads "Last" to the one before it. */
export function followLastPage() {
  const link = document.querySelector("[data-last]");
  if (!(link instanceof HTMLAnchorElement)) return;
  try {
    const pages = lastPages();
    const others = pages.filter((page) => !isShown(page));
    const [path, form = ""] = others[0]?.split("#") ?? [];
    if (path) Object.assign(link, { pathname: path, hash: form });
    leadToTune(path ? null : link);
    if (document.querySelector("doorcard-calculator")) others.unshift(pages.find(isShown) ?? location.pathname);
    sessionStorage.setItem(KEPT, JSON.stringify(others.slice(0, 2)));
  } catch {
    leadToTune(link); // Nothing can be noted down.
  }
}

/** Notes the form that is worked in; of a guided tune none, for it knows its screen. @param {Event} event */
function noteForm({ target }) {
  const form = target instanceof Element && target.closest("doorcard-calculator[id]");
  if (!form) return;
  try {
    const here = form.closest(".dc-guided") ? location.pathname : `${location.pathname}#${form.id}`;
    const pages = lastPages();
    if (!pages.some((page) => isShown(page) && page !== here)) return; // To write it at each key would take a millisecond.
    sessionStorage.setItem(KEPT, JSON.stringify(pages.map((page) => (isShown(page) ? here : page))));
  } catch {
    // It leads to the page's top.
  }
}

addEventListener("input", noteForm);
