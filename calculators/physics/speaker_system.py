"""Several speakers heard together: what each does at each place, times what the processor does, summed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, power_of
from calculators.physics.biquads import biquad
from calculators.physics.filters import Sections, cascade, crossover_filter, response

LOWEST_BAND, HIGHEST_BAND = -14, 12
"""Bands that are looked at, counted from 1 kHz = 0 in third octaves: 40 Hz to 16 kHz."""
THIRDS = HIGHEST_BAND - LOWEST_BAND + 1
PER_BAND = 8
"""Places in each third octave: 24 to the octave."""
SCATTER_OVER = 9
"""Third octaves over which the scatter of points is averaged."""


@cache
def grid() -> FloatArray:
    """Places, Hz, shape (216,): eight evenly in each third octave (by ratio) from 40 Hz to 16 kHz.

    Source: IEC 61260-1:2014, base ten, for the bands.
    """
    steps = np.arange(THIRDS * PER_BAND) + 0.5
    return np.asarray(1000 * 10 ** ((LOWEST_BAND - 0.5 + steps / PER_BAND) / 10), dtype=np.float64)


@cache
def band_centres() -> FloatArray:
    """Middles of the third octaves, Hz, shape (27,). Source: IEC 61260-1:2014, base ten."""
    return np.asarray(1000 * 10 ** (np.arange(LOWEST_BAND, HIGHEST_BAND + 1) / 10), dtype=np.float64)


def in_band(low: float, high: float) -> IndexArray:
    """Numbers of the third octaves from one to another, both ends among them.

    low, high: Hz. Source: definition.
    """
    centres = band_centres()
    return np.flatnonzero((centres > low * 0.95) & (centres < high * 1.05))


def in_bands(values: FloatArray) -> FloatArray:
    """Means over each third octave of values (a ratio) on the grid, or on whole third octaves of it.

    The last axis of 216 becomes one of 27, and of 40 one of 5.
    Source: definition.
    """
    bands = values.shape[-1] // PER_BAND
    # A fit asks ten thousand times, and `np.mean` would spend longer on questions than on sums.
    sums = np.add.reduce(values.reshape(*values.shape[:-1], bands, PER_BAND), axis=-1)
    return np.asarray(sums / PER_BAND, dtype=np.float64)


def levels_of(power: FloatArray) -> FloatArray:
    """Level, dB, of each third octave of power on the grid; the last axis of 216 becomes one of 27.

    power: a ratio, at each place. Source: definition; power averages as IEC 61260-1 has them.
    """
    return np.asarray(10 * np.log10(np.maximum(in_bands(power), 1e-30)), dtype=np.float64)


def band_levels(sums: ComplexArray) -> FloatArray:
    """Level, dB, of each third octave: the mean power over points and places.

    sums: complex gains, ratios, shape (points, 216). The answer has the shape (27,).
    Source: as in `levels_of`.
    """
    return levels_of(np.mean(power_of(sums), axis=0))


def spread(power: FloatArray, inside: IndexArray) -> FloatArray:
    """RMS, dB, by which points differ from their mean in each third octave, loudness as a whole aside.

    power: a ratio, shape (points, 216). inside: numbers of the third octaves that are played, shape (n,), as
    the answer's.
    Source: definition.
    """
    points, together = levels_of(power)[:, inside], levels_of(np.mean(power, axis=0))[inside]
    own = points - np.mean(points, axis=1, keepdims=True)
    return np.asarray(np.sqrt(np.mean((own - (together - np.mean(together))) ** 2, axis=0)), dtype=np.float64)


def scatter_lowers(power: FloatArray, inside: IndexArray) -> FloatArray:
    """By how much the mean of the levels at single places lies under the level of their mean power, dB.

    power: a ratio, at points that stand for those places, shape (points, 216), three points or more.
    inside: numbers of the third octaves that are played, shape (n,), as the answer's. The points' variance in
    each of them, loudness as a whole aside, is averaged over three octaves: a few points tell no more. What
    they have in common is taken out over n bands and takes an nth of the variance with it: of 27, 0.07 dB too
    little where points scatter by 4 dB.
    Source: mean of a log-normal law, textbook: ln(10)/20 times the variance in dB².
    """
    points = levels_of(power)[:, inside]
    own = points - np.mean(points, axis=1, keepdims=True)
    variance = np.pad(np.var(own, axis=0, ddof=1), SCATTER_OVER // 2, mode="edge")
    smooth = np.convolve(variance, np.ones(SCATTER_OVER) / SCATTER_OVER, mode="valid")
    return np.asarray(math.log(10) / 20 * smooth, dtype=np.float64)


def off_target(levels: FloatArray, target: FloatArray) -> FloatArray:
    """What levels are over a target, dB, but for what all have in common.

    levels, target: dB, shape (27,). Source: definition.
    """
    apart = levels - target
    return np.asarray(apart - np.mean(apart), dtype=np.float64)


def rms(values: FloatArray) -> float:
    """Root of the mean square of values (dB), dB. Source: definition."""
    return math.sqrt(float(np.mean(values**2)))


@dataclass(frozen=True, eq=False)
class Setting:
    """What a processor does to one channel.

    high_pass, low_pass: Hz, Linkwitz-Riley of fourth order, or None. gain: dB. delay: s. sign: factor, 1 or
    -1 with the polarity turned. filters: Hz, dB and Q of each peak, shape (n, 3). all_pass: Hz and Q of an
    all-pass of second order, or None.
    """

    high_pass: float | None = None
    low_pass: float | None = None
    gain: float = 0.0
    delay: float = 0.0
    sign: float = 1.0
    filters: FloatArray | None = None
    all_pass: tuple[float, float] | None = None

    def sections(self, sample_rate: float | None) -> Sections | None:
        """Its filters in a row, digital with a sample rate (Hz); None without one. Source: as in `biquad`."""
        parts: list[Sections] = []
        if self.high_pass is not None:
            parts.append(crossover_filter("high-pass", "linkwitz-riley", 4, self.high_pass, sample_rate))
        if self.low_pass is not None:
            parts.append(crossover_filter("low-pass", "linkwitz-riley", 4, self.low_pass, sample_rate))
        if self.filters is not None and len(self.filters):
            frequency, gain, q = self.filters.T
            parts.append(biquad("peak", frequency, gain, q, sample_rate))
        if self.all_pass is not None:
            parts.append(biquad("all-pass", self.all_pass[0], q=self.all_pass[1], sample_rate=sample_rate))
        return cascade(*parts) if parts else None


def chain(setting: Setting, frequency: FloatArray, sample_rate: float | None = None) -> ComplexArray:
    """Complex gain, a ratio, of a processor's channel.

    frequency: Hz. sample_rate: Hz, or None for analogue filters.
    Source: filters in a row and a delay, textbook.
    """
    sections = setting.sections(sample_rate)
    filtered = np.ones_like(frequency) if sections is None else response(sections, frequency)
    turn = setting.sign * 10 ** (setting.gain / 20) * np.exp(-2j * math.pi * frequency * setting.delay)
    return np.asarray(filtered * turn, dtype=np.complex128)


def chains(
    settings: tuple[Setting, ...], frequency: FloatArray, sample_rate: float | None = None
) -> ComplexArray:
    """Complex gain of each channel, a ratio, shape (channels, m). The rest and the source as in `chain`."""
    return np.stack([chain(setting, frequency, sample_rate) for setting in settings])


def summed(gains: ComplexArray, through: ComplexArray) -> ComplexArray:
    """All channels together at each point, complex gains, ratios, shape (points, m).

    gains: a ratio, of each speaker at each point, shape (points, channels, m). through: a ratio, of each
    channel of the processor, shape (channels, m).
    Source: superposition.
    """
    return np.asarray(np.sum(gains * through, axis=1), dtype=np.complex128)
