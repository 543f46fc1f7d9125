/**
 * Steps and "accept when" of a stage page can be ticked. Ticks stay on the device beside what is typed, and go with
 * it at "Next vehicle".
 */

import { parts } from "./parts.js";
import * as state from "./state.js";
import { CLEARED } from "./yours.js";

const KIND = "ticks"; // In place of a calculator's name: no form asks for it.
/** What is ticked, by the id of its heading: the list, and how one is called. @type {Record<string, [list: string, name: string]>} */
const TICKED = { steps: ["OL", "Step"], "accept-when": ["UL", "Point"] };

const id = () => `${location.pathname}#ticks`;

/** The points under a heading, up to the next one. @param {string} heading @returns {HTMLLIElement[]} */
function pointsUnder(heading) {
  const points = [];
  let element = document.querySelector(`h2[id="${heading}"]`)?.nextElementSibling;
  for (; element && element.tagName !== "H2"; element = element.nextElementSibling) {
    if (element.tagName !== TICKED[heading][0]) continue;
    element.classList.add(`dc-ticked-${heading}`);
    points.push(...parts(element, ":scope > li", HTMLLIElement));
  }
  return points;
}

/**
 * @param {string} heading
 * @param {HTMLLIElement} point
 * @param {number} number
 */
function addTick(heading, point, number) {
  const tick = document.createElement("label");
  tick.className = "dc-tick";
  const box = document.createElement("input");
  box.type = "checkbox";
  box.name = `${heading}[${number}]`;
  box.setAttribute("aria-label", `${TICKED[heading][1]} ${number} done`);
  const mark = document.createElement("span");
  mark.ariaHidden = "true";
  mark.textContent = heading === "steps" ? String(number) : "";
  tick.append(box, mark);
  point.prepend(tick);
  return box;
}

/** The count, and the button that takes all ticks away. @param {HTMLInputElement[]} boxes */
function addFoot(boxes) {
  const foot = document.createElement("p");
  foot.className = "dc-ticks-foot";
  const count = document.createElement("span");
  const clear = document.createElement("button");
  clear.type = "button";
  clear.className = "dc-button";
  clear.textContent = "Clear the ticks";
  foot.append(count, clear);
  boxes.at(-1)?.closest("ol, ul")?.after(foot);
  const show = () => (count.textContent = `${boxes.filter((box) => box.checked).length} of ${boxes.length} done`);
  return { clear, show };
}

/** @param {HTMLInputElement[]} boxes */
function keep(boxes) {
  const fields = Object.fromEntries(boxes.filter((box) => box.checked).map((box) => [box.name, "yes"]));
  if (!Object.keys(fields).length) return state.forget(id());
  const title = document.querySelector("h1")?.textContent ?? "";
  return state.keep({ id: id(), calculator: KIND, title, at: Date.now(), fields, values: [] });
}

document.addEventListener(CLEARED, () => {
  for (const box of parts(document, ".dc-tick input", HTMLInputElement)) box.checked = false;
});

/** Makes the points of the page that is shown tickable, and ticks those that are kept. */
export async function makeTickable() {
  if (document.querySelector(".dc-tick")) return;
  const lists = Object.keys(TICKED).map((heading) => pointsUnder(heading).map((point, at) => addTick(heading, point, at + 1)));
  const boxes = lists.flat();
  if (!boxes.length) return;
  const feet = lists.filter((list) => list.length).map((list) => ({ list, ...addFoot(list) }));
  const show = () => feet.forEach((foot) => foot.show());
  const changed = () => {
    show();
    keep(boxes);
  };
  boxes.forEach((box) => box.addEventListener("change", changed));
  for (const { clear, list } of feet) {
    clear.addEventListener("click", () => {
      for (const box of list) box.checked = false;
      changed();
    });
  }
  show();
  const kept = (await state.recall()).records.find((record) => record.id === id());
  for (const box of boxes) box.checked ||= kept?.fields[box.name] === "yes";
  show();
}
