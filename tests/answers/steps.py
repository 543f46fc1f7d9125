"""What the long ways to an answer give on their way, to inputs that no case can hold: recordings, searches.

    python -m tests.answers.steps        pins them anew, and prints what changed

A net under changes, as the pinned answers are: it proves nothing of what the answers ought to be.
"""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from calculators.declaring import Chart, drain, run_values
from calculators.physics import (
    begun_anew,
    filter_search,
    fir_corrections,
    power_sums,
    speaker_system,
    tuning_fit,
)
from calculators.physics.arrays import FloatArray
from calculators.physics.bass_arrivals import bass_onset, fall_of
from calculators.physics.biquads import biquad
from calculators.physics.curve_parts import even_places
from calculators.physics.decibels import level as level_of
from calculators.physics.filters import response
from calculators.physics.flattening import Task as Curve
from calculators.stages import every_calculator, find_calculator
from tests.answers import pins
from tests.recordings import Cabin, random_cabin, speaker
from tests.stages.tuning.test_response import (
    DOOR,
    FULL,
    RATE,
    SUBWOOFER,
    TWEETER,
    kept,
    recorded,
    with_a_hole,
    with_loop,
)
from tests.strategies import LONG_WORK

KEPT = Path(__file__).with_suffix(".json")
NEARNESS = 1e-6
"""Searches end by tolerances of their own, and a transform of a million samples by its library's."""
TOUCHING = {"filter"}
"""A curve of its charts touches a line of the grid: a last digit moves the axis."""
Numbers = FloatArray | list[float]


def sums_of(**found: Numbers | float | None) -> dict[str, Any]:
    """Each list by a few sums; a number as it is."""
    return {
        name: value if value is None or isinstance(value, int | float) else pins.sums(np.asarray(value))
        for name, value in found.items()
    }


def arrivals() -> Iterator[tuple[str, dict[str, Any]]]:
    """Subwoofers in cabins: when each comes in, within how much, and what its response falls like."""
    rate, size, quiet = 6000.0, 1 << 12, 360
    frequency = np.fft.rfftfreq(size, 1 / rate)
    for seed, (order, high, noise) in enumerate(
        [(2, 500.0, 60), (4, 250.0, 40), (8, 500.0, 30), (4, 90.0, 50)]
    ):
        random = np.random.default_rng(seed)
        heard = speaker(35.0, 80.0, 2, order)(frequency) * random_cabin(random, 0.6)(frequency)
        heard = heard * (frequency < high) * np.exp(-2j * np.pi * frequency * 0.09)
        sound = np.fft.irfft(heard, size)[:1200]
        sound = sound + random.normal(0, np.max(np.abs(sound)) * 10 ** (-noise / 20), sound.size)
        fall = fall_of(sound, quiet, rate, high)
        time, within = drain(bass_onset(sound, quiet, rate, 10.0, high))
        corners = [one.corner for one in fall.low_passes]
        yield f"subwoofer {seed}", {
            "time": time, "within": within, "corners": corners, "drowned_from": fall.drowned_from,
        }  # fmt: skip


def fits() -> Iterator[tuple[str, dict[str, Any]]]:
    """Two channels, two views that are to be alike, and a delay: as it begins and some steps on; a join."""
    random = np.random.default_rng(11)
    grid = speaker_system.grid()
    heard = 1 + 0.3 * random.normal(size=(3, 2, grid.size)) + 0.3j * random.normal(size=(3, 2, grid.size))
    target = np.linspace(3.0, -3.0, 27)
    views = tuple(tuning_fit.View(0, np.array(plays), 1.0, target) for plays in ((1, 1), (1, 0), (0, 1)))
    powers = (power_sums.cross_powers(heard, np.ones(3)),)
    bands = np.array([(40.0, 16e3)] * 2)
    task = tuning_fit.Task(powers, views, ((1, 2),), bands, tuning_fit.Limits(), (-1, 0), 1e-3)
    peaks = np.zeros((2, 3, 3))
    peaks[..., 0] = np.linspace(np.log(80), np.log(8000), 3)
    begun = tuning_fit.plain(task, peaks)
    for name, start in {
        "plain": begun,
        "near": begun_anew.begun_near(begun, 3, 0.2),
        "at worst": begun_anew.begun_at_worst(begun, 1),
        "joined": tuning_fit.plain(replace(task, joins=((1, (0,)),)), peaks),
    }.items():
        found = drain(tuning_fit.polished(start, 6))
        left = np.concatenate(found.left)
        yield (
            f"fit {name}",
            sums_of(
                before=tuning_fit.cost_of(start.task, start), cost=found.cost, left=left, delays=found.delays
            ),
        )


