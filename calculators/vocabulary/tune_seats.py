"""What seats and sides of a tune are off: too far, and it begins again; unlike, and they are evened."""

import math
from dataclasses import replace

import numpy as np

from calculators.declaring import Steps, lived
from calculators.physics import tuning_fit, tuning_search
from calculators.physics.arrays import FloatArray
from calculators.physics.sides_alike import JUDGED_FROM_TO, SIDE_BANDS
from calculators.physics.speaker_system import Setting, in_band
from calculators.physics.tuning_fit import Fit
from calculators.vocabulary.tune_plan import Plan, Tune
from calculators.vocabulary.tune_task import task_at, task_of

EVENINGS, LEAST_OFF, LEAST_WON = 6, 0.05, 0.01
"""Times at most that seats are weighed anew; dB, under which a seat is as near as another; dB that must be
won each time for the farther one, or the nearer one is given up for nothing."""
STRAINED, STRAINED_AT_TWO = 0.45, 0.75
"""dB RMS at one seat, at the farther of two, over which a nearest fit looks again: 0.5 and 0.8 are wanted."""
SIDES_APART = 1.0
"""dB between left and right in a broad band: over it the tune is made again, and what stays is told."""


def left_at_seats(fit: Fit) -> FloatArray:
    """RMS, dB, that a fit leaves of all channels together at each seat."""
    views = zip(fit.task.views, fit.left, strict=True)
    return np.array([math.sqrt(float(np.mean(left**2))) for view, left in views if np.all(view.plays == 1)])


def sides_apart(tune: Tune) -> float | None:
    """The most by which left and right differ over all seats in broad bands from 300 Hz to 16 kHz, dB."""
    over = tune.left_over_right
    if over is None:
        return None
    judged = [np.intersect1d(in_band(*ends), tune.plan.paired) for ends in SIDE_BANDS]
    return max((abs(float(np.mean(over[each]))) for each in judged if each.size), default=None)


def farthest_third(tune: Tune) -> tuple[float, int] | None:
    """Where left differs most from right over all seats, from 300 Hz to 16 kHz.

    Gives dB of left over right, and the number of the third octave.
    """
    over = tune.left_over_right
    judged = np.intersect1d(in_band(*JUDGED_FROM_TO), tune.plan.paired)
    if over is None or not judged.size:
        return None
    place = judged[int(np.argmax(np.round(np.abs(over[judged]), 6)))]
    return float(over[place]), int(place)


def strained(off: FloatArray) -> bool:
    """Whether the farther of a nearest fit's seats, RMS in dB, ends farther off than is wanted."""
    return bool(np.max(off) > (STRAINED if off.size == 1 else STRAINED_AT_TWO))


def begun_again(fit: Fit, tries: int, share: float) -> Steps[Fit]:
    """A nearest fit, or where it is strained a better one that was begun far from it.

    ``tries``: as in `begun_far`; with none it stays.
    """
    if not tries or not strained(left_at_seats(fit)):
        return fit
    return (yield from lived(tuning_search.begun_far(fit, tries), "Beginning again elsewhere", share))


def evened(plan: Plan, bare: tuple[Setting, ...], fit: Fit) -> Steps[tuple[Plan, Fit]]:
    """Seats that count alike brought equally near to their targets, as long as that helps the farther one.

    Gives the plan with the weights that do it, for whatever is fitted after: the square of each grows with
    what its seat is off. Source: C. L. Lawson, Contributions to the theory of linear least maximum
    approximation (1961), from memory.
    """
    heard = task_at(fit.task, plan, bare, plan.wide)
    off = left_at_seats(replace(fit, task=heard))
    for _ in range(EVENINGS):
        shares = np.array(plan.weights) * np.sqrt(np.maximum(off, LEAST_OFF))
        moved = replace(plan, weights=tuple((shares / np.sum(shares)).tolist()))
        begun = replace(fit, task=task_of(moved, bare))
        work = tuning_fit.polished(begun, coarse=True)
        trial = yield from lived(work, "Bringing both seats equally near", 0.92)
        now = left_at_seats(replace(trial, task=heard))
        if round(float(np.max(off) - np.max(now)), 3) < LEAST_WON:
            break
        plan, fit, off = moved, trial, now
    return plan, fit
