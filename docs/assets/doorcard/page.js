/** The page's one script: it defines the elements that pages hold, and starts on each page shown what belongs to all. */

import { engine } from "./calculator.js";
import { offerCard } from "./cards.js";
import { followLastPage } from "./last-page.js";
import { scriptFor } from "./load-anew.js";
import { parts } from "./parts.js";
import { followSegments } from "./segments.js";
import { mendPage } from "./theme-fixes.js";
import { makeTickable } from "./ticks.js";
import { makeWalkable } from "./tree.js";
import "./read-off.js";
import "./self-check.js";
import "./offline.js";
import "./open-text.js";
import "./open-values.js";
import "./same-file.js";

let first = true;
// The theme's stream of pages: it tells of the page that was loaded first, too.
// @ts-ignore: the theme's own name.
globalThis.document$?.subscribe(() => {
  mendPage(first);
  first = false;
  followLastPage();
  makeTickable();
  makeWalkable();
  offerCard((link) => engine().codeOf(link));
  followSegments();
  for (const place of parts(document, "doorcard-jobs", HTMLElement)) scriptFor(place, import("./job-desk.js")); // One page has it.
});
