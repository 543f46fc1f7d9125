"""Every measurement, written to RESULTS.md beside this file.

    python -m tests.benchmarks SITE_DIR [--runs 5] [--paints 100]

Each figure stands beside a bare baseline of the same run: plain Pyodide with NumPy for the starts and
the bytes, the same page without its calculator for the printed answer.
"""

import argparse
import json
import re
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from playwright.sync_api import Request, sync_playwright

from calculators.site.fetching import CACHE
from calculators.stages import slugs_known
from tests.benchmarks import door, first_sound, keys, long_work, pyscript, recording
from tests.benchmarks.boot import (
    all_served,
    fresh_profile,
    measure,
    measure_memory,
    open_until_answer,
    page_with,
)
from tests.benchmarks.browser import open_browser, serve
from tests.benchmarks.solver import measured_alone

ROOT = Path(__file__).resolve().parents[2]
MEMORY = "250, 500"
"""Megabytes that one tab and two with live calculators may take."""
STEP = re.compile(r"^ *(?P<name>[A-Z].*?): (?P<seconds>[\d.]+) s$", re.MULTILINE)
RESULTS = Path(__file__).with_name("RESULTS.md")
CALCULATOR = re.compile(r"<doorcard-calculator.*?</doorcard-calculator>", re.DOTALL)
FIRST_PAINT = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? null"


def measure_printed(site: Path, paints: int, slug: str = "delay") -> dict[str, float]:
    """Milliseconds until a page has painted, the mean of the middle half: with its calculator, and without.

    The page holds no other one. A paint falls on one frame or the next, and what else a machine does
    moves it; the browser tells it in steps of 4 ms, by which a median would jump. So there are many, each
    in a context that knows no file yet, in turns that change about; the first of each, in which the browser
    wakes, counts for nothing.
    """
    address = page_with(site, slug, alone=True)
    times: dict[str, list[float]] = {"with": [], "without": []}
    with tempfile.TemporaryDirectory() as temporary:
        for kind in times:
            shutil.copytree(site, Path(temporary) / kind)
        bare = Path(temporary) / "without" / address / "index.html"
        bare.write_text(CALCULATOR.sub("", bare.read_text(encoding="utf-8")), encoding="utf-8")
        with serve(Path(temporary), policy="") as server, open_browser() as chromium:
            for turn in range(paints + 1):
                for kind in sorted(times, reverse=bool(turn % 2)):
                    with chromium.new_context(service_workers="block") as context:
                        page = context.new_page()
                        page.goto(f"{server}{kind}/{address}")
                        page.wait_for_timeout(300)
                        painted = page.evaluate(FIRST_PAINT)
                        if painted is not None and turn:
                            times[kind].append(float(painted))
    return {kind: middle_mean(found) for kind, found in times.items()}


def middle_mean(times: list[float]) -> float:
    """Return the mean of the middle half."""
    cut = len(times) // 4
    return statistics.mean(sorted(times)[cut : len(times) - cut])


def measure_bytes(site: Path) -> dict[str, int]:
    """Bytes over the wire until the first live answer, the worker's included, uncompressed host."""
    counted = {}
    places = {"bare": "bare/", "ours": f"site/{page_with(site, 'delay')}"}
    with all_served(site, "delay", False, CACHE) as address, sync_playwright() as playwright:
        for who, place in places.items():
            with fresh_profile(playwright) as context:
                done: list[Request] = []
                context.on("requestfinished", lambda request, done=done: done.append(request))
                open_until_answer(context, address + place)
                counted[who] = sum(request.sizes()["responseBodySize"] for request in done)
    return counted


def kept_lines(site: Path) -> list[str]:
    """The table of what the handbook takes on a device, and what each page adds."""
    told = json.loads((site / "offline.json").read_text(encoding="utf-8"))
    pages = [line for address, line in told["files"].items() if address.endswith("/")]
    fetched, kept = (sum(line[name] for line in pages) / len(pages) / 1e3 for name in ("size", "packed"))
    return [
        "| the whole handbook on a device | to fetch, MB | kept, MB | at most, with the largest start kept |",
        "|---|---|---|---|",
        f"| {len(told['files'])} files | {told['size'] / 1e6:.1f} | {told['kept'] / 1e6:.1f} | 20 |",
        "",
        f"Each of its {len(pages)} pages adds {fetched:.0f} kB to fetch and {kept:.0f} kB to keep.",
    ]


