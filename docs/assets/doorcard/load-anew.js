const NOT_COME = "What belongs here did not come: the network broke off, or the server has a newer version. Load the page anew.";

/**
 * A script that a place of the page needs; null, which is said over that place, if it does not come.
 * @template Script
 * @param {HTMLElement} place
 * @param {Promise<Script>} coming
 */
export const scriptFor = (place, coming) =>
  coming.catch((error) => {
    console.warn(error);
    const line = Object.assign(document.createElement("p"), { className: "dc-told", textContent: NOT_COME });
    line.setAttribute("role", "status");
    place.before(line);
    return null;
  });

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
