/** Whose the values under an answer are, if not the reader's of this vehicle: said on whatever takes the answer off the page. */

import { saidFormer } from "./former-values.js";
import { paragraph, parts } from "./parts.js";

/** @typedef {import("./calculator.js").DoorcardCalculator} DoorcardCalculator */
/** @typedef {import("./messages.js").MadeFile} MadeFile */

const WORDS = "Values of the page’s example";
/** The end of an object that Python wrote. */
const END = /\s*\}\s*$/;

/**
 * Labels of the inputs that hold what the page showed, and of those that follow from it by an answer of the job; one
 * that is empty there holds nothing.
 * @param {DoorcardCalculator} form
 */
export function labelsOfExample({ yours }) {
  const holds = (/** @type {string} */ name) => Object.entries(yours?.example.get(name) ?? {}).some(([field, text]) => text && !field.endsWith(":unit"));
  const own = (yours?.ofExample() ?? []).filter(({ name }) => holds(name)).map(({ label }) => label);
  const follows = (yours?.ofJob() ?? []).flatMap(({ name, label }) => {
    const held = yours?.job?.inputs.find((one) => one.name === name);
    return held?.rests_on_example ? [`${label}, which follows from “${held.from}”`] : [];
  });
  return [...own, ...follows];
}

/**
 * The same in a line; nothing where all is the reader's.
 * @param {DoorcardCalculator} form
 * @param {(labels: string[]) => string} [list] How they are listed.
 */
export function exampleLine(form, list = (labels) => labels.join("; ")) {
  const labels = labelsOfExample(form);
  if (form.hasAttribute("data-example")) return `${WORDS}: all.`;
  return labels.length ? `${WORDS}: ${list(labels)}.` : "";
}

/**
 * What must be known of an answer that is taken off the page: the open job, what is of another vehicle, what is the example's.
 * @param {DoorcardCalculator} form
 * @param {(labels: string[]) => string} [list] How they are listed.
 */
export const linesOf = (form, list) =>
  [form.yours?.job ? `Job: ${form.yours.job.title}.` : "", saidFormer(form.yours), exampleLine(form, list)].filter(Boolean);

/** A line of it. @param {string} words */
export function lineOf(words) {
  const line = paragraph(words);
  line.className = "dc-of-whom";
  return line;
}

/**
 * A sheet that goes into a processor, with the labels of what is the example's in it.
 * @param {MadeFile} file A table or an object.
 * @param {string[]} labels
 */
export function marked({ buffer, media_type }, labels) {
  if (!labels.length) return buffer;
  const text = new TextDecoder().decode(buffer);
  if (media_type === "text/csv") return `${text}\r\n${[WORDS, ...labels].map(cell).join(",")}\r\n`;
  return text.replace(END, () => `,\n "of_example": ${JSON.stringify(labels)}\n}\n`);
}

/** @param {string} words */
const cell = (words) => `"${words.replaceAll('"', '""')}"`;

// An answer of which nothing was typed has it in its tag, on paper too.
addEventListener("beforeprint", () => {
  for (const form of /** @type {DoorcardCalculator[]} */ (parts(document, "doorcard-calculator:not([data-example])", HTMLElement))) {
    form.result.before(...linesOf(form).map(lineOf));
  }
});
addEventListener("afterprint", () => parts(document, "doorcard-calculator .dc-of-whom", HTMLElement).forEach((line) => line.remove()));
