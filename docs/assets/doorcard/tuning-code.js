/**
 * A job's tuning values, out of the code on its tuning sheet: shown as they stand in the link, and kept nowhere.
 *
 * The link's form is told in `calculators/job/codes.py`. It is text of unknown origin: what it holds stays text, and
 * one that did not come whole shows nothing of it.
 */

import { paragraph } from "./parts.js";

const MARK = "#tuning=";
const LONGEST = 2000;
const WHOLE = /^(.*)!(\d+)$/;
const CUT = "This link is not whole: read the code again.";
const CHECK = "They stand in the code alone, and nothing is kept here. Anyone can make a code: compare them with the paper.";

/** @typedef {{title: string, rows: string[][]}} Tuned The first row holds the heads. */

/**
 * What the text of a link carries; none if it was cut short on its way, or is of somebody else's making.
 * @param {string} text
 * @returns {{words: string, tables: Tuned[]} | null}
 */
function tuningOf(text) {
  const [, told = "", length] = WHOLE.exec(text) ?? [];
  if (told.length !== Number(length) || told.length > LONGEST) return null;
  try {
    const [[[number, of, job]], ...tables] = told.split("!").map(rowsOf);
    const rest = Number(of) > 1 ? ` Code ${number} of ${of}: read the others too.` : "";
    return {
      words: `Tuning values of “${job}”, from a sheet.${rest}`,
      tables: tables.map(([[title], ...rows]) => ({ title, rows })),
    };
  } catch {
    return null;
  }
}

/** @param {string} text */
const rowsOf = (text) => text.split(";").map((row) => row.split(",").map((cell) => decodeURIComponent(cell.replaceAll("+", " "))));

/** Shows what the address of this page carries, if it is such a link. @param {HTMLElement} place */
export function showTuning(place, hash = location.hash) {
  place.replaceChildren();
  if (!hash.startsWith(MARK)) return;
  const told = tuningOf(hash.slice(MARK.length));
  place.append(...(told ? [paragraph(told.words), ...told.tables.map(tableOf), paragraph(CHECK)] : [paragraph(CUT)]));
  place.scrollIntoView({ block: "start" });
}

/** @param {Tuned} tuned */
function tableOf({ title, rows: [head = [], ...rows] }) {
  const scroll = document.createElement("div");
  scroll.className = "dc-scroll";
  const table = document.createElement("table");
  table.createCaption().textContent = title;
  fill(table.createTHead(), [head], "th");
  fill(table.createTBody(), rows, "td");
  scroll.append(table);
  return scroll;
}

/** @param {HTMLTableSectionElement} section @param {string[][]} rows @param {string} kind */
function fill(section, rows, kind) {
  for (const cells of rows) {
    const made = cells.map((words, place) => {
      const cell = document.createElement(place ? kind : "th");
      cell.textContent = words;
      return cell;
    });
    section.insertRow().append(...made);
  }
}
