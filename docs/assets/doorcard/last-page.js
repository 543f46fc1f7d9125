/** "Last" in the bottom bar: back to the last other page with a calculator. */

const KEPT = "doorcard-last-pages";

/** Notes the page that is shown, and leads "Last" to the one before it. */
export function followLastPage() {
  const link = document.querySelector("[data-last]");
  if (!(link instanceof HTMLAnchorElement)) return;
  try {
    /** @type {unknown} */
    const read = JSON.parse(sessionStorage.getItem(KEPT) ?? "[]");
    const pages = Array.isArray(read) ? read.filter((page) => typeof page === "string" && page.startsWith("/")) : [];
    const others = pages.filter((page) => page !== location.pathname);
    if (others.length) link.pathname = others[0];
    if (document.querySelector("doorcard-calculator")) others.unshift(location.pathname);
    sessionStorage.setItem(KEPT, JSON.stringify(others.slice(0, 2)));
  } catch {
    // Where nothing can be noted down, it leads to the look-ups.
  }
}
