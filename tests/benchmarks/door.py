"""The door for large and long work: how soon another form is answered meanwhile, and a stop is heard.

    python -m tests.benchmarks.door

By the calculator that its tests use: it reads 100 MB that the page hands to the worker, and works for 20 s.
"""

import tempfile
from pathlib import Path
from typing import Any

from tests.benchmarks.browser import open_browser, serve
from tests.site.test_door import build_slow_site, door

MEASURE = """
const MOST = 100_000_000, BLOCK = 1_000_000;
const blob = new Blob(Array(MOST / BLOCK).fill(new Uint8Array(BLOCK).fill(1)));
const timed = async (asked) => {
  const began = performance.now();
  await asked();
  return performance.now() - began;
};
const whileUndone = async (work, form) => {
  let undone = true;
  work.then(() => { undone = false; });
  const times = [];
  while (undone) times.push(await timed(() => speed(form)));
  return times;
};
const alone = [];
for (let number = 0; number < 50; number += 1) alone.push(await timed(() => speed("quick")));
const { handle } = engine.keep(new File([blob], "a.wav"));
const read = await whileUndone(slow(handle, 0), "quick");
const one = slow(handle, 2);
await begun(engine.lastId);
const worked = await whileUndone(one, "quick");
engine.forget(handle);
const stops = [];
const { handle: small } = await engine.keep(file(1000));
for (let number = 0; number < 10; number += 1) {
  const long = slow(small, 20);
  const asked = engine.lastId;
  await begun(asked);
  stops.push(await timed(async () => {
    engine.stop("slow");
    await long;
    while (!of(asked).includes("stopped")) await pause(0);
  }));
}
const heap = Math.max(...said.map((message) => message.heap ?? 0));
return { alone, read, worked, stops, heap };
"""
NAMES = {
    "alone": "another form, nothing beside it",
    "read": "another form, while 100 MB are handed to the worker and read through",
    "worked": "another form, while a calculation goes on",
    "stops": "a calculation of 20 s, stopped",
}
MOST = 100
"""Milliseconds."""


def measured() -> dict[str, Any]:
    """The milliseconds of each, and the most bytes of Python's memory."""
    with tempfile.TemporaryDirectory() as folder:
        build_slow_site(Path(folder))
        with open_browser() as browser, serve(Path(folder)) as address:
            page = browser.new_page()
            page.goto(address)
            found: dict[str, Any] = door(page, MEASURE)
            return found


def lines(found: dict[str, Any]) -> list[str]:
    """The table of what was measured."""
    rows = [f"| {name} | {len(found[key])} | {max(found[key]):.0f} |" for key, name in NAMES.items()]
    return [
        f"| the door for large and long work | times | longest wait, ms, {MOST} at most |",
        "|---|---|---|",
        *rows,
        "",
        f"Python's memory meanwhile: {found['heap'] / 1e6:.0f} MB at most, of 200.",
    ]


if __name__ == "__main__":
    print("\n".join(lines(measured())))
