"""What a tune starts from, and what it ends with: channels, processor, plan, and the finished tune."""

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics import joins, speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray
from calculators.physics.filter_limits import Limits
from calculators.physics.sides_alike import JUDGED_FROM_TO
from calculators.physics.speaker_system import THIRDS, Setting, grid, in_band
from calculators.vocabulary.tune_beginnings import Asked

LIFT_UNDER_HIGH_PASS, LIFT_WHERE_UNSAFE = 3.0, 1.0
"""dB by which all filters of a tweeter may lift it together under its high-pass, however low it is safe, and
those of any speaker under its lowest safe frequency; more is a danger. From what a crossover leaves it there
to what tears it are some 4 dB. Rule of our own."""
JOINS_WITHIN = 2 / 3
"""Octaves that two crossovers may lie apart for a delay to join their channels."""
SPILLS_TO = 2 ** (1 / 6)
"""Times its own crossover, to which a filter at the join may lift a channel beyond it."""
SEAT_NAMES = ("Driver", "Passenger")
SIDE_OF = {"left": -1, "right": 1, "both": 0}
"""The number of a side, by what is typed: the sign of the place of what plays there, seen from the middle."""


@dataclass(frozen=True)
class LiftLimit:
    """dB by which all filters of a channel may lift it together under so many hertz, and what those are."""

    most: float
    under: float
    words: str


@dataclass(frozen=True)
class Channel:
    """One channel: its name, kind, side (-1 left, 1 right, 0 neither), crossover, arrival in s and polarity.

    ``arrival`` holds one for each seat; ``sign`` is -1 where the direct sound was found reversed.
    ``lowest_safe``: Hz, under which no filter of it is put, and hardly anything lifted. ``sine``: of its
    direction off the driver's nose, above 0 on the right; None where its place is not known. ``fir``: the
    file of its FIR filter, whose delay is in ``arrival``; None without one. ``turned``: whether the burst
    showed that a subwoofer joins the other way round than proven.
    """

    name: str
    kind: str
    side: int
    high_pass: float | None
    low_pass: float | None
    arrival: tuple[float, ...]
    sign: float = 1.0
    lowest_safe: float | None = None
    sine: float | None = None
    fir: str | None = None
    turned: bool = False

    @property
    def lift_limits(self) -> tuple[LiftLimit, ...]:
        """What its crossover and its lowest safe frequency allow, FIR filters included.

        Of a tweeter that nobody typed one of, its high-pass is it, but for what spills over at the join.
        """
        found, high_pass = [], (self.high_pass or 0.0) if self.kind == "tweeter" else 0.0
        crossed = f"its high-pass of {high_pass:g} Hz"
        if high_pass:
            found.append(LiftLimit(LIFT_UNDER_HIGH_PASS, high_pass, crossed))
        if self.lowest_safe:
            safe = f"its lowest safe frequency of {self.lowest_safe:g} Hz"
            found.append(LiftLimit(LIFT_WHERE_UNSAFE, self.lowest_safe, safe))
        elif high_pass:
            under = f"{1 / SPILLS_TO:.1f} of {crossed}"
            found.append(LiftLimit(LIFT_WHERE_UNSAFE, high_pass / SPILLS_TO, under))
        return tuple(found)

    def most_lift(self, frequency: FloatArray) -> FloatArray:
        """dB by which those allow it to be lifted at frequencies, Hz."""
        found = np.full(frequency.shape, math.inf)
        for limit in self.lift_limits:
            found[frequency < limit.under] = np.minimum(found[frequency < limit.under], limit.most)
        return found


def meetings(channels: tuple[Channel, ...]) -> list[tuple[int, int, float]]:
    """Which channels meet, low and high, and where: crossovers within two thirds of an octave.

    Each high part meets one low part of its side that is nobody else's, the nearest by crossover and then by
    arrival: of front and rear no two join crosswise. One that meets nothing there meets the nearest of each
    other side, if one of both stands in the middle.
    """
    able = []
    for low, below in enumerate(channels):
        for high, above in enumerate(channels):
            octaves = _octaves_apart(below, above)
            if octaves < JOINS_WITHIN and below.side * above.side >= 0:
                late = sum(abs(a - b) for a, b in zip(below.arrival, above.arrival, strict=True))
                frequency = math.sqrt((below.low_pass or 0.0) * (above.high_pass or 0.0))
                able.append((round(octaves, 6), round(late, 9), low, high, frequency))
    found: dict[int, tuple[int, int, float]] = {}
    for shared in (False, True):  # What is left without one of its own shares.
        for _, _, low, high, frequency in sorted(able):
            own = channels[low].side == channels[high].side
            if own and high not in found and (shared or all(low != other for other, _, _ in found.values())):
                found[high] = low, high, frequency
    across: dict[tuple[int, int], tuple[int, int, float]] = {}
    for _, _, low, high, frequency in sorted(able):
        if high not in found:
            across.setdefault((high, channels[low].side), (low, high, frequency))
    return sorted([*found.values(), *across.values()])


