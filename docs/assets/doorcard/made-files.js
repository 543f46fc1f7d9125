/**
 * The links to the files of an answer. Long work brings their bytes along; others are made once they are asked for, as
 * the answer to a key would wait for them. Until its bytes are at hand a link is a button without an address: a middle
 * click, a new tab or “save as” would give the page under the file's name.
 */

import { marked } from "./of-example.js";
import { parts } from "./parts.js";

/** @typedef {import("./messages.js").MadeFile} MadeFile */

export class MadeFiles {
  /** Addresses of the bytes at hand. @type {string[]} */
  addresses = [];

  /**
   * @param {HTMLElement} result Where the links stand.
   * @param {() => Promise<MadeFile[] | string | null>} make Gives the files of the answer that stands, or says why there
   *   are none; null if another answer is asked for.
   * @param {() => string[]} ofExample Gives the labels of the inputs that hold the page's example.
   */
  constructor(result, make, ofExample) {
    this.result = result;
    this.make = make;
    this.ofExample = ofExample;
    result.addEventListener("click", (event) => this.pressed(event));
    result.addEventListener("keydown", (event) => {
      if (event.key === "Enter" || event.key === " ") this.pressed(event);
    });
  }

  /** The answer's links lead to these files, and others of it are to be made; bytes of before are let go. @param {MadeFile[]} files */
  show(files) {
    this.addresses.forEach((address) => URL.revokeObjectURL(address));
    this.addresses = [];
    for (const link of parts(this.result, "a[data-file]", HTMLAnchorElement)) {
      const file = files.find(({ output }) => output === link.dataset.file);
      if (file) this.lead(link, file);
      else offer(link);
    }
  }

  /** @param {HTMLAnchorElement} link @param {MadeFile} file */
  lead(link, file) {
    const contents = "sheet" in link.dataset ? marked(file, this.ofExample()) : file.buffer;
    link.href = URL.createObjectURL(new Blob([contents], { type: file.media_type }));
    link.removeAttribute("role");
    link.removeAttribute("tabindex");
    this.addresses.push(link.href);
  }

  /** A file that is not there yet is made first. @param {Event} event */
  async pressed(event) {
    const link = event.target instanceof Element ? event.target.closest("a[data-file]") : null;
    if (!(link instanceof HTMLAnchorElement) || link.hasAttribute("href")) return;
    event.preventDefault();
    event.stopPropagation(); // It leads nowhere yet, and no page is to be loaded.
    const told = wordsBeside(link);
    const made = await this.make();
    if (!made || !link.isConnected) return;
    if (typeof made === "string") return void (told.textContent = ` Not made. ${made}`);
    this.show(made);
    if (link.hasAttribute("href")) link.click();
  }
}

/** A link becomes a button that has its file made. @param {HTMLAnchorElement} link */
function offer(link) {
  link.setAttribute("role", "button");
  link.tabIndex = 0; // Before its address goes: so it keeps the focus.
  link.removeAttribute("href");
}

/** Where it is said that a file was not made, empty at first: a screen reader tells what comes into it. @param {HTMLElement} link */
function wordsBeside(link) {
  const there = link.nextElementSibling;
  const words = there instanceof HTMLElement ? there : document.createElement("span");
  words.setAttribute("role", "status");
  words.textContent = "";
  if (words !== there) link.after(words);
  return words;
}
