"""Where a calculator's words change, or one of its numbers leaps, as one input goes through its range.

A limit lies between two forms that differ in one number alone. It is found by halving, and pinned by what is
said just below and just above, six figures long; where it stands at a round number, on that number, too,
for there `<=` and `<` part.
"""

import re
import subprocess
import sys
from collections.abc import Callable, Iterator, Mapping
from itertools import pairwise
from math import floor, isclose, log10, sqrt
from pathlib import Path
from typing import Any

from calculators.declaring import Calculator, Number, run_values
from calculators.declaring.answers import values_of
from tests.answers import pins
from tests.strategies import LONG_WORK
from tests.variations import numbers_of, with_value

RUNS = 6000
"""Of a calculator, to find its limits: counted, not timed, so that every machine finds the same."""
FEWER = {
    "response": 1000,
    "feed-sum": 1400,
    "sub-alignment": 1850,
    "door-speaker": 1900,
    "vented-box": 2000,
    "graphic-equaliser": 3000,
    "acoustic-slope": 3800,
}
"""Where one takes long: asking beside all limits of a calculator is to take about a second of a core."""
HALVINGS = 24
FIGURES = 6
LEAP = 1e-4
"""A change of a number, as a share, that no step of a limit's two sides explains."""
NEAR = 1e-9
STILL = 0.35
"""Of a sweep's steps, so many leave a number as it is that goes by steps."""
ROOT = Path(__file__).resolve().parents[2]
Told = dict[str, Any]


class Asked:
    """A calculator with one number of one case left open; it remembers, and counts for all."""

    runs = 0

    def __init__(self, calculator: Calculator, case: Mapping[str, Any], place: str) -> None:
        self.calculator, self.case, self.place = calculator, case, place
        self.known: dict[float, Told] = {}

    def at(self, value: float) -> Told:
        """What is told there: each of its words, and its single numbers by name."""
        if value not in self.known:
            Asked.runs += 1
            inputs = with_value(self.calculator, self.place, value, self.case)
            outcome = run_values(self.calculator, inputs)
            told: Told = dict.fromkeys(pins.wording(outcome), True)
            if not outcome.errors:
                values = values_of(outcome.result, self.calculator.outputs)
                told |= {f"= {name}": one for name, one in values.items() if pins.is_number(one)}
            self.known[value] = told
        return self.known[value]


