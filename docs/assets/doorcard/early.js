/**
 * Starts the calculators of a page that asks one as soon as it is alive, while the theme's scripts are on their way. It
 * comes after all that is drawn, so that the first frame does not wait for it. The build writes the name of the first one
 * behind this script's address.
 */

import { Engine } from "./engine.js";

// For a tab out of sight its forms start the calculators themselves.
if (!document.hidden) Engine.ofTab ??= new Engine({ first: new URL(import.meta.url).hash.slice(1) });
