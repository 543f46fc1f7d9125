"""Two feeds added up: where they overlap, what the sum loses, and the delay and polarity that lose least."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.decibels import level, loss_of_sum

OVERLAP = 12.0
"""dB by which two feeds may differ where they overlap."""
LONGEST_DELAY = 5e-3
"""Seconds to either side that are believed; a period of the join more is searched."""
MOST_GAIN = 6.0
FINEST = 1e-7
STEP_PER_PERIOD = 12
LISTED_DEPTH = 40.0
"""dB under its top to which a curve is believed when its least phase is worked out."""
WITHIN = 20.0
"""dB under its top within which the phase of a feed is judged."""


@dataclass(frozen=True, eq=False)
class Pair:
    """Two feeds at the same frequencies.

    frequency: Hz, rising, shape (m,). low, high: complex gains, ratios, of the feed with the bass and of the
    one with the treble, shape (m,).
    """

    frequency: FloatArray
    low: ComplexArray
    high: ComplexArray

    def changed(self, sign: float, delay: float, gain: float) -> Pair:
        """The same with the high feed turned (sign: factor of 1 or -1), late by a delay, s, and raised by dB.

        gain: dB. Source: definition.
        """
        turn = sign * 10 ** (gain / 20) * np.exp(-2j * math.pi * self.frequency * delay)
        return replace(self, high=self.high * turn)

    def between(self, low: float, high: float) -> Pair:
        """The part from low to high, Hz. Source: definition."""
        inside = (self.frequency >= low) & (self.frequency <= high)
        return Pair(self.frequency[inside], self.low[inside], self.high[inside])

    def overlap(self) -> Pair:
        """The part where the two differ by 12 dB or less, and where both are within 40 dB of their tops.

        Source: definition of our own.
        """
        low, high = level(self.low), level(self.high)
        heard = (low > np.max(low) - LISTED_DEPTH) & (high > np.max(high) - LISTED_DEPTH)
        inside = (np.abs(low - high) <= OVERLAP) & heard
        return Pair(self.frequency[inside], self.low[inside], self.high[inside])

    def loss(self) -> FloatArray:
        """What the sum lacks of two feeds in step, dB, 0 or below, shape (m,): |A + B| over |A| + |B|.

        Source: sum of phasors, textbook.
        """
        return loss_of_sum(self.low, self.high)


@dataclass(frozen=True)
class Setting:
    """What is done to the high feed.

    sign: factor of 1, or -1 with it turned round. delay: s, below 0 where the low feed is delayed instead.
    gain: dB.
    """

    sign: float
    delay: float
    gain: float


def thinned(frequency: ArrayLike, per_octave: int = 48) -> tuple[int, ...]:
    """Places (numbers) of a curve's points, picked no closer than so many to the octave.

    frequency: Hz, rising. per_octave: number, above 0. None is averaged: phase cannot be averaged before the
    delay is out.
    Source: definition.
    """
    step = np.floor(np.log2(np.asarray(frequency, dtype=np.float64)) * per_octave)
    return tuple(int(place) for place in np.unique(step, return_index=True)[1])


def best_setting(pair: Pair, sign: float) -> Setting:
    """Delay and gain of the high feed that lose least in the overlap.

    sign: factor, 1 or -1, its polarity. The delay is looked for 5 ms to either side and a period of the
    join beyond: first where the worst loss is smallest, then by the mean loss near there, to 0.1 µs. A better
    one that lies out of reach shows as one beyond 5 ms. The gain, 6 dB at most, is the one with
    which the sum is most level from an octave below the overlap to one above.
    Raises ValueError where the feeds do not overlap at three places.
    Source: search of our own.
    """
    shared = pair.overlap()
    if shared.frequency.size < 3:
        raise ValueError("the feeds do not overlap")
    delay = _best_delay(shared, sign)
    gain = _most_level(pair.changed(sign, delay, 0.0), shared)
    after = pair.changed(1.0, 0.0, gain).overlap()
    if after.frequency.size >= 3:
        delay = _near(after, sign, delay, 1 / (STEP_PER_PERIOD * float(after.frequency[-1])))
    return Setting(sign, delay, gain)


def _losses(shared: Pair, sign: float, delays: FloatArray) -> FloatArray:
    """Loss at each place (column) for each delay (line)."""
    turn = np.exp(-2j * math.pi * delays[:, np.newaxis] * shared.frequency)
    whole = np.abs(shared.low) + np.abs(shared.high)
    return level(np.abs(shared.low + sign * turn * shared.high) / whole)


def _best_delay(shared: Pair, sign: float) -> float:
    step = 1 / (STEP_PER_PERIOD * float(shared.frequency[-1]))
    join = math.sqrt(float(shared.frequency[0] * shared.frequency[-1]))
    count = math.ceil((LONGEST_DELAY + 1 / join) / step)
    delays = np.arange(-count, count + 1) * step
    worst = np.min(_losses(shared, sign, delays), axis=1)
    return _near(shared, sign, float(delays[np.argmax(np.round(worst, 9))]), step)


def _near(shared: Pair, sign: float, start: float, step: float) -> float:
    """The delay of least mean loss near a start."""
    best = start
    while step > FINEST:
        delays = best + np.linspace(-1, 1, 9) * step
        mean = np.mean(_losses(shared, sign, delays), axis=1)
        best, step = float(delays[np.argmax(np.round(mean, 12))]), step / 3
    return round(best / FINEST) * FINEST


def _most_level(pair: Pair, shared: Pair) -> float:
    wide = pair.between(float(shared.frequency[0]) / 2, float(shared.frequency[-1]) * 2)
    gains = np.arange(-MOST_GAIN, MOST_GAIN + 0.05, 0.1)
    sums = level(wide.low + 10 ** (gains[:, np.newaxis] / 20) * wide.high)
    return float(np.round(gains[np.argmin(np.round(np.std(sums, axis=1), 9))], 1)) + 0.0


def least_phase(frequency: FloatArray, levels: FloatArray) -> FloatArray:
    """Phase, degrees, of the minimum-phase network that has these levels, shape (m,).

    frequency: Hz, rising. levels: dB, shape (m,). Beyond the ends, and more than 40 dB under the top, it is
    taken to go on with the slope of its last octave.
    Source: H. W. Bode, Network Analysis and Feedback Amplifier Design (1945): phase is 1/π times the integral
    of the slope, each weighted by ln coth |u/2|, u the logarithm of the ratio of frequencies.
    """
    loud = np.flatnonzero(levels >= np.max(levels) - LISTED_DEPTH)
    first, last = int(loud[0]), int(loud[-1])
    place = np.log(frequency[first : last + 1])
    height = levels[first : last + 1] * (math.log(10) / 20)
    at = np.log(frequency)
    slopes = np.diff(height) / np.diff(place)
    octave = math.log(2)
    below = _mean_slope(place, height, place <= place[0] + octave)
    above = _mean_slope(place, height, place >= place[-1] - octave)
    gathered = _weight_below(place[np.newaxis, :] - at[:, np.newaxis])
    inner = np.diff(gathered, axis=1) @ slopes
    end = math.pi**2 / 4
    ends = below * (gathered[:, 0] + end) + above * (end - gathered[:, -1])
    return np.asarray(np.degrees((inner + ends) / math.pi), dtype=np.float64)


def _mean_slope(place: FloatArray, height: FloatArray, inside: FloatArray) -> float:
    chosen = np.flatnonzero(inside)
    if chosen.size < 2:
        return 0.0
    x, y = place[chosen] - np.mean(place[chosen]), height[chosen]
    return float(x @ y / (x @ x))


def _weight_below(u: FloatArray) -> FloatArray:
    """Integral of ln coth |u/2| from 0: the sum of 2·(1 - e^(-n|u|))/n² over odd n, with the sign of u."""
    return np.asarray(np.sign(u) * np.interp(np.abs(u), *_weights()), dtype=np.float64)


@cache
def _weights() -> tuple[FloatArray, FloatArray]:
    """The table that it is read from."""
    table = np.linspace(0.0, 12.0, 2401)
    odd = np.arange(1, 200, 2)
    values = np.sum(2 * (1 - np.exp(-odd[:, np.newaxis] * table)) / odd[:, np.newaxis] ** 2, axis=0)
    values *= (math.pi**2 / 4) / (2 * float(np.sum(1 / odd**2)))
    return table, np.asarray(values, dtype=np.float64)


def excess_phase(frequency: FloatArray, gain: ComplexArray) -> float:
    """RMS of the phase, degrees, that neither a minimum-phase nor a linear-phase feed of these levels has.

    frequency: Hz, rising. gain: complex gains, ratios, shape (m,). The best delay and polarity are taken out;
    counted over the logarithm of frequency, where the feed is within 20 dB of its top.
    Source: as in `least_phase`.
    """
    levels = level(gain)
    inside = np.flatnonzero(levels >= np.max(levels) - WITHIN)
    own, turned = frequency[inside], np.angle(gain[inside])
    weight = np.gradient(np.log(own))
    weight = weight / np.sum(weight)
    least = np.radians(least_phase(frequency, levels)[inside])
    ways = np.stack([turned - least, turned])
    starts, step = _likely_delays(own, ways, weight)
    return min(_strays(own, way, weight, start, step) for way, start in zip(ways, starts, strict=True))


def _likely_delays(frequency: FloatArray, ways: FloatArray, weight: FloatArray) -> tuple[list[float], float]:
    """The delay that takes most out of each of some phases (rad, a line each), and its step, s.

    The turn of each delay is that of a coarse one times that of a fine one: so few are worked out.
    """
    step = 1 / (STEP_PER_PERIOD * float(frequency[-1]))
    count = math.ceil(LONGEST_DELAY / step)
    stride = math.isqrt(2 * count) + 1
    coarse, fine = (
        np.exp(2j * math.pi * step * steps[:, np.newaxis] * frequency)
        for steps in (np.arange(-count, count + 1, stride), np.arange(stride))
    )
    turned = (weight * np.exp(1j * ways))[:, np.newaxis, :] * coarse
    likeness = np.abs((turned @ fine.T).real).reshape(len(ways), -1)[:, : 2 * count + 1]
    return ((np.argmax(np.round(likeness, 12), axis=1) - count) * step).tolist(), step


def _strays(frequency: FloatArray, phase: FloatArray, weight: FloatArray, best: float, step: float) -> float:
    """RMS, degrees, of a phase (rad) with the best delay, a step (s) from one at most, and polarity out."""
    for _ in range(4):
        step /= 5
        delays = best + np.arange(-6, 7) * step
        turned = np.exp(1j * (phase + 2 * math.pi * delays[:, np.newaxis] * frequency))
        likeness = np.abs((turned @ weight).real)
        best = float(delays[np.argmax(np.round(likeness, 12))])
    left = np.exp(1j * (phase + 2 * math.pi * best * frequency))
    sign = 1.0 if (left @ weight).real >= 0 else -1.0
    return float(np.degrees(np.sqrt(np.angle(sign * left) ** 2 @ weight)))
