"""One setting for two seats: fair delays, how far up two speakers add, and an all-pass in each side."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.arrivals import waits


def fair_waits(first: Sequence[float], second: Sequence[float], share: float) -> list[float]:
    """Delay, s, of each speaker that leaves both seats the least squares of arrival errors.

    first, second: s, when each speaker arrives at the first and at the second seat. share: weight of the
    first seat, 0 to 1. Each seat may call its own moment "together", so what counts is the weighted mean of
    the two arrivals, and the last of those gets no delay.
    Raises ValueError if there is no speaker, the two differ in number, or the share lies outside 0 to 1.
    Source: least squares, textbook: the normal equations of one delay a speaker and one moment a seat.
    """
    if len(first) != len(second) or not 0 <= share <= 1:
        raise ValueError("each speaker needs an arrival at both seats, and the share lies between 0 and 1")
    return waits([share * one + (1 - share) * other for one, other in zip(first, second, strict=True)])


def at_both_seats(
    frequency: FloatArray, late: float, left: ComplexArray, right: ComplexArray
) -> tuple[ComplexArray, ComplexArray]:
    """Left and right together at each of two mirrored seats, a ratio to the same two in step.

    frequency: Hz. late: s, by which the far side is later at either seat. left, right: complex factors
    of the filters in each side. The first seat is near the left side.
    Source: sum of phasors, textbook; free field.
    """
    turned = np.exp(-2j * math.pi * frequency * late)
    return (left + right * turned) / 2, (left * turned + right) / 2


def mean_level(gain: ComplexArray) -> float:
    """Mean level, dB, of a response (ratios) over its frequencies: that of the mean power.

    gain: complex ratios at frequencies that rise evenly by ratio.
    Source: IEC 60027-3; definition.
    """
    return 10 * math.log10(max(float(np.mean(np.abs(gain) ** 2)), 1e-20))


def regained(before: ComplexArray, after: ComplexArray, later: ComplexArray) -> FloatArray:
    """Level, dB, that the seat which gains less gains: above 0 both gain.

    before: complex factors, the same at both seats. after, later: complex factors at the first and at the
    second seat.
    Source: definition.
    """
    smaller = np.minimum(np.abs(after), np.abs(later))
    tiny = 1e-10
    return np.asarray(20 * np.log10(np.maximum(smaller, tiny) / np.maximum(np.abs(before), tiny)))


def longest_gain(regained: FloatArray) -> slice:
    """The longest run of places at which both seats gain, the first of several as long; empty without one.

    regained: dB, at places in even steps of ratio, as `regained` gives it. Source: definition.
    """
    gains = np.round(regained, 6) > 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], gains, [False]]).astype(int)))
    starts, ends = edges[::2], edges[1::2]
    if not starts.size:
        return slice(0, 0)
    longest = int(np.argmax(ends - starts))
    return slice(int(starts[longest]), int(ends[longest]))
