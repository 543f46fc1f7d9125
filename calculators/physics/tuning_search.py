"""The search for where filters do most: the one that is missed least is put elsewhere, and all refitted."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np

from calculators.physics import begun_anew, tuning_fit
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.in_parts import InParts
from calculators.physics.peaks import slopes
from calculators.physics.speaker_system import HIGHEST_BAND, LOWEST_BAND
from calculators.physics.tuning_fit import Fit

PLACED_QS = (1.2, 3.5)
"""Of peaks that are tried elsewhere: about as wide as an octave, and as a third of one."""
PLACED_CUT, PLACED_NEAR = 8.0, 0.25
"""dB that one may cut to begin with; ln of the ratio within which two are one."""
STIFF, STIFFER = 1e-4, 1e-2
"""Of how all else follows: what is added, and its own part, so that a promise rests on small moves alone."""
AT_A_TIME = 6
"""Ways that are looked at before all are looked for anew."""
LOOK, CLOSER, TO_THE_END = (8, 1e-3, True), (30, 3e-4, True), (40, 1e-4, True)
"""Steps of a fit, the ratio by which each must better it, coarse grains: a look, a closer one, the end."""
PROMISED, BETTERED = 1.25, 0.997
"""Times the cost: what is dearer after a look is dropped; what is not bettered by this is as good."""
SHAKEN, AFAR = 0.12, 0.5
"""Parts of its range by which each value moves at most: where no filter is worth moving, and to begin far."""
SHARED = 0.5
"""Part of what a peak promises alone that it begins with, where every channel gets one at once."""
FAR_BEGINNINGS, FOLLOWED = 24, 4
"""Far beginnings drawn by chance, to which one that is grown comes, and how many are searched to the end."""


def searched(fit: Fit, tries: int) -> InParts[Fit]:
    """A fit of as many filters, the better for putting one of them elsewhere, again and again.

    tries: number of fits that are looked at. Where none of what promises most betters it, all filters are
    shaken a little, and so on. Yields after each step. It promises the result, not the filters: few of them
    do alike in more than one way, and a measured curve's last decimals may choose between two.
    Source: one out, one in, is an interchange as of G. L. Nemhauser and L. A. Wolsey, Integer and
    combinatorial optimization (1988), from memory; which one: `put_elsewhere`.
    """
    best = yield from tuning_fit.polished(fit, *CLOSER)
    tried = shaken = 0
    while tried < tries and fit.peaks.size:
        ways = put_elsewhere(best, min(AT_A_TIME, tries - tried))
        yield
        for way in ways:
            tried += 1
            found = yield from tuning_fit.polished(way, *LOOK)
            if found.cost < best.cost * PROMISED:
                found = yield from tuning_fit.polished(found, *CLOSER)
            if found.cost < best.cost * BETTERED:
                best = found
                break
        else:
            if tried >= tries:
                break
            tried, shaken = tried + 1, shaken + 1
            found = yield from tuning_fit.polished(begun_anew.begun_near(best, shaken, SHAKEN), *CLOSER)
            if found.cost < best.cost * BETTERED:
                best = found
    return (yield from tuning_fit.polished(best, *TO_THE_END))


def begun_far(fit: Fit, tries: int) -> InParts[Fit]:
    """The fit, or a better one that was begun far from it: what is near may lead to nothing better.

    tries: number of fits that are looked at from each beginning that is searched. One beginning is `grown`,
    the others are drawn by chance. After a look the better ones go on, after a closer one the best of these.
    Yields after each step.
    Source: successive halving, K. Jamieson and A. Talwalkar, AISTATS (2016), from memory.
    """
    begun = [begun_anew.begun_near(fit, number, AFAR) for number in range(1, FAR_BEGINNINGS + 1)]
    begun.append((yield from grown(fit)))
    for kept, steps in ((2 * FOLLOWED, LOOK), (FOLLOWED, CLOSER)):
        found = []
        for each in begun:
            found.append((yield from tuning_fit.polished(each, *steps)))
        begun = sorted(found, key=_cost)[:kept]
    ends = [fit]
    for each in begun:
        ends.append((yield from searched(each, tries)))
    return min(ends, key=_cost)


def _cost(fit: Fit) -> float:
    return round(fit.cost, 9)


def put_elsewhere(fit: Fit, most: int) -> list[Fit]:
    """Beginnings with one filter put elsewhere each, the best promise first; costs are not yet known.

    most: number. In each channel the filter that is missed least goes. Where the new one promises most, and
    what the old one is missed by, is told by straight lines: by the slopes of all that may follow.
    Source: orthogonal least squares, S. Chen, S. A. Billings and W. Luo, Int. J. Control 50 (1989), from
    memory.
    """
    limits = fit.task.limits
    peaks, _ = _places(limits)
    worth, gains, weakest = _promises(fit)
    ways = []
    for _ in range(most):
        channel, place = np.unravel_index(int(np.argmax(worth)), worth.shape)
        if worth[channel, place] == -math.inf:
            break
        frequency, _, log_q = peaks[place]
        moved = fit.peaks.copy()
        moved[channel, weakest[channel]] = frequency, gains[channel, place], log_q
        ways.append(replace(fit, peaks=moved, cost=math.inf))
        worth[channel, np.abs(peaks[:, 0] - frequency) < PLACED_NEAR] = -math.inf
    return ways


@cache
def _places(limits: Limits) -> tuple[FloatArray, ComplexArray]:
    """Peaks of 0 dB, two to the third octave, and the slopes of their logarithms by gain."""
    steps = np.arange(2 * LOWEST_BAND, 2 * HIGHEST_BAND + 1) / 20
    middles = np.log(1000.0) + steps * math.log(10)
    peaks = np.array([(middle, 0.0, math.log(q)) for q in PLACED_QS for middle in middles])
    _, by_value = slopes(limits, peaks[np.newaxis])
    return peaks, by_value[0, :, 1]


def grown(fit: Fit) -> InParts[Fit]:
    """A fit of as many filters, begun with none: each channel gets one where most is promised, and then more.

    Yields after each step. Source: as in `put_elsewhere`.
    """
    best = replace(fit, peaks=fit.peaks[:, :0], gains=np.zeros_like(fit.gains))
    best = yield from tuning_fit.polished(best, *CLOSER)
    peaks, _ = _places(fit.task.limits)
    for _ in range(fit.peaks.shape[1]):
        yield
        worth, gains, _ = _promises(best)
        yield
        place = np.argmax(worth, axis=1)
        more = peaks[place]
        more[:, 1] = np.take_along_axis(gains, place[:, np.newaxis], axis=1)[:, 0] * SHARED
        more = replace(best, peaks=np.concatenate([best.peaks, more[:, np.newaxis]], axis=1))
        best = yield from tuning_fit.polished(more, *CLOSER)
    return best


def _promises(fit: Fit) -> tuple[FloatArray, FloatArray, FloatArray]:
    """What the cost falls by with a peak put in each channel and place, its gain, the one to go."""
    task, values, prices = fit.task, tuning_fit.values_of(fit), tuning_fit.prices_of(fit)
    peaks, by_gain = _places(task.limits)
    left, slope = tuning_fit.residuals(task, fit)
    lines = tuning_fit.gain_lines(fit, by_gain)
    bend = tuning_fit.crossed(slope.T)
    bend[np.diag_indices_from(bend)] += prices + STIFF + STIFFER * np.diag(bend)
    loose = np.linalg.inv(np.linalg.cholesky(bend))  # Times itself turned it is the inverse.
    down = slope.T @ left + prices * values
    along = lines @ (loose @ slope.T).T
    pull = along @ (loose @ down) - lines @ left
    stiff = np.sum(lines**2, axis=1) - np.sum(along**2, axis=1) + tuning_fit.PEAK_PRICE
    gains = np.clip(pull / stiff, -min(PLACED_CUT, task.limits.max_cut), task.limits.max_boost)
    worth = (gains * (2 * pull - gains * stiff)).reshape(task.channels, -1)
    lowest, highest = np.log(task.bands).T[:, :, np.newaxis]
    worth = np.where((peaks[:, 0] < lowest) | (peaks[:, 0] > highest), -math.inf, worth)
    if fit.peaks.size:
        of_gain = 3 * np.arange(fit.peaks[..., 0].size) + 1
        missed = (values[of_gain] ** 2 / np.sum(loose[:, of_gain] ** 2, axis=0)).reshape(fit.peaks.shape[:2])
        worth, weakest = worth - np.min(missed, axis=1, keepdims=True), np.argmin(np.round(missed, 7), axis=1)
    else:
        weakest = np.zeros(task.channels, dtype=np.intp)
    return np.round(worth, 7), gains.reshape(task.channels, -1), weakest
