"""Speakers that two seats share: which of them play the same notes, and how far apart they arrive."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import inf, pi, sqrt

import numpy as np

from calculators.declaring import Advice, Axis, Band, Chart
from calculators.physics import decibels
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.filter_settings import in_hertz
from calculators.vocabulary.processor_inputs import DELAY_TO_SET
from calculators.vocabulary.responses import (
    LOWEST_DRAWN,
    LOWEST_HEARD,
    LOWEST_SHOWN,
    places_shown,
    response_chart,
)

# Two ranges that overlap, or miss each other, by less than an octave meet in a join.
JOIN_WIDTH = 2.0
MOVED_AT_MOST, TURNED_AT_MOST = 20e-6, 20.0
"""s, and degrees at a join, by which rounding alone may move two apart."""
DRAWN_TO, TEETH_DRAWN_AT_MOST = 1500.0, 12


@dataclass(frozen=True)
class Heard:
    """One speaker: its name, what it plays (Hz), and when it arrives at each seat, delay included (s)."""

    name: str
    low: float
    high: float
    arrivals: tuple[float, float]

    @property
    def side(self) -> int:
        """-1 nearer to the first head, 1 nearer to the second, 0 neither, to a nanosecond."""
        nearer = round(self.arrivals[0] - self.arrivals[1], 9)
        return (nearer > 0) - (nearer < 0)

    def answers(self, other: "Heard") -> bool:
        """Whether the other is this one's counterpart: the same notes from the other side."""
        return (self.low, self.high, self.side) == (other.low, other.high, -other.side) and self.side != 0


@dataclass(frozen=True)
class Meeting:
    """Two speakers that have notes in common.

    ``join``: Hz, where they hand over, or None where both play a whole band, ``low`` to ``high``. ``late``:
    s at each seat, by which the second comes after the first. ``across``: whether they are of two pairs and
    on opposite sides, so that no setting joins them at both seats, and none need.
    """

    first: str
    second: str
    low: float
    high: float
    join: float | None
    late: tuple[float, float]
    across: bool = False

    @property
    def words(self) -> str:
        """Where they meet, in words."""
        if self.join is not None:
            return (
                f"opposite sides, {in_hertz(self.join)}" if self.across else f"join at {in_hertz(self.join)}"
            )
        return f"both play {in_hertz(self.low)} to {in_hertz(self.high)}"

    @property
    def phases(self) -> tuple[float | None, float | None]:
        """Degrees at each seat by which they are turned at their join; None where that is none to set."""
        if self.join is None or self.across:
            return None, None
        return 360 * self.join * self.late[0], 360 * self.join * self.late[1]

    @property
    def worst(self) -> float:
        """The larger difference of the two seats, s."""
        return max(abs(late) for late in self.late)


def meetings(speakers: Sequence[Heard]) -> tuple[Meeting, ...]:
    """Every two speakers that have notes in common, in the order of their rows."""
    found = []
    paired = [any(each.answers(other) for other in speakers) for each in speakers]
    for (first, one), (second, two) in combinations(zip(speakers, paired, strict=True), 2):
        low, high = max(first.low, second.low), min(first.high, second.high)
        if low > high * JOIN_WIDTH:
            continue
        late = (second.arrivals[0] - first.arrivals[0], second.arrivals[1] - first.arrivals[1])
        join = sqrt(low * high) if high < low * JOIN_WIDTH else None
        across = one and two and first.side == -second.side
        found.append(Meeting(first.name, second.name, low, high, join, late, across))
    return tuple(found)


def rounded_apart(exact: Sequence[Meeting], typed: Sequence[Meeting]) -> tuple[str, ...]:
    """Of the same pairs before and after rounding those that it alone moves apart, in words."""
    words = []
    for before, after in zip(exact, typed, strict=True):
        moved = round(abs(after.late[0] - before.late[0]), 9)
        turned = 0.0 if after.join is None else 360 * after.join * moved
        if moved <= MOVED_AT_MOST or after.across or (after.join is not None and turned <= TURNED_AT_MOST):
            continue
        angle = "" if after.join is None else f", {turned:.0f}° at their join"
        words.append(f"{after.first} and {after.second} by {1e6 * moved:.0f} µs{angle}")
    return tuple(words)


def farthest_apart(found: Sequence[Meeting]) -> Meeting | None:
    """Of the pairs that oppose within what both play the one farthest apart, to a nanosecond."""
    opposed = [
        meeting
        for meeting in found
        if meeting.join is None and meeting.low / 3 < opposed_from(meeting.worst) < meeting.high
    ]
    return max(opposed, key=lambda meeting: round(meeting.worst, 9), default=None)


def opposed_from(late: float) -> float:
    """Hz from which two equal sounds so far apart (s) oppose each other; infinite without a difference."""
    return 1 / (4 * abs(late)) if abs(late) > 1e-9 else inf


def long_delays(names: Sequence[str], delays: Sequence[float]) -> tuple[Advice, ...]:
    """What is asked where a delay, s, is longer than processors are taken to set."""
    long = [name for name, delay in zip(names, delays, strict=True) if round(delay - DELAY_TO_SET, 9) > 0]
    if not long:
        return ()
    text = (
        f"Over {1000 * DELAY_TO_SET:g} ms, which is more than most processors set: {', '.join(long)}. Check "
        "distances and latencies: is a figure in another unit?"
    )
    return (Advice("longest_delay", text),)


def pair_chart(apart: Meeting | None) -> Chart:
    """Both of the pair that is farthest apart, over the same two in step."""

    def at(late: float, frequency: FloatArray) -> FloatArray:
        return decibels.level((1 + np.exp(-2j * pi * frequency * late)) / 2)

    late = (0.0, 0.0) if apart is None else apart.late
    worst = max(abs(each) for each in late)
    spacing = 1 / worst if worst > 1e-9 else DRAWN_TO
    end = min(DRAWN_TO, TEETH_DRAWN_AT_MOST * spacing)
    eighths = np.arange(1, 8 * TEETH_DRAWN_AT_MOST + 1) * spacing / 8
    places = places_shown((), eighths[3::8], eighths, high=end)
    low = opposed_from(worst)
    bands = (Band("They oppose", low, min(3 * low, end)),) if LOWEST_HEARD < low < end else ()
    return response_chart(
        "The farthest pair together, over the same two in step",
        places,
        {"First head": (at(late[0], places.at), "main"), "Second head": at(late[1], places.at)},
        Axis("Level", "dB", LOWEST_DRAWN, 6, lowest=LOWEST_SHOWN),
        bands,
        read_at=min(max(2 * low, LOWEST_HEARD), end),
    )
