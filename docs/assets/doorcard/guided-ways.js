/** What of a guided tune is to be mended, and what else may be done on its screens: words, and buttons. */

import { called, calledAgain, openDoubts, refusedIn } from "./guided-kept.js";
import { SET_UP } from "./guided-screens.js";
import { WORDS } from "./guided-words.js";

/** @typedef {import("./guided-screens.js").Way} Way */
/** @typedef {import("./guided.js").Guide} Guide */

/** The runs that may be of another speaker, as Python says, until the reader keeps them. @param {Guide} guide @returns {(string | Way)[]} */
export function doubtsOf(guide) {
  const { held, standing } = guide;
  return openDoubts(held, standing?.doubts ?? []).flatMap(({ key, words }) => {
    const keep = () => guide.put({ ...guide.held, sure: new Set([...guide.held.sure, key]) });
    return [words, [WORDS.again, () => guide.throwRun(key)], " ", [WORDS.keep, keep], " "];
  });
}

/** What the plan refuses of what is kept, and the way out. @param {Guide} guide @returns {(string | Way)[]} */
export function refusalOf(guide) {
  const refused = guide.standing === null && refusedIn(guide.held, guide.errors);
  if (!refused) return [];
  const { of, key, words } = refused;
  /** @type {Record<typeof of, Way>} */
  const ways = {
    measured: [WORDS.again, () => guide.throwRun(key)],
    again: [WORDS.again, () => guide.throwAgain(key)],
    sheet: anotherSheet(guide),
    "read back": [WORDS.anew, () => guide.throwAway([], {})],
  };
  return [`${words} `, ways[of], " "];
}

/** @param {Guide} guide @returns {Way} */
function anotherSheet(guide) {
  const goes = guide.held.again.size ? "this one, and what was measured again" : "this one";
  return [`${WORDS.sheet} (throws away ${goes})`, () => guide.throwAway(["the sheet"], { sheet: "" })];
}

/** What else may be done. @param {Guide} guide @returns {Way[]} */
export function waysOf(guide) {
  const { screen, held } = guide;
  /** @type {Way[]} */
  const ways = [[WORDS.whole, () => guide.turn(false, guide.settingUp)]];
  if (screen !== SET_UP) ways.push([WORDS.setup, () => guide.turn(true, true)]);
  if (screen.fields && !guide.full) ways.push([WORDS.full, () => Object.assign(guide, { full: true }).show()]);
  if (held.sheet) ways.push(anotherSheet(guide));
  if (held.word) ways.push([WORDS.anew, () => guide.throwAway([], {})]);
  return ways;
}

/** The runs that are kept, each to be measured once more. @param {Guide} guide @returns {Way[]} */
export function runsOf(guide) {
  return [
    ...[...guide.held.measured].map(([key, text]) => /** @type {Way} */ ([called(text), () => guide.throwRun(key)])),
    ...[...guide.held.again.keys()].map((key) => /** @type {Way} */ ([calledAgain(key), () => guide.throwAgain(key)])),
  ];
}
