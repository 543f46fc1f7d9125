"""How a round cone loses level off its axis: the flat disc in a wall."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import FloatArray

FIRST_NULL = 3.8317059702075125
"""First zero of J1: where the disc's two halves first cancel (Abramowitz and Stegun, table 9.5)."""


def disc_directivity(argument: ArrayLike) -> FloatArray:
    """2·J1(x)/x, a ratio: pressure of a flat disc off its axis over that on it, x = k·a·sin(angle).

    argument: x, 0 or more. 1 on the axis, 0 at `FIRST_NULL`; below 0 the sound is turned round.
    Taken from Poisson's integral (2/π)·∫cos(x·cos t)·sin²t dt from 0 to π, whose even steps are
    exact to the last digits once they outnumber x.
    Raises ValueError for an x below 0 or not finite.
    Source: Abramowitz and Stegun 9.1.20.
    """
    x = np.asarray(argument, dtype=np.float64)
    if not np.all((x >= 0) & (x < math.inf)):
        raise ValueError("the argument must be 0 or more")
    count = 24 + math.ceil(float(np.max(x, initial=0.0)))
    t = math.pi * (np.arange(count) + 0.5) / count
    waves = np.cos(x[..., np.newaxis] * np.cos(t)) * np.sin(t) ** 2
    return np.asarray(2 * np.sum(waves, axis=-1) / count, dtype=np.float64)


def off_axis_gain(frequency: ArrayLike, diameter: float, angle: float, speed: float) -> FloatArray:
    """Ratio of the pressure of a flat disc at an angle to that on its axis.

    frequency: Hz, 0 or more, any shape. diameter: m, above 0. angle: degrees off the axis, 0 to 90.
    speed: of sound, m/s, above 0.
    Raises ValueError outside those ranges.
    Source: Kinsler, Frey, Coppens and Sanders, Fundamentals of Acoustics, plane circular piston.
    """
    if not (diameter > 0 and speed > 0 and 0 <= angle <= 90):
        raise ValueError("diameter and speed must be above 0, the angle between 0 and 90")
    across = math.pi * diameter * math.sin(math.radians(angle)) / speed
    return disc_directivity(across * np.asarray(frequency, dtype=np.float64))


def off_axis_frequency(loss: float, diameter: float, angle: float, speed: float) -> float:
    """Frequency, Hz, at which a flat disc has lost so much at an angle: the lowest one.

    loss: dB, above 0. angle: degrees, above 0 to 90. The rest as in `off_axis_gain`.
    Raises ValueError outside those ranges.
    """
    if not (loss > 0 and diameter > 0 and speed > 0 and 0 < angle <= 90):
        raise ValueError("loss, diameter and speed must be above 0, the angle above 0 and up to 90")
    wanted = 10 ** (-loss / 20)
    low, high = 0.0, FIRST_NULL
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if float(disc_directivity(middle)) > wanted else (low, middle)
    return high * speed / (math.pi * diameter * math.sin(math.radians(angle)))
