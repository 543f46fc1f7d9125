"""What is heard of a crossover: the electrical filter times the driver in its box."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import ORDERS, Family, Sections, Side, crossover_filter, response

OCTAVES_JUDGED = 1.0
"""Octaves to either side of a corner in which a slope is held against the one wanted."""
AROUND_THE_CORNER = (12, 24, 36)
"""Places of `judged_at` half an octave under its corner, at it and over it."""
_ROUND_THE_CORNER = slice(AROUND_THE_CORNER[0], AROUND_THE_CORNER[-1] + 1)
_TO_THE_OCTAVE = 24
_AN_ORDER = 20 * math.log10(2)
"""dB an octave: no crossover of an order falls by more than that times it."""
_CLOSER = (8, 8)
"""Steps to either side of the best corner, in closer and closer looks; each is an eighth of the last."""
_FARTHEST = (1 + 1 / 8) / _TO_THE_OCTAVE
"""Octaves by which such a look can move a corner at most."""


def roll_off(side: Side, frequency: float, q: float, sample_rate: float | None = None) -> Sections:
    """A driver's own fall of 12 dB an octave, as sections.

    side: high-pass for a driver in a closed box or a door, which falls below its resonance; low-pass for one
    that falls above. frequency: Hz, above 0. q: quality of that resonance, above 0. sample_rate: Hz, or None
    for analogue.
    Raises ValueError as `biquad` does.
    Source: Small, Closed-box loudspeaker systems, JAES 20 (1972) 798: a second-order high-pass.
    """
    return biquad(side, frequency, 0.0, q, sample_rate)


def judged_at(corner: float) -> FloatArray:
    """Frequencies, Hz, an octave to either side of a corner (Hz), 24 to the octave.

    Source: definition.
    """
    return np.asarray(corner * 2 ** np.linspace(-OCTAVES_JUDGED, OCTAVES_JUDGED, 49), dtype=np.float64)


def corner_level(family: Family) -> float:
    """Level, dB, at which a family has its corner: -3.01, Linkwitz-Riley -6.02.

    Source: as in `crossover_filter`.
    """
    return -20 * math.log10(2) if family == "linkwitz-riley" else -10 * math.log10(2)


@dataclass(frozen=True)
class NearestFilter:
    """An electrical filter.

    order: number, 6 dB an octave each. corner: Hz. miss: dB, RMS, by which the level of filter and driver
    misses what is wanted. turned: degrees by which their phase does, half an octave under the corner wanted,
    at it, and half an octave over it.
    """

    family: Family
    order: int
    corner: float
    miss: float
    turned: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class _Tried:
    """A filter at every corner from an octave under the wanted one to an octave over it.

    plain: it, with its corner at 1 Hz. levels: dB, shape (corners, places of `judged_at`). turned: complex
    factors of size 1, shape (corners, those places half an octave to either side of the wanted corner).
    """

    family: Family
    order: int
    plain: Sections
    levels: FloatArray
    turned: ComplexArray


@cache
def _all_tried(side: Side) -> tuple[_Tried, ...]:
    """Every filter: it is the same for whatever corner is wanted, for both lie evenly by ratio."""
    farthest = int(2 * OCTAVES_JUDGED * _TO_THE_OCTAVE)
    ratios = 2 ** (np.arange(-farthest, farthest + 1) / _TO_THE_OCTAVE)
    found = []
    for family, orders in ORDERS.items():
        for order in orders:
            plain = crossover_filter(side, family, order, 1.0)
            gain = response(plain, ratios)
            # The higher its corner, the lower the part of its curve that is looked at.
            levels, turned = (
                sliding_window_view(curve, farthest + 1)[::-1] for curve in (level(gain), gain / np.abs(gain))
            )
            found.append(_Tried(family, order, plain, levels, turned[:, _ROUND_THE_CORNER]))
    return tuple(found)


def nearest_filter(
    side: Side, wanted: ComplexArray, driver: ComplexArray, corner: float, phased: bool
) -> NearestFilter:
    """The electrical filter that, with its driver, comes nearest to what is wanted, and its miss in dB.

    wanted, driver: factors (complex factors) at `judged_at` of the corner. corner: Hz, of what is wanted.
    phased: whether the driver's phase is known; else the level alone counts. All families, slopes from 6 to
    48 dB an octave and corners to an octave either side are tried. What counts beside the level is what the
    phase costs, half an octave either side, in the sum with another part that is as wanted: 30 degrees are
    0.3 dB. Of equals the one of lower order, with the corner nearer to the wanted one.
    Source: search of our own; two equal sounds turned by an angle sum to the cosine of half of it.
    """
    all_tried, ratio = _all_tried(side), driver / wanted
    ratio_level, ratio_turned = level(ratio), (ratio / np.abs(ratio))[_ROUND_THE_CORNER]
    misses = [np.mean((tried.levels + ratio_level) ** 2, axis=1) for tried in all_tried]
    # A closer look moves a corner so little that a filter's level comes no nearer than this.
    least = [
        math.sqrt(np.min(missed)) - _AN_ORDER * tried.order * _FARTHEST
        for missed, tried in zip(misses, all_tried, strict=True)
    ]
    found: dict[tuple[float, int, float, int], NearestFilter] = {}
    for place in np.argsort(least).tolist():
        if found and least[place] > min(found)[0]:
            break
        tried = all_tried[place]
        costs = misses[place] + (_cost_of_phase(tried.turned * ratio_turned) if phased else 0.0)
        start = corner * 2 ** (_lowest(costs) / _TO_THE_OCTAVE - OCTAVES_JUDGED)
        cost, nearest = _looked_closer(tried, ratio, corner, start, phased)
        away = abs(math.log(nearest.corner / corner))
        found[round(math.sqrt(cost), 4), tried.order, away, place] = nearest
    return found[min(found)]


def _looked_closer(
    tried: _Tried, ratio: ComplexArray, corner: float, start: float, phased: bool
) -> tuple[float, NearestFilter]:
    """The best of the corners round one (start, Hz): what it costs, dB², and the filter."""
    at, best, step = judged_at(corner), start, 2 ** (1 / _TO_THE_OCTAVE)
    for count in _CLOSER:
        step **= 1 / count
        corners = best * step ** np.arange(-count, count + 1)
        heard = response(tried.plain, at / corners[:, np.newaxis]) * ratio
        costs = misses = np.mean(level(heard) ** 2, axis=1)
        if phased:
            middle = heard[:, _ROUND_THE_CORNER]
            costs = misses + _cost_of_phase(middle / np.abs(middle))
        place = _lowest(costs)
        best = float(corners[place])
    below, there, above = np.degrees(np.angle(heard[place, AROUND_THE_CORNER])).tolist()
    miss = math.sqrt(misses[place])
    return float(costs[place]), NearestFilter(tried.family, tried.order, best, miss, (below, there, above))


def _lowest(costs: FloatArray) -> int:
    """Place of the lowest cost; of equals the first."""
    return int(np.argmin(np.round(costs, 9)))


def _cost_of_phase(turned: ComplexArray) -> FloatArray:
    """Mean square, dB², of what a sum loses by the angles in the octave round the corner.

    turned: complex factors of 1, shape (corners, places).
    """
    return np.asarray(np.mean(level(np.abs(1 + turned) / 2) ** 2, axis=1), dtype=np.float64)
