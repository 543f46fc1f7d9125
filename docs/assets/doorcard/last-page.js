/** "Last" in the bottom bar: back to the last other page with a calculator, to the form that was worked in there. */

const KEPT = "doorcard-last-pages";

/** The last pages, the newest first: each its path, and behind a # the form worked in. @returns {string[]} */
function lastPages() {
  /** @type {unknown} */
  const read = JSON.parse(sessionStorage.getItem(KEPT) ?? "[]");
  return Array.isArray(read) ? read.filter((page) => typeof page === "string" && page.startsWith("/")) : [];
}

/** @param {string} page */
const isShown = (page) => page.split("#")[0] === location.pathname;

/** Notes the page that is shown, and leads "Last" to the one before it. */
export function followLastPage() {
  const link = document.querySelector("[data-last]");
  if (!(link instanceof HTMLAnchorElement)) return;
  try {
    const pages = lastPages();
    const others = pages.filter((page) => !isShown(page));
    const [path, form = ""] = others[0]?.split("#") ?? [];
    if (path) Object.assign(link, { pathname: path, hash: form });
    if (document.querySelector("doorcard-calculator")) others.unshift(pages.find(isShown) ?? location.pathname);
    sessionStorage.setItem(KEPT, JSON.stringify(others.slice(0, 2)));
  } catch {
    // Where nothing can be noted down, it leads to the look-ups.
  }
}

/** Notes the form that is worked in. @param {Event} event */
function noteForm({ target }) {
  const form = target instanceof Element && target.closest("doorcard-calculator[id]");
  if (!form) return;
  try {
    const pages = lastPages().map((page) => (isShown(page) ? `${location.pathname}#${form.id}` : page));
    sessionStorage.setItem(KEPT, JSON.stringify(pages));
  } catch {
    // It leads to the page's top.
  }
}

addEventListener("input", noteForm);
