/**
 * Starts the calculators of a page that asks one as soon as it is alive: once the page's first frame is drawn, while the
 * theme's scripts are on their way. The build writes the name of the first one behind this script's address.
 */

import { Engine } from "./engine.js";

const begin = () => (Engine.ofTab ??= new Engine({ first: new URL(import.meta.url).hash.slice(1) }));
// A tab out of sight draws no frame: its forms start the calculators themselves.
requestAnimationFrame(() => setTimeout(begin));
