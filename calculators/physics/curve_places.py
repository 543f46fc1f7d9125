"""Where a curve over frequency has to be looked at, so that nothing falls between two places."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import FloatArray, IndexArray

LevelsAt = Callable[[FloatArray], FloatArray]
"""Levels, dB, at frequencies, Hz, of any shape with one axis."""

LevelsOfAll = Callable[[FloatArray], Sequence[FloatArray]]
"""The levels, dB, of several curves at the same frequencies: what they share is worked out once."""

LEVEL_TO_EITHER_SIDE = 1e-6
"""dB by which a top or a dip stands out from a neighbour at least: under it is only rounding."""
OUT = np.array([0.001, 0.01, 0.05, 0.2, 0.5, 1.0, 2.0, 4.0])
"""How far out from its centre a filter is looked at, in parts of the way to its edges."""
CLOSER_LOOKS = 3
LOOKED_AT = 17
FIGURES = 5


def around_filters(frequency: ArrayLike, q: ArrayLike, sample_rate: float | None = None) -> FloatArray:
    """Places, Hz, that show the shape of filters: centre, edges, closer to it and farther out.

    frequency: Hz, above 0, of the centres; with a sample rate (Hz), of digital filters, below half
    of it. q: above 0. Both one number or one per filter.
    The edges, 1/Q of the frequency apart, are where a peak has half its gain in dB, and where a
    notch stands at -3 dB: x - 1/x = ±1/Q, x the ratio to the centre; a digital filter has them there on
    the scale of the bilinear transform.
    Raises ValueError if one is not above 0.
    Source: Audio EQ Cookbook.
    """
    centres, qualities = np.broadcast_arrays(np.atleast_1d(np.asarray(frequency, dtype=np.float64)), q)
    if not (np.all(centres > 0) and np.all(qualities > 0)):
        raise ValueError("frequency and Q must be above 0")
    half = np.concatenate([-OUT, [0.0], OUT]) / (2 * qualities[:, np.newaxis])
    ratio = half + np.sqrt(1 + half**2)
    if sample_rate is None:
        places = centres[:, np.newaxis] * ratio
    else:
        turn = np.pi / sample_rate
        places = np.arctan(np.tan(turn * centres)[:, np.newaxis] * ratio) / turn
    return np.asarray(np.unique(places), dtype=np.float64)


def turning_points(
    levels_of_all: LevelsOfAll, searches: Sequence[tuple[int, FloatArray]]
) -> list[FloatArray]:
    """Frequencies, Hz, at which curves turn: tops and dips, followed side by side ever more closely.

    searches: number of a curve, and places, Hz, rising, so close that no more than one turn lies between
    two of them. Where the curve runs off the first or the last place, that end may be given too, or a place
    beside it. A turn is given to five figures, so that it does not hang on the last digits of a flat top.
    One array for each search.
    Source: search of our own.
    """
    alike = {places.tobytes(): places for _, places in searches}
    looked_at = {key: levels_of_all(places) for key, places in alike.items()}
    found = [_turns_of(looked_at[places.tobytes()][curve], places) for curve, places in searches]
    sign, low, high = (np.concatenate(parts) for parts in zip(*found, strict=True))
    if not sign.size:
        return [places[:0] for _, places in searches]
    counts = [len(signs) for signs, _, _ in found]
    search = np.repeat(np.arange(len(searches)), counts)
    share = np.linspace(0, 1, LOOKED_AT)
    rows = np.arange(sign.size)
    for _ in range(CLOSER_LOOKS):
        look = low[:, np.newaxis] * (high / low)[:, np.newaxis] ** share
        of_all = levels_of_all(look.ravel())
        own = [
            of_all[curve].reshape(look.shape)[search == number] for number, (curve, _) in enumerate(searches)
        ]
        levels = np.concatenate(own)
        best = np.clip(np.argmax(np.round(sign[:, np.newaxis] * levels, 9), axis=1), 1, LOOKED_AT - 2)
        low, high, middle = look[rows, best - 1], look[rows, best + 1], look[rows, best]
    turns = np.split(_figures(middle), np.cumsum(counts)[:-1])
    return [np.asarray(np.unique(each), dtype=np.float64) for each in turns]


def _turns_of(curve: FloatArray, places: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Of each turn of a curve: 1 for a top or -1 for a dip, and the places, Hz, either side of it.

    Tops and dips are followed together, dips as tops of the curve turned over.
    """
    tops, dips = _standing_out(curve)
    turns = np.concatenate([tops, dips])
    sign = np.repeat([1.0, -1.0], [tops.size, dips.size])
    return sign, places[np.maximum(turns - 1, 0)], places[np.minimum(turns + 1, places.size - 1)]


def _standing_out(curve: FloatArray) -> tuple[IndexArray, IndexArray]:
    """Where a curve is higher than on either side, and where it is lower."""
    # Mirrored at its ends: a top between the last two places makes the last the highest of them.
    beside = np.concatenate([curve[1:2], curve, curve[-2:-1]])
    rise, fall = curve - beside[:-2], curve - beside[2:]
    least, most = np.minimum(rise, fall), np.maximum(rise, fall)
    tops = (least >= -1e-9) & (most > LEVEL_TO_EITHER_SIDE)
    dips = (most <= 1e-9) & (least < -LEVEL_TO_EITHER_SIDE)
    return np.asarray(np.flatnonzero(tops), dtype=np.int64), np.asarray(np.flatnonzero(dips), dtype=np.int64)


def _figures(values: FloatArray) -> FloatArray:
    """The same rounded to five significant figures."""
    power = 10.0 ** (FIGURES - 1 - np.floor(np.log10(values)))
    return np.asarray(np.round(values * power) / power, dtype=np.float64)
