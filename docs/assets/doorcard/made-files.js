/**
 * The links to the files of an answer. Long work brings their bytes along; others are made once a link is pressed, for
 * the answer to a key would wait for them.
 */

import { parts } from "./parts.js";

/** @typedef {import("./messages.js").MadeFile} MadeFile */

export class MadeFiles {
  /** Addresses of the bytes at hand. @type {string[]} */
  addresses = [];

  /**
   * @param {HTMLElement} result Where the links stand.
   * @param {() => Promise<MadeFile[]>} make Gives the files of the answer that stands; none if another came, or none.
   */
  constructor(result, make) {
    this.result = result;
    this.make = make;
    result.addEventListener("click", (event) => this.pressed(event));
  }

  /** The answer's links lead to these files, and those to others of it to `pressed`; bytes of before are let go. @param {MadeFile[]} files */
  show(files) {
    this.addresses.forEach((address) => URL.revokeObjectURL(address));
    this.addresses = [];
    for (const link of parts(this.result, "a[data-file]", HTMLAnchorElement)) {
      const file = files.find(({ output }) => output === link.dataset.file);
      link.href = file ? URL.createObjectURL(new Blob([file.buffer], { type: file.media_type })) : "#";
      if (file) this.addresses.push(link.href);
    }
  }

  /** A file that is not there yet is made first. @param {Event} event */
  async pressed(event) {
    const link = event.target instanceof Element ? event.target.closest("a[data-file]") : null;
    if (!(link instanceof HTMLAnchorElement) || this.addresses.includes(link.href)) return;
    event.preventDefault();
    event.stopPropagation(); // It leads nowhere yet, and no page is to be loaded.
    const files = await this.make();
    if (!files.length || !link.isConnected) return;
    this.show(files);
    if (this.addresses.includes(link.href)) link.click();
  }
}
