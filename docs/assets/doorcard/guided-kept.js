/** What the guided tune has gathered, and how it stays on the device. */

import { GUIDED, isRunOf, runField } from "./guided-fields.js";
import { inputOf } from "./fields.js";
import { carriesFields } from "./links.js";
import { pageTitle } from "./parts.js";
import { isText, membersOf } from "./records.js";
import * as state from "./state.js";
import { clock } from "./clock.js";
import { NOBODY, isOwn, ofWhom, onWhom, ownId, titleOf } from "./whose.js";

/**
 * @typedef {object} Gathered
 * @property {Map<string, string>} measured What each run gave for the tune, by speaker, seat and point.
 * @property {Map<string, string>} again What each point gave once everything was tuned.
 * @property {string} sheet
 * @property {string} word The read-back's.
 * @property {Set<string>} sure The runs that were in doubt, and that the reader keeps, by the same.
 * @property {string} of How many runs there are in all.
 * @property {string} finished "yes" or "no", as Python said last.
 * @property {string} channels As they were loaded when the first run was kept.
 *
 * @typedef {import("./state.js").Typed} Tune A way as the device holds it.
 * @typedef {"" | "went on" | "cleared"} Done What another tab has done to this way.
 * @typedef {Done | "aside" | "over"} Question What the reader is asked; "aside": whether to take up what the device holds,
 *   "over": whether a tune may go for good.
 */

/** Whose curve follows, as the file of a run says it: the same line as `tune_measurements.HEAD`, trimmed. */
const HEAD = /^#?\s*([^;\s][^;]{0,59}?)\s*;\s*seat\s+([12])\s*;\s*point\s+(\d{1,2})\s*(?:;\s*arrival\s+-?\d{1,4}(?:\.\d{1,9})?\s*ms\s*)?(?:;\s*(?:positive|negative)\s*)?$/i;

/** @returns {Gathered} */
export const nothing = () => ({ measured: new Map(), again: new Map(), sheet: "", word: "", channels: "", of: "", finished: "", sure: new Set() });

/** One run, one key: capitals are forgiven, as Python does. @param {string} speaker @param {number} seat @param {number} point */
export const keyOf = (speaker, seat, point) => `${speaker.trim().replace(/\s+/g, " ").toLowerCase()}; seat ${seat}; point ${point}`;

/** What was measured again, one run, one key: the plan tells them apart by it. @param {string} speaker @param {number} point */
export const againOf = (speaker, point) => (speaker.endsWith(" side") ? speaker : `Point ${point}`);

/** How such a run is called. @param {string} key */
export const calledAgain = (key) => (key.endsWith(" side") ? `${key} alone` : `Everything at ${key.toLowerCase()}`);

/** The name, seat and point of a run, behind the whole of its head. @param {string} text Its curve, with its head. */
const headOf = (text) => text.split("\n", 1)[0].trim().match(HEAD) ?? [];

/** How a run is called: without the seat, where it is the driver's. @param {string} text Its curve, with its head. */
export function called(text) {
  const [, name = "", seat, point] = headOf(text);
  return `${name}; seat ${seat}; point ${point}`.replace("; seat 1;", " at");
}

/** The rows of channels, by the name in each. @param {string} channels The text of their fields. */
function rowsByName(channels) {
  /** @type {Map<string, Record<string, unknown>>} */
  const rows = new Map();
  for (const [field, text] of Object.entries(heldBy(channels))) {
    const [row, name] = field.split(".");
    rows.set(row, { ...rows.get(row), [name]: text });
  }
  return new Map([...rows.values()].map((row) => [row.name, JSON.stringify(row)]));
}

/** Whether a channel that stands in both is loaded otherwise in one. @param {string} before @param {string} now */
export function crossedOtherwise(before, now) {
  const rows = rowsByName(now);
  return [...rowsByName(before)].some(([name, row]) => rows.has(name) && rows.get(name) !== row);
}

/** The curves of a text, by speaker, seat and point: a line of words stands over each. @param {string} text */
export function runsIn(text) {
  /** @type {Map<string, string>} */
  const runs = new Map();
  let key = "";
  for (const line of text.split(/\r?\n/)) {
    const [, name, seat, point] = line.trim().match(HEAD) ?? [];
    if (name) key = keyOf(name, Number(seat), Number(point));
    if (key) runs.set(key, runs.has(key) ? `${runs.get(key)}\n${line}` : line);
  }
  return runs;
}

/** What a text that was kept holds: it is of unknown origin. @param {string | undefined} kept */
export function heldBy(kept) {
  try {
    return membersOf(JSON.parse(kept ?? ""));
  } catch {
    return {};
  }
}

/** What was typed into a form, of what was kept of it. @param {string | undefined} kept @returns {Record<string, string>} */
export const typedIn = (kept) =>
  Object.fromEntries(Object.entries(heldBy(kept)).flatMap(([field, text]) => (isText(text) ? [[field, text]] : [])));

