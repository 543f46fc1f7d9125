"""The graphic equaliser, the room it needs before clipping, and the curve it aims at."""

from __future__ import annotations

import math
from collections.abc import Generator
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import FloatArray
from calculators.physics.bands import THIRD_OCTAVE_Q, exact_third_octaves
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level, power_ratio
from calculators.physics.filters import Sections, impulse_response, magnitude


def graphic_equaliser(
    gains: ArrayLike, q: float = THIRD_OCTAVE_Q, sample_rate: float | None = None
) -> Sections:
    """31 peak filters in a row at the exact third-octave centres.

    gains: dB, shape (31,). q: Q of each, above 0. sample_rate: Hz, above 40 kHz, or None for analogue.
    Raises ValueError for another number of gains.
    Source: as in `biquad`.
    """
    values = np.asarray(gains, dtype=np.float64)
    if values.shape != exact_third_octaves().shape:
        raise ValueError("a graphic equaliser has 31 gains")
    return biquad("peak", exact_third_octaves(), values, q, sample_rate)


def solved_points() -> FloatArray:
    """Frequencies, Hz, at which the graphic equaliser is solved, shape (61,), rising.

    The 31 centres (every other one, from the first) and the 30 geometric means between them.
    Source: as in `solve_graphic_equaliser`.
    """
    centres = exact_third_octaves()
    return np.sort(np.concatenate([centres, np.sqrt(centres[1:] * centres[:-1])]))


@dataclass(frozen=True, eq=False)
class SolvedEqualiser:
    """Gains found and how near they come.

    gains: dB, shape (31,). levels: dB, what they give at `solved_points`, shape (61,).
    miss: RMS difference from what was wanted there, dB.
    """

    gains: FloatArray
    levels: FloatArray
    miss: float


LAST_STEP = 1e-4
"""dB. A step of Newton's this small is not asked whether it betters the sum of squares, which shows a
gain to half its figures only; it is taken as long as steps shrink, and shows the rest of them."""
EASED = 1e-3
"""Damping, beside slopes of about 1, that is as good as none."""
FINISHED = 1e-7
"""dB. Newton's steps square: what is left after one this small has no figure to show it."""


def solve_graphic_equaliser(
    wanted: ArrayLike,
    q: float = THIRD_OCTAVE_Q,
    sample_rate: float | None = None,
    limit: float = 24.0,
) -> SolvedEqualiser:
    """Gains of the graphic equaliser that come nearest to a wanted curve, at and between its bands.

    wanted: dB at the 31 centres; between them the curve runs straight over the logarithm of
    frequency. q: Q of every filter. sample_rate: Hz, above 40 kHz, or None.
    limit: dB, 60 at most, the most any gain may be, up or down.
    Neighbours add into each other, so the gain of a band is not the level there. The least sum of
    squares at `solved_points` is found by Newton steps from level sliders, damped where they do not
    better it; gains at their limit that would go beyond it are held there.
    Raises ValueError for another number of bands, or a limit or q out of range.
    Source: Bertsekas, Projected Newton methods for optimization problems with simple constraints,
    SIAM J. Control and Optimization 20 (1982); the points between: Välimäki and Liski, Accurate
    cascade graphic equalizer, IEEE Signal Processing Letters 24 (2017).
    """
    asked = np.asarray(wanted, dtype=np.float64)
    if asked.shape != exact_third_octaves().shape:
        raise ValueError("a graphic equaliser has 31 bands")
    if not (0 < limit <= 60 and q > 0):
        raise ValueError("limit and Q must be above 0, the limit 60 dB at most")
    goal = levels_through_points(solved_points(), exact_third_octaves(), asked)
    apart = _point_distances(q, sample_rate)
    here, damping, before = _look_at(apart, np.zeros_like(asked), goal), 0.0, math.inf
    for _ in range(200):
        tried = _stepped(here, limit, damping)
        length = float(np.max(np.abs(tried - here.gains))) if np.all(np.isfinite(tried)) else math.inf
        there = _look_at(apart, tried, goal) if length < math.inf else here
        whole = damping == 0
        if there.miss < here.miss or (whole and length < min(LAST_STEP, before)):
            here, damping, before = there, damping / 10 if damping >= 10 * EASED else 0.0, length
            if whole and length < FINISHED:
                break
        elif length >= LAST_STEP:
            damping = max(4 * damping, EASED)
        elif whole:
            break
        else:
            damping = 0.0
    return SolvedEqualiser(here.gains, goal - here.left, math.sqrt(here.miss / len(goal)))


@dataclass(frozen=True, eq=False)
class _Look:
    """Gains with what they leave of the goal (dB at each point), its sum of squares and slopes.

    downhill: minus half the slope of that sum. bend: half its second derivatives.
    """

    gains: FloatArray
    left: FloatArray
    miss: float
    downhill: FloatArray
    bend: FloatArray


