"""What a processor's peaks may do: each alone, and those of one channel together."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, power_of
from calculators.physics.flattening import TO_LEVELS, warped
from calculators.physics.speaker_system import PER_BAND, THIRDS, grid

MORE_BOOST, MORE_CUT = 1.0, 3.0
"""dB by which the filters of one channel may together pass what one of them may do: skirts overlap. 1 dB of
lift more asks a quarter more power of amplifier and voice coil; 3 dB of cut more give half of it away, and a
channel that needs more wants another gain, place or crossover. Rule of our own."""
MOST_IN_COMMON = 3.0
"""dB by which the filters of one channel may cut in the mean of its own band, where that is asked: with so
much more gain it plays as loud, and that lifts what its crossover takes away, where filters do nothing. As
much as filters may lift a tweeter under its high-pass. Rule of our own."""
STEEP, STEEPEST = 1.0, 3.0
"""What a dB beyond these, in a third octave of one channel, counts beside a dB off the target in all of them:
while a fit looks for its way, so that it does not creep along a wall, and at its end."""
TO_DECIBELS = 2 * TO_LEVELS


@dataclass(frozen=True)
class Limits:
    """What a processor's peaks can do: gains in dB, Q.

    max_boost, max_cut: dB, 0 or more. q_low, q_high: Q. gain_low, gain_high: dB, of a channel, against where
    it starts. sample_rate: Hz, or None.
    """

    max_boost: float = 6.0
    max_cut: float = 12.0
    q_low: float = 0.5
    q_high: float = 8.0
    gain_low: float = -15.0
    gain_high: float = 6.0
    sample_rate: float | None = 48_000.0

    @cached_property
    def places(self) -> FloatArray:
        """The grid's places on the bilinear transform's scale, ratios. Source: as in `flattening.warped`."""
        return np.exp(warped(np.log(grid()), self.sample_rate)[0])

    @property
    def together(self) -> tuple[float, float]:
        """Lowest and highest level, dB, that the filters of one channel may reach together."""
        return -self.max_cut - MORE_CUT, self.max_boost + MORE_BOOST


@dataclass(frozen=True, eq=False)
class Beyond:
    """What filters do together beyond their limits.

    level: dB, above 0 too much lift, below 0 too much cut, 0 within, by channel and third octave, shape
    (channels, 27). place: number on the grid of the farthest place of each. steep: ratio, what a dB counts.
    common: dB below 0, by which each channel cuts too much in the mean of its own band, shape (channels,).
    own: ratio, as in `beyond`.
    """

    level: FloatArray
    place: IndexArray
    steep: float
    common: FloatArray
    own: FloatArray

    @property
    def rows(self) -> FloatArray:
        """What a fit's cost holds of it, dB: one for each third octave of a channel that is beyond, then one
        for each channel that cuts too much in common.
        """
        past = np.concatenate([self.level[self.level != 0], self.common[self.common != 0]])
        return np.asarray(self.steep * past, dtype=np.float64)

    def slopes(self, by_value: ComplexArray) -> FloatArray:
        """What `rows` grow by with values of the filters, dB for each unit of theirs.

        by_value: slopes of each channel's logarithm, ratios, shape (channels, n, 216). The answer's lines are
        the values of one channel after another, shape (channels times n, rows).
        Source: differential of the logarithm's real part.
        """
        channel, band = np.nonzero(self.level)
        deep = np.flatnonzero(self.common)
        channels, count = by_value.shape[:2]
        found = np.zeros((channels, count, channel.size + deep.size))
        grown = by_value[channel, :, self.place[channel, band]].real
        found[channel, :, np.arange(channel.size)] = grown
        in_mean = by_value[deep].real @ self.own[deep, :, np.newaxis]
        found[deep, :, channel.size + np.arange(deep.size)] = in_mean[..., 0]
        return self.steep * TO_DECIBELS * found.reshape(channels * count, found.shape[2])


def beyond(
    limits: Limits,
    filters: ComplexArray,
    steep: float = STEEP,
    highest: FloatArray | None = None,
    own: FloatArray | None = None,
) -> Beyond:
    """What each channel's filters do together beyond their limits.

    filters: complex ratio, of each channel's filters in a row, on the grid, shape (channels, 216).
    steep: ratio, what a dB counts. highest: dB, what they may lift together, of the same shape, where that is
    not everywhere what `Limits.together` says. own: ratio, of that shape, with which levels of a channel add
    up to their mean in its own band; zeros for one of which nothing is asked there, and None for all.
    Source: definition.
    """
    lowest, most = limits.together
    levels = TO_LEVELS * np.log(power_of(filters))
    own = np.zeros(levels.shape) if own is None else own
    common = np.minimum(np.sum(own * levels, axis=1) + MOST_IN_COMMON, 0.0)
    past = levels - np.clip(levels, lowest, most if highest is None else highest)
    past = past.reshape(-1, THIRDS, PER_BAND)
    if not np.any(past):  # Mostly so, and a search asks a thousand times.
        return Beyond(past[..., 0], np.zeros(past.shape[:2], dtype=np.intp), steep, common, own)
    farthest = np.argmax(np.round(np.abs(past), 9), axis=-1)[..., np.newaxis]
    level = np.take_along_axis(past, farthest, axis=-1)[..., 0]
    return Beyond(level, farthest[..., 0] + PER_BAND * np.arange(THIRDS), steep, common, own)
