"""Taking a sweep out of a recording: where it stands, how the clocks run, and the impulse response.

A recording is looked at with the sweep as the recorder's own clock would have sampled it, so no sample rate
has to be changed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.in_parts import InParts, parts
from calculators.physics.sweeps import Signal, Sweep, samples

EDGE_OCTAVES = 1 / 6
"""Octaves at either end of a sweep of which nothing is told: half of its fade can still be divided by."""
BLOCK_TIME = 1e-3
"""Length, s, of the pieces in which a sweep is looked for."""
MOST_DRIFT = 220e-6
"""Two clocks of the trade lie no further apart, as a ratio."""
FOUND_AT = 40.0
"""A sweep stands out of what surrounds it by so many times in energy, or it is not there."""


def good_size(least: int) -> int:
    """The next number of samples whose transform is quick: a power of two, or one of it times 5/8, 3/4, 9/16.

    least: count. Source: sizes with small factors, textbook.
    """
    power = 1 << max(4, (least - 1).bit_length())
    return next(size for size in (power * 9 // 16, power * 5 // 8, power * 3 // 4, power) if size >= least)


def band_share(frequency: FloatArray, sweep: Sweep) -> FloatArray:
    """Ratio, 0 to 1, of what a sweep tells of each frequency: whole between its ends, nothing outside.

    frequency: Hz. Source: raised cosine over `EDGE_OCTAVES`.
    """
    fade = EDGE_OCTAVES
    with np.errstate(divide="ignore"):
        above = np.log2(frequency / sweep.low) / fade
        below = np.log2(sweep.high / np.maximum(frequency, 1e-9)) / fade
    near = np.clip(np.minimum(above, below), 0.0, 1.0)
    return np.asarray(np.sin(np.pi / 2 * near) ** 2, dtype=np.float64)


@dataclass(frozen=True)
class Inverse:
    """What takes a sweep out: multiplied with a recording's transform it leaves the response.

    size: number of samples of the transform. sample_rate: Hz. factor: ratio for each frequency.
    """

    size: int
    sample_rate: float
    factor: ComplexArray

    @property
    def frequency(self) -> FloatArray:
        """Frequencies of the transform, Hz."""
        return np.asarray(np.fft.rfftfreq(self.size, 1 / self.sample_rate), dtype=np.float64)


def _spectrum_of(sweep: Sweep, sample_rate: float, size: int) -> InParts[ComplexArray]:
    """Spectrum (a ratio) of a sweep, which is made part by part."""
    sound, frames = np.zeros(size), sweep.frames(sample_rate)
    for part in parts(frames):
        sound[part] = samples(sweep, sample_rate, part.start, part.stop - part.start)
        yield
    spectrum = np.fft.rfft(sound)
    yield
    return np.asarray(spectrum, dtype=np.complex128)


def inverse_of(sweep: Sweep, sample_rate: float, size: int, stretch: float = 1.0) -> InParts[Inverse]:
    """The regularised inverse (a ratio) of a sweep: exact in its band, silent outside.

    sample_rate: Hz. size: number of samples. stretch: ratio by which the recorder's clock runs faster than
    the player's.
    One transform of so many samples cannot be cut: 2^20 take about 0.04 s in a page.
    Source: Kirkeby and Nelson, J. Audio Eng. Soc. 47 (1999) 583.
    """
    kept = yield from _spectrum_of(sweep, sample_rate * stretch, size)
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    for part in parts(kept.size):
        spectrum, share = kept[part], band_share(frequency[part], sweep)
        # Level of an exponential sweep's spectrum: half of sqrt(rate/frequency), in samples.
        power = sample_rate**2 * sweep.rate / 4 / np.maximum(frequency[part], sweep.low / 2)
        kept[part] = np.conj(spectrum) * share / (np.abs(spectrum) ** 2 + 0.01 * (1 - share) * power)
        yield
    return Inverse(size, sample_rate, kept)


def finder_of(sweep: Sweep, sample_rate: float, size: int) -> InParts[Inverse]:
    """What presses a sweep together to one place (a ratio), all its frequencies weighing alike.

    sample_rate: Hz. size: number of samples.
    Source: Knapp and Carter, IEEE Trans. ASSP 24 (1976) 320 (phase transform).
    """
    factor = yield from _spectrum_of(sweep, sample_rate, size)
    frequency = np.fft.rfftfreq(size, 1 / sample_rate)
    for part in parts(factor.size):
        spectrum = factor[part]
        share = band_share(frequency[part], sweep)
        factor[part] = np.conj(spectrum) / np.maximum(np.abs(spectrum), 1e-12) * share
        yield
    return Inverse(size, sample_rate, factor)


def pressed_energy(piece: FloatArray, finder: Inverse, kept: int) -> InParts[FloatArray]:
    """Energy (a ratio) of the pressed sweep in each block of `BLOCK_TIME`.

    piece: part of a recording, ratio to full scale; kept: number of its samples in which a sweep may start.
    Source: as in `finder_of`.
    """
    pressed = (yield from impulse_of(piece, finder))[:kept]
    block = max(1, round(BLOCK_TIME * finder.sample_rate))
    whole = np.zeros(-(-kept // block) * block)
    whole[:kept] = pressed**2
    yield
    return np.asarray(whole.reshape(-1, block).sum(axis=1), dtype=np.float64)


@dataclass(frozen=True)
class Place:
    """Where the first play stands.

    start: s, of its first sweep, to a thousandth. quality: ratio by which it stands out. alone: whether the
    second sweep is missing.
    """

    start: float
    quality: float
    alone: bool


def place_of(energy: FloatArray, block_time: float, signal: Signal) -> Place:
    """Where in a recording a signal stands best: both sweeps of every play.

    energy: ratio, block by block. block_time: s.
    Raises ValueError if the recording is shorter than the signal needs.
    Source: search of our own.
    """
    offset = round(signal.spacing / block_time)
    apart = round(signal.play_length / block_time)
    places = energy.size - offset - (signal.plays - 1) * apart
    if places < 1:
        raise ValueError(
            f"The recording is too short: {energy.size * block_time:.1f} s. The file of these settings takes "
            f"{signal.length:.1f} s (from {signal.sweep.low:g} Hz up, plays in it: {signal.plays}). "
            "Record it from start to end, or type in the settings of the file that you played."
        )
    near = math.ceil(MOST_DRIFT * signal.spacing / block_time) + 1
    wide = _highest_near(energy, near)
    score = np.zeros(places)
    for number in range(signal.plays):
        one = wide[number * apart : number * apart + places]
        score += np.sqrt(one * wide[number * apart + offset : number * apart + offset + places])
    middle = float(np.median(energy)) + 1e-30
    best = _first_highest(score)
    low = max(0, best - near)
    best = low + _first_highest(energy[low : best + near + 1])
    quality = float(np.max(score)) / signal.plays / middle
    return Place(best * block_time, quality, float(np.max(energy)) / middle > FOUND_AT > quality)


def _first_highest(values: FloatArray) -> int:
    """Place of the first that is as high as any, to a millionth: no last digit decides between two blocks."""
    return int(np.argmax(values >= (1 - 1e-6) * np.max(values)))


def _highest_near(values: FloatArray, near: int) -> FloatArray:
    padded = np.pad(values, near)
    return np.asarray(
        np.max(np.stack([padded[shift : shift + values.size] for shift in range(2 * near + 1)]), axis=0),
        dtype=np.float64,
    )


def impulse_of(piece: FloatArray, inverse: Inverse) -> InParts[FloatArray]:
    """Impulse response (a ratio) of what stood between sweep and recording.

    piece: part of a recording, ratio to full scale, that begins where the sweep is taken to begin.
    Source: Farina, AES 108th Convention, Paris 2000.
    """
    spectrum = np.fft.rfft(piece, inverse.size)
    yield
    spectrum *= inverse.factor
    yield
    response = np.fft.irfft(spectrum, inverse.size)
    yield
    return np.asarray(response, dtype=np.float64)


@dataclass(frozen=True)
class Lag:
    """By how much the second of two like responses is later.

    time: s. error: s, one standard deviation. likeness: ratio, 0 to 1.
    """

    time: float
    error: float
    likeness: float


def lag_between(first: FloatArray, second: FloatArray, sample_rate: float, most: float) -> Lag:
    """How much later, s, the second of two impulse responses is, to a part of a sample.

    first, second: ratio, of one length, windowed. sample_rate: Hz. most: s, the largest lag there can be.
    Source: Knapp and Carter 1976; the slope of the cross-spectrum's phase by weighted least squares.
    """
    size = good_size(2 * first.size)
    one, two = np.fft.rfft(first, size), np.fft.rfft(second, size)
    cross = two * np.conj(one)
    turn = 2 * np.pi * np.fft.rfftfreq(size, 1 / sample_rate)
    reach = max(1, math.ceil(most * sample_rate))
    lags = np.fft.irfft(cross, size)
    places = np.arange(-reach, reach + 1)
    time = float(places[np.argmax(np.abs(lags[places]))]) / sample_rate
    weight = np.abs(cross)
    for _ in range(4):
        phase = np.angle(cross * np.exp(1j * turn * time))
        time -= float(np.sum(weight * turn * phase) / (np.sum(weight * turn**2) + 1e-300))
    turned = cross * np.exp(1j * turn * time)
    energy = math.sqrt(float(np.sum(np.abs(one) ** 2) * np.sum(np.abs(two) ** 2))) + 1e-300
    phase = np.angle(turned)
    # Neighbours of a windowed response are not independent: as many are as it has samples.
    independent = max(1.0, first.size / size)
    spread = float(np.sum((weight * turn * phase) ** 2)) / independent
    error = math.sqrt(spread) / (float(np.sum(weight * turn**2)) + 1e-300)
    return Lag(time, error, max(0.0, float(np.sum(turned.real)) / energy))
