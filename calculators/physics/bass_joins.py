"""Two parts that meet in the bass, at several places: what their sum loses, and the best setting.

`sub-alignment` sets by this: the delay of the least cost. `tune` sets its subwoofers by `joins.best_bass`, at
the same cost (a test holds it), and takes the shortest way within 1 % of the least. Both turn a polarity only
where that costs less by more than `POLARITY_WINS_BY`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Self

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.decibels import loss_of_sum

SPREAD_COUNTS = 0.5
"""How much a dB of spread costs beside a dB of mean loss: smooth is wanted besides strong."""
POLARITY_WINS_BY = 0.3
"""dB of loss, or of cost, by which a turned polarity must better the one that was proven.

Common practice, no source: half a cycle and a turned polarity look nearly alike by loss.
"""
FINEST_DELAY = 1e-6
_STEPS_PER_PERIOD = 32


@dataclass(frozen=True, eq=False)
class TwoParts:
    """A low and a high part where they meet, heard at several places, as they stand.

    frequency: Hz, rising, shape (m,). low, high: complex gains, ratios, a line for each place, shape (p, m).
    """

    frequency: FloatArray
    low: ComplexArray
    high: ComplexArray

    @property
    def middle(self) -> float:
        """Frequency, Hz, in the middle by ratio."""
        return math.sqrt(float(self.frequency[0] * self.frequency[-1]))

    def changed(self, sign: float, delay: float, gain: float) -> Self:
        """The same with the low part turned (sign: factor of 1 or -1), late by a delay, s, and raised by dB.

        gain: dB. Source: definition.
        """
        turn = sign * 10 ** (gain / 20) * np.exp(-2j * math.pi * self.frequency * delay)
        return replace(self, low=self.low * turn)

    def lost(self) -> FloatArray:
        """What the sum lacks of two parts in step, dB, 0 or below, shape (p, m).

        Source: sum of phasors, textbook.
        """
        return loss_of_sum(self.low, self.high)

    def against(self) -> ComplexArray:
        """The low part against the high one, all places together: complex factors, shape (m,).

        Source: cross-spectrum, textbook.
        """
        return np.asarray(np.sum(self.low * np.conj(self.high), axis=0), dtype=np.complex128)

    def late_by_slope(self) -> float:
        """Time, s, by which the low part is late, by the slope of its phase: below 0 it is early.

        Source: definition of group delay; least squares over the frequencies.
        """
        turned = np.unwrap(np.angle(self.against()))
        place = self.frequency - np.mean(self.frequency)
        return float(-(place @ turned) / (place @ place) / (2 * math.pi))

    def wavers_by(self) -> float:
        """Degrees, RMS, by which the phase between the parts strays from a smooth bend: noise, reflections.

        Source: least squares, a parabola over frequency.
        """
        left = np.degrees(np.unwrap(np.angle(self.against())))
        place = self.frequency / self.middle - 1.0
        shapes: list[FloatArray] = []
        for power in range(3):
            shape = place**power
            for other in shapes:
                shape = shape - (shape @ other) * other
            shape = shape / np.sqrt(shape @ shape)
            shapes.append(shape)
            left = left - (left @ shape) * shape
        return float(np.sqrt(np.mean(left**2)))


@dataclass(frozen=True)
class BassSetting:
    """What is done to the low part.

    sign: factor of 1, or -1 with it turned round. delay: s, below 0 where all the others are delayed instead.
    cost: dB, mean loss and half the spread, 0 or more.
    """

    sign: float
    delay: float
    cost: float


def cost_of(loss: FloatArray) -> FloatArray:
    """Mean loss plus half its spread (standard deviation), dB, 0 or more, shape (n,).

    loss: dB, 0 or below, shape (n, k): the frequencies and places of a setting on a line.
    Source: definition of our own.
    """
    spread = SPREAD_COUNTS * np.std(loss, axis=1)
    return np.asarray(spread - np.mean(loss, axis=1), dtype=np.float64)


def best_setting(join: TwoParts, sign: float, start: float = 0.0) -> BassSetting:
    """Delay of the low part, s, that costs least over all frequencies and places, with its polarity given.

    sign: factor, 1 or -1. start: s. No farther than half a cycle of the middle frequency from the start, so
    that no whole cycle is won; to 1 µs.
    Source: exhaustive search of our own.
    """
    half = 1 / (2 * join.middle)
    step = 1 / (_STEPS_PER_PERIOD * float(join.frequency[-1]))
    count = math.ceil(half / step)
    delays = start + np.clip(np.arange(-count, count + 1) * step, -half, half)
    costs = _costs(join, sign, delays)
    best = float(delays[np.argmin(np.round(costs, 9))])
    while step > FINEST_DELAY:
        delays = np.clip(best + np.linspace(-1, 1, 9) * step, start - half, start + half)
        best, step = float(delays[np.argmin(np.round(_costs(join, sign, delays), 12))]), step / 3
    best = round(best / FINEST_DELAY) * FINEST_DELAY + 0.0
    return BassSetting(sign, best, float(_costs(join, sign, np.array([best]))[0]))


def _costs(join: TwoParts, sign: float, delays: FloatArray) -> FloatArray:
    """Cost of each delay."""
    turns = sign * np.exp(-2j * math.pi * join.frequency * delays[:, np.newaxis, np.newaxis])
    return cost_of(loss_of_sum(join.low * turns, join.high).reshape(delays.size, -1))
