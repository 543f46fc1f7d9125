/**
 * Steps and "accept when" of a stage page can be ticked. Ticks stay on the device beside what is typed, and go with
 * it at "Next vehicle".
 */

import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { button, pageTitle, parts } from "./parts.js";
import * as state from "./state.js";

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
  const clear = button("Clear the ticks", () => {
    for (const box of boxes) box.checked = false;
    keep(boxes);
  });
  foot.append(count, clear);
  boxes.at(-1)?.closest("ol, ul")?.after(foot);
  const show = () => (count.textContent = `${boxes.filter((box) => box.checked).length} of ${boxes.length} done`);
  return show;
}

/** The counts under the lists of the page that is shown. */
let showCounts = () => {};
/** The last change from here; the device may still be writing it. @type {Promise<unknown>} */
let writing = Promise.resolve();

const boxesShown = () => parts(document, ".dc-tick input", HTMLInputElement);

/** Keeps the boxes that were changed; what another tab has ticked beside them stays. @param {HTMLInputElement[]} changed */
function keep(changed) {
  showCounts();
  const title = pageTitle();
  const ticks = changed.map(({ name, checked }) => ({ name, checked }));
  writing = state.change(id(), (record) => {
    const fields = { ...(record?.calculator === KIND ? record.fields : {}) };
    for (const { name, checked } of ticks) {
      if (checked) fields[name] = "yes";
      else delete fields[name];
    }
    return Object.keys(fields).length ? state.note(id(), KIND, title, fields) : null;
  });
}

/** Ticks what is kept, and nothing else. What was read before the last change from here is out of date. */
async function look() {
  const boxes = boxesShown();
  if (!boxes.length) return;
  const before = writing;
  if ((await before) === null) return; // Nothing is kept: what stands here is all there is.
  const kept = (await state.recall()).records.find((record) => record.id === id());
  if (before !== writing) return void look();
  for (const box of boxes) box.checked = kept?.fields[box.name] === "yes";
  showCounts();
}

document.addEventListener(CLEARED, () => {
  for (const box of boxesShown()) box.checked = false;
  showCounts();
});
document.addEventListener(PUT_BACK, look);
state.follow(look);

/** Makes the points of the page that is shown tickable, and ticks those that are kept. */
export async function makeTickable() {
  if (document.querySelector(".dc-tick")) return;
  showCounts = () => {}; // They would hold on to the page before.
  const lists = Object.keys(TICKED).map((heading) => pointsUnder(heading).map((point, at) => addTick(heading, point, at + 1)));
  const boxes = lists.flat();
  if (!boxes.length) return;
  const counts = lists.filter((list) => list.length).map(addFoot);
  showCounts = () => counts.forEach((show) => show());
  boxes.forEach((box) => box.addEventListener("change", () => keep([box])));
  showCounts();
  await look();
}