def limits_of(calculator: Calculator, cases: list[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Of the limits of all cases, one for each word that an input changes; none of what works long."""
    if not pins.ALONG.get(calculator.slug, 1) or LONG_WORK.get(calculator.slug, 1) > 2:
        return []
    Asked.runs = 0
    known: set[tuple[bool, str, str]] = set()
    kept = []
    for number, case in enumerate(cases):
        for place, kind in numbers_of(calculator):
            if number and pins.at_place(case, place) is None and "." in place:
                continue
            asked = Asked(calculator, case, place)
            for at in sides(asked, kind):
                changed = {
                    (len(at) > 2, place, word) for word in differing(asked.at(at[0]), asked.at(at[-1]))
                }
                if changed - known:
                    kept.append({"case": number, "place": place, "at": at})
                    known |= changed | {(False, *rest) for _, *rest in changed}
            if Asked.runs > FEWER.get(calculator.slug, RUNS):
                return kept
    return kept


def differing(one: Told, other: Told) -> set[str]:
    """The words that are in one alone, and the numbers that leap."""
    return {
        name
        for name in one.keys() | other.keys()
        if (name in one) != (name in other)
        or (pins.is_number(one[name]) and not isclose(one[name], other[name], rel_tol=LEAP, abs_tol=1e-15))
    }


def sides(asked: Asked, kind: Number) -> Iterator[list[float]]:
    """What stands on both sides of each limit along one input."""
    value = pins.at_place(asked.case, asked.place)
    swept = [size for _, size in kind.options] or pins.points(kind, value, pins.STEPS)
    if pins.is_number(value) and kind.low <= value <= kind.high and not kind.options:
        swept = sorted({*swept, value})
    stepped = steps_of([asked.at(one) for one in swept])
    for low, high in pairwise(swept):
        one, other = asked.at(low), asked.at(high)
        for name in sorted(differing(one, other)):
            if name in one and name in other and name not in stepped:
                continue  # A number that merely grows.
            if kind.options:
                yield [low, high]
            elif kind.whole:
                yield next_to(asked, name, low, high)
            elif at := written(
                *halved(asked, name, low, high), kind, lambda at, name=name: asked.at(at).get(name)
            ):
                yield at


def next_to(asked: Asked, name: str, low: float, high: float) -> list[float]:
    """Of whole numbers, two neighbours between which one word comes or goes."""
    before = asked.at(low).get(name)
    while high - low > 1:
        middle = float(floor((low + high) / 2))
        low, high = (middle, high) if asked.at(middle).get(name) == before else (low, middle)
    return [low, high]


def steps_of(told: list[Told]) -> set[str]:
    """The numbers that go by steps: many of a sweep's values are as the ones before."""
    names = [name for name in told[0] if name.startswith("= ")]
    rows = {name: [one.get(name) for one in told] for name in names}
    return {
        name
        for name, row in rows.items()
        if len(set(row)) > 1 and sum(a == b for a, b in pairwise(row)) >= STILL * (len(row) - 1)
    }


def halved(asked: Asked, name: str, low: float, high: float) -> tuple[float, float]:
    """Two values close together between which one word comes or goes."""
    before = asked.at(low).get(name)
    for _ in range(HALVINGS):
        middle = sqrt(low * high) if low > 0 and high > 10 * low else (low + high) / 2
        low, high = (middle, high) if asked.at(middle).get(name) == before else (low, middle)
    return low, high


def written(low: float, high: float, kind: Number, told: Callable[[float], Any]) -> list[float]:
    """The limit's two sides as a case holds them, with a round number between them if it stands there.

    Nothing if it is no limit: a number that merely grows.
    """
    limit = (low + high) / 2
    for figures in range(1, 5):
        whole = float(f"{limit:.{figures}g}") if abs(limit) > NEAR * (kind.high - kind.low) else 0.0
        if abs(whole - limit) <= 4 * (high - low) + NEAR * abs(whole):
            off = NEAR * abs(whole) or NEAR * (kind.high - kind.low)
            if told(max(kind.low, whole - off)) != told(min(kind.high, whole + off)):
                step = step_of(whole or kind.high - kind.low)
                found = [whole - step, whole, whole + step]
                return distinct(found, kind)
    step = step_of(limit)
    below, above = floor(limit / step) * step, (floor(limit / step) + 1) * step
    below -= step if limit - below < 0.1 * step else 0.0
    above += step if above - limit < 0.1 * step else 0.0
    return distinct([below, above], kind)


def distinct(values: list[float], kind: Number) -> list[float]:
    """The values within the range, as they are written."""
    found = sorted({min(max(float(f"{one:.{FIGURES + 1}g}"), kind.low), kind.high) for one in values})
    return found if len(found) > 1 else []


def step_of(value: float) -> float:
    """One in the last of the figures that are written."""
    return 10.0 ** (floor(log10(abs(value))) - FIGURES + 1)


def unsteady(slugs: list[str]) -> dict[str, set[int]]:
    """Which of the limits that are kept another last digit moves, by calculator and by place in the list."""
    moved: dict[str, set[int]] = {}
    for way in ([], ["up"], ["down"]):
        command = (sys.executable, "-m", "tests.answers.last_digits", *way, *slugs)
        told = subprocess.run(command, capture_output=True, text=True, cwd=ROOT, check=False)
        for slug, at in re.findall(r"^(\S+): limits\[(\d+)\]", told.stdout, re.MULTILINE):
            moved.setdefault(slug, set()).add(int(at))
    return moved
