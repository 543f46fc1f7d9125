/** The page's one script: it defines the elements that pages hold. */

import "./theme-fixes.js";
import "./calculator.js";
import "./read-off.js";
import "./self-check.js";
import "./offline.js";
import "./open-text.js";
import "./open-values.js";
import "./same-file.js";
