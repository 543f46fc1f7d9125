/**
 * `<doorcard-offline>` says whether the handbook is kept on this device and offers to keep it; `<doorcard-kept>`
 * says so in one line at the foot of the other pages. `<doorcard-newer>` shows on every page, once there is a
 * newer version.
 */

import { findSize, follow, keepHandbook, stopKeeping, useNewer } from "./keeping.js";

/** @typedef {import("./keeping.js").State} State */
/** @typedef {{says: (state: State) => string, offers?: (state: State) => string, does?: () => void}} Words */

const HOME = new URL("../../", import.meta.url);

/** @param {number} bytes */
const megabytes = (bytes) => `${(bytes / 1e6).toFixed(1)} MB`;
/** @param {State} state */
const size = ({ total, kept }) => (total && kept ? ` (${megabytes(total)} to fetch, ${megabytes(kept)} kept)` : "");
/** @param {State} state */
const keptSize = ({ kept, start }) =>
  kept ? ` (${megabytes(kept)}${start ? `, and ${megabytes(start)} for a quick start of the calculators` : ""})` : "";

/** @param {State} state */
const startThere = ({ start }) =>
  start ? ` What the calculators need for a quick start is kept already: ${megabytes(start)}.` : "";

/** Why it is not on the device, and what helps. @param {State} state */
function reason({ why, address, needed, free }) {
  if (why === "room") return `There is no room: ${megabytes(needed)} are needed, ${megabytes(free)} are free. Free some, then try again.`;
  if (why === "differs") return `A file on the server is not the one of this release (${address}). A network that wants you to sign in gives its own page for every file: sign in first. Else whoever runs the server can mend that.`;
  if (why === "absent") return `The server does not give a file of this release (${address}). Whoever runs the server can mend that.`;
  if (why === "storage")
    return "The browser’s own storage failed. Close the browser and open it again. If that does not help, clear what it keeps of this site: what you typed goes with it.";
  return "The network, or the server, broke off. What has come is not fetched again.";
}

/** Of a storage that fails nobody knows what is missing. @param {State} state */
const missed = ({ why, missing }) =>
  why === "storage" ? "" : missing === 1 ? ": 1 file is missing" : `: ${missing || "some"} files are missing`;

/** What each phase says, and what its button offers and does. @type {Record<State["phase"], Words>} */
const WORDS = {
  looking: { says: () => "Looking at what this device keeps." },
  unable: {
    says: () =>
      "This browser does not keep the handbook for use without a network, or this address " +
      "is not a secure one (https).",
  },
  folder: {
    says: () =>
      "This copy was opened from a folder on this device: all pages and calculators work without a network. A browser " +
      "gives such a copy less than one from a server: the calculators start anew on each page; no link leads from " +
      "another device to your values; a recording is made elsewhere and opened here as a file; what you type is kept " +
      "by this browser, and every other page it opens from a file could read it. No newer version is ever told of: " +
      "it comes as a new folder.",
  },
  offered: {
    says: (state) =>
      `Not on this device yet: without a network nothing opens. Nothing of it is fetched until you ask.${startThere(state)}`,
    offers: (state) => `Keep this handbook on this device${size(state)}`,
    does: keepHandbook,
  },
  keeping: {
    says: ({ loaded, total }) =>
      total ? `Not whole yet: ${megabytes(loaded)} of ${megabytes(total)} have come.` : "Not whole yet: it is being fetched.",
    offers: () => "Stop",
    does: stopKeeping,
  },
  "not kept": {
    says: (state) => `Not on this device. ${reason(state)} The pages still work online.`,
    offers: (state) => `Try again${size(state)}`,
    does: keepHandbook,
  },
  "not whole": {
    says: (state) =>
      `${state.why === "storage" ? "Cannot be read" : "No longer whole"} on this device${missed(state)}. ${reason(state)}`,
    offers: () => "Fetch what is missing",
    does: keepHandbook,
  },
  kept: {
    says: (state) =>
      `Whole on this device${keptSize(state)}, every file there: all calculators, and all pages but the programmers' reference, work without a network.`,
  },
};

const FAULTS = ["not kept", "not whole"];

/** What each phase is called at the foot of a page. @type {Record<State["phase"], string>} */
const IN_SHORT = {
  looking: "",
  unable: "",
  folder: "Opened from a folder: works without a network.",
  offered: "Not on this device.",
  keeping: "Being fetched to this device.",
  "not kept": "Not on this device.",
  "not whole": "No longer whole on this device.",
  kept: "Whole on this device: works without a network.",
};

/** What is said of a newer version, and what the button offers. @type {Record<State["newer"], Words>} */
const NEWER = {
  "": { says: () => "" },
  ready: {
    says: () => "A newer version of this handbook is ready. A file that you have opened must be chosen again after loading it.",
    offers: () => "Load it now",
  },
  elsewhere: {
    says: () => "Another tab has loaded a newer version of this handbook. This page goes on with its own until you load it.",
    offers: () => "Load it here",
  },
  "not fetched": {
    says: (state) => `This handbook is out of date: a newer version is there and could not be fetched. ${reason(state)}`,
    offers: () => "Try again",
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
    this.button.onclick = () => this.press();
    this.said.setAttribute("role", "status");
    this.replaceChildren(this.line, this.bar, this.button, this.said);
    this.phase = "";
    this.unfollow = follow((state) => this.show(state));
  }

  disconnectedCallback() {
    this.unfollow?.();
  }

  /** The button changes when it is pressed: the line above it takes the focus. */
  press() {
    const { does } = WORDS[/** @type {State["phase"]} */ (this.phase)];
    does?.();
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
    // A screen reader is told of each phase once, not of each megabyte; of what went wrong, once more if more is known.
    const news = this.phase && (this.phase !== state.phase || FAULTS.includes(state.phase));
    if (news && this.said.textContent !== says(state)) this.said.textContent = says(state);
    if (this.phase !== state.phase && state.phase === "offered") findSize();
    this.phase = state.phase;
    this.dataset.phase = state.phase;
  }
}

class DoorcardKept extends HTMLElement {
  connectedCallback() {
    this.unfollow = follow((state) => this.show(state));
  }

  disconnectedCallback() {
    this.unfollow?.();
  }

  /** @param {State} state */
  show({ phase }) {
    const words = IN_SHORT[phase];
    if (this.dataset.phase === phase) return;
    this.dataset.phase = phase;
    const offers = words && phase !== "kept" && phase !== "folder";
    this.textContent = offers ? `${words} ` : words;
    if (!offers) return;
    const link = element("a", { href: `${HOME.href}#keep-it-on-this-device`, textContent: "Keep it on this device" });
    this.append(link);
  }
}

class DoorcardNewer extends HTMLElement {
  button = element("button", {
    type: "button",
    className: "dc-button dc-newer-button",
  });
  line = element("p", { className: "dc-newer-line" });

  connectedCallback() {
    this.button.onclick = useNewer;
    this.line.setAttribute("role", "status");
    this.replaceChildren(this.line, this.button);
    this.unfollow = follow((state) => this.show(state));
  }

  disconnectedCallback() {
    this.unfollow?.();
  }

  /** @param {State} state */
  show(state) {
    const { says, offers } = NEWER[state.newer];
    this.classList.toggle("dc-newer-shown", Boolean(offers));
    this.button.hidden = !offers;
    this.button.textContent = offers ? offers(state) : "";
    if (this.line.textContent !== says(state)) this.line.textContent = says(state);
  }
}

customElements.define("doorcard-offline", DoorcardOffline);
customElements.define("doorcard-kept", DoorcardKept);
customElements.define("doorcard-newer", DoorcardNewer);
