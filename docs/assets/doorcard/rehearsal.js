/** What the worker asks to have its code compiled for speed before a reader's first key (`rehearse` in `worker.js`). */

const PLAIN = /^[0-9]+(\.[0-9]+)?$/; // A number as it is typed.

/**
 * A form as a reader's keys may change it: one number is a little larger, so that what is kept from answer to answer does
 * not spare the work.
 * @param {string} question
 * @param {number} turn
 */
export function asTyped(question, turn) {
  const asked = JSON.parse(question);
  const numbers = Object.entries(asked.inputs).filter(([, text]) => PLAIN.test(text) && Number(text));
  if (!numbers.length) return question;
  const [name, text] = numbers[turn % numbers.length];
  asked.inputs[name] = String(Number((Number(text) * (1 + (1 + (turn % 47)) / 300)).toPrecision(4)));
  return JSON.stringify(asked);
}
