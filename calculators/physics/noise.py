"""Noise that is the same to the last bit in every Python: from counted whole numbers, not from a library."""

from __future__ import annotations

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.exact_waves import chance


def white_noise(count: int, seed: int) -> FloatArray:
    """White noise, amplitudes from -1 to below 1, evenly spread, RMS a ratio of 1/√3, shape (count,).

    count, seed: number, 0 or more, as in `chance`. Source: as in `chance`.
    """
    return np.asarray((chance(seed, 0, count) >> np.uint64(11)) * 2.0**-52 - 1.0, dtype=np.float64)


def pink_noise(count: int, seed: int, sample_rate: float, low: float = 20.0) -> FloatArray:
    """Pink noise: the same power in every octave, amplitudes a ratio, RMS 1, shape (count,).

    It goes round and round without a seam.

    count, seed: number, as in `white_noise`. sample_rate: Hz. low: Hz, above 0, under which there is none.
    Raises ValueError where no frequency is left.
    Source: definition: power by frequency falls as 1/f.
    """
    frequency = np.fft.rfftfreq(count, 1 / sample_rate)
    kept = frequency >= low
    if not low > 0 or not np.any(kept):
        raise ValueError("pink noise needs frequencies above 0")
    spectrum = np.fft.rfft(white_noise(count, seed))
    spectrum[~kept] = 0.0
    spectrum[kept] /= np.sqrt(frequency[kept])
    noise = np.fft.irfft(spectrum, count)
    return np.asarray(noise / np.sqrt(np.mean(noise**2)), dtype=np.float64)
