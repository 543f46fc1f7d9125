/**
 * Runs before the theme: makes the sitemap's addresses whole, holds the search index back, keeps folds shut on paper,
 * lets no damaged record of the scheme stop it, has the scheme follow the device until the reader switches, and says so
 * where the page's own script does not come.
 */
{
  /**
   * The theme swaps pages in place only if the sitemap names them by their full address, which the
   * site build cannot know. Only the theme reads XML here, and the sitemap is all it reads. What it reads as a page and is
   * none of ours, as that of a network that wants to be signed in to, is loaded as a page of its own: swapped in, it would
   * leave this page standing under the other's address.
   */
  const script = /** @type {HTMLScriptElement} */ (document.currentScript);
  const site = new URL("../../", script.src);
  const parse = DOMParser.prototype.parseFromString;
  /** @type {DOMParser["parseFromString"]} */
  DOMParser.prototype.parseFromString = function (text, type) {
    const parsed = parse.call(this, text, type);
    if (type === "text/xml") {
      for (const place of parsed.getElementsByTagName("loc")) {
        place.textContent = new URL(place.textContent ?? "", site).href;
      }
    }
    if (type === "text/html" && !parsed.querySelector("[data-md-component=container]")) {
      setTimeout(() => location.reload()); // The address is the other's by now.
      throw new Error("This is no page of the handbook."); // The theme lets it be.
    }
    return parsed;
  };

  /** The theme's own readers and writers of what is kept of the scheme: light or dark. @type {any} */
  const theme = globalThis;
  /** Whether the theme can go on with what is kept: nothing, or which switch was chosen and its colours. */
  const schemeStands = () => {
    try {
      const kept = theme.__md_get("__palette");
      return !kept || (Number.isInteger(kept.index) && typeof kept.color === "object");
    } catch {
      return false; // It is no JSON, or the browser refuses its store.
    }
  };
  if (!schemeStands()) {
    try {
      localStorage.removeItem(`${theme.__md_scope.pathname}.__palette`);
    } catch {
      Object.assign(theme, { __md_get: () => null, __md_set: () => {} });
    }
  }

  /**
   * Light or dark is as the device has it, live, until the reader taps the switch: the theme would keep the first that
   * it shows for good. Kept as the device's own, the page's own script begins with what the device has by then.
   */
  const PALETTE = "__palette";
  const DEVICE = "(prefers-color-scheme)";
  const { __md_get: get, __md_set: set } = theme;
  const switches = () => /** @type {HTMLInputElement[]} */ ([...document.querySelectorAll(`input[name=${PALETTE}]`)]);
  /** @param {string} name @param {unknown[]} rest */
  const chosenOf = (name, ...rest) => {
    const kept = get(name, ...rest);
    return name === PALETTE && kept?.color.media === DEVICE ? null : kept;
  };
  /** The place of the switch that was tapped last. @type {number | undefined} */
  let chosen = chosenOf(PALETTE)?.index;
  theme.__md_get = chosenOf;
  /** @param {string} name @param {any} value @param {unknown[]} rest */
  theme.__md_set = (name, value, ...rest) => {
    const ofDevice = name === PALETTE && value.index !== chosen;
    set(name, ofDevice ? { ...value, color: { ...value.color, media: DEVICE } } : value, ...rest);
  };
  addEventListener("change", ({ target, isTrusted }) => {
    if (isTrusted && target instanceof HTMLInputElement && target.name === PALETTE) chosen = switches().indexOf(target);
  }, { capture: true });
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => {
    setTimeout(() => { // After the theme, which goes back to what it had begun with.
      const fits = switches().findIndex(({ dataset }) => matchMedia(dataset.mdColorMedia ?? "").matches);
      switches()[chosen ?? fits]?.dispatchEvent(new Event("change"));
    });
  });

  /** Where the page's own script brings nothing to life, its places name it and say what helps. */
  addEventListener("load", () => {
    if (customElements.get("doorcard-calculator")) return;
    const helps = location.protocol === "file:"
      ? "Unpack the folder anew, the whole of it."
      : "If loading anew does not help, whoever runs the server can mend it.";
    for (const place of document.querySelectorAll(".dc-locked, doorcard-offline, doorcard-jobs")) {
      place.append(` The script page.js, or one that it needs, has not come or was altered on the way. ${helps}`);
    }
  });

  /** The theme unfolds everything for paper: what the reader had opened before is noted down first. */
  addEventListener("beforeprint", () => {
    for (const details of document.querySelectorAll("details")) details.toggleAttribute("data-opened", details.open);
  });

  /**
   * The theme fetches and reads the search index at once, which takes as long as half of waking
   * Python does and at the same time. It gets the index when the reader turns to the search; where that does not come,
   * this is said, and it is asked for again.
   */
  const NO_INDEX = "The search cannot be fetched here. Turn to it again once there is a network.";
  const turnedToSearch = new Promise((/** @type {(value?: undefined) => void} */ settle) => {
    addEventListener("focusin", ({ target }) => {
      if (target instanceof Element && target.matches("[data-md-component=search-query]")) settle();
    });
  });
  const open = XMLHttpRequest.prototype.open;
  /** @param {[method: string, address: string | URL]} request */
  XMLHttpRequest.prototype.open = function (...request) {
    open.apply(this, /** @type {[string, string | URL, boolean]} */ (/** @type {unknown} */ (request)));
    const [, address] = request;
    if (!String(address).endsWith("/search_index.json")) return;
    const send = () => XMLHttpRequest.prototype.send.call(this);
    const again = () => {
      removeEventListener("online", again);
      removeEventListener("focusin", again);
      open.apply(this, /** @type {[string, string | URL, boolean]} */ (/** @type {unknown} */ (request)));
      send();
    };
    /** The theme would give the search up for good, and say nothing. @param {Event} event */
    const failed = (event) => {
      if (event.type === "load" && this.status < 400) return;
      event.stopImmediatePropagation();
      const said = document.querySelector(".md-search-result__meta");
      if (said) said.textContent = NO_INDEX;
      addEventListener("online", again);
      addEventListener("focusin", again);
    };
    this.addEventListener("error", failed);
    this.addEventListener("load", failed);
    this.send = () => void turnedToSearch.then(send);
  };
}
