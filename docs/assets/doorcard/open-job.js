/** A button that opens the running job in the form of its page, as a file chosen by hand. */

import { button, part } from "./parts.js";

const FIELD = "doorcard-calculator[data-calculator=job-sheet] input[type=file]";

class DoorcardOpenJob extends HTMLElement {
  connectedCallback() {
    this.replaceChildren(button("Open the running job", () => this.open()));
  }

  async open() {
    const field = part(document, FIELD, HTMLInputElement);
    try {
      const reply = await fetch(new URL(this.dataset.job ?? "", document.baseURI));
      if (!reply.ok) throw new Error(reply.statusText);
      const chosen = new DataTransfer();
      chosen.items.add(new File([await reply.blob()], "job.json", { type: "application/json" }));
      field.files = chosen.files;
    } catch {
      return this.append(" It cannot be fetched here: keep the file that the line below names, and choose it.");
    }
    field.dispatchEvent(new Event("change", { bubbles: true }));
    field.scrollIntoView({ block: "center" });
  }
}

customElements.define("doorcard-open-job", DoorcardOpenJob);