/**
 * The runs in doubt that the reader has not kept, with what to say of each.
 * @param {Gathered} held
 * @param {import("./guided-screens.js").Standing["doubts"]} doubts As Python says.
 */
export const openDoubts = ({ measured, sure }, doubts) =>
  doubts
    .map(({ speaker, point, why }) => ({ key: keyOf(speaker, 1, point), words: `${speaker} at point ${point}: ${why} Check what plays. ` }))
    .filter(({ key }) => measured.has(key) && !sure.has(key));

/** What a way holds, in words. @param {Gathered} held */
export function contentsOf({ measured, again, sheet }) {
  const runs = measured.size + again.size;
  return `${runs || "no"} ${runs === 1 ? "run" : "runs"}${sheet ? " and a sheet" : ""}`;
}

/** What rests on a sheet that was read back. @param {Gathered} held */
export const afterwards = ({ again, word }) => (again.size ? "what was read back and measured again" : word && "what was read back");

/** The inputs of the plan that the way fills with what it keeps. */
const OF_KEPT = ["measurements", "sheet", "read_back", "again"];

/** Whether words are of this run. @param {string} words @param {string} text Its curve, with its head. */
function areOf(words, text) {
  const [, name, seat, point] = headOf(text);
  return [`${name}, seat ${seat}, point ${point}`, `“${name}”`].some((begin) => words.startsWith(begin));
}

/**
 * What the plan refuses of what is kept, by its first fault; null where something that was typed is wrong, too. A run of
 * the measurements is known by the words, or was kept last.
 * @param {Gathered} held
 * @param {import("./messages.js").FieldError[]} errors
 * @returns {{of: "measured" | "again" | "sheet" | "read back", key: string, words: string} | null}
 */
export function refusedIn({ measured, again }, errors) {
  if (!errors.length || errors.some(({ field }) => !OF_KEPT.includes(inputOf(field)))) return null;
  const [{ field, message }] = errors;
  if (field === "sheet") return { of: "sheet", key: "", words: `The sheet: ${message}` };
  if (field === "read_back") return { of: "read back", key: "", words: `What was read back: ${message}` };
  if (inputOf(field) === "again") {
    const key = [...again.keys()][Number(field.match(/\d+/)?.[0])] ?? "";
    return key ? { of: "again", key, words: `${calledAgain(key)}: ${message}` } : { of: "read back", key, words: message };
  }
  const runs = [...measured];
  const [key, text] = runs.find(([, text]) => areOf(message, text)) ?? runs.at(-1) ?? ["", ""];
  return key ? { of: "measured", key, words: areOf(message, text) ? message : `${called(text)}: ${message}` } : null;
}

/** What was gathered, as texts by name. @param {Gathered} gathered @returns {Record<string, string>} */
export function textsOf({ measured, again, sheet, word, channels, of, finished, sure }) {
  /** @param {import("./guided-fields.js").Gathering} name @param {Map<string, string>} texts */
  const curves = (name, texts) => Object.fromEntries([...texts].map(([key, text], at) => [runField(name, at), `${key}\n${text}`]));
  return { sheet, word, channels, of, finished, sure: [...sure].join("\n"), ...curves("measured", measured), ...curves("again", again) };
}

/** What such texts hold. @param {Record<string, string>} texts @returns {Gathered} */
export function gatheredIn(texts) {
  /** @param {import("./guided-fields.js").Gathering} name */
  const curves = (name) => new Map(Object.entries(texts).filter(([field]) => isRunOf(name, field)).map(([, text]) => {
    const [key, ...lines] = text.split("\n");
    return [key, lines.join("\n")];
  }));
  const { sheet = "", word = "", channels = "", of = "", finished = "", sure = "" } = texts;
  return { measured: curves("measured"), again: curves("again"), sheet, word, channels, of, finished, sure: new Set(sure.split("\n")) };
}

/** Whether a way had left its channels behind, by what was kept of it. @param {Record<string, string>} fields */
function isBegun(fields) {
  const { measured, sheet } = gatheredIn(fields);
  return Boolean(fields.ready || measured.size || sheet);
}

/** Why a way does not go on by itself, in words; nothing if it may. @param {Tune} tune @param {import("./whose.js").Bay} bay */
function whyAside(tune, bay) {
  const becomes = bay.open ? `To take it up makes it one of ${titleOf(bay.open, bay)}. ` : "";
  if (!isOwn(tune, bay)) return `A tune ${ofWhom(tune, bay)}. ${becomes}`;
  return carriesFields() ? `A tune of ${clock(tune.at)} is kept on this device; what stands here came with a link. ` : "";
}

/** @param {Tune | null | undefined} tune */
const asText = (tune) => (tune ? JSON.stringify(tune.fields) : "");

