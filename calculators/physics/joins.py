"""Where two speakers meet: the delay with which they add up best, over a few points near one another.

`tune` sets by this, `sub-alignment` by `bass_joins.py`, which costs a join alike (a test holds it).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_joins import POLARITY_WINS_BY, TwoParts, cost_of
from calculators.physics.decibels import loss_of_sum

STEPS_PER_CYCLE = 60
AS_GOOD = 1.01
"""Times the least cost: what costs no more is as good, and no last digits shall decide which."""
JOIN_LOST, JOIN_TURNED = 0.3, 30.0
"""dB that a join may lose beside the best, and degrees that it may leave at the first point."""


class Join(TwoParts):
    """Two parts that meet, through all that is set already: what delays of the low one would do."""

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

    def cost(self, delay: float, sign: float = 1.0) -> float:
        """Mean loss and half its spread, dB, 0 or more, with the low part later by a delay, s.

        sign: factor. Source: as in `best_bass`.
        """
        return float(_uneven(self.losses(np.array([delay]), sign))[0])

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
        late, at = (np.asarray(values, dtype=np.float64).tobytes() for values in (delays, self.frequency))
        return np.asarray(sign * _turned(late, at), dtype=np.complex128)


# One answer asks for losses and phases at the same delays, as it stands and turned over.
@lru_cache(maxsize=8)
def _turned(delays: bytes, frequency: bytes) -> ComplexArray:
    """Factors by which delays, s, turn frequencies, Hz, shape (delays, frequencies)."""
    late, at = (np.frombuffer(values, dtype=np.float64) for values in (delays, frequency))
    return np.asarray(np.exp(-2j * math.pi * np.multiply.outer(late, at)), dtype=np.complex128)


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


@dataclass(frozen=True)
class Tried:
    """How a join stands at delays of its low part, of which one is 0.

    delays: s, rising, shape (n,). strains: ratio, by `strain`, shape (n,).
    """

    delays: FloatArray
    strains: FloatArray

    @property
    def best(self) -> float:
        """The delay, s, that strains least."""
        return float(self.delays[int(np.argmin(self.strains))])

    @property
    def stands(self) -> float:
        """Its strain as it stands, a ratio."""
        return float(self.strains[int(np.argmin(np.abs(self.delays)))])


def within_half_a_cycle(join: Join, centre: float, step: float | None = None) -> Tried:
    """How a join stands at the delays within half a cycle either way, polarity as it is.

    centre: Hz, where they meet. step: s, of which each delay is a whole number, or None. Source: `strain`.
    """
    delays = _within_half_a_cycle(centre, step)
    losses = np.mean(join.losses(delays), axis=(1, 2))
    least = float(np.max(losses)) if step is None else least_loss(join, centre)
    return Tried(delays, np.round(strain(least - losses, join.phases(delays)), 6))


def best_delay(join: Join, centre: float) -> Found:
    """The delay, s, of the low part that joins best, within half a cycle either way.

    centre: Hz, where they meet. Polarity stays. What counts is the worse of two: what is lost beside the
    best delay, as a part of 0.3 dB, and the phase left at the first point, as a part of 30°: two parts in
    step stay so when a head moves.
    Source: exhaustive search.
    """
    best = within_half_a_cycle(join, centre).best
    return Found(best, 1.0, join.loss(best), join.phase(best))


def best_together(one: Tried, other: Tried, late: float, most: float) -> tuple[list[float], float]:
    """The delays, s, of two joins that strain the worse of them least, with their high parts kept together.

    late: s, by which the other's high part comes after the one's as they stand. most: s, by which it may
    then. Where no two delays bring them so near, those that bring them nearest count.
    Gives both delays, and the strain of the worse join. Source: exhaustive search.
    """
    apart = np.abs(late + one.delays[:, np.newaxis] - other.delays)
    near = apart <= max(most, float(np.min(apart))) + 1e-9
    worse = np.maximum(one.strains[:, np.newaxis], other.strains)
    # Of as good a worse one, the better other one decides.
    cost = worse + 1e-3 * np.minimum(one.strains[:, np.newaxis], other.strains)
    first, second = np.unravel_index(int(np.argmin(np.where(near, cost, np.inf))), cost.shape)
    return [float(one.delays[first]), float(other.delays[second])], float(worse[first, second])


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


def best_bass(join: Join, centre: float, ends: tuple[float, float], signs: Sequence[float]) -> Found:
    """The delay, and the polarity if it may be turned, with which a subwoofer joins strongest and smoothest.

    centre: Hz, where they meet. ends: s, the least and the most delay to try. signs: factors, that of the
    polarity which was proven first; another one must cost less by more than `POLARITY_WINS_BY`.
    What counts is the mean loss and half its spread over points, seats and places together. Costs that still
    fall at an end have their least beyond it, and are no join: of each polarity the least inside counts, and
    the ends where none has any. Of those within 1 % of the least the shortest way is taken.
    Source: exhaustive search; Welti and Devantier, J. Audio Eng. Soc. 54 (2006), for several seats.
    """
    count = max(2, math.ceil((ends[1] - ends[0]) * centre * STEPS_PER_CYCLE))
    delays = np.linspace(*ends, count + 1)
    found: tuple[float, FloatArray] | None = None
    for sign in signs:
        costs = _inside(_uneven(join.losses(delays, sign)))
        if np.min(costs) < (np.inf if found is None else np.min(found[1]) - POLARITY_WINS_BY):
            found = sign, costs
    sign, costs = found or (signs[0], _uneven(join.losses(delays, signs[0])))
    near = np.flatnonzero(costs <= round(AS_GOOD * float(np.min(costs)), 9))
    delay = float(delays[near[np.argmin(np.round(np.abs(delays[near]), 9))]])
    return Found(delay, sign, join.loss(delay, sign), join.phase(delay, sign))


def _inside(costs: FloatArray) -> FloatArray:
    """Costs of rising delays, without bound where they fall all the way to either end."""
    falls = np.flatnonzero(np.diff(costs) <= 0)
    rises = np.flatnonzero(np.diff(costs) >= 0)
    first = int(falls[0]) if falls.size else costs.size
    last = int(rises[-1]) + 1 if rises.size else -1
    places = np.arange(costs.size)
    # A single hill between two ends that fall is no place to stand either.
    inside = (places >= first) & (places <= last) & (first < last)
    return np.where(inside, costs, np.inf)


def _uneven(losses: FloatArray) -> FloatArray:
    """What each delay costs, dB: the mean loss and half its spread."""
    return np.round(cost_of(losses.reshape(len(losses), -1)), 9)