def corrections() -> Iterator[tuple[str, dict[str, Any]]]:
    """Filters of many taps for speakers with a hump, an all-pass, a turned polarity and a narrow curve."""
    at = 1000 * 2 ** (np.arange(-120, 97) / 24)
    hump = response(biquad("peak", 160.0, 5.0, 3.0, sample_rate=48e3), at)
    joined = response(biquad("all-pass", 2500.0, q=0.7, sample_rate=48e3), at)
    sharp = response(biquad("all-pass", 2500.0, q=1.5, sample_rate=48e3), at)
    low = response(biquad("all-pass", 150.0, q=0.5, sample_rate=48e3), at)
    several: dict[str, tuple[Any, slice, float, float, float]] = {
        "hump": (hump, slice(None), 80.0, 12e3, 2e-3),
        "turned": (-hump * joined, slice(None), 80.0, 12e3, 2e-3),
        "low": (joined * low, slice(None), 60.0, 8e3, 4e-3),
        "narrow": (hump * joined, slice(80, 100), 330.0, 500.0, 1e-3),
        "bounded": (sharp, slice(None), 100.0, 12e3, 5e-4),
        "short": (joined * hump, slice(80, 112), 330.0, 800.0, 1e-3),
        "late": (joined * np.exp(-2j * np.pi * at * 3e-4), slice(None), 80.0, 12e3, 3e-3),
    }
    for name, (heard, part, low_end, high_end, ring) in several.items():
        wanted = fir_corrections.Wanted(low_end, high_end, 6.0, 9.0, 2048, 48e3, ring, 40.0, True)
        level, phase = level_of(heard[part]), np.degrees(np.angle(heard[part]))
        read, _ = told(fir_corrections.measured(at[part], level, phase, 1 / 12, wanted))
        found, _ = told(fir_corrections.corrected(read, wanted))
        turned = fir_corrections.lateness(found, wanted, read.places[read.places < high_end])
        yield f"taps {name}", {"reversed": str(read.reversed)} | sums_of(
            taps=found.taps, excess=read.excess, lead=float(found.lead), from_low=found.from_low,
            earlier=found.earlier, late=turned, share=wanted.share(at),
        )  # fmt: skip


def searches() -> Iterator[tuple[str, dict[str, Any]]]:
    """Few filters for a rough curve, and the shares of the work that were told on the way."""
    at = even_places(30.0, 16e3)
    for seed in range(2):
        random = np.random.default_rng(seed)
        rough = np.convolve(random.normal(0, 3.0, at.size + 8), np.ones(9) / 9, "valid")
        task = Curve(at, rough + 2 * np.sin(np.log(at)), np.ones_like(at), sample_rate=48e3)
        tried, _ = told(filter_search.few_filters(task, 3))
        found, shares = told(filter_search.reseated(tried[3]))
        (best, table), _ = told(filter_search.fewest(tried, 0.3))
        yield (
            f"search {seed}",
            sums_of(
                rms=found.rms, best=best.rms, table=[one.rms for one in table], shares=sorted(set(shares))
            ),
        )


def told(work: Any) -> tuple[Any, list[float]]:
    """What work gives, and what it yields on its way."""
    shares = []
    while True:
        try:
            shares.append(next(work))
        except StopIteration as end:
            return end.value, shares


def recordings() -> Iterator[tuple[str, dict[str, Any]]]:
    """What is read from recordings of speakers of every kind, whole and damaged."""
    calculator = find_calculator("response")
    for name, (file, settings) in recorded_files().items():
        answer = pins.answered(calculator, settings | {"recording": file})
        yield f"recording {name}", {key: value for key, value in answer.items() if key != "inputs"}


