"""Levels in decibels: ratios, references, sums, distance, and the sine that clips."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import ComplexArray, FloatArray

SMALLEST_PHASE = -180.0 + 1e-9
"""Phase, degrees: below it stands half a turn, up to what rounding leaves."""
LOWEST_LEVEL = -200.0
"""Level, dB, that stands for silence, so that no logarithm of zero escapes."""
VOLTAGE_AT_0_DBU = math.sqrt(0.6)
"""RMS voltage at 0 dBu: 1 mW in 600 ohm (ITU-R BS.645), 0.7746 V."""
VOLTAGE_AT_0_DBV = 1.0
"""RMS voltage at 0 dBV, V."""
SINE_CREST = 10.0 * math.log10(2.0)
"""Crest factor of a sine, 3.01 dB: amplifiers are rated with one."""
POWER_AT_0_DBM = 1e-3
"""Power at 0 dBm, W."""
REFERENCE_PRESSURE = 20e-6
"""Sound pressure at 0 dB SPL, Pa RMS (IEC 60027-3)."""


def decibels_from_power_ratio(ratio: float) -> float:
    """Level, dB, of a ratio of powers (above 0). Raises ValueError at or below 0.

    Source: IEC 60027-3.
    """
    if not 0 < ratio < math.inf:
        raise ValueError("a ratio of powers must be above 0")
    return 10 * math.log10(ratio)


def decibels_from_voltage_ratio(ratio: float) -> float:
    """Level, dB, of a ratio of voltages, currents or pressures (above 0).

    Raises ValueError at or below 0.
    Source: IEC 60027-3.
    """
    if not 0 < ratio < math.inf:
        raise ValueError("a ratio of voltages must be above 0")
    return 20 * math.log10(ratio)


def power_ratio(decibels: float) -> float:
    """Ratio of powers that a level stands for. decibels: dB. Source: IEC 60027-3."""
    return math.pow(10, decibels / 10)


def voltage_ratio(decibels: float) -> float:
    """Ratio of voltages (or currents, or pressures) that a level stands for.

    decibels: dB.
    Source: IEC 60027-3.
    """
    return math.pow(10, decibels / 20)


def voltage_at_0_dbm(resistance: float) -> float:
    """RMS voltage, V, that puts 1 mW into a resistance (ohm, above 0).

    Raises ValueError at or below 0.
    Source: definition of dBm, IEC 60027-3.
    """
    if not resistance > 0:
        raise ValueError("resistance must be above 0")
    return math.sqrt(POWER_AT_0_DBM * resistance)


def level(amplitude: ArrayLike) -> FloatArray:
    """Level, dB, of real or complex amplitudes of any shape; never below LOWEST_LEVEL.

    amplitude: a ratio. Source: IEC 60027-3.
    """
    smallest = 10 ** (LOWEST_LEVEL / 20)
    magnitude = np.maximum(np.abs(np.asarray(amplitude)), smallest)
    return np.asarray(20 * np.log10(magnitude), dtype=np.float64)


def phase(amplitude: ArrayLike) -> FloatArray:
    """Phase, degrees, of complex amplitudes of any shape: over -180, to 180.

    Half a turn is always 180: which of its two signs it gets hangs on the last digit of a sine.
    amplitude: a ratio. Source: the argument of a complex number, textbook.
    """
    degrees = np.degrees(np.angle(np.asarray(amplitude)))
    return np.asarray(np.where(degrees < SMALLEST_PHASE, 180.0, degrees), dtype=np.float64)


def amplitude(levels: ArrayLike) -> FloatArray:
    """Amplitude ratios of levels (dB) of any shape: the inverse of `level`. Source: IEC 60027-3."""
    return np.asarray(10.0 ** (np.asarray(levels, dtype=np.float64) / 20), dtype=np.float64)


def power_sum(levels: ArrayLike) -> float:
    """Level, dB, of unrelated sounds together: the sum of their powers.

    levels: dB, one or more. Raises ValueError if there is none or one is not finite.
    Source: ISO 1996-1.
    """
    values = np.asarray(levels, dtype=np.float64)
    if values.size == 0 or not np.all(np.isfinite(values)):
        raise ValueError("at least one level is needed, and each a finite number")
    highest = float(np.max(values))  # taken out first, so that no power can overflow
    return highest + 10 * math.log10(float(np.sum(10 ** ((values - highest) / 10))))


def level_per_band(total: float, bands: float) -> float:
    """Level, dB, in each of a number of bands (above 0) that share a total level (dB) alike.

    Pink noise has the same level in every third octave. Raises ValueError if bands is not above 0.
    Source: ISO 1996-1, the sum of powers, read backwards.
    """
    if not bands > 0:
        raise ValueError("there must be more than no band")
    return total - 10 * math.log10(bands)


def phasor_sum(levels: ArrayLike, phases: ArrayLike) -> float:
    """Level, dB, of tones of one frequency together: the sum of their amplitudes with phase.

    levels: dB, one or more. phases: degrees, one for each level.
    A full cancellation stands LOWEST_LEVEL below the highest of them.
    Raises ValueError if there is none, their numbers differ or one is not finite.
    Source: sum of phasors, textbook.
    """
    values = np.asarray(levels, dtype=np.float64)
    turns = np.deg2rad(np.asarray(phases, dtype=np.float64))
    if values.size == 0 or values.shape != turns.shape:
        raise ValueError("one phase is needed for each level, and at least one level")
    if not (np.all(np.isfinite(values)) and np.all(np.isfinite(turns))):
        raise ValueError("levels and phases must be finite numbers")
    highest = float(np.max(values))
    total = np.sum(10 ** ((values - highest) / 20) * np.exp(1j * turns))
    return highest + float(level(total))


def loss_of_sum(low: ComplexArray, high: ComplexArray) -> FloatArray:
    """What the sum of two lacks of both in step, dB, 0 or below, of their shape: |A + B| over |A| + |B|.

    low: complex ratio. high: complex ratio.
    Source: sum of phasors, textbook.
    """
    whole = np.abs(low) + np.abs(high)
    return level(np.abs(low + high) / np.where(whole > 0, whole, 1.0))


def phase_of_delay(frequency: float, delay: float) -> float:
    """Phase, degrees, that a delay (s) turns a tone of a frequency (Hz): 360·f·t.

    Source: definition.
    """
    return 360 * frequency * delay


def delay_of_phase(frequency: float, phase: float) -> float:
    """Delay, s, that turns a tone of a frequency (Hz, above 0) by a phase (degrees).

    Raises ValueError if the frequency is not above 0.
    Source: definition.
    """
    if not frequency > 0:
        raise ValueError("frequency must be above 0")
    return phase / (360 * frequency)


def peak_height(other_level: float) -> float:
    """Level, dB over one sound alone, where a second of other_level (dB against it) adds in phase.

    Never above 6.02 dB for a second sound no louder than the first.
    Source: sum of phasors, as in `phasor_sum`.
    """
    return phasor_sum([0.0, other_level], [0.0, 0.0])


def notch_depth(other_level: float) -> float:
    """Level, dB over one sound alone, where a second of other_level (dB against it) is opposed.

    Equal sounds leave LOWEST_LEVEL.
    Source: sum of phasors, as in `phasor_sum`.
    """
    return phasor_sum([0.0, other_level], [0.0, 180.0])
