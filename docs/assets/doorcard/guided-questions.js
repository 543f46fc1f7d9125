/** What the reader of a guided tune is asked, where more than one of them counts or may go, and what the answers do. */

import { contentsOf, gatheredIn } from "./guided-kept.js";
import { doubtsOf, refusalOf } from "./guided-ways.js";
import { WORDS } from "./guided-words.js";

/** @typedef {import("./guided-screens.js").Way} Way */
/** @typedef {import("./guided.js").Guide} Guide */
/** @typedef {import("./guided-kept.js").Tune} Tune */
/** @typedef {{aside: string, there: string, here: string, over: string}} Ways Why one is not taken up, what each holds, and what goes, in words. */
/**
 * What the reader is asked, what takes what the device holds, and what leaves it.
 * @type {Record<Exclude<import("./guided-kept.js").Question, "">, [ask: (ways: Ways) => string, theirs: string, ours: string]>}
 */
export const QUESTIONS = Object.freeze({
  "went on": [({ there, here }) => `Another tab of this device has changed this tune: there ${there}, here ${here}. `, "Use what the other tab has", "Keep what stands here"],
  cleared: [() => "This tune was cleared in another tab. ", "Clear it here too", "Keep what stands here"],
  aside: [({ aside, there }) => `${aside}It has ${there}. `, "Take it up", "Begin a new one"],
  over: [({ over }) => over, "Keep it", "Throw it away"],
});

/** What the reader is asked, or what may be taken back. @param {Guide} guide @returns {(string | Way)[]} */
export function toldOf(guide) {
  const { overtaken, on, said } = guide;
  if (!overtaken) return [...said, ...(on ? [...refusalOf(guide), ...doubtsOf(guide)] : []), ...roomOf(guide)]; // Else the plan's answer says it.
  const [words, theirs, ours] = QUESTIONS[overtaken];
  const large = overtaken === "cleared"; // There is no way back from that: what keeps is the large one.
  return [words(wordsOf(guide)), [theirs, () => settle(guide, true)], " ", [ours, () => settle(guide, false), large]];
}

/** @param {Guide} guide @returns {Ways} */
function wordsOf({ aside, held, kept, goes }) {
  const there = contentsOf(gatheredIn((kept.waiting ?? kept.tune)?.fields ?? {}));
  const over = goes?.id === kept.id ? `${aside}A new one throws its ${there} away. ` : `${goes ? kept.inWords(goes) : ""}${WORDS.gone}`;
  return { aside, there, here: contentsOf(held), over };
}

/** What is kept beside it, where the device keeps no more of this one: each may go. @param {Guide} guide @returns {(string | Way)[]} */
function roomOf(guide) {
  const { kept } = guide;
  if (!kept.refused || !kept.others.length) return [];
  return [WORDS.room, ...kept.others.flatMap((tune) => /** @type {(string | Way)[]} */ ([kept.inWords(tune), [WORDS.throwTune, () => askWhether(guide, tune)], " "]))];
}

/** Hours of measuring do not go by one tap. @param {Guide} guide @param {Tune} goes */
function askWhether(guide, goes) {
  Object.assign(guide, { goes, overtaken: "over" });
  guide.show();
}

/** Goes on with what the device holds, or with what stands here. @param {Guide} guide @param {boolean} theirs */
async function settle(guide, theirs) {
  const { overtaken: asked, kept, kept: { isLeft, waiting } } = guide;
  if (asked === "over") return settleOver(guide, theirs);
  if (theirs && (asked === "cleared" || isLeft)) return guide.clear();
  if (theirs) {
    const here = guide.texts();
    await guide.inTurn(() => guide.recall(true, true));
    return asked === "went on" ? leave(guide, here) : undefined;
  }
  if (asked === "aside" && waiting?.id === kept.id) return askWhether(guide, waiting);
  guide.overtaken = "";
  await kept.goOver();
  await guide.keep();
}

/** A kept tune goes for the one that stands here, or for room; or neither. @param {Guide} guide @param {boolean} stays */
async function settleOver(guide, stays) {
  const { kept, goes } = guide;
  if (!goes) return;
  const isWaiting = goes.id === kept.id;
  guide.overtaken = stays && isWaiting ? "aside" : "";
  if (stays) return guide.show();
  if (!isWaiting) await kept.throwAway(goes);
  else await kept.goOver();
  await guide.keep();
  if (isWaiting) leave(guide, goes.fields);
}

/** Says what goes for what stands here now, and offers it back. @param {Guide} guide @param {Record<string, string>} fields */
function leave(guide, fields) {
  const back = () => guide.takeUp(fields, guide.on).then(() => guide.keep());
  guide.said = [`${WORDS.thrown}${contentsOf(gatheredIn(fields))}. `, [WORDS.undo, back]];
  guide.show();
}
