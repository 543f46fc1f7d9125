/**
 * A job's tuning values, out of the code on its tuning sheet: shown as they stand in the link, and kept nowhere.
 *
 * The link's form is told in `calculators/job/codes.py`. It is text of unknown origin: what is no such link shows
 * nothing, and what it holds stays text.
 */

const MARK = "#tuning=";
const LONGEST = 2000;
const CHECK = "They stand in the code alone, and nothing is kept here. Anyone can make a code: compare them with the paper.";

/** @typedef {{title: string, rows: string[][]}} Tuned The first row holds the heads. */

/** What a link carries; none if it is no such link. @returns {{words: string, tables: Tuned[]} | null} */
function tuningOf(hash = location.hash) {
  if (!hash.startsWith(MARK) || hash.length > LONGEST) return null;
  try {
    const [[[number, of, job]], ...tables] = hash.slice(MARK.length).split("!").map(rowsOf);
    const rest = Number(of) > 1 ? ` Code ${number} of ${of}: read the others too.` : "";
    return {
      words: `Tuning values of “${job}”, from a sheet.${rest}`,
      tables: tables.map(([[title], ...rows]) => ({ title, rows })),
    };
  } catch {
    return null; // It was cut short on its way, or is of somebody else's making.
  }
}

/** @param {string} text */
const rowsOf = (text) => text.split(";").map((row) => row.split(",").map((cell) => decodeURIComponent(cell.replaceAll("+", " "))));

/** Shows what the address of this page carries, if it is such a link. @param {HTMLElement} place */
export function showTuning(place) {
  const told = tuningOf();
  place.replaceChildren(...(told ? [line(told.words), ...told.tables.map(tableOf), line(CHECK)] : []));
  if (told) place.scrollIntoView({ block: "start" });
}

/** @param {string} words */
function line(words) {
  const made = document.createElement("p");
  made.textContent = words;
  return made;
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
