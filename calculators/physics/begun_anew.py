"""Where a fit of a tune begins anew: near what it has found, or with a filter put where most is left."""

import math
from dataclasses import replace

import numpy as np

from calculators.physics.exact_waves import chance
from calculators.physics.speaker_system import band_centres
from calculators.physics.tuning_fit import Fit, limits_of, values_of, with_values

PLACED_Q = 3.0
"""Q of a peak that is put where the fit is worst: about as wide as a third octave or two."""


def begun_near(fit: Fit, seed: int, spread: float) -> Fit:
    """A beginning near a fit, drawn by chance.

    seed: whole number. spread: ratio of each value's range by which it may move.
    Source: as in `exact_waves.chance`.
    """
    low, high = limits_of(fit)
    values = values_of(fit)
    drawn = (chance(seed, 0, values.size) >> np.uint64(11)).astype(np.float64) / 2**53
    moves = (2 * drawn - 1) * spread * (high - low)
    moves[fit.peaks.size :] = 0.0
    return with_values(fit, np.clip(values + moves, low, high))


def begun_at_worst(fit: Fit, rank: int) -> Fit:
    """A beginning in which each channel's weakest peak is put where the fit is worst within its band.

    rank: whole number, 0 for the worst band, 1 for the next.
    Source: greedy placing, as in `filter_search`.
    """
    whole = [number for number, view in enumerate(fit.task.views) if np.all(view.plays)]
    off = np.average(np.array(fit.left)[whole], axis=0, weights=fit.task.weights[whole])
    centres, limits = band_centres()[fit.task.inside], fit.task.limits
    peaks = fit.peaks.copy()
    for number, (low, high) in enumerate(fit.task.bands):
        inside = np.flatnonzero((centres >= low) & (centres <= high))
        order = inside[np.argsort(np.round(-np.abs(off[inside]), 6), kind="stable")]
        if not order.size or not peaks.shape[1]:
            continue
        band = order[rank % order.size]
        weakest = int(np.argmin(np.round(np.abs(peaks[number, :, 1]), 6)))
        gain = float(np.clip(-off[band], -limits.max_cut, limits.max_boost))
        peaks[number, weakest] = math.log(centres[band]), gain, math.log(PLACED_Q)
    return with_values(fit, np.clip(values_of(replace(fit, peaks=peaks)), *limits_of(fit)))
