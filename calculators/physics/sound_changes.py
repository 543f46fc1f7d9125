"""What is done to a sound that goes round and round: filters, delays and clipping, without a seam."""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import partial

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.checking import require_not_negative
from calculators.physics.filters import Sections, response
from calculators.physics.in_parts import amplified
from calculators.physics.sound_material import Making

_OVERSAMPLING = 4
_HIGHEST_OVERLOAD, _STEPS = 40.0, 400


def filtered(sound: FloatArray, sections: Sections) -> Making:
    """The sound through a digital filter, in steps, amplitudes a ratio; it goes on going round.

    sound: amplitudes, a ratio, shape (samples,), an even number of them. Raises ValueError for an analogue
    filter.
    Source: Oppenheim and Schafer, Discrete-Time Signal Processing: convolution by the Fourier transform.
    """
    if sections.sample_rate is None:
        raise ValueError("the filter must be digital")
    return (yield from shaped(sound, sections.sample_rate, partial(response, sections)))


def delayed(sound: FloatArray, delay: float, sample_rate: float) -> Making:
    """The sound later by a delay, exactly, parts of a sample too, in steps; amplitudes a ratio.

    sound: as in `filtered`. delay: s, below 0 for earlier. sample_rate: Hz.
    Source: Oppenheim and Schafer, Discrete-Time Signal Processing: a delay is a phase that grows evenly.
    """
    return (
        yield from shaped(sound, sample_rate, lambda frequency: np.exp(-2j * math.pi * frequency * delay))
    )


def shaped(sound: FloatArray, sample_rate: float, gain: Callable[[FloatArray], ComplexArray]) -> Making:
    """The sound with a complex gain, a ratio at each of its frequencies, in steps; amplitudes a ratio.

    sound: as in `filtered`. sample_rate: Hz. gain: ratio, at frequencies asked for. Source: as in `filtered`.
    """
    spectrum = np.fft.rfft(sound)
    yield
    yield from amplified(spectrum, np.fft.rfftfreq(sound.size, 1 / sample_rate), gain)
    return np.asarray(np.fft.irfft(spectrum, sound.size), dtype=np.float64)


def clipped(sound: FloatArray, overload: float) -> Making:
    """The sound raised until its peaks lie over full scale, and cut off there, in steps; amplitudes a ratio.

    sound: as in `filtered`. overload: dB, 0 or more, by which its highest peak would lie over full scale.
    It is cut at four times the rate, so that what the cutting adds above half the rate does not fold back;
    between samples it can reach a little over full scale again.
    Raises ValueError for an overload below 0, or silence.
    Source: definition; oversampling by the Fourier transform.
    """
    require_not_negative(overload=overload)
    count = sound.size
    spectrum = np.fft.rfft(sound)
    spectrum[-1] *= 2  # As a transform at the finer rate takes it, where it is not the highest.
    yield
    # The finer samples lie beside the sound's: each set of them is the sound earlier by a share of a sample.
    earlier = np.exp(2j * math.pi / _OVERSAMPLING / count * np.arange(spectrum.size))
    yield
    beside = []
    for _ in range(_OVERSAMPLING):
        beside.append(np.fft.irfft(spectrum, count))
        spectrum *= earlier
        yield
    peak = max(float(np.max(np.abs(samples))) for samples in beside)
    if peak == 0:
        raise ValueError("silence cannot be raised")
    gain = 10 ** (overload / 20) / peak
    later = earlier.conj()
    spectrum[:] = 0
    yield
    for samples in reversed(beside):
        spectrum = spectrum * later + np.fft.rfft(np.clip(samples * gain, -1.0, 1.0))
        yield
    return np.asarray(np.fft.irfft(spectrum, count) / _OVERSAMPLING, dtype=np.float64)


def clipping_distortion(overload: float) -> float:
    """Harmonics of a sine cut off at full scale, as a ratio of their RMS to that of its first.

    overload: dB, 0 to 40, by which its peaks would lie over full scale. What is cut off is taken, and its
    own first harmonic from it: so little is left of two large numbers nowhere.
    Raises ValueError outside that range.
    Source: Fourier series of a clipped sine, textbook; a square wave, its limit, has √(π²/8 - 1) = 0.483.
    """
    if not 0 <= overload <= _HIGHEST_OVERLOAD:
        raise ValueError("the overload must be from 0 to 40 dB")
    height = 10 ** (overload / 20)
    edge = math.acos(1 / height)
    at = np.linspace(0.0, edge, _STEPS + 1)
    weight = np.full(_STEPS + 1, 2.0)  # Simpson's rule.
    weight[1::2], weight[[0, -1]] = 4.0, 1.0
    over = 2 * height * np.sin((edge + at) / 2) * np.sin((edge - at) / 2)
    square = 2 / math.pi * float(np.sum(weight * over**2)) * edge / (3 * _STEPS)
    first = 4 / math.pi * float(np.sum(weight * over * np.cos(at))) * edge / (3 * _STEPS)
    return math.sqrt(max(2 * square - first**2, 0.0)) / (height - first)
