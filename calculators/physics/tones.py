"""Test tones: sines with soft ends, the same samples on every machine."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_positive
from calculators.physics.exact_waves import power_of_e, sine_of_turns

_TENTH_OF_LN10 = 0.2302585092994046


def amplitude(level: float) -> float:
    """Ratio of a sine's peak to full scale. level: dB below a sine that reaches full scale (dBFS).

    Source: AES17-2020 (a full-scale sine is 0 dBFS).
    """
    return float(power_of_e(np.array([level * _TENTH_OF_LN10 / 2]))[0])


def level_of(share: float) -> float:
    """Level, dB. share: ratio of amplitudes, above 0. Source: definition."""
    return 20 * math.log10(share)


def fade_length(frequency: float) -> float:
    """Length, s, of a fade that clicks at no speaker: 50 ms under 200 Hz, 10 ms above.

    frequency: Hz. Source: common practice, two cycles or more.
    """
    return 0.05 if frequency < 200 else 0.01


def faded(start: int, count: int, frames: int, fade: int) -> FloatArray:
    """Ratio, 0 to 1, that softens both ends of a sound by half a cosine.

    start, count: number of the first sample looked at, and how many. frames: count of all samples.
    fade: how many of them at each end.
    Source: half a cosine (Hann), common practice.
    """
    place = np.arange(start, start + count, dtype=np.float64)
    near = np.minimum(place + 0.5, frames - place - 0.5)
    share = np.clip(near / max(fade, 1), 0.0, 1.0)
    # sin² of a quarter turn times the share.
    return np.asarray(sine_of_turns(share / 4) ** 2, dtype=np.float64)


def tone(frequency: float, sample_rate: float, start: int, count: int) -> FloatArray:
    """Samples of a sine that begins at zero, its peak 1 (a ratio).

    frequency, sample_rate: Hz, above 0. start, count: number of the first sample, and how many.
    Raises ValueError at or below 0.
    Source: definition.
    """
    require_positive(frequency=frequency, sample_rate=sample_rate)
    place = np.arange(start, start + count, dtype=np.float64)
    return sine_of_turns(frequency * place / sample_rate)
