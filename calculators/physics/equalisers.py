"""The graphic equaliser, the room it needs before clipping, and the curve it aims at."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculators.physics.bands import exact_third_octaves
from calculators.physics.biquads import biquad
from calculators.physics.filters import Sections, response
from calculators.physics.levels import level, power_ratio

FloatArray = NDArray[np.float64]

THIRD_OCTAVE_Q = 1 / (10**0.05 - 10**-0.05)
"""Q of a peak one third octave wide, base ten: 4.33 (IEC 61260-1 edges)."""


def graphic_equaliser(
    gains: ArrayLike, q: float = THIRD_OCTAVE_Q, sample_rate: float | None = None
) -> Sections:
    """31 peak filters in a row at the exact third-octave centres.

    gains: dB, shape (31,). q: of each. sample_rate: Hz, above 40 kHz, or None for analogue.
    Raises ValueError for another number of gains.
    """
    values = np.asarray(gains, dtype=np.float64)
    if values.shape != exact_third_octaves().shape:
        raise ValueError("a graphic equaliser has 31 gains")
    return biquad("peak", exact_third_octaves(), values, q, sample_rate)


@dataclass(frozen=True, eq=False)
class SolvedEqualiser:
    """Gains found and how near they come.

    gains: dB, shape (31,). levels: dB, what they give at the band centres, shape (31,).
    miss: RMS difference from what was wanted, dB.
    """

    gains: FloatArray
    levels: FloatArray
    miss: float


def solve_graphic_equaliser(
    wanted: ArrayLike,
    q: float = THIRD_OCTAVE_Q,
    sample_rate: float | None = None,
    limit: float = 24.0,
) -> SolvedEqualiser:
    """Gains of the graphic equaliser that come nearest to the wanted levels at the band centres.

    wanted: dB, shape (31,). q: of every filter. sample_rate: Hz, above 40 kHz, or None.
    limit: dB, the most any gain may be, up or down.
    Neighbours add into each other, so the gain of a band is not the level there. The first answer
    is the linear one (each filter's curve grown in proportion to its gain); Gauss-Newton steps on
    the true levels, damped after Levenberg and Marquardt, then better it for as long as they can.
    Raises ValueError for another number of bands, or a limit or q that is not above 0.
    Source: Nocedal and Wright, Numerical Optimization, chapter 10.
    """
    asked = np.asarray(wanted, dtype=np.float64)
    if asked.shape != exact_third_octaves().shape:
        raise ValueError("a graphic equaliser has 31 bands")
    if not (limit > 0 and q > 0):
        raise ValueError("limit and Q must be above 0")
    apart = _band_distances(q, sample_rate)
    most = np.full_like(asked, limit)
    gains = bounded_least_squares(_slopes(apart, np.zeros_like(asked)), asked, -most, most)
    damping = 1e-3
    miss = float(np.sum((asked - _levels(apart, gains)) ** 2))
    for _ in range(60):
        step = _step(apart, asked, gains, most, damping)
        tried = float(np.sum((asked - _levels(apart, gains + step)) ** 2))
        if tried < miss:
            gains, miss, damping = np.clip(gains + step, -limit, limit), tried, damping / 10
        else:
            damping *= 10
        if np.max(np.abs(step)) < 1e-7:
            break
    gains = _polished(apart, asked, gains, most)
    found = _levels(apart, gains)
    return SolvedEqualiser(gains, found, float(np.sqrt(np.mean((asked - found) ** 2))))


def _step(
    apart: FloatArray, asked: FloatArray, gains: FloatArray, most: FloatArray, damping: float
) -> FloatArray:
    """One damped Gauss-Newton step that keeps every gain within its limit."""
    left = asked - _levels(apart, gains)
    matrix = np.vstack([_slopes(apart, gains), math.sqrt(damping) * np.eye(len(gains))])
    padded = np.concatenate([left, np.zeros_like(left)])
    return bounded_least_squares(matrix, padded, -most - gains, most - gains)


def _polished(apart: FloatArray, asked: FloatArray, gains: FloatArray, most: FloatArray) -> FloatArray:
    """The same answer to its last figures, so that it does not hang on the order of rounding.

    A sum of squares shows a gain to half its figures only. Newton steps on its slope show the
    rest: gains at their limit stay there, and steps are taken as long as they shrink.
    """
    free = np.abs(gains) < most
    before = 1e-3
    for _ in range(12):
        left = asked - _levels(apart, gains)
        slopes = _slopes(apart, gains)
        bend = slopes.T @ slopes - np.diag(left @ _slope_changes(apart, gains))
        step = np.zeros_like(gains)
        step[free] = np.linalg.lstsq(bend[np.ix_(free, free)], (slopes.T @ left)[free], rcond=None)[0]
        length = float(np.max(np.abs(step)))
        if not length < before:
            break
        gains, before = np.clip(gains + step, -most, most), length
    return gains


def _band_distances(q: float, sample_rate: float | None) -> FloatArray:
    """(q·(x - 1/x))² for each band centre (line) seen from each filter (column), x their ratio.

    For a digital filter the ratio is that of the frequencies after the bilinear transform.
    """
    centres = exact_third_octaves()
    if sample_rate is not None:
        if not centres[-1] < sample_rate / 2:
            raise ValueError("the highest band lies above half the sample rate")
        centres = np.tan(math.pi * centres / sample_rate)
    ratio = centres[:, np.newaxis] / centres[np.newaxis, :]
    return np.asarray((q * (ratio - 1 / ratio)) ** 2, dtype=np.float64)


def _levels(apart: FloatArray, gains: FloatArray) -> FloatArray:
    """Levels, dB, at the band centres: the sum of the peaks' own, |H|² = (d + g)/(d + 1/g)."""
    growth = 10 ** (gains / 20)
    return np.asarray(
        np.sum(10 * np.log10((apart + growth) / (apart + 1 / growth)), axis=1), dtype=np.float64
    )


def _slopes(apart: FloatArray, gains: FloatArray) -> FloatArray:
    """Change of the level at each band centre (line) by each gain (column), dB per dB."""
    growth = 10 ** (gains / 20)
    upper, lower = growth / (apart + growth), 1 / (apart * growth + 1)
    return np.asarray((upper + lower) / 2, dtype=np.float64)


def _slope_changes(apart: FloatArray, gains: FloatArray) -> FloatArray:
    """Change of each slope by its own gain, dB per dB²; other gains do not touch it."""
    growth = 10 ** (gains / 20)
    upper, lower = 1 / (apart + growth) ** 2, 1 / (apart * growth + 1) ** 2
    return np.asarray(math.log(10) / 40 * apart * growth * (upper - lower), dtype=np.float64)


def bounded_least_squares(
    matrix: FloatArray, target: FloatArray, lower: FloatArray, upper: FloatArray
) -> FloatArray:
    """x with lower <= x <= upper that makes matrix @ x come nearest to target.

    matrix: shape (m, n), its columns independent. target: (m,). lower, upper: (n,).
    Variables are held at a bound or free; the free ones are solved for together, and those whose
    hold hinders are let go, the worst first.
    Raises ValueError if a lower bound lies above its upper one or a value is not finite.
    Source: Stark and Parker, Bounded-variable least squares, Computational Statistics 10 (1995).
    """
    inputs = (matrix, target, lower, upper)
    if not all(bool(np.all(np.isfinite(each))) for each in inputs) or np.any(lower > upper):
        raise ValueError("bounds must be in order and every value finite")
    start = np.linalg.lstsq(matrix, target, rcond=None)[0]
    held = np.where(start <= lower, -1, np.where(start >= upper, 1, 0))
    best = np.clip(start, lower, upper)
    scale = float(np.max(np.abs(matrix.T @ target))) + 1e-300
    for _ in range(20 * len(best)):
        best, held = _solve_free(matrix, target, lower, upper, best, held)
        pull = matrix.T @ (target - matrix @ best)
        # Above 0: the residual falls if the variable leaves its bound, and there is room to.
        wrong = np.where(lower < upper, -held * pull, 0.0)
        worst = int(np.argmax(wrong))
        if wrong[worst] <= 1e-12 * scale:
            break
        held[worst] = 0
    return best


def _solve_free(
    matrix: FloatArray,
    target: FloatArray,
    lower: FloatArray,
    upper: FloatArray,
    best: FloatArray,
    held: NDArray[np.int_],
) -> tuple[FloatArray, NDArray[np.int_]]:
    """Solve for the free variables; stop at each bound met on the way, hold it and go on."""
    best, held = best.copy(), held.copy()
    while np.any(held == 0):
        free = np.flatnonzero(held == 0)
        fixed = held != 0
        left = target - matrix[:, fixed] @ best[fixed]
        solved = np.linalg.lstsq(matrix[:, free], left, rcond=None)[0]
        move = solved - best[free]
        limit = np.where(move > 0, upper[free], lower[free])
        room = np.where(move != 0, (limit - best[free]) / np.where(move != 0, move, 1.0), np.inf)
        nearest = int(np.argmin(room))
        if room[nearest] >= 1:
            best[free] = solved
            break
        best[free] = np.clip(best[free] + room[nearest] * move, lower[free], upper[free])
        best[free[nearest]] = limit[nearest]
        held[free[nearest]] = 1 if move[nearest] > 0 else -1
    return best, held


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
    """How far filters lift the signal at worst between two frequencies (Hz, 0 < low < high).

    The response is looked at 200 times an octave; every top that may be the highest is followed.
    Digital filters are looked at no further than half their sample rate.
    Raises ValueError unless 0 < low < high.
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


def _look(sections: Sections, low: float, high: float) -> tuple[FloatArray, FloatArray]:
    """Frequencies between two, 200 an octave and 41 at least, and the levels there."""
    grid = np.geomspace(low, high, 1 + max(math.ceil(200 * math.log2(high / low)), 40))
    return grid, level(response(sections, grid))


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


@dataclass(frozen=True)
class TargetShape:
    """A wanted curve: a shelf in the bass, a tilt above a hinge, a shelf in the treble.

    gains: dB. frequencies: Hz, above 0, of the shelves the middle. tilt: dB for each octave above
    the hinge, below 0 for a falling one.
    """

    bass_gain: float = 0.0
    bass_frequency: float = 80.0
    tilt: float = 0.0
    hinge: float = 1000.0
    treble_gain: float = 0.0
    treble_frequency: float = 10000.0


def target_levels(frequency: ArrayLike, shape: TargetShape) -> FloatArray:
    """Levels, dB, of a target shape at frequencies (Hz, above 0) of any shape.

    Shelves are the analogue ones of the Audio EQ Cookbook, slope 1. A target curve is a matter of
    taste and of the vehicle: common practice, no source.
    Raises ValueError for a frequency at or below 0.
    """
    values = np.asarray(frequency, dtype=np.float64)
    if not (np.all(values > 0) and shape.hinge > 0):
        raise ValueError("frequencies must be above 0")
    bass = biquad("low-shelf", shape.bass_frequency, shape.bass_gain)
    treble = biquad("high-shelf", shape.treble_frequency, shape.treble_gain)
    octaves = np.maximum(np.log2(values / shape.hinge), 0)
    shelves = level(response(bass, values)) + level(response(treble, values))
    return np.asarray(shelves + shape.tilt * octaves, dtype=np.float64)


def levels_through_points(
    frequency: ArrayLike, point_frequencies: ArrayLike, point_levels: ArrayLike
) -> FloatArray:
    """Levels, dB, on straight lines through points over the logarithm of frequency.

    frequency: Hz, above 0, any shape. Points: Hz, above 0, rising, and dB, shape (n,), n >= 1.
    Below the first and above the last point the level is held.
    Raises ValueError if the points do not rise, a frequency is not above 0 or a level not finite.
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