def recorded_files() -> dict[str, tuple[Any, dict[str, Any]]]:
    """Recordings, each with the settings it is read by."""
    room = Cabin(3e-3, (4e-4, 2.1e-3, 7e-3), (0.6, -0.4, 0.2))
    high, low = speaker(2000.0, 20e3, 4, 2, 0.7, reversed_=True), speaker(40.0, 90.0, 2, 4)
    door = speaker(70.0, 3500.0, 2, 4)
    marked = DOOR | {"markers": True}
    bent = recorded(FULL, door, noise=55.0)
    coded = np.fft.rfft(recorded(FULL, door))
    coded[np.fft.rfftfreq(2 * coded.size - 2, 1 / RATE) > 16_000] = 0
    softer = recorded(FULL, door, noise=40.0)
    softer[::7] = np.round(softer[::7], 4)
    return {
        "tweeter": (kept(recorded(TWEETER, lambda f: high(f) * room(f), noise=45.0), RATE), TWEETER),
        "subwoofer": (kept(recorded(SUBWOOFER, lambda f: low(f) * room(f), 24e3), 24e3), SUBWOOFER),
        "door": (kept(recorded(marked, door, 44.1e3, 90e-6, noise=30.0), 44.1e3, 16), marked),
        "loop": (with_loop(80e-6, 0.0837, 2, (0, 1)), DOOR | {"plays_in_file": 2.0, "loop_channel": 2.0}),
        "bent": (kept(bent + 0.2 * bent**2, RATE), FULL | {"smoothing": "6", "cycles": 5.0}),
        "coded": (kept(np.fft.irfft(coded), RATE), FULL | {"smoothing": "24", "gate": 0.005}),
        "phone": (kept(softer, RATE), FULL | {"microphone": "phone", "functions": "unknown"}),
        "clipped": (kept(np.clip(recorded(FULL), -0.25, 0.25), RATE), FULL),
        "hole": (kept(with_a_hole(recorded(FULL)), RATE), FULL),
        "faint": (kept(recorded(FULL) * 1e-6, RATE), FULL),
    }


def axes() -> Iterator[tuple[str, dict[str, Any]]]:
    """How far the axes of charts go, of each calculator's first cases: pinned answers leave that out."""
    for calculator in every_calculator():
        if pins.ALONG.get(calculator.slug, 1) and calculator.slug not in {*LONG_WORK, *TOUCHING}:
            cases = pins.read(calculator.slug)["cases"][:4]
            outcomes = [run_values(calculator, case["inputs"]) for case in cases]
            ends = [
                [axis.low, axis.high]
                for outcome in outcomes
                if not outcome.errors
                for chart in pins.pictures_of(outcome).values()
                if isinstance(chart, Chart)
                for axis in (chart.x, chart.y)
            ]
            if ends:
                yield f"axes of {calculator.slug}", {"ends": ends}


WAYS: tuple[Callable[[], Iterator[tuple[str, dict[str, Any]]]], ...] = (
    arrivals,
    fits,
    corrections,
    searches,
    recordings,
    axes,
)


def changes(way: Callable[[], Iterator[tuple[str, dict[str, Any]]]]) -> list[str]:
    """What steps give otherwise than they did."""
    known = json.loads(KEPT.read_text(encoding="utf-8"))[way.__name__]
    return pins.differences("", known, dict(way()), NEARNESS)


def main() -> None:
    """Pin all steps anew."""
    found = {way.__name__: dict(way()) for way in WAYS}
    if KEPT.is_file():
        known = json.loads(KEPT.read_text(encoding="utf-8"))
        print("\n".join(pins.differences("", known, found, NEARNESS)) or "nothing changed")
    lines = [
        f" {json.dumps(way)}: {{\n"
        + ",\n".join(f"  {json.dumps(name)}: {json.dumps(step)}" for name, step in steps.items())
        + "}"
        for way, steps in found.items()
    ]
    KEPT.write_text("{\n" + ",\n".join(lines) + "}\n", encoding="utf-8")


if __name__ == "__main__":
    main()
