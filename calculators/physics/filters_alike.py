"""Filters of one channel of which one can do the work of two: fewer are typed, and none is lost."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import combinations

import numpy as np

from calculators.physics import flattening
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.flattening import Found, Task
from calculators.physics.in_parts import InParts
from calculators.physics.speaker_system import grid

AS_ONE = 0.1
"""dB by which a channel's filters may do otherwise than before one of them stood in two's place, anywhere."""
ONE = np.zeros(1, dtype=np.int64)
"""A peak, as `flattening.FITTED_KINDS` numbers it."""
AN_OCTAVE = 0.7
"""ln of the ratio of their middles, an octave, from which on no one filter does for two."""
LEAST_SHARE, STEPS_TO_ONE = 0.1, 30
"""dB that a filter counts at least where the one to come is begun; steps in which it is found."""


def merged(limits: Limits, peaks: FloatArray) -> InParts[FloatArray]:
    """Peaks of one channel, one in the place of two where it does as they do; the rest as they are.

    peaks: ln Hz, dB and ln Q of each, shape (n, 3); the answer has as many or fewer. All together stay within
    0.1 dB of what they did, at every place, and each within the limits. The two that one does for best go
    first, until there are no more. Yields at each pair that one may do for.
    Source: least squares, as in `flattening.polishing`.
    """
    nothing = np.zeros(grid().size)
    task = Task(
        grid(), nothing, np.ones(grid().size), limits.q_low, limits.q_high, limits.max_boost, limits.max_cut,
        (0, 0), sample_rate=limits.sample_rate,
    )  # fmt: skip
    wanted = _together(task, peaks)
    found: dict[bytes, FloatArray | None] = {}
    while True:
        ways = []
        for one, other in combinations(range(len(peaks)), 2):
            pair = peaks[[one, other]]
            # Most pairs are met again in the next round, and what one filter does for them stays.
            key = pair.tobytes()
            if key not in found:
                found[key] = _as_one(task, pair) if _may_be_one(task, pair) else None
            alone = found[key]
            if alone is not None:
                yield
                tried = np.vstack([np.delete(peaks, [one, other], axis=0), alone])
                off = float(np.max(np.abs(_together(task, tried) - wanted)))
                ways.append((round(off, 6), one, other, tried))
        off, _, _, tried = min(ways, key=lambda way: way[:3], default=(math.inf, 0, 0, peaks))
        if off > AS_ONE:
            return peaks
        peaks = tried


def _may_be_one(task: Task, pair: FloatArray) -> bool:
    """Whether two lie near, and do together what one filter might: one hill or one hollow within the limits.

    One in their place does as they do within 0.2 dB everywhere, twice what all together may be off; it has a
    single top, so nothing on its way down rises again by more than twice that.
    """
    if abs(pair[0, 0] - pair[1, 0]) >= AN_OCTAVE:
        return False
    level = _together(task, pair)
    top = level[np.argmax(np.abs(level))]
    hill = level * np.sign(top)
    before, after = np.maximum.accumulate(hill), np.maximum.accumulate(hill[::-1])[::-1]
    within = -task.max_cut - 2 * AS_ONE <= top <= task.max_boost + 2 * AS_ONE
    return bool(within and np.max(np.minimum(before, after) - hill) <= 4 * AS_ONE)


def _as_one(task: Task, pair: FloatArray) -> FloatArray:
    """The filter that comes nearest to what two do."""
    begun = np.average(pair, axis=0, weights=np.abs(pair[:, 1]) + LEAST_SHARE)
    begun[1] = np.sum(pair[:, 1])
    alone = Found(replace(task, wanted=_together(task, pair)), ONE, begun[np.newaxis], math.inf)
    return np.asarray(flattening.polished(alone, STEPS_TO_ONE).values[0], dtype=np.float64)


def _together(task: Task, peaks: FloatArray) -> FloatArray:
    """What peaks do together, dB, on the grid."""
    levels, _ = flattening.shapes(task, np.zeros(len(peaks), dtype=np.int64), peaks)
    return np.asarray(np.sum(levels, axis=0))
