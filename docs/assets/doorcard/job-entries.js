/** What is written into the open job by hand: readings of the proof, lines of its sheets, exceptions. */

import { field } from "./in-job.js";
import { button } from "./parts.js";

/**
 * @typedef {import("./ask-job.js").Entries} Entries
 * @typedef {import("./ask-job.js").Lines} Lines
 *
 * @typedef {(did: string, question: string, inputs: Record<string, string>) => unknown} Ask Asks for a change.
 */

const LONGEST = 400;
const NEW = "a new one";

/**
 * Folds with the fields for it, each shut until it is looked for.
 * @param {Entries} entries
 * @param {Ask} ask
 */
export function entryFolds({ proof, lines, acceptable, unanswered }, ask) {
  return [
    ...(proof.length ? [fold("Readings of the proof", proof.map((line) => reading(line, ask)))] : []),
    fold("Lines of the sheets: complaints, condition, what stays", [written(lines, ask)]),
    ...(unanswered.length ? [fold("Answers that it has not yet", unanswered.map((run) => none(run, ask)))] : []),
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

/** @param {(string | HTMLElement)[]} content */
function line(...content) {
  const made = document.createElement("p");
  made.append(...content);
  return made;
}

/** One line of the proof. @param {Entries["proof"][number]} entry @param {Ask} ask */
function reading({ line: name, unit, limit, reading: stands }, ask) {
  const at = field(`${name}${unit ? `, ${unit}` : ""}${limit ? ` (${limit})` : ""}`, 20);
  at.input.inputMode = "decimal";
  at.input.value = stands;
  const put = () => ask(`reading of ${name}`, "measure", { line: name, reading: at.input.value });
  return line(at.label, button("Put it in", put));
}

/** A line of a sheet, a new one or one that stands there. @param {Lines[]} lines @param {Ask} ask */
function written(lines, ask) {
  const place = document.createElement("div");
  const kind = choice("Which", lines.map(({ one }) => one));
  const rest = document.createElement("div");
  const show = () => rest.replaceChildren(...rowFields(lines[kind.selectedIndex], ask));
  kind.onchange = show;
  place.append(line(kind), rest);
  show();
  return place;
}

/** @param {Lines} lines @param {Ask} ask */
function rowFields({ path, one, columns, rows }, ask) {
  const which = choice("Line", [NEW, ...rows.map((row) => row[columns[0].name])]);
  const fields = columns.map(({ name, words }) => ({ name, ...field(words, LONGEST) }));
  which.onchange = () => {
    const row = rows[which.selectedIndex - 1];
    for (const { name, input } of fields) input.value = row?.[name] ?? "";
  };
  const put = () => {
    const number = which.selectedIndex ? String(which.selectedIndex - 1) : "";
    const cells = JSON.stringify(Object.fromEntries(fields.map(({ name, input }) => [name, input.value])));
    return ask(one, "write", { path, number, cells });
  };
  return [line(which), ...fields.map(({ label }) => line(label)), line(button("Put this line in", put))];
}

/** What a job has not, nobody waits for. @param {string} run @param {Ask} ask */
const none = (run, ask) => line(run, button("This job has none", () => ask(`no ${run}`, "none", { run })));

/** @param {string[]} acceptable @param {Ask} ask */
function exception(acceptable, ask) {
  const place = document.createElement("div");
  const what = choice("What", acceptable);
  const [why, who] = [field("Why it stands", LONGEST), field("Accepted by, on which day (no names)", 60)];
  const put = () => ask(`exception: ${what.value}`, "accept", { what: what.value, why: why.input.value, accepted: who.input.value });
  place.append(line(what), line(why.label), line(who.label), line(button("Put this exception in", put)));
  return place;
}

/** @param {string} label @param {string[]} options */
function choice(label, options) {
  const made = document.createElement("select");
  made.setAttribute("aria-label", label);
  made.append(...options.map((words) => new Option(words, words)));
  return made;
}
