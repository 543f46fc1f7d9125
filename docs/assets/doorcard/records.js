/** What a record on this device is, which is of unknown origin; and its times, where the clock was set back since. */

/** @typedef {import("./state.js").Typed} Typed */
/** @typedef {import("./state.js").Value} Value */
/** @typedef {import("./state.js").Vehicle} Vehicle */

/** Id of the record that tells when the vehicle in the bay came. */
export const VEHICLE = "vehicle";

/** @param {unknown} value @returns {value is string} */
export const isText = (value) => typeof value === "string";

/** What an object of unknown origin holds. @param {unknown} given @returns {Record<string, unknown>} */
export const membersOf = (given) => (typeof given === "object" && given !== null ? { ...given } : {});

/** @param {unknown} given @returns {given is Value} */
function isValue(given) {
  const { name, label, means, unit, at, job = "" } = membersOf(given);
  return [name, label, means, unit, job].every(isText) && Number.isFinite(at);
}

/** @param {unknown} given @returns {given is Typed} */
export function isTyped(given) {
  const { id, calculator, title, at, fields, values, job = "" } = membersOf(given);
  return (
    [id, calculator, title, job].every(isText) &&
    Number.isFinite(at) &&
    typeof fields === "object" &&
    fields !== null &&
    Object.values(fields).every(isText) &&
    Array.isArray(values) &&
    values.every(isValue)
  );
}

/** @param {unknown} given @returns {given is Vehicle} */
export function isVehicle(given) {
  const { id, since } = membersOf(given);
  return id === VEHICLE && Number.isFinite(since);
}

/**
 * A time that is not in the future; what came before the vehicle in the bay still did.
 * @param {number} at
 * @param {number} since When the vehicle came, by the clock that told the time.
 * @param {number} now
 */
export const untilNow = (at, since, now) => Math.min(at, at < since ? now - 1 : now);

/** @param {Typed} record @param {number} since @param {number} now @returns {Typed} */
export function recordUntilNow(record, since, now) {
  const values = record.values.map((value) => ({ ...value, at: untilNow(value.at, since, now) }));
  return { ...record, at: untilNow(record.at, since, now), values };
}

/** Whether a record holds a time in the future. @param {Typed | Vehicle} record @param {number} now */
export function isAhead(record, now) {
  const times = "since" in record ? [record.since] : [record.at, ...record.values.map(({ at }) => at)];
  return times.some((at) => at > now);
}
