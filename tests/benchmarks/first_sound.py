"""How long from the press of Play until a sound goes out, and the longest slice in which one is made.

    python -m tests.benchmarks.first_sound SITE_DIR

Each demonstration on its page: made while nobody asks, then played and stopped five times; and once more in a
tab that saves data, where the press itself has it made. A slice is measured in the page, from one message of
the worker to the next, once all that the sounds need has come: while that is fetched, the worker listens.
"""

import sys
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

from playwright.sync_api import BrowserContext, sync_playwright

from calculators.site.fetching import CACHE
from calculators.stages import CONTENTS
from tests.benchmarks.boot import all_served, fresh_profile, open_until_answer, page_with

DEMONSTRATIONS = tuple(slug for slug in CONTENTS["demonstrations"].slugs if slug != "blind-test")
TAPS = 5
MOST, MOST_SLICE = 1.0, 0.04
"""Seconds from the press until the sound, once it is made; of a slice, where a step can be cut."""
SAVES = "Object.defineProperty(navigator, 'connection', { value: { saveData: true } })"
NOTE_MESSAGES = """
globalThis.told = [];
globalThis.Worker = class extends Worker {
  constructor(...all) {
    super(...all);
    this.addEventListener("message", ({ data, timeStamp }) => {
      told.push([timeStamp, data.id, data.step ?? ""]);
    });
  }
};
"""
PLAY = """async ({ slug, taps, made }) => {
  const form = document.querySelector(`doorcard-calculator[data-calculator="${slug}"]`);
  const wait = (milliseconds) => new Promise((settle) => setTimeout(settle, milliseconds));
  form.scrollIntoView();
  while (form.dataset.live !== "answer") await wait(50);
  const sounds = form.querySelector("doorcard-listening");
  while (!sounds.querySelector("fieldset").matches(":enabled")) await wait(50);
  sounds.scrollIntoView(); // It is made once it is in sight.
  if (made) {
    while (!sounds.files) await wait(50);
    await sounds.files;
  }
  const times = [];
  for (let tap = 0; tap < taps; tap += 1) {
    await wait(300);
    const pressed = performance.now();
    sounds.querySelector("[data-play]").click();
    while (!sounds.running) await wait(2);
    const { since, level } = sounds.running;
    times.push((performance.now() - pressed) / 1000 + since - level.context.currentTime);
    sounds.querySelector("[data-play]").click();
  }
  const [, written] = told.find(([, , step]) => step.startsWith("Writing"));
  const own = told.filter(([, id]) => id === written);
  const first = own.findIndex(([, , step]) => step);
  const at = own.slice(first - 1).map(([time]) => time / 1000);
  return { times, slices: at.slice(1).map((time, place) => time - at[place]) };
}"""


@dataclass(frozen=True)
class Played:
    """Seconds of one demonstration: from each press, from a press with nothing made, of each slice."""

    slug: str
    taps: list[float]
    unmade: float
    slices: list[float]


def play(context: BrowserContext, address: str, slug: str, taps: int, made: bool) -> Any:
    """Open the page, have the sounds made or not, and play them."""
    page, _ = open_until_answer(context, address)
    found = page.evaluate(PLAY, {"slug": slug, "taps": taps, "made": made})
    page.close()
    return found


def measured(site: Path) -> list[Played]:
    """Each demonstration, in a profile of its own."""
    found = []
    with all_served(site, "delay", False, CACHE) as served, sync_playwright() as playwright:
        for slug in DEMONSTRATIONS:
            address = f"{served}site/{page_with(site, slug)}"
            with fresh_profile(playwright) as context:
                context.add_init_script(NOTE_MESSAGES)
                idle = play(context, address, slug, TAPS, made=True)
                context.add_init_script(SAVES)
                (unmade,) = play(context, address, slug, 1, made=False)["times"]
            found.append(Played(slug, idle["times"], unmade, idle["slices"]))
    return found


def lines(found: list[Played]) -> list[str]:
    """The Markdown table, a line for each."""
    return [
        f"| from the press of Play to the first sound | middle of {TAPS}, s | longest, s | at most "
        "| with nothing made before, s | longest slice of making it, ms | at most |",
        "|---|---|---|---|---|---|---|",
        *(
            f"| {one.slug} | {median(one.taps):.2f} | {max(one.taps):.2f} | {MOST:.0f} | {one.unmade:.2f} "
            f"| {1e3 * max(one.slices):.0f} | {1e3 * MOST_SLICE:.0f} |"
            for one in found
        ),
    ]


if __name__ == "__main__":
    print("\n".join(lines(measured(Path(sys.argv[1]).resolve()))))
