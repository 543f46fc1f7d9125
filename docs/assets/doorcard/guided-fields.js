/**
 * How the device names what the guided tune has gathered: whoever keeps it writes these names, and whoever asks before it
 * is thrown away counts by them.
 */

/** @typedef {"measured" | "again"} Gathering For the tune, and once everything was tuned. */

/** In place of a calculator's name. */
export const GUIDED = "guided";

/** @type {Gathering[]} */
const GATHERINGS = ["measured", "again"];

/** @param {Gathering} gathering @param {number} at */
export const runField = (gathering, at) => `${gathering}[${at}]`;

/** @param {Gathering} gathering @param {string} field */
export const isRunOf = (gathering, field) => field.startsWith(`${gathering}[`);

/** @param {string} field */
const isRun = (field) => GATHERINGS.some((gathering) => isRunOf(gathering, field));

/** How many runs are kept. @param {import("./state.js").Typed[]} records */
export const guidedRuns = (records) =>
  records.filter(({ calculator }) => calculator === GUIDED).flatMap(({ fields }) => Object.keys(fields)).filter(isRun).length;
