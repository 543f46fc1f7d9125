/** Cards of A6: an answer, or the tables of a page, alone on paper, with a code that leads back to it. */

import { canBeLinked } from "./links.js";
import { button, pageTitle, paragraph, parts } from "./parts.js";

const TABLES = "article > .dc-scroll:has(.dc-look-up)";
const DANGERS = "article > .admonition.danger";
const LONGEST_WAIT = 2000; // Milliseconds for the code: a card without one is better than none.
const RELEASE = /doorcard-(\w+)\//;

/**
 * Prints a card; the page itself stays as it is.
 * @param {{title: string, content: HTMLElement[], code: string}} card `code` is SVG, or empty.
 */
export function printCard({ title, content, code }) {
  document.querySelector(".dc-card")?.remove();
  const card = document.createElement("section");
  card.className = "dc-card md-typeset";
  const heading = document.createElement("h1");
  heading.textContent = title;
  card.append(heading, ...content.map((part) => part.cloneNode(true)));
  for (const named of card.querySelectorAll("[id]")) named.removeAttribute("id");
  card.append(foot(code));
  document.body.append(card);
  addEventListener("afterprint", () => card.remove(), { once: true });
  print();
}

/** Where the card comes from, and the cautions that its page prints whole. @param {string} code */
function foot(code) {
  const line = document.createElement("footer");
  line.innerHTML = code;
  const release = RELEASE.exec(import.meta.url)?.[1];
  const day = new Date().toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
  const words = `${location.host}${location.pathname}, ${release ? `release ${release}, ` : ""}printed on ${day}.`;
  const cautions = parts(document, "article .dc-caution-title", HTMLElement).map(({ textContent }) => textContent?.trim());
  const first = cautions.length ? `Read on the page before you work: ${cautions.join("; ")}.` : "";
  const said = document.createElement("div");
  said.append(paragraph(first), paragraph(words));
  line.append(said);
  return line;
}

/**
 * Puts a button for a card of all tables under the last table of a look-up page.
 * @param {(link: string) => Promise<string>} codeOf The QR code of a link as SVG; empty if there can be none.
 */
export function offerCard(codeOf) {
  const tables = parts(document, TABLES, HTMLElement);
  if (!tables.length || document.querySelector(".dc-card-offer")) return;
  const title = pageTitle();
  const offer = document.createElement("p");
  offer.className = "dc-card-offer";
  offer.append(button("Print as a card", async () => {
    const code = await codeOfPage(codeOf);
    if (offer.isConnected) printCard({ title, content: parts(document, `${TABLES}, ${DANGERS}`, HTMLElement), code });
  }));
  tables[tables.length - 1].after(offer);
}

/**
 * The code that opens this page; empty if it can't be had, or not in time.
 * @param {(link: string) => Promise<string>} codeOf
 */
function codeOfPage(codeOf) {
  const late = /** @type {Promise<string>} */ (new Promise((settle) => setTimeout(() => settle(""), LONGEST_WAIT)));
  return canBeLinked ? Promise.race([codeOf(`${location.origin}${location.pathname}`), late]) : "";
}
