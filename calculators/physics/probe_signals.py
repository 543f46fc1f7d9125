"""Sounds that only test files hold: dither, a pulse for polarity, many tones at once, noise of a set peak.

Like all test sounds they come from additions, multiplications and rounding alone, so they have the same bytes
everywhere.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.bands import exact_third_octaves
from calculators.physics.checking import require_positive
from calculators.physics.exact_waves import chance, sine_of_turns

DITHER_STEP = 2.0**-15
"""Ratio to full scale of one step of a 16-bit file."""
RISE, FALL = 0.0002, 0.004
"""s: the pulse's way up, and its way back."""
TONES_GRID = 65_536
"""Samples in which each tone of the many goes round a whole number of times."""


def dither(start: int, count: int, seed: int) -> FloatArray:
    """Silence of a 16-bit file with triangular dither, a ratio: -1, 0 or 1 step of the file.

    start, count: number of the first sample, and how many. seed: number, 0 or more.
    Its RMS is half a step: -93.3 dB below a full-scale sine.
    Source: Lipshitz, Wannamaker and Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355: of eight
    samples one goes up and one down.
    """
    eighth = chance(seed, start, count) >> np.uint64(61)
    return np.asarray(DITHER_STEP * ((eighth == 0) * 1.0 - (eighth == 1)), dtype=np.float64)


def pulse(sample_rate: float, start: int, count: int) -> FloatArray:
    """One short sawtooth, a ratio: up to 1 within `RISE`, back to 0 within `FALL`.

    sample_rate: Hz, above 0. start, count: number of the first sample, and how many.
    Raises ValueError at or below 0.
    Source: definition of our own. Its first excursion tells the polarity through a filter, too.
    """
    require_positive(sample_rate=sample_rate)
    time = np.arange(start, start + count, dtype=np.float64) / sample_rate
    return np.asarray(np.clip(np.minimum(time / RISE, 1 - (time - RISE) / FALL), 0.0, 1.0), dtype=np.float64)


@cache
def _one_turn() -> FloatArray:
    return sine_of_turns(np.arange(TONES_GRID) / TONES_GRID)


def many_tones(sample_rate: float, start: int, count: int, seed: int) -> FloatArray:
    """A tone in each of the 31 third octaves, all at once and equally strong, RMS a ratio of 1/√2.

    sample_rate: Hz, above 0. start, count: number of the first sample, and how many. seed: number of the
    phases, 0 or more.
    Each lies on a whole number of turns in 65,536 samples: a transform of that length tells them apart.
    Raises ValueError at or below 0.
    Source: definition; phases by chance.
    """
    require_positive(sample_rate=sample_rate)
    centres = exact_third_octaves()
    places = np.arange(start, start + count, dtype=np.int64)
    phases = (chance(seed, 0, centres.size) >> np.uint64(48)).astype(np.int64)
    total = np.zeros(count)
    turns = np.rint(centres * TONES_GRID / sample_rate).astype(np.int64)
    for turn, phase in zip(turns.tolist(), phases.tolist(), strict=True):
        total += _one_turn()[(places * turn + phase) & (TONES_GRID - 1)]
    return total / float(np.sqrt(centres.size))


def held_noise(noise: FloatArray, peak: float, share: float) -> FloatArray:
    """Noise cut off at a peak and made as strong again as it was, RMS a ratio of 1 over a long time.

    noise: ratio, RMS 1. peak: ratio to its RMS at which it is cut. share: ratio of its power that is left.
    Source: definition. Of a bell curve cut at k, 1 − 2·(k·φ(k) + (1 − k²)·Q(k)) is left (algebra).
    """
    return np.asarray(np.clip(noise, -peak, peak) / float(np.sqrt(share)), dtype=np.float64)
