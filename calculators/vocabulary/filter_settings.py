"""Filters as a processor takes them: steps of frequency, gain and Q, in the maker's own sense of Q; and as "
"files."""

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Annotated, cast

import numpy as np

from calculators.declaring import Made, Output, OutputText
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO
from calculators.physics import bands, biquads
from calculators.physics.arrays import FloatArray, IndexArray
from calculators.physics.filters import Sections
from calculators.physics.flattening import FITTED_KINDS, Found, Task, cost_of

FREQUENCIES_TAKEN = {
    "hertz": "whole hertz",
    "figures": "three figures: 31.5, 125, 3470",
    "third": "third-octave centres",
}
LEAST_TYPED_THREE_DB = 3.5
KIND_NAMES = {"peak": "Peak", "low-shelf": "Low shelf", "high-shelf": "High shelf"}
POLISHES = 3
NARROW, BROAD = 3.0, 1.2


@dataclass(frozen=True, kw_only=True)
class FoundFilter:
    """One filter to type in."""

    kind: Annotated[str, OutputText("Kind")]
    frequency: Annotated[float, Output("Frequency", FREQUENCY, figures=5, trim=True)]
    gain: Annotated[float, Output("Gain", LEVEL, decimals=2, trim=True)]
    q: Annotated[float, Output("Q", RATIO, decimals=2, trim=True)]
    without: Annotated[float, Output("RMS without it", LEVEL, decimals=2)]
    does: Annotated[str, OutputText("It")]


@dataclass(frozen=True, eq=False)
class Steps:
    """What a processor's fields can hold: values that rise.

    ``names`` are what it calls its frequencies, ``meaning`` is what its Q of a peak means.
    """

    frequency: FloatArray
    names: FloatArray
    gain: FloatArray
    q: FloatArray
    meaning: biquads.Meaning

    def own_q(self, kind: int, gain: float, q: float) -> float:
        """The cookbook's Q of one typed in."""
        if kind or (self.meaning == "three-db" and abs(gain) < LEAST_TYPED_THREE_DB):
            return q
        return biquads.own_q(q, gain, self.meaning)

    def typed_q(self, kind: int, gain: float, q: float) -> float:
        """What is typed in for the cookbook's Q."""
        if kind or (self.meaning == "three-db" and abs(gain) < LEAST_TYPED_THREE_DB):
            return q
        return biquads.stated_q(q, gain, self.meaning)


def steps_of(task: Task, frequency_step: str, gain_step: float, q_step: float, meaning: str) -> Steps:
    """The values that a processor offers, within the limits of a task."""
    low, high = float(task.frequency[0]), float(task.frequency[-1])
    choices = {
        "hertz": np.arange(math.ceil(low), math.floor(high) + 1, dtype=np.float64),
        "third": bands.exact_third_octaves(),
        "figures": np.unique(
            np.round(np.multiply.outer(10.0 ** np.arange(0, 4), np.arange(100, 1000) / 100), 2).ravel()
        ),
    }
    frequency = choices[frequency_step]
    names = np.asarray(bands.NOMINAL_THIRD_OCTAVES) if frequency_step == "third" else frequency
    inside = np.flatnonzero((frequency >= low) & (frequency <= high))
    if not inside.size:
        inside = np.array([np.argmin(np.abs(frequency - low))])
    return Steps(
        frequency[inside],
        names[inside],
        multiples(gain_step, -task.max_cut, task.max_boost),
        multiples(q_step, min(task.q_low, task.shelf_q[0]), max(task.q_high, task.shelf_q[1])),
        cast(biquads.Meaning, meaning),
    )


def multiples(step: float, low: float, high: float) -> FloatArray:
    """Multiples of a step from low to high; high alone where there is none."""
    values = np.arange(math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9) + 1) * step
    values = np.round(values, 6)
    return values if values.size else np.array([round(high, 6)])


@dataclass(frozen=True, eq=False)
class Typed:
    """Filters as they are typed in: kinds, and places in `Steps` of frequency, gain and Q, shape (n, 3)."""

    task: Task
    steps: Steps
    kinds: IndexArray
    places: IndexArray

    def numbers(self) -> list[tuple[int, float, float, float]]:
        """Kind, Hz, dB and Q of each, as typed."""
        return [
            (int(kind), float(self.steps.names[f]), float(self.steps.gain[g]), float(self.steps.q[q]))
            for kind, (f, g, q) in zip(self.kinds, self.places, strict=True)
        ]

    def found(self) -> Found:
        """What they do."""
        rows = [
            (math.log(self.steps.frequency[f]), gain, math.log(self.steps.own_q(kind, gain, q)))
            for (kind, _, gain, q), f in zip(self.numbers(), self.places[:, 0], strict=True)
        ]
        values = np.array(rows).reshape(-1, 3)
        return Found(self.task, self.kinds, values, cost_of(self.task, self.kinds, values))


def typed(found: Found, steps: Steps, fixed: bool = False) -> Typed:
    """Filters moved to the nearest steps, then each value by one step as long as that betters them.

    With ``fixed`` only gains move. Filters that come to 0 dB are left out, but for fixed ones.
    """
    rows = []
    for kind, f, gain, q in zip(found.kinds, found.frequency, found.gain, found.q, strict=True):
        wanted = steps.typed_q(int(kind), float(gain), float(q))
        rows.append(
            (
                _nearest(np.log(steps.frequency), math.log(f)),
                _nearest(steps.gain, gain),
                _nearest(steps.q, wanted),
            )
        )
    now = Typed(found.task, steps, found.kinds, np.array(rows, dtype=np.int64).reshape(-1, 3))
    now = _polished(now, (1,) if fixed else (1, 0, 2))
    kept = np.flatnonzero(steps.gain[now.places[:, 1]] != 0)
    return replace(now, kinds=now.kinds[kept], places=now.places[kept])


