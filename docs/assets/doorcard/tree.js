/**
 * A fault tree, one test a screen: a result leads on, and the way that was taken stays on the device and on paper, each
 * job's its own. One that may be of another vehicle is taken up by a tap alone.
 *
 * Without this every test and every end stands on the page, and results are links between them. They stay links:
 * the browser's own back and forward are the tree's.
 */

import { Marks } from "./marks.js";
import { CLEARED } from "./next-vehicle.js";
import { addressed, button, part, parts } from "./parts.js";
import { NOBODY, ofWhom, onWhom } from "./whose.js";

document.addEventListener(CLEARED, () => {
  if (walk) walk.at = -1; // None is walked any more; the marks go next.
});

const marks = new Marks("tree", () => (walk ? `${walk.address}#tree` : ""), () => walk?.takeKept());

/** The tree of the page that is shown. @type {Walk | null} */
let walk = null;

/** What stands between the head of the page and its tree: what to have ready, and the cautions. @param {HTMLElement} tree */
function before(tree) {
  /** @type {Element[]} */
  const found = [];
  for (let element = tree.previousElementSibling; element; element = element.previousElementSibling) {
    found.unshift(element);
    if (element.tagName === "H2") return found;
  }
  return [];
}

class Walk {
  /** The screens passed, by the id of their headings; none before the first test. @type {string[]} */
  way = [];
  /** Which of them is shown. */
  at = -1;
  /** A way that may be of another vehicle, and what of. @type {{way: string[], words: string} | null} */
  aside = null;
  /** The vehicle that is walked for. @type {import("./whose.js").Bay} */
  bay = NOBODY;

  /** @param {HTMLElement} tree */
  constructor(tree) {
    this.tree = tree;
    this.screens = parts(tree, ".dc-screen", HTMLElement);
    this.address = location.pathname;
    this.buttons = document.createElement("p");
    this.buttons.className = "dc-walk";
    this.list = document.createElement("ol");
    const record = document.createElement("section");
    record.className = "dc-walked";
    const title = document.createElement("p");
    this.title = document.createElement("strong");
    title.append(this.title);
    record.append(title, this.list);
    this.record = record;
    tree.append(this.buttons, record);
    this.before = before(tree);
    tree.addEventListener("click", (event) => this.clicked(event));
    this.show(false);
  }

  /** A link within the tree is the browser's, not the theme's, so that every step is in its history. @param {MouseEvent} event */
  clicked(event) {
    const link = event.target instanceof Element ? event.target.closest("a") : null;
    if (!link?.hash || link.pathname !== location.pathname) return;
    event.preventDefault();
    event.stopPropagation();
    this.leadTo(link.hash.slice(1));
  }

  /** The heading of a screen. @param {HTMLElement} screen */
  heading(screen) {
    return part(screen, ":is(h2, h3)", HTMLHeadingElement);
  }

  /** The screen that an address leads to, if it leads into the tree. @param {string} id */
  screen(id) {
    return this.screens.find((screen) => this.heading(screen).id === id);
  }

  /** The result of one screen that leads to another, if one does. @param {string | undefined} from @param {string} to */
  leadsFrom(from, to) {
    const screen = this.screen(from ?? "");
    return screen && parts(screen, ".dc-results a", HTMLAnchorElement).find((result) => result.hash === `#${to}`);
  }

  /** Goes to what the address names; anything inside a screen names the screen. */
  follow() {
    const target = addressed();
    const screen = target?.closest(".dc-screen");
    if (!(screen instanceof HTMLElement) || !this.tree.contains(screen)) {
      if (!location.hash && this.at >= 0) this.goTo(-1);
      return;
    }
    const { id } = this.heading(screen);
    const passed = this.way.indexOf(id);
    if (passed >= 0) return this.goTo(passed);
    this.way = this.leadsFrom(this.way[this.at], id) ? [...this.way.slice(0, this.at + 1), id] : [id];
    this.goTo(this.way.length - 1);
  }

  /** @param {number} at */
  goTo(at) {
    this.at = at;
    this.show(true);
    this.keep();
    if (at < 0) marks.look(); // What begins here is of the vehicle that is in the bay by now.
  }

  /** @param {boolean} focus The reader has come here by a tap or a key. */
  show(focus) {
    const shown = this.screen(this.way[this.at] ?? "");
    for (const screen of this.screens) screen.hidden = screen !== shown;
    // From the first test on the cautions stand below it, whole. They move, for a form that is moved starts anew.
    if (shown) this.tree.after(...this.before);
    else this.tree.before(...this.before);
    this.showButtons();
    this.showWay();
    if (!focus) return;
    const heading = shown ? this.heading(shown) : document.querySelector(".md-content h1");
    if (!(heading instanceof HTMLElement)) return;
    heading.tabIndex = -1;
    heading.focus({ preventScroll: true });
    heading.scrollIntoView();
  }

