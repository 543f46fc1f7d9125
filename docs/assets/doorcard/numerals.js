/**
 * Numbers as people write them, read as `calculators/declaring/numerals.py` does: what the page works out itself
 * must not be another number than the answer's. `tests/javascript/test_numerals.py` holds the two together.
 */

/** @type {Record<string, string>} */
const SIGNS = { "−": "-", "–": "-", "\u00A0": " ", "\u2009": " ", "\u202F": " ", "\uFEFF": "", "\u3000": " ", "٫": ".", "٬": ",", "،": "," };
const FULL_WIDTH = 0xFEE0; // From a sign to its twin of full width.
const DIGIT = /^\p{Nd}$/u;

const NUMBER = /^([+-]?\d[\d ., ]*|[+-]?[.,]\d+)(e[+-]?\d+)?$/i;
const GROUP = /^[+-]?[1-9]\d{0,2}[.,]\d{3}$/;
const GROUPS = /^[+-]?\d{1,3}([.,])\d{3}(\1\d{3})+$/;
const BLANK_GROUPS = /^[+-]?\d{1,3}( \d{3})+([.,]\d*)?$/;
const LONGEST = 400;

/** One sign with the digits 0 to 9, one minus and one blank. @param {string} sign */
function plainSign(sign) {
  const code = sign.codePointAt(0) ?? 0;
  if (sign in SIGNS) return SIGNS[sign];
  if (code > FULL_WIDTH + 0x20 && code < FULL_WIDTH + 0x7F) return String.fromCodePoint(code - FULL_WIDTH);
  if (!DIGIT.test(sign)) return sign;
  let zero = code; // The digits of a script follow one another, from its zero on; some scripts, too.
  while (DIGIT.test(String.fromCodePoint(zero - 1))) zero -= 1;
  return String((code - zero) % 10);
}

/**
 * The number that a text is, without a unit.
 * @param {string} text
 * @param {(number: number) => boolean} thousandsFit Whether a number that may be meant lies in the range.
 * @returns {{number: number, figures: number} | "unclear" | null} Unclear, if it may be two numbers; nothing, if it is none.
 */
export function readNumber(text, thousandsFit) {
  const plain = Array.from(text, plainSign).join("").trim();
  const [, begin = "", exponent = ""] = (plain.length <= LONGEST && NUMBER.exec(plain)) || [];
  const digits = begin.trim();
  if (digits.includes(",") && digits.includes(".")) return "unclear";
  const whole = digits.replaceAll(/[.,]/g, "");
  if (GROUPS.test(digits)) return "unclear";
  if (GROUP.test(digits) && (digits.includes(",") || thousandsFit(Number(whole + exponent)))) return "unclear";
  if (!digits || (digits.includes(" ") && !BLANK_GROUPS.test(digits))) return null;
  const number = Number(digits.replaceAll(" ", "").replaceAll(",", ".") + exponent);
  if (!Number.isFinite(number)) return null;
  return { number, figures: whole.replaceAll(/\D/g, "").replace(/^0+/, "").length };
}

/** Digits whose point cannot be taken for a thousands mark. @param {string} digits */
export const clearFraction = (digits) => (GROUP.test(digits) ? `${digits}0` : digits);