/** Not over what another tab has written since. @param {string} before @param {Tune | null} record @returns {import("./state.js").Change} */
const insteadOf = (before, record) => (there) => (asText(there) === before ? record : there);

/** What a page's ways are on this device: each job has one, and so has no job. */
export class Kept {
  /** What is kept of the way that stands here, as far as this tab knows: what it wrote last, though the device may have refused it. */
  there = "";
  /** The job whose it is; nothing for none. */
  job = "";
  /** What waits for a tap. @type {Tune | null} */
  waiting = null;
  /** All of this page, the newest first, as was looked at last. @type {Tune[]} */
  tunes = [];
  /** The vehicle in the bay, as was looked at last. @type {import("./whose.js").Bay} */
  bay = NOBODY;
  page = `${location.pathname}#guided`;

  /** Of the record of the way that stands here. */
  get id() {
    return ownId(this.page, { open: this.job });
  }

  /** The device does not keep what this tab has done. */
  get refused() {
    return state.isRefused(this.id);
  }

  /** Another job is open by now. */
  get isLeft() {
    return this.job !== this.bay.open;
  }

  /** What the device holds of the way that stands here. */
  get tune() {
    return this.tuneOf(this.job);
  }

  /** What the device holds beside it. */
  get others() {
    return this.tunes.filter(({ id, fields }) => id !== this.id && isBegun(fields));
  }

  /** @param {string} job */
  tuneOf(job) {
    return this.tunes.find(({ id }) => id === ownId(this.page, { open: job })) ?? null;
  }

  /**
   * Not over what another tab has written a moment ago: `changed` tells of it.
   * @param {Record<string, string>} fields
   */
  async write(fields) {
    const record = state.note(this.id, GUIDED, pageTitle(), fields, this.job);
    const [before, text] = [this.there, asText(record)];
    if (text === before) return;
    this.there = text;
    await state.change(this.id, insteadOf(before, record));
  }

  /**
   * What there is for the open job; why it is not taken up by itself, and whether that is worth asking. What is of no job, or
   * of one that was deleted, waits where the open job has begun none.
   */
  async read() {
    await this.look(true);
    if (await this.parted()) await this.look();
    const { tunes, bay } = this;
    this.job = bay.open;
    this.there = asText(this.tune);
    const begun = [this.tune, ...tunes.filter(({ job }) => !job || !bay.titles.has(job))].find((one) => one && isBegun(one.fields));
    const found = begun ?? this.tune;
    const aside = found ? whyAside(found, bay) : "";
    this.waiting = aside && begun ? begun : null;
    return { fields: found?.fields ?? null, aside, begun: Boolean(begun) };
  }

  /** What waits goes on as the open job's. */
  async take() {
    if (this.waiting) await this.move({ ...this.waiting, at: Date.now() }, this.job);
  }

  /** A release that had one tune for all jobs kept that of a job where the one of none is now. */
  async parted() {
    const old = this.tuneOf("");
    if (!old?.job || !this.bay.titles.has(old.job) || this.tuneOf(old.job)) return false;
    await this.move(old, old.job);
    return true;
  }

  /** @param {Tune} tune @param {string} job */
  async move(tune, job) {
    const id = ownId(this.page, { open: job });
    const record = { ...tune, id, job };
    const there = asText(this.tuneOf(job));
    if (tune.id === id) await state.keep(record, insteadOf(there, record));
    else await state.move(tune.id, record, insteadOf(there, record), insteadOf(asText(tune), null));
  }

  /** Throws one away that is kept beside. @param {Tune} tune */
  async throwAway(tune) {
    await state.forget(tune.id, insteadOf(asText(tune), null));
    await state.tryAgain(); // There may be room by now.
  }

  /** What another tab has done to it since. @returns {Promise<Done>} */
  async changed() {
    if (await this.look()) return "";
    if (asText(this.tune) === this.there) return ""; // By what it holds: a clock may have been set back since.
    return this.tune ? "went on" : "cleared";
  }

  /** On which job it is, in words. */
  onWhom() {
    return onWhom(this.job, this.bay);
  }

  /** Whose another one is, from when, and what it holds, in words. @param {Tune} tune */
  inWords(tune) {
    const { bay } = this;
    return `The tune of ${clock(tune.at)}, of ${titleOf(tune.job ?? "", bay)}, has ${contentsOf(gatheredIn(tune.fields))}. `;
  }

  /** Gives whether the device does not even give what it keeps: which job is open it says no more then. @param {boolean} [anew] */
  async look(anew = false) {
    const { records, unread, ...bay } = await state.recall();
    this.tunes = records.filter(({ id, calculator }) => calculator === GUIDED && id.startsWith(this.page));
    if (anew || !unread) this.bay = bay;
    return unread;
  }

  /** What is there now is known, and is to be written over. */
  async goOver() {
    await this.look();
    this.there = asText(this.tune);
  }
}
