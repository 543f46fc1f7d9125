/**
 * What a page remembers that is no form's: ticks, choices above tables, a way through a tree. Kept for the vehicle in the
 * bay, by the rule of `whose.js`, and looked at again whenever that, or what is kept, may be another by now.
 */

import { CLEARED, PUT_BACK } from "./next-vehicle.js";
import { pageTitle } from "./parts.js";
import * as state from "./state.js";
import { NOBODY, marksOf, ownId, withMarks } from "./whose.js";

export class Marks {
  /** The vehicle in the bay, as was looked at last. @type {import("./whose.js").Bay} */
  bay = NOBODY;
  /** Its marks, by name. @type {Map<string, import("./whose.js").Mark>} */
  own = new Map();
  /** Those that may be of another vehicle: they wait for a tap. @type {Map<string, import("./whose.js").Mark>} */
  others = new Map();

  /**
   * @param {string} kind In place of a calculator's name: no form asks for it.
   * @param {() => string} id Of the record of the page that is shown, none where it has none; each job has its own beside it.
   * @param {() => void} show Shows the marks as they are by now.
   */
  constructor(kind, id, show) {
    this.kind = kind;
    this.id = id;
    this.show = show;
    document.addEventListener(CLEARED, () => this.begin());
    document.addEventListener(PUT_BACK, () => this.look());
    document.addEventListener("visibilitychange", () => this.look()); // A page that was left open grows old too.
    state.follow(() => this.look());
  }

  /** Begins with none, on another page or for another vehicle, and looks. */
  async begin() {
    this.own = new Map();
    this.others = new Map();
    this.show();
    await this.look();
  }

  /** Shows what is kept. Where the device does not give it, what stands here is all there is. */
  async look() {
    if (!this.id()) return;
    const { records, unread, ...bay } = await state.recall();
    if (unread) return;
    this.bay = bay;
    Object.assign(this, marksOf(records, this.kind, this.id(), bay)); // Another page may be shown by now.
    this.show();
  }

  /**
   * Sets marks for the vehicle in the bay, or for the one that is worked on still; an empty text takes one away. What
   * another tab has set beside them stays.
   * @param {Record<string, string>} fields @param {import("./whose.js").Bay} [bay]
   */
  async set(fields, bay = this.bay) {
    const id = this.id();
    const isEarly = bay === NOBODY; // A tap may come before the first look.
    for (const [name, text] of Object.entries(bay.open === this.bay.open ? fields : {})) {
      if (text) this.own.set(name, { text, at: Date.now(), job: bay.open });
      else this.own.delete(name);
    }
    this.show();
    const vehicle = isEarly ? await state.recall() : bay;
    this.write(ownId(id, vehicle), fields, vehicle.open);
    if (isEarly) await this.look();
  }

  /** What waits under these names goes: the open job has its own. @param {string[]} names */
  letGo(names) {
    const waiting = names.filter((name) => this.others.delete(name));
    if (this.bay.open && waiting.length) this.write(this.id(), Object.fromEntries(waiting.map((name) => [name, ""])), "");
    this.show();
  }

  /** @param {string} id @param {Record<string, string>} fields @param {string} job */
  write(id, fields, job) {
    const noted = state.note(id, this.kind, pageTitle(), fields, job);
    state.change(id, (record) => withMarks(record, noted));
  }
}
