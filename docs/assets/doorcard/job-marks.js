/** Beside each field that the open job fills: where its value comes from. */

import { parts } from "./parts.js";

/**
 * @param {HTMLElement} form
 * @param {import("./yours.js").OpenJob | null} job
 * @param {import("./offers.js").Input[]} held The inputs that hold what the job holds.
 */
export function markFields(form, job, held) {
  parts(form, ".dc-of-job", HTMLElement).forEach((mark) => mark.remove());
  for (const { name } of held) {
    const { from, row, example, rests_on_example } = job?.inputs.find((one) => one.name === name) ?? {};
    const whose = example ? "In the job, but of a page’s example: type yours" : `From the job${row ? `: ${row}` : ""}`;
    const below = rests_on_example ? ", which has values of a page’s example" : "";
    markField(form, name, from ? `From the job’s answer “${from}”${below}` : whose);
  }
  for (const { name, words } of job?.files ?? []) markField(form, name, words);
}

/** @param {HTMLElement} form @param {string} name @param {string} words */
function markField(form, name, words) {
  const mark = document.createElement("p");
  mark.className = "dc-help dc-of-job";
  mark.textContent = words;
  form.querySelector(`[data-input="${CSS.escape(name)}"]`)?.append(mark);
}
