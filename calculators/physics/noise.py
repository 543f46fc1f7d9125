"""Noise that is the same to the last bit in every Python: from counted whole numbers, not from a library."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calculators.physics.arrays import FloatArray

_STEP = np.uint64(0x9E3779B97F4A7C15)
_MIX = ((30, np.uint64(0xBF58476D1CE4E5B9)), (27, np.uint64(0x94D049BB133111EB)))


def mixed_numbers(count: int, seed: int) -> NDArray[np.uint64]:
    """So many whole numbers of 64 bits, each as likely as any other, shape (count,).

    count: number, 0 or more. seed: number from 0 to 2⁶⁴ - 1; another seed gives another row.
    Raises ValueError outside those ranges.
    Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014 (SplitMix64).
    """
    if count < 0 or not 0 <= seed < 2**64:
        raise ValueError("the count must be 0 or more, and the seed a number of 64 bits")
    mixed = np.arange(1, count + 1, dtype=np.uint64) * _STEP + np.uint64(seed)
    for shift, factor in _MIX:
        mixed = (mixed ^ (mixed >> np.uint64(shift))) * factor
    return np.asarray(mixed ^ (mixed >> np.uint64(31)), dtype=np.uint64)


def white_noise(count: int, seed: int) -> FloatArray:
    """White noise, amplitudes from -1 to below 1, evenly spread, shape (count,).

    Arguments, errors and source as in `mixed_numbers`. RMS 1/√3.
    """
    return np.asarray((mixed_numbers(count, seed) >> np.uint64(11)) * 2.0**-52 - 1.0, dtype=np.float64)


def pink_noise(count: int, seed: int, sample_rate: float, low: float = 20.0) -> FloatArray:
    """Pink noise: the same power in every octave, amplitudes a ratio, RMS 1, shape (count,).

    It goes round and round without a seam.

    count, seed: as in `mixed_numbers`. sample_rate: Hz. low: Hz, above 0, under which there is none.
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
