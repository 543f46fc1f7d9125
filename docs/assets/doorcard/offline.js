/**
 * `<doorcard-offline>` says whether the handbook is kept on this device and offers to keep it.
 * `<doorcard-newer>` shows on every page, once there is a newer version to load.
 */

import { askToStay, follow, keepHandbook, useNewer } from "./keeping.js";

/** @typedef {import("./keeping.js").State} State */
/** @typedef {{says: (state: State) => string, offers?: (state: State) => string}} Words */

/** @param {number} bytes */
const megabytes = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
/** @param {State} state */
const size = ({ total }) => (total ? ` (${megabytes(total)})` : "");

/** What each phase says, and what its button offers. @type {Record<State["phase"], Words>} */
const WORDS = {
  unable: {
    says: () =>
      "This browser does not keep the handbook for use without a network, or this address " +
      "is not a secure one (https).",
  },
  offered: {
    says: () => "Kept on this device, every page and calculator works without a network.",
    offers: (state) => `Keep this handbook on this device${size(state)}`,
  },
  keeping: {
    says: ({ loaded, total }) =>
      total
        ? `Keeping this handbook on this device: ${megabytes(loaded)} of ${megabytes(total)}.`
        : "Keeping this handbook on this device.",
  },
  broken: {
    says: () => "The download broke off, so nothing was kept. The pages still work online.",
    offers: (state) => `Try again${size(state)}`,
  },
  kept: {
    says: (state) =>
      `Kept on this device${size(state)}: every page and calculator works without a network.`,
  },
};

/**
 * @template {keyof HTMLElementTagNameMap} Tag
 * @param {Tag} tag
 * @param {Partial<HTMLElementTagNameMap[Tag]>} properties
 */
function element(tag, properties = {}) {
  return Object.assign(document.createElement(tag), properties);
}

class DoorcardOffline extends HTMLElement {
  line = element("p", { className: "dc-offline-line" });
  bar = element("progress", { className: "dc-offline-bar", ariaLabel: "Keeping the handbook" });
  button = element("button", { type: "button", className: "dc-button dc-offline-button" });
  said = element("p", { className: "dc-said" });
  phase = "";

  connectedCallback() {
    this.button.onclick = () => this.keep();
    this.said.setAttribute("role", "status");
    this.replaceChildren(this.line, this.bar, this.button, this.said);
    this.phase = "";
    this.unfollow = follow((state) => this.show(state));
  }

  disconnectedCallback() {
    this.unfollow?.();
  }

  /** The button goes when it is pressed: the line above it takes the focus. */
  keep() {
    askToStay();
    keepHandbook();
    this.line.tabIndex = -1;
    this.line.focus({ preventScroll: true });
  }

  /** @param {State} state */
  show(state) {
    const { says, offers } = WORDS[state.phase];
    this.line.textContent = says(state);
    this.button.hidden = !offers;
    this.button.textContent = offers ? offers(state) : "";
    this.bar.hidden = state.phase !== "keeping";
    this.bar.max = state.total || 1;
    this.bar.value = state.loaded;
    // A screen reader is told of each phase once, not of each megabyte.
    if (this.phase && this.phase !== state.phase) this.said.textContent = says(state);
    this.phase = state.phase;
    this.dataset.phase = state.phase;
  }
}

class DoorcardNewer extends HTMLElement {
  button = element("button", {
    type: "button",
    textContent: "Load it now",
    className: "dc-button dc-newer-button",
  });
  line = element("p", { className: "dc-newer-line" });

  connectedCallback() {
    this.button.onclick = useNewer;
    this.line.setAttribute("role", "status");
    this.replaceChildren(this.line, this.button);
    this.unfollow = follow(({ newer }) => this.show(newer));
  }

  disconnectedCallback() {
    this.unfollow?.();
  }

  /** @param {boolean} newer */
  show(newer) {
    this.classList.toggle("dc-newer-shown", newer);
    this.button.hidden = !newer;
    this.line.textContent = newer
      ? "A newer version of this handbook is ready. Save what you have typed, then load it."
      : "";
  }
}

customElements.define("doorcard-offline", DoorcardOffline);
customElements.define("doorcard-newer", DoorcardNewer);
