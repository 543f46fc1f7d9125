// Drives Firefox over WebDriver BiDi: a line of JSON in, a line of JSON out. What a line asks is one of `ways`.
//
//     node firefox.mjs FOLDER-OF-NODE-MODULES PATH-OF-FIREFOX

import { createRequire } from "node:module";
import { createInterface } from "node:readline";

const [modules, executablePath] = process.argv.slice(2);
const puppeteer = createRequire(`${modules}/`)("puppeteer-core");
const browser = await puppeteer.launch({ browser: "firefox", executablePath, headless: true });
const page = await browser.newPage();
const faults = [];
page.on("pageerror", (error) => faults.push(String(error)));

const LEAVE = "void (globalThis.left = true)";
const COME = "!globalThis.left && document.readyState !== 'loading'";
const PAUSE = 50; // Milliseconds between two looks.

/** After a page came back out of Firefox's memory the driver may not hear that the next one has come: so it looks. */
async function open(address) {
  await page.evaluate(LEAVE);
  let going = true;
  const gone = page.goto(address, { waitUntil: "domcontentloaded" }).finally(() => (going = false));
  gone.catch(() => {}); // Told below, if it is no page that has come.
  while (going && !(await page.evaluate(COME).catch(() => false))) await new Promise((settle) => setTimeout(settle, PAUSE));
  if (!going) await gone;
}

const ways = {
  open,
  ask: (expression) => page.evaluate(expression),
  type: (keys) => page.keyboard.type(keys),
  faults: async () => faults.splice(0),
};

for await (const line of createInterface({ input: process.stdin })) {
  const [way, ...given] = JSON.parse(line);
  const said = await ways[way](...given).then((answer = null) => ({ answer }), (error) => ({ failure: String(error) }));
  process.stdout.write(`${JSON.stringify(said)}\n`);
}
await browser.close();