def _look_at(apart: FloatArray, gains: FloatArray, goal: FloatArray) -> _Look:
    """What gains give: a peak's own level is |H|² = (d + g)/(d + 1/g), d its distance, g its growth.

    The change of a level by one gain hangs on that gain alone, so the second derivatives of the
    levels are a diagonal.
    """
    growth = 10 ** (gains / 20)
    upper, lower = 1 / (apart + growth), 1 / (apart * growth + 1)
    powers = (apart + growth) * growth / (apart * growth + 1)
    left = goal - 10 * np.log10(np.prod(powers, axis=1))
    slopes = (growth * upper + lower) / 2
    changes = math.log(10) / 40 * apart * growth * (upper**2 - lower**2)
    bend = slopes.T @ slopes - np.diag(left @ changes)
    return _Look(gains, left, float(left @ left), slopes.T @ left, bend)


def _stepped(here: _Look, limit: float, damping: float) -> FloatArray:
    """Gains after one damped Newton step, none beyond the limit."""
    held = (np.abs(here.gains) >= limit) & (here.downhill * here.gains > 0)
    free = np.flatnonzero(~held)
    matrix = here.bend[np.ix_(free, free)] + damping * np.eye(len(free))
    tried = here.gains.copy()
    try:
        tried[free] += np.linalg.solve(matrix, here.downhill[free])
    except np.linalg.LinAlgError:  # The browser's answers NaN instead.
        tried[free] = math.nan
    return np.clip(tried, -limit, limit)


def _point_distances(q: float, sample_rate: float | None) -> FloatArray:
    """(q·(x - 1/x))² for each solved point (line) seen from each filter (column), x their ratio.

    For a digital filter the ratio is that of the frequencies after the bilinear transform.
    """
    points, centres = solved_points(), exact_third_octaves()
    if sample_rate is not None:
        if not centres[-1] < sample_rate / 2:
            raise ValueError("the highest band lies above half the sample rate")
        points, centres = (np.tan(math.pi * each / sample_rate) for each in (points, centres))
    ratio = points[:, np.newaxis] / centres[np.newaxis, :]
    return np.asarray((q * (ratio - 1 / ratio)) ** 2, dtype=np.float64)


@dataclass(frozen=True)
class Headroom:
    """boost: dB, the most the filters lift any tone, 0 if none. frequency: Hz, where.

    cut: dB, 0 or below, to put in front so that nothing is lifted. power_ratio: times the power
    that the amplifier is asked for there.
    """

    boost: float
    frequency: float
    cut: float
    power_ratio: float


NEAR_TOP = 1.0
"""dB by which a sharp top may rise between two points of the grid."""


def headroom(sections: Sections, low: float = 10.0, high: float = 20000.0) -> Headroom:
    """How far filters lift the signal at worst between two frequencies.

    low, high: Hz. The response is looked at 200 times an octave; every top that may be the highest is
    followed. Digital filters are looked at no further than half their sample rate.
    Raises ValueError unless 0 < low < high.
    Source: search of our own.
    """
    if sections.sample_rate is not None:
        high = min(high, sections.sample_rate / 2)
    if not 0 < low < high:
        raise ValueError("low must be above 0 and below high")
    grid, levels = _look(sections, low, high)
    tops = dict.fromkeys((_highest(levels), *_tops_near(levels)))
    followed = [_follow(sections, grid, top) for top in tops]
    # Of tops that are alike the first, whatever their last digits say.
    highest, frequency = max(followed, key=lambda top: round(top[0], 9))
    boost = max(highest, 0.0)
    return Headroom(boost, frequency, -boost, power_ratio(boost))


def most_within(sections: Sections) -> float:
    """The most, dB, that filters in a row lift any tone at the end or after any of them, 0 if none.

    Source: `headroom` of the first filter, of the first two, and so on.
    """
    above, below, sums = sections.numerator, sections.denominator, sections.columns[3].T
    return max(
        headroom(Sections(above[:count], below[:count], sections.sample_rate, sums[:count])).boost
        for count in range(1, len(above) + 1)
    )


def _look(sections: Sections, low: float, high: float) -> tuple[FloatArray, FloatArray]:
    """Frequencies between two, 200 an octave and 41 at least, and the levels there."""
    grid = np.geomspace(low, high, 1 + max(math.ceil(200 * math.log2(high / low)), 40))
    return grid, level(magnitude(sections, grid))