def _octaves_apart(below: Channel, above: Channel) -> float:
    """Octaves from one channel's low-pass to another's high-pass; a subwoofer is not joined by these."""
    if below is above or below.kind == "subwoofer" or below.low_pass is None or above.high_pass is None:
        return math.inf
    return abs(math.log2(below.low_pass / above.high_pass))


def twins(channels: tuple[Channel, ...]) -> list[tuple[Channel, Channel]]:
    """Left and right of each kind, the lowest with the lowest, where there are as many of both.

    Of as low ones the first to arrive with the first.
    """
    found: list[tuple[Channel, Channel]] = []
    for kind in ("tweeter", "woofer", "subwoofer"):
        left, right = (
            sorted(
                (each for each in channels if each.kind == kind and each.side == side),
                key=lambda each: (each.high_pass or 0.0, sum(each.arrival)),
            )
            for side in (-1, 1)
        )
        if len(left) == len(right):
            found += zip(left, right, strict=True)
    return found


def ends_played(channels: tuple[Channel, ...]) -> tuple[float | None, float | None]:
    """Hz under and over which no channel plays, by crossovers: the lowest high-pass, the highest low-pass."""
    lows = [each.high_pass for each in channels if each.high_pass is not None]
    highs = [each.low_pass for each in channels if each.low_pass is not None]
    return (
        min(lows) if len(lows) == len(channels) else None,
        max(highs) if len(highs) == len(channels) else None,
    )


def bands_played(channels: tuple[Channel, ...]) -> IndexArray:
    """Numbers of the third octaves between those ends: no filter reaches the rest, and none is to try.

    All of them where not one has its middle there.
    """
    low, high = ends_played(channels)
    inside = in_band(low or 0.0, high or math.inf)
    return inside if inside.size else np.arange(THIRDS)


@dataclass(frozen=True)
class Processor:
    """What a processor can do: limits of its filters, and its steps of gain, Q and delay (dB, s)."""

    limits: Limits
    filters: int
    gain_step: float = 0.1
    q_step: float = 0.1
    delay_step: float = 1 / 48_000
    longest_delay: float = 0.02
    all_passes: bool = False


