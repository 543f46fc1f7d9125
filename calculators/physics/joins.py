"""Where two speakers meet: the delay with which they add up best, over a few points near one another.

`tune` sets by this, `sub-alignment` by `bass_joins.py`, which costs a join alike (a test holds it).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_joins import SPREAD_COUNTS
from calculators.physics.decibels import loss_of_sum

STEPS_PER_CYCLE = 60
AS_GOOD = 1.01
"""Times the least cost: what costs no more is as good, and no last digits shall decide which.

A subwoofer's polarity is decided by that too. `bass_joins.POLARITY_WINS_BY` asks for more, where somebody
aligns by hand: the reason stands there.
"""
JOIN_LOST, JOIN_TURNED = 0.3, 30.0
"""dB that a join may lose beside the best, and degrees that it may leave at the first point."""


@dataclass(frozen=True, eq=False)
class Join:
    """Two parts that meet.

    frequency: Hz, of the places looked at, shape (m,). low, high: complex gains, ratios, of what plays below
    and above, through all that is set already, shape (points, m).
    """

    frequency: FloatArray
    low: ComplexArray
    high: ComplexArray

    def losses(self, delays: FloatArray, sign: float = 1.0) -> FloatArray:
        """What the sum lacks of two parts in step, dB, shape (delays, points, m), 0 or below.

        delays: s, by which the low part is later still. sign: factor, -1 with the low part turned.
        Source: sum of phasors, textbook.
        """
        return loss_of_sum(self._turns(delays, sign)[:, np.newaxis] * self.low, self.high)

    def loss(self, delay: float, sign: float = 1.0) -> float:
        """Mean loss, dB, with the low part later by a delay, s.

        sign: factor. Source: as in `losses`.
        """
        return float(np.mean(self.losses(np.array([delay]), sign)))

    def phases(self, delays: FloatArray, sign: float = 1.0) -> FloatArray:
        """Degrees by which the high part leads the low one at the first point, by what both weigh.

        delays: s, by which the low part is later still. sign: factor.
        Source: phase of the cross spectrum, textbook.
        """
        cross = np.sum(self.high[0] * np.conj(self.low[0] * self._turns(delays, sign)), axis=1)
        return np.asarray(np.degrees(np.arctan2(cross.imag, cross.real)), dtype=np.float64)

    def phase(self, delay: float, sign: float = 1.0) -> float:
        """Degrees of one delay, s.

        sign: factor. Source: as in `phases`.
        """
        return float(self.phases(np.array([delay]), sign)[0])

    def _turns(self, delays: FloatArray, sign: float) -> ComplexArray:
        """Factors by which delays, s, turn the low part, shape (delays, m)."""
        return np.asarray(sign * np.exp(-2j * math.pi * np.multiply.outer(delays, self.frequency)))


@dataclass(frozen=True)
class Found:
    """How a join is best set.

    delay: s, of the low part, below 0 where the high part waits. sign: factor, 1 or -1. loss: dB, its mean.
    phase: degrees, left at the first point.
    """

    delay: float
    sign: float
    loss: float
    phase: float


def octave_about(frequency: FloatArray, centre: float) -> FloatArray:
    """Numbers of the frequencies that lie within half an octave of a centre.

    frequency, centre: Hz. Source: definition.
    """
    near = np.abs(np.log2(frequency / centre)) <= 0.5
    return np.asarray(np.flatnonzero(near))


def best_delay(join: Join, centre: float, step: float | None = None) -> Found:
    """The delay, s, of the low part that joins best, within half a cycle either way.

    centre: Hz, where they meet. step: s, of which the delay is a whole number, or None. Polarity stays. What
    counts is the worse of two: what is lost beside the best delay, as a part of 0.3 dB, and the phase left at
    the first point, as a part of 30°: two parts in step stay so when a head moves.
    Source: exhaustive search.
    """
    delays = _within_half_a_cycle(centre, step)
    losses = np.mean(join.losses(delays), axis=(1, 2))
    least = float(np.max(losses)) if step is None else least_loss(join, centre)
    strains = np.round(strain(least - losses, join.phases(delays)), 6)
    best = float(delays[int(np.argmin(strains))])
    return Found(best, 1.0, join.loss(best), join.phase(best))


def strain(lost: ArrayLike, phase: ArrayLike) -> FloatArray:
    """How much of what a join may be off it takes up, a ratio: over 1 it is not as it should be.

    lost: dB, 0 or more, beside its best delay. phase: degrees, left at the first point.
    Source: definition; what it may be off is common practice, no source.
    """
    return np.asarray(np.maximum(np.divide(lost, JOIN_LOST), np.abs(phase) / JOIN_TURNED))


def least_loss(join: Join, centre: float) -> float:
    """The smallest mean loss, dB, that a delay within half a cycle reaches, polarity as it is.

    centre: Hz. Source: exhaustive search.
    """
    return float(np.max(np.mean(join.losses(_within_half_a_cycle(centre, None)), axis=(1, 2))))


def _within_half_a_cycle(centre: float, step: float | None) -> FloatArray:
    """Delays to look at, s."""
    reach = 0.5 / centre
    if step is None:
        return np.linspace(-reach, reach, 4 * STEPS_PER_CYCLE + 1)
    most = math.floor(reach / step)
    return np.arange(-most, most + 1) * step


def best_bass(join: Join, centre: float, turned: bool, reach: float) -> Found:
    """The delay, and the polarity if it may be turned, with which a subwoofer joins strongest and smoothest.

    centre: Hz, where they meet. turned: whether the other polarity is tried too. reach: s, either way.
    What counts is the mean loss and half its spread over points, seats and places together. Of those within
    1 % of the least the plainest is taken: polarity as it stands, then the shortest way.
    Source: exhaustive search; Welti and Devantier, J. Audio Eng. Soc. 54 (2006), for several seats.
    """
    count = max(2, math.ceil(2 * reach * centre * STEPS_PER_CYCLE))
    delays = np.linspace(-reach, reach, count + 1)
    costs = {sign: _uneven(join.losses(delays, sign)) for sign in ((1.0, -1.0) if turned else (1.0,))}
    least = min(float(np.min(each)) for each in costs.values())
    good = round(AS_GOOD * least, 9)
    sign, near = next(
        (sign, np.flatnonzero(each <= good)) for sign, each in costs.items() if np.min(each) <= good
    )
    delay = float(delays[near[np.argmin(np.round(np.abs(delays[near]), 9))]])
    return Found(delay, sign, join.loss(delay, sign), join.phase(delay, sign))


def _uneven(losses: FloatArray) -> FloatArray:
    """What each delay costs, dB: the mean loss and half its spread."""
    each = losses.reshape(len(losses), -1)
    return np.asarray(np.round(SPREAD_COUNTS * np.std(each, axis=1) - np.mean(each, axis=1), 9))
