"""How long each calculator takes from a key to its new answer, in the page.

    python -m tests.benchmarks.keys SITE_DIR

A number of its form is typed anew, 40 times: twenty a little larger each time, then twenty between those. So
the 95 % point is the third slowest, and no single key makes it. It is done on the shortest page that holds
the form. A form whose numbers all come from files has none to type, and is not measured. What works in
slices, searches among them, has no limit: it states its time. It comes last: what was typed into it comes
back with its page, and the keys of another form there would take turns with its work.
"""

import statistics
import sys
from dataclasses import dataclass
from pathlib import Path

from playwright.sync_api import sync_playwright

from calculators.site.fetching import CACHE
from calculators.stages import find_calculator, slugs_known
from tests.benchmarks.boot import all_served, at_95_percent, fresh_profile, open_until_answer, page_with

KEYS = 40
FEWEST = 10
"""Answers that a calculator's figure is made of at least."""
KINDS = {"closed form": 16.0, "with a chart": 33.0, "in slices": None}
"""The most milliseconds that 95 % may take; long work states its own."""
TYPE = """
async ({ slug, keys, fewest }) => {
  const calculator = document.querySelector(`doorcard-calculator[data-calculator="${slug}"]`);
  const result = calculator.querySelector("[data-result]");
  const numbers = [...calculator.querySelectorAll(".dc-form input[name]:not([type=file])")]
    .filter((input) => /^[0-9]+(\\.[0-9]+)?$/.test(input.value) && Number(input.value));
  const wait = (milliseconds) => new Promise((settle) => setTimeout(settle, milliseconds));
  for (let tries = 0; tries < 300 && calculator.dataset.live !== "answer"; tries += 1) await wait(100);
  for (const input of numbers.slice(0, 4)) {
    const before = input.value;
    const times = [];
    for (let key = 1, missed = 0; key <= keys && missed < 3; key += 1) {
      await wait(30);
      const changed = new Promise((settle) => {
        new MutationObserver((_, observer) => { observer.disconnect(); settle(true); })
          .observe(result, { childList: true, subtree: true, characterData: true });
      });
      const start = performance.now();
      const more = key <= keys / 2 ? key / 60 : (2 * key - keys - 1) / 120;
      input.value = String(Number((Number(before) * (1 + more)).toPrecision(4)));
      input.dispatchEvent(new Event("input", { bubbles: true }));
      const answered = await Promise.race([changed, wait(3000)]);
      result.getBoundingClientRect();
      // A value out of range, or one so near to the last that the answer reads the same.
      if (!answered || calculator.dataset.live !== "answer") missed += 1;
      else times.push(performance.now() - start);
    }
    if (times.length >= fewest) return { times, drawn: Boolean(result.querySelector("svg")) };
    input.value = before;
    input.dispatchEvent(new Event("input", { bubbles: true }));
    await wait(500);
  }
  return null;
}
"""


@dataclass(frozen=True)
class Keyed:
    """A calculator's milliseconds at the 95 % point, and of which kind it is."""

    slug: str
    kind: str
    late: float


def measure_keys(site: Path, slugs: tuple[str, ...] = ()) -> list[Keyed]:
    """Return what each calculator takes; without those that have no number to type, or no page."""
    found = []
    with (
        all_served(site, "delay", False, CACHE) as address,
        sync_playwright() as playwright,
        fresh_profile(playwright) as context,
    ):
        for slug in sorted(slugs or slugs_known(), key=lambda slug: find_calculator(slug).is_long):
            try:
                page, _ = open_until_answer(context, f"{address}site/{page_with(site, slug)}")
            except RuntimeError:  # It has no page, or answers once it is given a file.
                continue
            typed = page.evaluate(TYPE, {"slug": slug, "keys": KEYS, "fewest": FEWEST})
            page.close()
            if typed:
                kind = (
                    "in slices"
                    if find_calculator(slug).is_long
                    else "with a chart"
                    if typed["drawn"]
                    else "closed form"
                )
                found.append(Keyed(slug, kind, at_95_percent(typed["times"])))
    return found


def table(found: list[Keyed]) -> list[str]:
    """Return the Markdown table of the kinds, and each calculator's figure below it."""
    lines = [
        f"| key to new answer, {len(found)} calculators | how many | middle of the 95 % points, ms | slowest "
        "| at most | over it |",
        "|---|---|---|---|---|---|",
    ]
    for kind, most in KINDS.items():
        own = sorted((one for one in found if one.kind == kind), key=lambda one: one.late)
        if own:
            late = sum(one.late > most for one in own) if most else "-"
            lines.append(
                f"| {kind} | {len(own)} | {statistics.median(one.late for one in own):.1f} "
                f"| {own[-1].slug}: {own[-1].late:.1f} | {f'{most:.0f}' if most else '-'} | {late} |"
            )
    each = ", ".join(f"{one.slug} {one.late:.0f}" for one in sorted(found, key=lambda one: -one.late))
    left_out = sorted({*slugs_known()} - {one.slug for one in found})
    return [
        *lines,
        "",
        f"Each at its 95 % point, in ms: {each}.",
        f"Not measured, for want of a page or of {FEWEST} answers that differ: {', '.join(left_out) or '-'}.",
    ]


if __name__ == "__main__":
    print("\n".join(table(measure_keys(Path(sys.argv[1]).resolve(), tuple(sys.argv[2:])))))