  showButtons() {
    const first = this.heading(this.screens[0]).id;
    /** @type {[string, string][]} */
    const ways = [];
    if (this.at < 0) ways.push([this.way.length ? "Start again with test 1" : "Start with test 1", first]);
    if (this.at > 0) ways.push(["Back", this.way[this.at - 1]]);
    if (this.way.length > this.at + 1) ways.push([this.at < 0 ? "Go on where you were" : "Forward", this.at < 0 ? this.way[this.way.length - 1] : this.way[this.at + 1]]);
    const made = ways.map(([words, id]) => button(words, () => {
      if (this.at < 0 && id === first) this.way = [];
      this.leadTo(id);
    }));
    if (this.at < 0 && this.aside) made.push(button(`Take up the way ${this.aside.words}`, () => this.takeUp()));
    if (this.at >= 0) {
      made.push(button("Start again", () => this.startAgain()));
      made.push(button("Print the way", () => print()));
    }
    this.buttons.replaceChildren(...made);
  }

  /** As a link would: the browser's own history holds every step. @param {string} id */
  leadTo(id) {
    if (location.hash === `#${id}`) this.follow();
    else location.hash = id;
  }

  startAgain() {
    this.way = [];
    history.pushState(history.state, "", location.pathname + location.search);
    this.goTo(-1);
  }

  /** The reader says that it is of this vehicle. */
  takeUp() {
    this.way = this.aside?.way ?? [];
    this.aside = null;
    this.keep();
    marks.letGo([...marks.others.keys()]); // It is the open job's from here on.
    this.leadTo(this.way[this.way.length - 1]);
  }

  /** The tests passed, each with what was seen. */
  showWay() {
    this.record.hidden = this.at < 0;
    this.title.textContent = `The way so far${onWhom(this.bay.open, this.bay)}`;
    const items = this.way.map((id, at) => {
      const screen = this.screen(id);
      const item = document.createElement("li");
      if (!screen) return item;
      const link = document.createElement("a");
      link.href = `#${id}`;
      link.textContent = this.heading(screen).textContent;
      item.append(link);
      for (const result of parts(screen, ".dc-results a", HTMLAnchorElement)) {
        const seen = result.hash === `#${this.way[at + 1]}`;
        result.toggleAttribute("aria-current", seen);
        if (seen && !this.way[at + 1].startsWith("end")) item.append(`: ${part(result, "span", HTMLElement).textContent}`);
      }
      return item;
    });
    this.list.replaceChildren(...items);
  }

  /** Keeps the way for whom it is walked; of one that was longer nothing is left. */
  keep() {
    marks.set(Object.fromEntries(this.screens.map((_, at) => [`way[${at}]`, this.way[at] ?? ""])), this.bay);
  }

  /** The way that marks hold; none where it is no way through this tree any more. @param {Marks["own"]} held */
  wayIn(held) {
    const way = [...held.keys()].map((_, at) => held.get(`way[${at}]`)?.text ?? "");
    return way.every((id, at) => this.screen(id) && (!at || this.leadsFrom(way[at - 1], id))) ? way : null;
  }

  /** Takes up the way kept for this vehicle, where it goes on from the one here, or none is walked here just now. */
  takeKept() {
    const way = this.wayIn(marks.own);
    if (!way || (this.at >= 0 && !this.way.every((id, at) => id === way[at]))) return;
    this.bay = marks.bay;
    this.way = way;
    const aside = way.length ? null : this.wayIn(marks.others);
    const [other] = marks.others.values();
    this.aside = other && aside ? { way: aside, words: ofWhom(other, marks.bay) } : null;
    this.show(false);
  }
}

/** The theme would fetch the page anew for a step within it. @param {PopStateEvent} event */
function keepFromTheme(event) {
  if (walk?.tree.isConnected && walk.address === location.pathname) event.stopImmediatePropagation();
}

addEventListener("popstate", keepFromTheme, { capture: true });
addEventListener("hashchange", () => walk?.follow());

/** Makes the tree of the page that is shown one test a screen. */
export async function makeWalkable() {
  const tree = document.querySelector(".dc-tree");
  if (!(tree instanceof HTMLElement)) walk = null;
  if (!(tree instanceof HTMLElement) || walk?.tree === tree) return;
  const made = new Walk(tree);
  walk = made;
  await marks.begin();
  if (walk === made && location.hash) made.follow();
}
