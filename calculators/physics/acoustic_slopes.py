"""What is heard of a crossover: the electrical filter times the driver in its box."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import ORDERS, Family, Sections, Side, crossover_filter, response

OCTAVES_JUDGED = 1.0
"""Octaves to either side of a corner in which a slope is held against the one wanted."""
AROUND_THE_CORNER = (12, 24, 36)
"""Places of `judged_at` half an octave under its corner, at it and over it."""
_CORNERS_TRIED = 49


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
    at = judged_at(corner)
    ratio = driver / wanted
    found = []
    for family, orders in ORDERS.items():
        for order in orders:
            plain = crossover_filter(side, family, order, 1.0)
            tried, step = corner, 2 ** (2 / (_CORNERS_TRIED - 1))
            for count in (_CORNERS_TRIED // 2, 8, 8):
                places = tried * step ** np.arange(-count, count + 1)
                heard = response(plain, at / places[:, np.newaxis]) * ratio
                misses = np.mean(level(heard) ** 2, axis=1)
                costs = misses + (_cost_of_phase(heard) if phased else 0.0)
                best = int(np.argmin(np.round(costs, 9)))
                tried, step = float(places[best]), step ** (1 / 8)
            below, middle, above = np.degrees(np.angle(heard[best, AROUND_THE_CORNER])).tolist()
            nearest = NearestFilter(family, order, tried, math.sqrt(misses[best]), (below, middle, above))
            key = (round(math.sqrt(costs[best]), 4), order, abs(math.log(tried / corner)))
            found.append((key, nearest))
    return min(found, key=lambda each: each[0])[1]


def _cost_of_phase(heard: ComplexArray) -> FloatArray:
    """Mean square, dB², of what a sum loses by the angles in the octave round the corner."""
    turned = np.angle(heard[:, AROUND_THE_CORNER[0] : AROUND_THE_CORNER[-1] + 1])
    return np.asarray(np.mean(level(np.cos(turned / 2)) ** 2, axis=1), dtype=np.float64)
