"""How speakers add up by power over several points, and what those lose that meet in the bass."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.flattening import TO_LEVELS
from calculators.physics.speaker_system import PER_BAND, band_centres, grid

APART = (800.0, 1600.0)
"""Hz: left and right add as they stand below, by power above, where points are to stand for a head's room."""
_MEETING = np.flatnonzero((band_centres() > 48.0) & (band_centres() < 130.0))
"""Third octaves, 50 to 125 Hz, in which a subwoofer meets what plays above it."""
MEETING = slice(PER_BAND * int(_MEETING[0]), PER_BAND * (int(_MEETING[-1]) + 1))
"""Their places on the grid."""

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


def over_meeting(values: FloatArray) -> FloatArray:
    """Means over each third octave of `MEETING` of values (a ratio) there; the last axis of 40 becomes 5.

    Source: definition.
    """
    return np.asarray(
        np.mean(values.reshape(*values.shape[:-1], values.shape[-1] // PER_BAND, PER_BAND), axis=-1)
    )


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
    rows, pulls = [], []
    for seat in heard:
        between = seat[:, :, MEETING]
        for number, others in joins:
            own, rest = np.zeros((2, len(moved), 1))
            own[number], rest[list(others)] = 1.0, 1.0
            low, high, both = (_pulls(between, plays * moved) for plays in (own, rest, own + rest))
            powers = [over_meeting(np.sum(each.real, axis=0)) + 1e-30 for each in (low, high, both)]
            weak, strong = np.sqrt(powers[0]), np.sqrt(powers[1])
            rows.append(TO_LEVELS * (np.log(powers[2]) - 2 * np.log(weak + strong)))
            shares = [weak / (weak + strong) / powers[0], strong / (weak + strong) / powers[1], 1 / powers[2]]
            of_low, of_high, of_both = (np.repeat(each, PER_BAND) for each in shares)
            pulls.append(2 * TO_LEVELS * (of_both * both - of_low * low - of_high * high))
    places = MEETING.stop - MEETING.start
    return (
        np.array(rows).reshape(-1, places // PER_BAND),
        np.array(pulls, dtype=np.complex128).reshape(-1, len(moved), places),
    )


def _pulls(between: ComplexArray, played: ComplexArray) -> ComplexArray:
    """What each channel has of a power: half its slope by the logarithm of the gain."""
    return np.asarray(np.conj(np.sum(between * played, axis=1)) * played, dtype=np.complex128)