def build_lines() -> list[str]:
    """What the whole strict build of the site takes, and what a page and a calculator add to it."""
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "mkdocs", "build", "--strict", "--quiet", "--site-dir", folder]
        before, start = resource.getrusage(resource.RUSAGE_CHILDREN), time.perf_counter()
        said = subprocess.run(command, check=True, capture_output=True, text=True)
        whole, after = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
    processor = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    steps = [*STEP.findall(said.stdout + said.stderr)]
    pages = sum(float(seconds) for name, seconds in steps if name.startswith("Pages"))
    count, calculators = len(list((ROOT / "docs").rglob("*.md"))), len(slugs_known())
    others = sum(float(seconds) for _, seconds in steps) - pages
    return [
        f"Whole strict build of the site, runtime included: {whole:.1f} s, {processor:.1f} s of processor.",
        f"It grows by about {pages / count:.2f} s with a page and, were all the rest due to calculators, by "
        f"{others / calculators:.2f} s with a calculator ({count} pages, {calculators} calculators).",
    ]


def main() -> None:
    """Measure the site that the command line names, and write the results."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks")
    parser.add_argument("site", type=Path)
    parser.add_argument("--runs", type=int, default=5)
    parser.add_argument("--paints", type=int, default=100)
    chosen = parser.parse_args()
    site = chosen.site.resolve()
    printed, carried = measure_printed(site, chosen.paints), measure_bytes(site)
    taken = measure_memory(site)
    solver, heard = measured_alone(), recording.measured(site)
    lines = [
        "# Speed",
        "",
        f"Measured by `./run bench`: medians of {chosen.runs} starts, means of the middle half of "
        f"{chosen.paints} paints. Seconds depend on the machine; the ratios are what counts. Warm is the "
        "third visit, the start kept here.",
        "",
        str(measure(site, chosen.runs)["table"]),
        "",
        *pyscript.table(pyscript.measured(site, min(chosen.runs, 3))),
        "",
        *keys.table(keys.measure_keys(site)),
        "",
        "| printed answer | page without calculator, ms | page with it, ms | ratio | at most |",
        "|---|---|---|---|---|",
        f"| first paint, cold | {printed['without']:.0f} | {printed['with']:.0f} "
        f"| {printed['with'] / printed['without']:.2f} | 1.02 |",
        "",
        "| bytes until the first live answer, cold | bare, MB | ours, MB | ratio | at most, MB |",
        "|---|---|---|---|---|",
        f"| a host that does not compress | {carried['bare'] / 1e6:.2f} | {carried['ours'] / 1e6:.2f} "
        f"| {carried['ours'] / carried['bare']:.2f} | 6.5 |",
        "",
        *kept_lines(site),
        "",
        "| 31 bands solved, mean of 30 random targets | one start of SciPy's least_squares, ms | ours, ms "
        "| ratio | at most |",
        "|---|---|---|---|---|",
        f"| one thread, the fastest of four starts | {solver['theirs']:.2f} | {solver['ours']:.2f} "
        f"| {solver['ours'] / solver['theirs']:.2f} | 1.00 |",
        "",
        "| recording of a 10 s sweep at 48 kHz, to charts | native, s | page, s | ratio | at most |",
        "|---|---|---|---|---|",
        f"| one thread, the quickest of five | {heard['native']:.2f} | {heard['page']:.2f} "
        f"| {heard['page'] / heard['native']:.2f} | 2.30, and 3 s |",
        "",
        *long_work.lines(long_work.measured(site)),
        "",
        *door.lines(door.measured()),
        "",
        *first_sound.lines(first_sound.measured(site)),
        "",
        "| memory of the browser | empty tab, MB | one tab, MB | two tabs, MB | at most |",
        "|---|---|---|---|---|",
        f"| live calculators | {taken[0]:.0f} | {taken[1]:.0f} | {taken[2]:.0f} | {MEMORY} more than empty |",
        "",
        *build_lines(),
        "",
    ]
    RESULTS.write_text("\n".join(lines), encoding="utf-8")
    print("\n".join(lines))


if __name__ == "__main__":
    main()
