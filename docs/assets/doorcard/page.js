/** The page's one script: it defines the elements that pages hold. */

import "./calculator.js";
import "./read-off.js";
import "./self-check.js";
import "./offline.js";
import "./open-text.js";
import "./open-values.js";

// Once the theme is there, whose script comes after this one.
addEventListener("DOMContentLoaded", () => import("./theme-fixes.js"));
