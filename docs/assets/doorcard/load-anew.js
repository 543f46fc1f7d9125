/** Loads the page with its own scripts, once; a second time only by the reader's hand. */
export function loadAnew() {
  try {
    if (sessionStorage.getItem("doorcard-loaded-anew") === location.pathname) return;
    sessionStorage.setItem("doorcard-loaded-anew", location.pathname);
    location.reload();
  } catch {
    // Where nothing can be noted down, the sentence over the answer has to do.
  }
}