def _highest(levels: FloatArray) -> int:
    """Place of the highest level. A top is flat: what differs by under a billionth of a dB is one place."""
    highest = np.flatnonzero(np.round(levels, 9) == np.round(np.max(levels), 9))
    return int(highest[len(highest) // 2])


def _tops_near(levels: FloatArray) -> list[int]:
    """Places of tops that are so near the highest that they may be higher between two points of the grid."""
    inner = np.round(levels, 9)
    tops = (inner[1:-1] > inner[:-2]) & (inner[1:-1] > inner[2:]) & (inner[1:-1] > np.max(inner) - NEAR_TOP)
    return [int(place) + 1 for place in np.flatnonzero(tops)]


def _follow(sections: Sections, grid: FloatArray, top: int) -> tuple[float, float]:
    """Level and frequency of a top, looked at ever more closely."""
    for _ in range(2):
        low, high = float(grid[max(top - 1, 0)]), float(grid[min(top + 1, len(grid) - 1)])
        grid, levels = _look(sections, low, high)
        top = _highest(levels)
    return float(levels[top]), float(grid[top])


SHORTEST_RESPONSE, LONGEST_RESPONSE = 2**10, 2**19
DECAYS_FOLLOWED = 7.0


def worst_peak(sections: Sections) -> Generator[float, None, float]:
    """Level, dB, of the highest peak that any signal of full level can come out with.

    It is the sum of the magnitudes of the impulse response: a signal that is at full level all the
    time, with the sign of that response backwards, comes out so high, and none comes out higher.
    Tones rise by the response alone; music and square waves lie between the two. The impulse
    response is followed for seven times its slowest decay (to 0.1 %), 2^19 samples at the most:
    for a filter that rings longer the answer may be a decibel short.
    sections: digital. Yields now and then what share is done. Raises ValueError for an analogue filter.
    Source: Oppenheim and Schafer, Discrete-Time Signal Processing, stability: |y| <= sum |h| max |x|.
    """
    _, middle, last = sections.denominator.T
    apart = middle**2 - 4 * last
    radius = np.where(apart < 0, np.sqrt(np.abs(last)), (np.abs(middle) + np.sqrt(np.abs(apart))) / 2)
    samples = DECAYS_FOLLOWED / max(1 - float(np.max(radius)), DECAYS_FOLLOWED / LONGEST_RESPONSE)
    count = 2 ** math.ceil(math.log2(max(samples, SHORTEST_RESPONSE)))
    response_in_time = yield from impulse_response(sections, count)
    return float(level(np.sum(np.abs(response_in_time))))


@dataclass(frozen=True)
class TargetShape:
    """A wanted curve: a shelf in the bass, a tilt above a hinge, a shelf in the treble.

    bass_gain, treble_gain: dB. bass_frequency, treble_frequency: Hz, above 0, the middles of the shelves.
    hinge: Hz, above 0. tilt: dB for each octave above the hinge, below 0 for a falling one.
    """

    bass_gain: float = 0.0
    bass_frequency: float = 80.0
    tilt: float = 0.0
    hinge: float = 1000.0
    treble_gain: float = 0.0
    treble_frequency: float = 10000.0


def tuned_shape(bass_gain: float, tilt: float) -> TargetShape:
    """The target of a tune, dB: a bass shelf round 80 Hz, and a tilt above 200 Hz.

    bass_gain: dB. tilt: dB for each octave. Source: common practice.
    """
    return TargetShape(bass_gain, 80.0, tilt, 200.0)


def target_levels(frequency: ArrayLike, shape: TargetShape) -> FloatArray:
    """Levels, dB, of a target shape at frequencies (Hz, above 0) of any shape.

    Shelves are the analogue ones of the Audio EQ Cookbook, slope 1. A target curve is a matter of
    taste and of the vehicle.
    Raises ValueError for a frequency at or below 0.
    Source: common practice.
    """
    values = np.asarray(frequency, dtype=np.float64)
    if not (np.all(values > 0) and shape.hinge > 0):
        raise ValueError("frequencies must be above 0")
    bass = biquad("low-shelf", shape.bass_frequency, shape.bass_gain)
    treble = biquad("high-shelf", shape.treble_frequency, shape.treble_gain)
    octaves = np.maximum(np.log2(values / shape.hinge), 0)
    shelves = level(magnitude(bass, values)) + level(magnitude(treble, values))
    return np.asarray(shelves + shape.tilt * octaves, dtype=np.float64)


def levels_through_points(
    frequency: ArrayLike, point_frequencies: ArrayLike, point_levels: ArrayLike
) -> FloatArray:
    """Levels, dB, on straight lines through points over the logarithm of frequency.

    frequency: Hz, above 0, any shape. point_frequencies: Hz, above 0, rising, shape (n,), n ≥ 1.
    point_levels: dB, likewise. Below the first and above the last point the level is held.
    Raises ValueError if the points do not rise, a frequency is not above 0 or a level not finite.
    Source: linear interpolation, textbook.
    """
    values = np.asarray(frequency, dtype=np.float64)
    places = np.asarray(point_frequencies, dtype=np.float64)
    heights = np.asarray(point_levels, dtype=np.float64)
    if places.ndim != 1 or places.size == 0 or places.shape != heights.shape:
        raise ValueError("each point needs a frequency and a level")
    if not (np.all(values > 0) and np.all(places > 0) and np.all(np.diff(places) > 0)):
        raise ValueError("frequencies must be above 0 and the points must rise")
    if not np.all(np.isfinite(heights)):
        raise ValueError("levels must be finite numbers")
    found = np.interp(np.log(values), np.log(places), heights)
    return np.asarray(found, dtype=np.float64)
