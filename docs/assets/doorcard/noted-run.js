/** A run is noted in its tab until it has ended, so that one that was cut off is told of. */

const GOES_ON = "doorcard-run-goes-on";

/** Notes the page and the time of the run that goes on. @param {string} run Nothing, for none. */
export function note(run) {
  try {
    sessionStorage.setItem(GOES_ON, run);
  } catch {
    // Where nothing can be noted down, nothing is told.
  }
}

/** When the run began that was cut off as this page was left; nothing if there was none. */
export function cutOff() {
  try {
    const [path, began = ""] = (sessionStorage.getItem(GOES_ON) ?? "").split("#");
    return path === location.pathname ? began : "";
  } catch {
    return "";
  }
}
