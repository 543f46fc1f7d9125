"""Loudness of a sound as broadcasting measures it, in LKFS: dB against full scale, weighted and gated."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.filters import Sections, response, to_digital
from calculators.physics.in_parts import InParts, parts

# The two stages of Annex 1, at 48 kHz: a shelf for the head, and a low cut.
_PUBLISHED_RATE = 48e3
_NUMERATORS = np.array([[1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -2.0, 1.0]])
_DENOMINATORS = np.array(
    [[1.0, -1.69065929318241, 0.73248077421585], [1.0, -1.99004745483398, 0.99007225036621]]
)
_OFFSET = -0.691
_BLOCK, _BLOCK_STEP = 0.4, 0.1
_ABSOLUTE_GATE, _RELATIVE_GATE = -70.0, -10.0
# The low cut's ringing is gone after that, s.
_TAIL = 0.5


def k_weighting(sample_rate: float) -> Sections:
    """The weighting filter as sections for a sample rate (Hz), from 16 kHz on.

    At 48 kHz its coefficients are the published ones. At another rate it is the same analogue filter,
    found by the bilinear transform backwards, and made digital so that each stage keeps its corner.
    Raises ValueError for a rate below 16 kHz.
    Source: ITU-R BS.1770-4, Annex 1; bilinear transformation.
    """
    if not 16e3 <= sample_rate < math.inf:
        raise ValueError("the sample rate must be 16 kHz or more")
    above, below = _untransformed(_NUMERATORS), _untransformed(_DENOMINATORS)
    corner = np.sqrt(below[:, 2] / below[:, 0])
    frequency = _PUBLISHED_RATE / math.pi * np.arctan(corner)
    powers = (2 * math.pi * frequency / corner)[:, np.newaxis] ** np.array([2.0, 1.0, 0.0])
    return to_digital(Sections(above / powers, below / powers), sample_rate, frequency)


def _untransformed(polynomials: FloatArray) -> FloatArray:
    """Coefficients of u², u and 1 after z⁻¹ = (1 - u)/(1 + u), fractions cleared."""
    first, middle, last = polynomials.T
    return np.stack([first - middle + last, 2 * (first - last), first + middle + last], axis=1)


def loudness(channels: FloatArray, sample_rate: float) -> InParts[float]:
    """Gated loudness, LKFS (dB against full scale), of one channel or of left, right and centre together.

    channels: amplitudes, a ratio of full scale, shape (channels, samples). sample_rate: Hz, from 16 kHz on.
    Raises ValueError if it is shorter than 0.4 s, or nothing of it is louder than -70 LKFS.
    Source: ITU-R BS.1770-4, Annex 1: blocks of 0.4 s, each 0.1 s after the last; the absolute gate, then
    the relative one 10 LU under what passes the first.
    """
    power = yield from _block_powers(channels, sample_rate)
    gate = _power_of(_ABSOLUTE_GATE)
    if not np.any(power > gate):
        raise ValueError("nothing of it is loud enough to be measured")
    mean = float(np.mean(power[power > gate]))
    gate = max(gate, mean * 10 ** (_RELATIVE_GATE / 10))
    return _OFFSET + 10 * math.log10(float(np.mean(power[power > gate])))


def _power_of(level: float) -> float:
    return float(10 ** ((level - _OFFSET) / 10))


def _block_powers(channels: FloatArray, sample_rate: float) -> InParts[FloatArray]:
    """Mean square of each block behind the weighting, all channels added up."""
    count = channels.shape[1]
    blocks = int((count / sample_rate - _BLOCK) / _BLOCK_STEP + 1 + 1e-9)
    if blocks < 1:
        raise ValueError("loudness is measured over 0.4 s or more")
    size = count + round(_TAIL * sample_rate)
    square = np.zeros(count)
    for channel in channels:
        spectrum = np.fft.rfft(channel, size)
        yield
        for part in parts(spectrum.size):
            spectrum[part] *= _weights(part.start, part.stop, size, sample_rate)
            yield
        square += np.fft.irfft(spectrum, size)[:count] ** 2
        yield
    ends = np.concatenate([[0.0], np.cumsum(square)])
    starts = np.round(np.arange(blocks) * _BLOCK_STEP * sample_rate).astype(np.int64)
    length = round(_BLOCK * sample_rate)
    stops = np.minimum(starts + length, count)
    return np.asarray((ends[stops] - ends[starts]) / length, dtype=np.float64)


@lru_cache(maxsize=8)
def _weights(start: int, stop: int, size: int, sample_rate: float) -> ComplexArray:
    """The weighting at some frequencies of a sound of so many samples: sounds to compare share it."""
    return response(k_weighting(sample_rate), np.arange(start, stop) * (sample_rate / size))
