"""Measured curves taken apart: even places, the band in which they play, and their dips."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import FloatArray

PER_OCTAVE = 24
"""Places of an even grid."""
ROLLED_OFF = 10.0
"""dB under a feed's own level at which its band ends."""
FAR_DOWN = 20.0
DIP_STARTS = 0.5
"""dB under its shoulders at which a dip begins and ends."""


def even_places(low: float, high: float) -> FloatArray:
    """Frequencies, Hz, 24 to the octave from low on.

    low, high: Hz, above 0. The last is at most high.
    Raises ValueError unless 0 < low < high. Source: definition.
    """
    if not 0 < low < high:
        raise ValueError("low must be above 0 and below high")
    steps = np.arange(math.floor(PER_OCTAVE * math.log2(high / low) + 1e-9) + 1)
    return np.asarray(low * 2 ** (steps / PER_OCTAVE), dtype=np.float64)


def averaged(
    places: FloatArray, frequency: ArrayLike, level: ArrayLike, per_octave: float = PER_OCTAVE
) -> FloatArray:
    """Levels, dB, at even places: the mean of a curve over the width of each, exactly.

    places: Hz, rising by one ratio. frequency: Hz, rising. level: dB. per_octave: number of places in an
    octave. Between its points the curve runs straight over the logarithm of frequency, beyond its ends it
    is held: so a dense curve is smoothed and a sparse one filled up.
    Source: integral of a line of straight pieces, textbook.
    """
    own, heights = np.log(np.asarray(frequency, dtype=np.float64)), np.asarray(level, dtype=np.float64)
    half = math.log(2) / (2 * per_octave)
    middles = np.log(places)
    edges = np.append(middles - half, middles[-1] + half)
    knots = np.union1d(own, edges)
    line = np.interp(knots, own, heights)
    area = np.concatenate([[0.0], np.cumsum(np.diff(knots) * (line[1:] + line[:-1]) / 2)])
    return np.asarray(np.diff(np.interp(edges, knots, area)) / np.diff(edges), dtype=np.float64)


def playing_band(levels: FloatArray) -> tuple[int, int]:
    """First and last place (numbers) at which a feed plays: from one of its -10 dB points to the other.

    levels: dB at even places. Ten decibels count from the feed's own level, the median of where it plays; a
    dip inside is no end.
    Source: definition of our own.
    """
    top = float(np.sort(levels)[-min(PER_OCTAVE, levels.size)])
    first, last = _ends(levels, top - FAR_DOWN)
    for _ in range(3):
        first, last = _ends(levels, float(np.median(levels[first : last + 1])) - ROLLED_OFF)
    return first, last


def _ends(levels: FloatArray, least: float) -> tuple[int, int]:
    over = np.flatnonzero(levels >= least)
    return int(over[0]), int(over[-1])


@dataclass(frozen=True)
class Dip:
    """A dip of a curve.

    first, lowest, last: places (numbers) of its first, lowest and last level.
    depth: dB under its lower shoulder. width: octaves between the points of half its depth.
    """

    first: int
    lowest: int
    last: int
    depth: float
    width: float


def bridged(levels: FloatArray, octaves: float = 1.0) -> FloatArray:
    """The same levels, dB, with every narrow dip filled up to its lower shoulder.

    levels: dB at even places, shape (m,). octaves: width, above 0; a wider dip is the curve's own.
    Source: closing, P. Maragos and R. W. Schafer, Morphological filters, IEEE Trans. ASSP 35 (1987).
    """
    # Beyond its ends the curve goes on as it came: else a slope there would count as half a dip.
    half = round(octaves * PER_OCTAVE / 2)
    padded = np.pad(levels, 2 * half, mode="reflect", reflect_type="odd")
    return -_over_window(-_over_window(padded, half), half)


def _over_window(levels: FloatArray, half: int) -> FloatArray:
    """The highest level within half a window of each place that has so many on both sides."""
    window = np.lib.stride_tricks.sliding_window_view(levels, 2 * half + 1)
    return np.asarray(np.max(window, axis=1), dtype=np.float64)


def dips(levels: FloatArray, least: float, octaves: float = 1.0) -> tuple[Dip, ...]:
    """Every dip that is narrow and at least so deep, from the lowest frequency up.

    levels: dB at even places. least: dB, above 0. octaves: width, as in `bridged`, whose source it shares.
    Source: as in `bridged`.
    """
    depth = bridged(levels, octaves) - levels
    inside = np.concatenate([[False], depth > DIP_STARTS, [False]])
    edges = np.flatnonzero(np.diff(inside.astype(int)))
    found = []
    for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
        lowest = start + int(np.argmax(depth[start:end]))
        deepest = float(depth[lowest])
        if deepest >= least:
            half = int(np.sum(depth[start:end] >= deepest / 2))
            found.append(Dip(start, lowest, end - 1, deepest, half / PER_OCTAVE))
    return tuple(found)


def around(depth: FloatArray, first: int, last: int) -> slice:
    """The places from first to last, and those on both sides where the depth, dB, goes on falling.

    depth: dB at even places, shape (m,). first, last: places of it, 0 to m - 1. Source: definition.
    """
    while first > 0 and 0 < depth[first - 1] < depth[first]:
        first -= 1
    while last < depth.size - 1 and 0 < depth[last + 1] < depth[last]:
        last += 1
    return slice(first, last + 1)


def spread(levels: ArrayLike) -> FloatArray:
    """Standard deviation, dB, from point to point at each place, each point's own mean level taken out.

    levels: dB, shape (points, m), two points or more. Raises ValueError for fewer.
    Source: definition.
    """
    values = np.asarray(levels, dtype=np.float64)
    if values.ndim != 2 or len(values) < 2:
        raise ValueError("a spread needs two points or more")
    apart = values - np.mean(values, axis=1, keepdims=True)
    return np.asarray(np.std(apart, axis=0, ddof=1), dtype=np.float64)


def power_mean(levels: ArrayLike) -> FloatArray:
    """Level, dB, of the mean power of several points; levels: dB, shape (points, m).

    Source: ISO 3382-1, spatial averaging of energy.
    """
    values = np.asarray(levels, dtype=np.float64)
    top = np.max(values)
    return np.asarray(top + 10 * np.log10(np.mean(10 ** ((values - top) / 10), axis=0)), dtype=np.float64)


@dataclass(frozen=True)
class Moved:
    """How two curves of one feed differ.

    most: dB, the largest difference, with its sign. place: number, where that is.
    low, high: places (numbers) between which they differ by more than what was asked for; -1 where nowhere.
    """

    most: float
    place: int
    low: int
    high: int


def moved(
    frequency: FloatArray, before: FloatArray, after: FloatArray, least: float
) -> tuple[FloatArray, Moved]:
    """Differences of two curves, dB, shape (m,), shifted onto each other, and where they are most.

    frequency: Hz, rising. before, after: dB, shape (m,). least: dB that count as a difference. The shift is
    the median from 300 Hz to 3 kHz, or of all of the curve where it has no point there.
    Source: definition of our own.
    """
    apart = after - before
    middle = (frequency >= 300) & (frequency <= 3000)
    apart = apart - np.median(apart[middle] if np.any(middle) else apart)
    place = int(np.argmax(np.round(np.abs(apart), 9)))
    over = np.flatnonzero(np.abs(apart) > least)
    low, high = (int(over[0]), int(over[-1])) if over.size else (-1, -1)
    return apart, Moved(float(apart[place]), place, low, high)
