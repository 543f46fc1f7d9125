"""The all-pass that helps a channel most: where turning its phase makes the sum at all seats better."""

import math

import numpy as np

from calculators.declaring import Flag
from calculators.physics import tuning_fit
from calculators.physics.arrays import FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.filters import response
from calculators.physics.speaker_system import grid
from calculators.physics.tuning_fit import Fit

ALL_PASSES = Flag(
    "All-passes may be used",
    help="Second order, one a channel: for two seats, or in a subwoofer. Only if your processor has them.",
    seldom=True,
)
LOWEST_TURN, HIGHEST_TURN = 40.0, 1000.0
"""Hz between which an all-pass is tried. Higher up phase turns over within a hand's breadth."""
COARSE_TURN, FINE_TURN = 1 / 6, 1 / 24
"""Octaves from one that is tried to the next: first over the band, then about the best."""
TURN_QS = (0.5, 0.7, 1.0, 1.4, 2.0)


def best_all_pass(fit: Fit, channel: int) -> tuple[float, tuple[float, float]]:
    """The least cost that an all-pass in a channel leaves, with all else as it is, and its Hz and Q."""
    low, high = np.clip(fit.task.bands[channel], LOWEST_TURN, HIGHEST_TURN)
    if not low < high:
        return math.inf, (float(low), TURN_QS[0])
    _, (near, _) = _best(fit, channel, low * 2 ** np.arange(0, math.log2(high / low), COARSE_TURN))
    return _best(fit, channel, np.clip(near * 2 ** (FINE_TURN * np.arange(-4, 5)), low, high))


def _best(fit: Fit, channel: int, frequencies: FloatArray) -> tuple[float, tuple[float, float]]:
    places = [(float(f"{f:.3g}"), q) for f in frequencies for q in TURN_QS]
    rate = fit.task.limits.sample_rate
    turns = [response(biquad("all-pass", f, q=q, sample_rate=rate), grid()) for f, q in places]
    costs = tuning_fit.costs_turned(fit.task, fit, channel, np.stack(turns))
    best = int(np.argmin(np.round(costs, 9)))
    return float(costs[best]), places[best]
