/**
 * How the device names what the guided tune has gathered: whoever keeps it writes these names, and whoever asks before it
 * is thrown away counts by them.
 */

/** @typedef {"measured" | "again"} Gathering For the tune, and once everything was tuned. */

/** @type {Gathering[]} */
const GATHERINGS = ["measured", "again"];

/** @param {Gathering} gathering @param {number} at */
export const runField = (gathering, at) => `${gathering}[${at}]`;

/** @param {Gathering} gathering @param {string} field */
export const isRunOf = (gathering, field) => field.startsWith(`${gathering}[`);

/** @param {string} field */
export const isRun = (field) => GATHERINGS.some((gathering) => isRunOf(gathering, field));
