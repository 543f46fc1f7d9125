/**
 * `<doorcard-read-off>`: a slider that reads one line of the chart's table, by keyboard or touch.
 */

class DoorcardReadOff extends HTMLElement {
  connectedCallback() {
    this.table = this.parentElement.querySelector("table");
    const heads = [...this.table.tHead.rows[0].cells].map((cell) => cell.textContent);
    const last = this.table.tBodies[0].rows.length - 1;
    this.innerHTML =
      '<label class="dc-read"><span></span><input type="range" min="0" step="1"></label><p class="dc-read-values"></p>';
    this.querySelector("span").textContent = `Read off at: ${heads[0]}`;
    this.slider = this.querySelector("input");
    this.slider.max = String(last);
    this.slider.value = String(Math.round(last / 2));
    this.heads = heads;
    this.slider.addEventListener("input", (event) => {
      event.stopPropagation();
      this.read();
    });
    this.slider.addEventListener("change", (event) => event.stopPropagation());
    this.read();
  }

  /** Which line is read, so that it can be kept when the chart is drawn anew. */
  get place() {
    return this.slider?.value;
  }

  set place(value) {
    if (value === undefined || !this.slider) return;
    this.slider.value = value;
    this.read();
  }

  read() {
    const [at, ...values] = [...this.table.tBodies[0].rows[Number(this.slider.value)].cells].map(
      (cell) => cell.textContent,
    );
    const parts = values.map((value, index) => value && `${this.heads[index + 1]}: ${value}`).filter(Boolean);
    this.slider.setAttribute("aria-valuetext", `${at}; ${parts.join("; ")}`);
    this.querySelector(".dc-read-values").textContent = `${at} — ${parts.join(" · ")}`;
  }
}

customElements.define("doorcard-read-off", DoorcardReadOff);
