/** What is written into the open job by hand: readings of the proof, lines of its sheets, exceptions. */

import { typedValue } from "./fields.js";
import { button, buttonFor, field, keyOfAnswer, paragraph, selection } from "./parts.js";

/**
 * @typedef {import("./ask-job.js").Entries} Entries
 * @typedef {import("./ask-job.js").Lines} Lines
 *
 * @typedef {(did: string, question: string, inputs: Record<string, string>, fields?: HTMLInputElement[]) => unknown} Ask
 *   Asks for a change, which sends what stands in the fields.
 * @typedef {(words: string, ...ways: [label: string, action: () => unknown][]) => void} Choose Asks for a decision first.
 */

const LONGEST = 400;
const NEW = "a new one";

/**
 * Folds with the fields for it, each shut until it is looked for.
 * @param {Entries} entries
 * @param {Ask} ask
 * @param {Choose} choose
 */
export function entryFolds({ proof, lines, acceptable, unanswered }, ask, choose) {
  return [
    ...(proof.length ? [fold("Readings of the proof, and the usual level", proof.map((line) => reading(line, ask)))] : []),
    fold("Lines of the sheets: complaints, condition, faults, what stays, steps checked, polarity", [written(lines, ask)]),
    ...(unanswered.length ? [fold("Answers still missing", unanswered.map((one) => none(one, ask, choose)))] : []),
    ...(acceptable.length ? [fold("What the customer accepted", [exception(acceptable, ask)])] : []),
  ];
}

/** @param {string} title @param {HTMLElement[]} content */
function fold(title, content) {
  const made = document.createElement("details");
  const summary = document.createElement("summary");
  summary.textContent = title;
  made.append(summary, ...content);
  return made;
}

/** One line of the proof, with its limit where that is this vehicle's own. @param {Entries["proof"][number]} entry @param {Ask} ask */
function reading({ line: name, unit, limit, reading: stands, asks }, ask) {
  const at = field(`${name}${unit ? `, ${unit}` : ""}${limit ? ` (${limit})` : ""}`, 20);
  at.input.name = `reading of ${name}`;
  at.input.inputMode = "decimal";
  at.input.defaultValue = stands;
  const most = field(`Limit of ${name}${unit ? `, ${unit}` : ""}`, 20);
  most.input.name = `limit of ${name}`;
  most.input.inputMode = "decimal";
  const typed = () => ({ line: name, reading: at.input.value, limit: asks ? most.input.value : "" });
  const put = () => ask(`reading of ${name}`, "measure", typed(), asks ? [at.input, most.input] : [at.input]);
  return paragraph(at.label, ...(asks ? [most.label] : []), buttonFor("Put it in", name, put));
}

/** Lines of the sheets, those of one kind at a time. @param {Lines[]} lines @param {Ask} ask */
function written(lines, ask) {
  const place = document.createElement("div");
  const kind = selection("Kind of line", "kind of line", lines.map(({ one }) => [one, one]));
  const kinds = lines.map((each) => rowFields(each, ask));
  const show = () => kinds.forEach((fields, number) => (fields.hidden = number !== kind.select.selectedIndex));
  kind.select.onchange = show;
  place.append(paragraph(kind.label), ...kinds);
  show();
  return place;
}

/** A line of a sheet, a new one or one that stands there. @param {Lines} lines @param {Ask} ask */
function rowFields({ path, one, columns, rows }, ask) {
  const place = document.createElement("div");
  const titles = rows.map((row, number) => row[columns[0].name] || `line ${number + 1}`);
  const which = selection("Line", `${path} line`, [[NEW, ""], ...titles.map((title, number) => /** @type {const} */ ([title, `${number} ${title}`]))]);
  const fields = columns.map(({ name, words, known }) => ({ name, ...offering(field(words, LONGEST), `${path} ${name} known`, known) }));
  /** @param {string} did @param {Record<string, string>} cells */
  const write = (did, cells) => {
    const number = which.select.selectedIndex ? String(which.select.selectedIndex - 1) : "";
    return ask(did, "write", { path, number, cells: JSON.stringify(cells) }, fields.map(({ input }) => input));
  };
  const put = () => write(one, Object.fromEntries(fields.map(({ name, input }) => [name, typedValue(input)])));
  const takeOut = button("Take this line out", () => write(`${one} taken out`, {}));
  const show = () => {
    const row = rows[which.select.selectedIndex - 1];
    takeOut.hidden = !row;
    for (const { name, input } of fields) {
      input.name = `${path} ${which.select.value} ${name}`;
      input.defaultValue = row?.[name] ?? "";
      input.value = input.defaultValue;
    }
  };
  which.select.onchange = show;
  show();
  place.append(paragraph(which.label), ...fields.map(({ label }) => paragraph(label)), paragraph(button("Put this line in", put), takeOut));
  return place;
}

/**
 * A field that offers words, and takes others too.
 * @template {{label: HTMLLabelElement, input: HTMLInputElement}} Labelled
 * @param {Labelled} made @param {string} id @param {string[]} known
 */
function offering(made, id, known) {
  if (!known.length) return made;
  const list = document.createElement("datalist");
  list.id = id.replaceAll(/\W+/g, "-");
  list.append(...known.map((word) => new Option(word)));
  made.input.setAttribute("list", list.id);
  made.label.append(list);
  return made;
}

/** What a job has not, nobody waits for. @param {Entries["unanswered"][number]} one @param {Ask} ask @param {Choose} choose */
function none({ name: run, form }, ask, choose) {
  const yes = () => ask(`no ${run}`, "none", { run });
  const press = () => choose(`This job has no ${run}? `, ["Yes, it has none", yes], ["No, leave it", () => {}]);
  return paragraph(`${run}, by the form “`, wayTo(form) ?? form.title, "” ", buttonFor("This job has none", run, press));
}

/**
 * A link to a form, for its answer of the open job; nothing where the page does not say where it stands.
 * @param {import("./ask-job.js").AnswerForm} form @param {string} [words]
 */
export function wayTo({ calculator, title, another }, words = title) {
  const place = document.querySelector(`a[data-form="${CSS.escape(calculator)}"]`);
  if (!(place instanceof HTMLAnchorElement)) return null;
  const link = document.createElement("a");
  const address = new URL(place.href);
  address.hash = new URLSearchParams({ [keyOfAnswer(calculator)]: another }).toString();
  link.href = address.href;
  link.textContent = words;
  return link;
}

/** @param {string[]} acceptable @param {Ask} ask */
function exception(acceptable, ask) {
  const place = document.createElement("div");
  const { label, select } = selection("What was accepted", "accepted", acceptable.map((what) => [what, what]));
  const [why, who] = [field("Why it stands", LONGEST), field("Accepted by (as “customer”) and the day", 60)];
  const show = () => [why, who].forEach(({ input }, number) => (input.name = `exception ${select.value} ${number}`));
  const put = () => ask(`exception: ${select.value}`, "accept", { what: select.value, why: why.input.value, accepted: who.input.value }, [why.input, who.input]);
  select.onchange = show;
  show();
  place.append(paragraph(label), paragraph(why.label), paragraph(who.label), paragraph(button("Put this exception in", put)));
  return place;
}
