/** What the theme leaves undone for readers who work by keyboard or by ear. */

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
  const heading = location.hash ? null : document.querySelector("article h1");
  if (!(heading instanceof HTMLElement)) return;
  heading.tabIndex = -1;
  heading.focus({ preventScroll: true });
}

addEventListener("keydown", stopShortcut, { capture: true });

let first = true;
// The theme's stream of pages: it tells the page that was loaded first, too.
globalThis.document$?.subscribe(() => {
  if (!first) focusHeading();
  first = false;
});
