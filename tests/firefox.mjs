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

const ways = {
  open: async (address) => void (await page.goto(address, { waitUntil: "domcontentloaded" })),
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
