/** The page's one script: it defines the elements that pages hold. */

import "./calculator.js";
import "./read-off.js";
