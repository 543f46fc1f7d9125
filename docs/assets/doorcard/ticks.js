/**
 * Steps and "accept when" of a stage page can be ticked. Ticks stay on the device: each job has its own; those of none go
 * with what is typed at "Next vehicle". Those that may be of another vehicle are told of above the list, and not ticked;
 * so are those of half a day ago: what was made safe is in use again by the next morning.
 */

import { Marks } from "./marks.js";
import { button, paragraph, parts } from "./parts.js";
import { isOld, ofWhom, onWhom } from "./whose.js";

/** What is ticked, by the id of its heading: the list, and how one is called. @type {Record<string, [list: string, name: string]>} */
const TICKED = { steps: ["OL", "Step"], "accept-when": ["UL", "Point"] };

const marks = new Marks("ticks", () => (lists.length ? `${location.pathname}#ticks` : ""), show);

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
  box.autocomplete = "off"; // Loaded anew, the browser would tick what the page before had ticked.
  box.name = `${heading}[${number}]`;
  box.setAttribute("aria-label", `${TICKED[heading][1]} ${number} done`);
  const mark = document.createElement("span");
  mark.ariaHidden = "true";
  mark.textContent = heading === "steps" ? String(number) : "";
  tick.append(box, mark);
  point.prepend(tick);
  return box;
}

/** What stands round a list of the page that is shown. @type {{boxes: HTMLInputElement[], aside: HTMLElement, count: HTMLElement}[]} */
let lists = [];

/** Puts what is told round a list. @param {HTMLInputElement[]} boxes */
function addAround(boxes) {
  const list = boxes[0].closest("ol, ul");
  const aside = paragraph();
  aside.className = "dc-ticks-aside";
  aside.setAttribute("role", "status");
  const count = document.createElement("span");
  const foot = paragraph(count, button("Clear the ticks", () => set(boxes.filter((box) => box.checked), "")));
  foot.className = "dc-ticks-foot";
  list?.before(aside);
  boxes.at(-1)?.closest("ol, ul")?.after(foot);
  return { boxes, aside, count };
}

/** Ticks what is done on this vehicle; how many are, of which job, and whose ticks wait. */
function show() {
  const { own, others, bay } = marks;
  for (const { boxes, aside, count } of lists) {
    for (const box of boxes) {
      const mark = own.get(box.name);
      box.checked = mark !== undefined && !isOld(mark);
    }
    count.textContent = `${boxes.filter((box) => box.checked).length} of ${boxes.length} done${onWhom(bay.open, bay)}`;
    const waiting = boxes.filter((box) => !box.checked && (own.has(box.name) || others.has(box.name)));
    const [newest] = waiting.flatMap(({ name }) => own.get(name) ?? others.get(name) ?? []).sort((one, other) => other.at - one.at);
    aside.hidden = !newest;
    if (!newest) continue;
    const [ticks, take] = waiting.length === 1 ? ["1 tick", "Take it up"] : [`${waiting.length} ticks`, "Take them up"];
    aside.replaceChildren(`${ticks} ${ofWhom(newest, bay)}. `, button(take, () => set(waiting, "yes")), " ", button("Clear", () => set(waiting, "")));
  }
}

/** Ticks boxes, or takes their ticks away; those that waited in their place go. @param {HTMLInputElement[]} boxes @param {string} text */
function set(boxes, text) {
  const names = boxes.map(({ name }) => name);
  marks.set(Object.fromEntries(names.map((name) => [name, text])));
  marks.letGo(names);
}

/** Makes the points of the page that is shown tickable, and ticks those that are kept. */
export async function makeTickable() {
  if (document.querySelector(".dc-tick")) return;
  const made = Object.keys(TICKED).map((heading) => pointsUnder(heading).map((point, at) => addTick(heading, point, at + 1)));
  lists = made.filter((boxes) => boxes.length).map(addAround); // Those of the page before are let go.
  for (const { boxes } of lists) for (const box of boxes) box.addEventListener("change", () => set([box], box.checked ? "yes" : ""));
  await marks.begin();
}
