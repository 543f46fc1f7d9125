"""How speakers add up by power over several points, and what those lose that meet in the bass."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.flattening import TO_LEVELS
from calculators.physics.speaker_system import PER_BAND, band_centres, grid, in_bands

APART = (800.0, 1600.0)
"""Hz: left and right add as they stand below, by power above, where points are to stand for a head's room."""
BASS_JOIN = (50.0, 125.0)
"""Hz, in which a subwoofer meets what plays above it."""
_MEETING = np.flatnonzero((band_centres() * 1.02 > BASS_JOIN[0]) & (band_centres() < 1.02 * BASS_JOIN[1]))
MEETING = slice(PER_BAND * int(_MEETING[0]), PER_BAND * (int(_MEETING[-1]) + 1))
"""Places on the grid, 45 to 139 Hz, of the whole third octaves called 50 to 125 Hz: a fit pays for what is
lost in these; what a sheet tells of a join lies within `BASS_JOIN` itself."""

type Joins = tuple[tuple[int, tuple[int, ...]], ...]
"""Numbers of a subwoofer and of what it meets."""


def cross_powers(gains: ComplexArray, weights: FloatArray, sides: FloatArray | None = None) -> ComplexArray:
    """How each channel adds to each other over some points, ratios, shape (channels, channels, 216).

    gains: complex, ratios, shape (points, channels, 216). weights: ratio, of each point. sides: factor, -1
    left, 1 right, 0 neither, of each channel, to let left and right add by power where a head is wide against
    the wave; None to take them as they add at these very points.
    The power heard is then that of the points between too: what left and right do together above 1 kHz
    turns over within a hand's breadth, so that few points say little about it.
    Source: sum of phasors, textbook; the bounds of the crossing over: found on simulated cabins.
    """
    share = weights / np.sum(weights)
    found = np.einsum("p,pcf,pdf->cdf", share, np.conj(gains), gains)
    if sides is None:
        return np.asarray(found, dtype=np.complex128)
    low, high = APART
    place = np.clip(np.log(high / grid()) / math.log(high / low), 0, 1)
    kept = np.sin(np.pi / 2 * place) ** 2
    opposite = np.multiply.outer(sides, sides) < 0
    return np.asarray(np.where(opposite[:, :, np.newaxis], found * kept, found), dtype=np.complex128)


def lost_in_joins(
    heard: tuple[ComplexArray, ...], joins: Joins, through: ComplexArray
) -> tuple[FloatArray, ComplexArray]:
    """What each join lacks of two parts in step at each seat, dB by third octave, shape (rows, 5), and pulls.

    heard: ratio, `cross_powers` of each seat. joins: number. through: complex ratio, what is done to each
    channel, shape (channels, 216). Pulls, dB, shape (rows, channels, 40): the real part of one times a change
    of the logarithm of a channel's gain, averaged over a third octave, is what the row grows by.
    Source: sum of phasors, textbook; its differential.
    """
    moved = through[:, MEETING]
    between = np.array([seat[:, :, MEETING] for seat in heard])
    plays = np.zeros((len(joins), 2, len(moved), 1))
    for row, (number, others) in enumerate(joins):
        plays[row, 0, number], plays[row, 1, list(others)] = 1.0, 1.0
    played = plays * moved
    whole = np.einsum("scdf,jpdf->sjpcf", between, played)
    # Of the low part, of the high one, and of both together, by seat and join.
    of_parts = np.conj(whole) * played
    of_both = np.conj(np.sum(whole, axis=2)) * np.sum(played, axis=1)
    powers = in_bands(np.sum(of_parts.real, axis=3)) + 1e-30
    power = in_bands(np.sum(of_both.real, axis=2)) + 1e-30
    strengths = np.sqrt(powers)
    together = np.sum(strengths, axis=2)
    rows = TO_LEVELS * (np.log(power) - 2 * np.log(together))
    shares = np.repeat(strengths / together[:, :, np.newaxis] / powers, PER_BAND, axis=-1)[
        :, :, :, np.newaxis
    ]
    own = np.repeat(1 / power, PER_BAND, axis=-1)[:, :, np.newaxis] * of_both
    pulls = 2 * TO_LEVELS * (own - np.sum(shares * of_parts, axis=2))
    places = MEETING.stop - MEETING.start
    count = len(heard) * len(joins)
    return rows.reshape(count, places // PER_BAND), pulls.reshape(count, len(moved), places)
