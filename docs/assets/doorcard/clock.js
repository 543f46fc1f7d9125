/** When something was typed or kept, by the device’s own clock. */

/** A moment of today by its time, any other with its day. @param {number} at */
export function clock(at) {
  const when = new Date(at);
  const time = when.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (when.toDateString() === new Date().toDateString()) return time;
  return `${when.toLocaleDateString("en-GB", { day: "numeric", month: "short" })}, ${time}`;
}

/** From when some values are. @param {{at: number}[]} values */
export function span(values) {
  const times = values.map(({ at }) => at);
  const [first, last] = [clock(Math.min(...times)), clock(Math.max(...times))];
  return first === last ? first : `${first} to ${last}`;
}

/** A moment as jobs, checks and names of files have it: 2031-05-21 10:42. */
export function moment(when = new Date()) {
  const two = (/** @type {number} */ number) => String(number).padStart(2, "0");
  const day = [when.getFullYear(), two(when.getMonth() + 1), two(when.getDate())].join("-");
  return `${day} ${two(when.getHours())}:${two(when.getMinutes())}`;
}