def _nearest(values: FloatArray, wanted: float) -> int:
    return int(np.argmin(np.round(np.abs(values - wanted), 9)))


def _polished(now: Typed, columns: tuple[int, ...]) -> Typed:
    ends = now.steps.frequency.size, now.steps.gain.size, now.steps.q.size
    low, high = now.task.limits
    cost = now.found().cost
    for _ in range(POLISHES):
        bettered = False
        for row in range(len(now.kinds)):
            for column in columns:
                for way in (-1, 1):
                    places = now.places.copy()
                    places[row, column] += way
                    tried = replace(now, places=places)
                    if not 0 <= places[row, column] < ends[column]:
                        continue
                    new = tried.found()
                    own, kind = new.values[row], now.kinds[row]
                    if np.any(own < low[kind] - 1e-9) or np.any(own > high[kind] + 1e-9):
                        continue
                    if new.cost < cost * (1 - 1e-9):
                        now, cost, bettered = tried, new.cost, True
        if not bettered:
            break
    return now


def filter_in_words(kind: int, frequency: float, gain: float, q: float, sample_rate: float | None) -> str:
    """What one filter does at a rate (Hz; None: analogue), for somebody who does not think in Q."""
    verb = "takes down" if gain < 0 else "lifts"
    by = f"{abs(gain):.1f} dB"
    if kind:
        side = "below" if kind == 1 else "above"
        return f"{verb} everything {side} {in_hertz(frequency)} by {by}, half of it at that frequency"
    low, high = biquads.half_gain_at(q, frequency, sample_rate)
    what = "a narrow" if q >= NARROW else "a broad" if q < BROAD else "a"
    shape = "bump" if gain < 0 else "dip"
    ends = f"{in_hertz(low)} and {in_hertz(high)}"
    return f"{verb} {what} {shape} round {in_hertz(frequency)} by {by}, half of it at {ends}"


def in_hertz(frequency: float, count: int = 3) -> str:
    """A frequency (Hz) in so many figures, with its unit."""
    if frequency < 999.5:
        return f"{frequency:.{count}g} Hz"
    return f"{frequency / 1000:.{count}g} kHz"


def filter_in_short(row: FoundFilter) -> str:
    """One filter in a line, as it is typed in."""
    gain = typographic(f"{row.gain:+g}")
    return f"{row.kind.lower()} {row.frequency:g} Hz {gain} dB Q {row.q:g}"


def left_without(now: Typed) -> list[float]:
    """What is left, RMS in dB, without each filter."""
    whole = now.found()
    others = (
        Found(now.task, np.delete(whole.kinds, place), np.delete(whole.values, place, axis=0), math.inf)
        for place in range(len(now.kinds))
    )
    return [round(each.rms, 6) for each in others]


def cuts_first(now: Typed) -> Typed:
    """The same filters, cuts before lifts: no signal on its way is lifted above what leaves the last of them.

    Of either, the one that does most comes first.
    """
    numbers, without = now.numbers(), left_without(now)
    order = sorted(
        range(len(numbers)), key=lambda place: (numbers[place][2] > 0, -without[place], numbers[place][1])
    )
    return replace(now, kinds=now.kinds[order], places=now.places[order])


def rows_of(now: Typed) -> tuple[FoundFilter, ...]:
    """The filters as a table, in their order."""
    whole, without = now.found(), left_without(now)
    rows = []
    for place, (kind, frequency, gain, q) in enumerate(now.numbers()):
        rows.append(
            FoundFilter(
                kind=KIND_NAMES[FITTED_KINDS[kind]],
                frequency=frequency,
                gain=gain,
                q=q,
                without=without[place],
                does=filter_in_words(kind, frequency, gain, float(whole.q[place]), now.task.sample_rate),
            )
        )
    return tuple(rows)


def csv_file(rows: Iterable[FoundFilter]) -> Made:
    """The filters for a spreadsheet."""
    lines = ["kind,frequency Hz,gain dB,Q"]
    lines += [f"{row.kind.lower()},{row.frequency:g},{row.gain:g},{row.q:g}" for row in rows]
    return Made.whole("filters.csv", "text/csv", ("\r\n".join(lines) + "\r\n").encode())


def json_file(rows: Iterable[FoundFilter], sample_rate: float | None, meaning: str) -> Made:
    """The filters as data of our own."""
    data = {
        "filters": [
            {
                "kind": row.kind.lower().replace(" ", "-"),
                "frequency": row.frequency,
                "gain": row.gain,
                "q": row.q,
            }
            for row in rows
        ],
        "meaning_of_q": meaning,
        "sample_rate": sample_rate,
        "units": {"frequency": "Hz", "gain": "dB"},
    }
    return Made.whole("filters.json", "application/json", (json.dumps(data, indent=1) + "\n").encode())


def biquad_file(sections: Sections) -> Made:
    """The coefficients of each filter, as text."""
    lines = [
        f"# y = b0 x + b1 x[-1] + b2 x[-2] - a1 y[-1] - a2 y[-2], at {sections.sample_rate:g} Hz",
        "# Some processors want a1 and a2 with the other sign: read the manual.",
        "# b0 b1 b2 a1 a2",
    ]
    for above, below in zip(sections.numerator.tolist(), sections.denominator.tolist(), strict=True):
        lines.append(" ".join(f"{number:.15g}" for number in (*above, *below[1:])))
    return Made.whole("biquads.txt", "text/plain", ("\n".join(lines) + "\n").encode())
