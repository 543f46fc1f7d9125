/**
 * Steps and "accept when" of a stage page can be ticked. Ticks stay on the device: each job has its own; those of none go
 * with what is typed at "Next vehicle". Those that may be of another vehicle are told of above the list, and not ticked;
 * so are those of half a day ago: what was made safe is in use again by the next morning.
 */

import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { button, pageTitle, paragraph, parts } from "./parts.js";
import * as state from "./state.js";
import { NOBODY, isOld, marksOf, ofWhom, onWhom, ownId, withMarks } from "./whose.js";

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
const boxesShown = () => lists.flatMap(({ boxes }) => boxes);
/** The vehicle in the bay, as was looked at last. @type {import("./whose.js").Bay} */
let bay = NOBODY;
/** Ticks that may be of another vehicle, or so no longer. @type {Map<string, import("./whose.js").Mark>} */
let others = new Map();

/** Puts what is told round a list. @param {HTMLInputElement[]} boxes */
function addAround(boxes) {
  const list = boxes[0].closest("ol, ul");
  const aside = paragraph();
  aside.className = "dc-ticks-aside";
  aside.setAttribute("role", "status");
  const count = document.createElement("span");
  const foot = paragraph(count, button("Clear the ticks", () => set(boxes.filter((box) => box.checked), false)));
  foot.className = "dc-ticks-foot";
  list?.before(aside);
  boxes.at(-1)?.closest("ol, ul")?.after(foot);
  return { boxes, aside, count };
}

/** How many are done, of which job, and whose ticks are not among them. */
function show() {
  const job = onWhom(bay.open, bay);
  for (const { boxes, aside, count } of lists) {
    count.textContent = `${boxes.filter((box) => box.checked).length} of ${boxes.length} done${job}`;
    const waiting = boxes.filter((box) => others.has(box.name) && !box.checked);
    const newest = waiting.map(({ name }) => others.get(name)).sort((one, other) => (other?.at ?? 0) - (one?.at ?? 0))[0];
    aside.hidden = !newest;
    if (!newest) continue;
    const [ticks, take] = waiting.length === 1 ? ["1 tick", "Take it up"] : [`${waiting.length} ticks`, "Take them up"];
    aside.replaceChildren(`${ticks} ${ofWhom(newest, bay)}. `, button(take, () => set(waiting, true)), " ", button("Clear", () => clear(waiting)));
  }
}

/** Ticks boxes, or takes their ticks away; what another tab has ticked beside them stays. @param {HTMLInputElement[]} boxes @param {boolean} checked */
function set(boxes, checked) {
  for (const box of boxes) box.checked = checked;
  show();
  keep(boxes, checked);
  if (checked && bay.open) letGo(boxes.filter(({ name }) => others.has(name)));
}

/** Keeps boxes for the vehicle in the bay. @param {HTMLInputElement[]} boxes @param {boolean} checked */
async function keep(boxes, checked) {
  const early = bay === NOBODY; // A tap may come before the first look.
  if (early) bay = await state.recall();
  write(ownId(id(), bay), bay.open, boxes, checked);
  if (early) look();
}

/** Ticks that wait go: the open job's old ones, and those of another vehicle. @param {HTMLInputElement[]} boxes */
function clear(boxes) {
  set(boxes, false);
  letGo(boxes);
}

/** Ticks of another vehicle go. @param {HTMLInputElement[]} boxes */
function letGo(boxes) {
  if (!boxes.length) return;
  for (const { name } of boxes) others.delete(name);
  show();
  write(id(), "", boxes, false);
}

/** @param {string} place The id of a record. @param {string} job @param {HTMLInputElement[]} boxes @param {boolean} checked */
function write(place, job, boxes, checked) {
  const fields = Object.fromEntries(boxes.map(({ name }) => [name, checked ? "yes" : ""]));
  const noted = state.note(place, KIND, pageTitle(), fields, job);
  state.change(place, (record) => withMarks(record, noted));
}

/** Ticks what is kept of this vehicle, and nothing else. */
async function look() {
  if (!lists.length) return;
  const { records, unread, ...vehicle } = await state.recall();
  if (unread) return; // What stands here is all there is.
  const marks = marksOf(records, KIND, id(), vehicle);
  bay = vehicle;
  const old = [...marks.own].filter(([, mark]) => isOld(mark));
  others = new Map([...marks.others, ...old]);
  for (const box of boxesShown()) {
    const own = marks.own.get(box.name);
    box.checked = own?.text === "yes" && !isOld(own);
  }
  show();
}

document.addEventListener(CLEARED, () => {
  for (const box of boxesShown()) box.checked = false;
  look();
});
document.addEventListener(PUT_BACK, look);
state.follow(look);
document.addEventListener("visibilitychange", look); // A page that was left open grows old too.

/** Makes the points of the page that is shown tickable, and ticks those that are kept. */
export async function makeTickable() {
  if (document.querySelector(".dc-tick")) return;
  others = new Map();
  const made = Object.keys(TICKED).map((heading) => pointsUnder(heading).map((point, at) => addTick(heading, point, at + 1)));
  lists = made.filter((boxes) => boxes.length).map(addAround); // Those of the page before are let go.
  for (const box of boxesShown()) box.addEventListener("change", () => set([box], box.checked));
  show();
  await look();
}
