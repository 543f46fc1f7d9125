"""What takes longest, the tune, `flatten` and `fir-correction`, in the page and natively.

Whole, and between two signs of life.

And how a tune grows with channels and filters in one simulated cabin: woofers, tweeters, then subwoofers.

    python -m tests.benchmarks.long_work SITE_DIR

The same text runs on both sides, the native one in a process with one thread; the quicker of two runs counts.
A stop is heard at a sign of life, so the longest gap between two is what a reader waits for it.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

from tests.benchmarks.browser import open_browser, run_in_runtime

WORK = """
import json, time
from calculators.declaring import run_values
from calculators.stages import find_calculator
from calculators.vocabulary.feed_examples import FACTORY_FEED
cabin = {"begin_with": "simulated", "most_filters": 8.0}
with_fir = cabin | {"filters": 3.0, "fir": "both"}
works = {
    "first sheet: one seat, 3 filters a channel": ("tune", cabin | {"filters": 3.0}),
    "the same with FIR filters": ("tune", with_fir),
    "the same with FIR filters of 16,384 taps": ("tune", with_fir | {"fir_taps": 16_384.0}),
    "one fit: two seats, 8 filters a channel": ("tune", cabin | {"filters": 8.0, "seats": "two"}),
    "number of filters chosen by points left out": ("tune", cabin | {"filters": None}),
    "fir-correction, 16,384 taps": ("fir-correction", {"way": "mixed", "taps": 16_384.0}),
    "flatten, 10 filters": ("flatten", {"curve": FACTORY_FEED, "summed": True, "filters": 10.0}),
}
run_values(find_calculator("tune"), cabin | {"filters": 1.0, "seats": "two"})  # The cabin is simulated once.
found = {}
for name, (slug, values) in works.items():
    best = None
    for _ in range(2):
        marks = [time.perf_counter()]
        outcome = run_values(find_calculator(slug), values, lambda _: marks.append(time.perf_counter()))
        marks.append(time.perf_counter())
        assert not outcome.errors
        gap = max(later - earlier for earlier, later in zip(marks, marks[1:]))
        if best is None or marks[-1] - marks[0] < best[0]:
            best = marks[-1] - marks[0], gap
    found[name] = best
"""
GROWTH = """
import json, time
from dataclasses import replace
from calculators.declaring.working import drain
from calculators.physics import simulated_cabin
from calculators.vocabulary import tune_steps
from tests.stages.tuning.test_tune import plan_of
whole, found = plan_of(simulated_cabin.cabin(0)), {}
by_kind = ["woofer", "tweeter", "subwoofer"]
order = sorted(range(len(whole.channels)), key=lambda number: by_kind.index(whole.channels[number].kind))
for count in (2, 4, 6):
    own = sorted(order[:count])
    plan = replace(
        whole,
        channels=tuple(whole.channels[number] for number in own),
        gains=tuple(gains[:, own] for gains in whole.gains),
    )
    for filters in (2, 4, 8):
        seconds = []
        for _ in range(2):
            began = time.process_time()
            drain(tune_steps.tuned(plan, filters))
            seconds.append(time.process_time() - began)
        found[f"{count}, {filters}"] = min(seconds)
"""
ANSWER = "json.dumps(found)"
MOST_GAP, MOST_RATIO = 0.1, 2.3


def measured(site: Path) -> dict[str, Any]:
    """Of each work the seconds, whole and between two signs of life, in the page and natively."""
    native, growth = _natively(WORK), _natively(GROWTH)
    with tempfile.TemporaryDirectory() as folder, open_browser() as browser:
        shutil.copytree(
            next(site.glob("assets/doorcard-*/runtime")), Path(folder) / "assets/doorcard/runtime"
        )
        page = run_in_runtime(browser, Path(folder), WORK + ANSWER)
    return {"native": native, "page": page, "growth": growth}


def _natively(work: str) -> Any:
    """What a work finds in a process of its own, with one thread."""
    alone = os.environ | {"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    command = [sys.executable, "-c", f"{work}print({ANSWER})"]
    done = subprocess.run(command, check=True, env=alone, capture_output=True, text=True)
    return json.loads(done.stdout)


def lines(found: dict[str, Any]) -> list[str]:
    """The table of what was measured."""
    rows = [
        f"| {name} | {native:.1f} | {page:.1f} | {page / native:.2f} | {1000 * gap:.0f} |"
        for (name, (native, _)), (page, gap) in zip(
            found["native"].items(), found["page"].values(), strict=True
        )
    ]
    return [
        f"| long work | native, s | page, s | ratio, {MOST_RATIO} at most "
        f"| longest wait for a stop in the page, ms, {1000 * MOST_GAP:.0f} at most |",
        "|---|---|---|---|---|",
        *rows,
        "",
        "| one tune, natively: channels, filters a channel | processor, s | times the smallest |",
        "|---|---|---|",
        *(
            f"| {name} | {seconds:.2f} | {seconds / min(found['growth'].values()):.1f} |"
            for name, seconds in found["growth"].items()
        ),
    ]


if __name__ == "__main__":
    print("\n".join(lines(measured(Path(sys.argv[1]).resolve()))))