@dataclass(frozen=True, eq=False)
class Plan:
    """All that a tune starts from.

    ``gains``: complex, of each seat, shape (points, channels, 216). ``near``: numbers of the points that
    joins are judged by, the fixed one first; ``wide``: of those that levels are fitted to. ``targets``: dB, a
    curve for each seat. ``weights``: what each seat counts. ``turn_bass``: whether subwoofers may be turned.
    ``between``: whether the fit is for the places between the points too. ``fir``: complex gain of each
    channel's FIR filter, shape (channels, 216), which is in ``gains`` already; None without any.
    ``held``: whether left and right are held together in broad bands.
    """

    channels: tuple[Channel, ...]
    gains: tuple[ComplexArray, ...]
    near: tuple[int, ...]
    wide: tuple[int, ...]
    targets: tuple[FloatArray, ...]
    weights: tuple[float, ...]
    processor: Processor
    turn_bass: bool = True
    between: bool = True
    fir: ComplexArray | None = None
    held: bool = False

    def may_turn(self, number: int) -> bool:
        """Whether the polarity of a subwoofer may be chosen: what the burst showed of one stands."""
        return self.turn_bass and not self.channels[number].turned

    @cached_property
    def played(self) -> IndexArray:
        """Numbers of the third octaves that some channel plays: what levels are judged in."""
        return bands_played(self.channels)

    def _played_by(self, side: int) -> IndexArray:
        own = [each for each in self.channels if each.side == side]
        bands = [in_band(each.high_pass or 0.0, each.low_pass or math.inf) for each in own]
        found = np.concatenate([*bands, np.empty(0, dtype=np.intp)])
        return np.asarray(np.intersect1d(self.played, found), dtype=np.intp)

    @cached_property
    def one_sided(self) -> IndexArray:
        """Numbers of those, from 300 Hz to 16 kHz, that one side plays and the other does not."""
        return np.intersect1d(np.setxor1d(self._played_by(-1), self._played_by(1)), in_band(*JUDGED_FROM_TO))

    @cached_property
    def paired(self) -> IndexArray:
        """Numbers of those that both sides play, so that left can be held against right there.

        Beside what one plays alone a third octave has its skirt in it, and is left out.
        """
        both = np.intersect1d(self._played_by(-1), self._played_by(1))
        return np.setdiff1d(both, np.concatenate([self.one_sided - 1, self.one_sided + 1]))

    def mean_arrivals(self) -> list[float]:
        """When each channel arrives, s: of two seats, the mean by what each of them counts."""
        total = sum(self.weights)
        return [
            sum(weight * time for weight, time in zip(self.weights, each.arrival, strict=True)) / total
            for each in self.channels
        ]

    def off_target(self, seat: int, sums: ComplexArray) -> FloatArray:
        """What sums at some points are over a seat's target, dB, in the third octaves that are played."""
        levels, target = speaker_system.band_levels(sums), self.targets[seat]
        return speaker_system.off_target(levels[self.played], target[self.played])

    def with_fir(self, through: ComplexArray) -> ComplexArray:
        """Each channel of the processor with its FIR filter, if there are: shape (channels, 216)."""
        return through if self.fir is None else through * self.fir

    @property
    def asked(self) -> Asked:
        """What each channel alone is brought to."""
        crossed = tuple(Setting(each.high_pass, each.low_pass) for each in self.channels)
        return Asked(crossed, self.targets, self.weights)


@dataclass(frozen=True, eq=False)
class Joined:
    """How two parts meet: numbers of the channels, where, and what was found."""

    low: int
    high: int
    frequency: float
    found: joins.Found
    best: float


@dataclass(frozen=True, eq=False)
class Tune:
    """A finished tune.

    ``settings``: by channel. ``joins``: how parts meet. ``count``: filters a channel may have. ``left_out``:
    numbers of filters with the RMS, dB, at points left out of the fit.
    """

    plan: Plan
    settings: tuple[Setting, ...]
    joins: tuple[Joined, ...]
    count: int
    left_out: tuple[tuple[int, float], ...]

    @cached_property
    def through(self) -> ComplexArray:
        """Complex gain of each channel of the processor, shape (channels, 216)."""
        return speaker_system.chains(self.settings, grid(), self.plan.processor.limits.sample_rate)

    def sums(self, seat: int, plays: FloatArray | None = None) -> ComplexArray:
        """All channels, or some, together at every point of a seat."""
        through = self.through
        if plays is not None:
            through = through * plays[:, np.newaxis]
        return speaker_system.summed(self.plan.gains[seat], through)

    def levels(self, seat: int, plays: FloatArray | None = None) -> FloatArray:
        """Levels of the third octaves, dB, over the wide points of a seat."""
        return speaker_system.band_levels(self.sums(seat, plays)[list(self.plan.wide)])

    @cached_property
    def left_over_right(self) -> FloatArray | None:
        """dB by third octave, over the wide points of all seats together; None without both sides.

        Two heads that mirror each other hear as much of the left as of the right, so that it is 0 for both
        together though neither hears that.
        """
        sides = np.array([each.side for each in self.plan.channels])
        if not {-1, 1} <= set(sides.tolist()):
            return None
        left, right = (
            np.mean([10 ** (self.levels(seat, plays) / 10) for seat in range(len(self.plan.gains))], axis=0)
            for plays in (np.where(sides == -side, 0.0, 1.0) for side in (-1, 1))
        )
        return np.asarray(10 * np.log10(left / right))

    def off_target(self, seat: int, points: tuple[int, ...] | None = None) -> FloatArray:
        """What a seat is over its target, dB by third octave played, over the wide points or others."""
        return self.plan.off_target(seat, self.sums(seat)[list(points or self.plan.wide)])

    @property
    def seats_off(self) -> FloatArray:
        """RMS, dB, that each seat is off its target."""
        return np.array([speaker_system.rms(self.off_target(seat)) for seat in range(len(self.plan.gains))])
