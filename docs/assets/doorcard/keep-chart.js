/** Keeps a chart of the page, with title and legend and in the colours of that moment, or the numbers behind it. Loaded when somebody asks. */

import { part, parts } from "./parts.js";

const SVG = "http://www.w3.org/2000/svg";
/** What the style sheet gives a shape, and a file of its own must say itself. */
const SHOWN = [
  "fill", "fill-opacity", "font-family", "font-size", "font-weight", "stroke", "stroke-dasharray", "stroke-linejoin",
  "stroke-opacity", "stroke-width", "text-anchor",
];
const HEAD = 24; // Over the chart, for its title; of the picture's 360 across, as all that follow.
const LINE = 18; // Of the legend.
const SAMPLE = 30;
const LARGER = 2; // Drawing against chart: 720 across.
const FINER = 2; // Dots of the picture to a length of the drawing: 1440 across.

/** Signs without width, and what a formula may begin with: as `calculators/declaring/csv_rows.py` has them. */
const UNSEEN = /[\uFEFF\u200B]/g;
const FORMULA = /^[\s\p{Cc}]*[=+\-@|%\uFF1D\uFF0B\uFF0D\uFF20]/u;
const NUMBER = /^-?(\d+\.?\d*|\.\d+)$/;
/** By it a spreadsheet knows the letters of every alphabet. */
const MARK = "\uFEFF";

/** @typedef {"SVG" | "PNG" | "CSV"} Kind */

/**
 * Keeps the chart of a figure. Rejects where no picture can be made.
 * @param {HTMLElement} figure
 * @param {Kind} kind
 */
export async function keepChart(figure, kind) {
  const title = titleOf(figure).textContent ?? "";
  const contents = kind === "CSV" ? numbersOf(figure) : kind === "SVG" ? drawingOf(figure) : await pictureOf(figure);
  const types = { SVG: "image/svg+xml", PNG: "image/png", CSV: "text/csv" };
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([contents], { type: types[kind] }));
  const plain = title.toLowerCase().replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-|-$/g, "");
  link.download = `${plain || "chart"}.${kind.toLowerCase()}`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

/** @param {HTMLElement} figure */
const titleOf = (figure) => part(figure, "figcaption", HTMLElement);

/**
 * An SVG element with its attributes.
 * @param {string} name
 * @param {Record<string, string | number>} attributes
 * @param {string} [text]
 */
function shape(name, attributes, text = "") {
  const made = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, String(value));
  made.textContent = text;
  return made;
}

/** How an element looks now, as attributes. @param {Element} element */
function looks(element) {
  const style = getComputedStyle(element);
  return Object.fromEntries(SHOWN.map((name) => [name, style.getPropertyValue(name)]));
}

/** What is behind an element: the first colour that is there at all. @param {Element | null} element */
function ground(element) {
  for (let around = element; around; around = around.parentElement) {
    const { backgroundColor } = getComputedStyle(around);
    if (!/^rgba\(.*, 0\)$|^transparent$/.test(backgroundColor)) return backgroundColor;
  }
  return "#ffffff";
}

/** The chart as a file of its own. @param {HTMLElement} figure */
function drawingOf(figure) {
  const chart = part(figure, "svg", SVGSVGElement);
  const { width, height } = chart.viewBox.baseVal;
  const keys = parts(figure, ".dc-key", HTMLElement);
  const whole = HEAD + height + LINE * keys.length + LINE / 2;
  const drawing = shape("svg", { xmlns: SVG, viewBox: `0 0 ${width} ${whole}`, width: LARGER * width, height: LARGER * whole });
  const title = titleOf(figure);
  const words = { "font-family": getComputedStyle(title).fontFamily, fill: getComputedStyle(title).color };
  const body = shape("g", { transform: `translate(0 ${HEAD})` });
  drawing.append(
    shape("rect", { width, height: whole, fill: ground(figure) }),
    shape("text", { ...words, x: 2, y: HEAD - 8, "font-size": 14, "font-weight": 600 }, title.textContent ?? ""),
    body,
  );
  for (const each of chart.children) {
    const copy = shape(each.localName, {}, each.localName === "text" ? each.textContent ?? "" : "");
    for (const { name, value } of each.attributes) if (name !== "class") copy.setAttribute(name, value);
    for (const [name, value] of Object.entries(looks(each))) copy.setAttribute(name, value);
    body.append(copy);
  }
  keys.forEach((key, number) => {
    const y = HEAD + height + LINE * (number + 0.7);
    const kind = [...key.classList].find((name) => name.startsWith("dc-key-")) ?? "";
    const like = chart.querySelector(`.${kind === "dc-key-band" ? "dc-band" : kind.replace("key", "line")}`);
    const place = { x1: 4, x2: 4 + SAMPLE, y1: y - 4, y2: y - 4 };
    const band = { x: 4, y: y - 9, width: SAMPLE, height: 10 };
    if (like) drawing.append(shape(kind === "dc-key-band" ? "rect" : "line", { ...looks(like), ...(kind === "dc-key-band" ? band : place) }));
    drawing.append(shape("text", { ...words, x: SAMPLE + 12, y, "font-size": 12 }, key.textContent ?? ""));
  });
  return new XMLSerializer().serializeToString(drawing);
}

/** The same in dots. @param {HTMLElement} figure @returns {Promise<Blob>} */
async function pictureOf(figure) {
  const image = new Image();
  image.src = `data:image/svg+xml,${encodeURIComponent(drawingOf(figure))}`;
  await image.decode();
  const canvas = document.createElement("canvas");
  canvas.width = FINER * image.naturalWidth;
  canvas.height = FINER * image.naturalHeight;
  canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
  return new Promise((settle, fail) => canvas.toBlob((made) => (made ? settle(made) : fail(new Error("no room for a picture"))), "image/png"));
}

/** The table behind the chart, for a spreadsheet: what one would work out is text. @param {HTMLElement} figure */
function numbersOf(figure) {
  const rows = parts(figure, ".dc-numbers tr", HTMLTableRowElement).map((row) => [...row.cells].map(({ textContent }) => cell(textContent ?? "")));
  return MARK + rows.map((row) => `${row.join(",")}\r\n`).join("");
}

/** A cell that a spreadsheet reads as text or as a number, never as a formula. @param {string} text */
export function harmless(text) {
  const seen = text.replace(UNSEEN, "");
  return FORMULA.test(seen) && !NUMBER.test(seen) ? `'${seen}` : seen;
}

/** @param {string} text */
function cell(text) {
  const safe = harmless(text.replaceAll("−", "-"));
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
