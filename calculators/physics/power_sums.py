"""How speakers add up by power over several points, and what those lose that meet in the bass."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.flattening import TO_LEVELS
from calculators.physics.speaker_system import PER_BAND, band_centres, grid, in_bands

SIDES_BY_POWER, PARTS_BY_POWER = (800.0, 1600.0), (2000.0, 4000.0)
"""Hz: left and right add as they stand below the first, by power above the second, where points are to stand
for a head's room. Any two others, as tweeter and woofer of one side, stand closer and do so later."""
BASS_JOIN = (50.0, 125.0)
"""Hz, in which a subwoofer meets what plays above it."""
_MEETING = np.flatnonzero((band_centres() * 1.02 > BASS_JOIN[0]) & (band_centres() < 1.02 * BASS_JOIN[1]))
MEETING = slice(PER_BAND * int(_MEETING[0]), PER_BAND * (int(_MEETING[-1]) + 1))
"""Places on the grid, 45 to 139 Hz, of the whole third octaves called 50 to 125 Hz: a fit pays for what is
lost in these; what a sheet tells of a join lies within `BASS_JOIN` itself."""

type Joins = tuple[tuple[int, tuple[int, ...]], ...]
"""Numbers of a subwoofer and of what it meets."""


def cross_powers(
    gains: ComplexArray, weights: FloatArray, sides: FloatArray | None = None, parts: bool = True
) -> ComplexArray:
    """How each channel adds to each other over some points, ratios, shape (channels, channels, 216).

    gains: complex, ratios, shape (points, channels, 216). weights: ratio, of each point. sides: factor, -1
    left, 1 right, 0 neither, of each channel, to let left and right add by power where a head is wide against
    the wave; None to take them as they add at these very points. parts: whether any two others do so too.
    The power heard is then that of the points between too: what left and right do together above 1 kHz
    turns over within a hand's breadth, so that few points say little about it; and in the middle all were
    brought into step, as nowhere else.
    Source: sum of phasors, textbook; the bounds of the crossing over: found on simulated cabins.
    """
    share = weights / np.sum(weights)
    found = np.einsum("p,pcf,pdf->cdf", share, np.conj(gains), gains)
    if sides is None:
        return np.asarray(found, dtype=np.complex128)
    opposite = np.multiply.outer(sides, sides)[:, :, np.newaxis] < 0
    own = np.eye(sides.size, dtype=bool)[:, :, np.newaxis]
    kept = np.where(opposite, _in_step(*SIDES_BY_POWER), _in_step(*PARTS_BY_POWER) if parts else 1.0)
    return np.asarray(found * np.where(own, 1.0, kept), dtype=np.complex128)


def _in_step(low: float, high: float) -> FloatArray:
    """How far two add as they stand, factor, shape (216,): 1 below the one, 0 above the other (Hz)."""
    place = np.clip(np.log(high / grid()) / math.log(high / low), 0, 1)
    return np.asarray(np.sin(np.pi / 2 * place) ** 2)


@dataclass(frozen=True, eq=False)
class Meetings:
    """Joins as they are heard at each seat, for each of the two parts that meet, on the places of `MEETING`.

    plays: factor, 1 or 0, of each channel in each part, shape (joins, 2, channels, 1). heard: ratio, how each
    channel adds to those of a part, shape (seats, joins, 2, channels, channels, 40).
    """

    plays: FloatArray
    heard: ComplexArray


def meetings(heard: tuple[ComplexArray, ...], joins: Joins) -> Meetings:
    """What `lost_in_joins` asks of joins.

    heard: ratio, `cross_powers` of each seat. joins: number. Source: definition.
    """
    plays = np.zeros((len(joins), 2, len(heard[0]), 1))
    for row, (number, others) in enumerate(joins):
        plays[row, 0, number], plays[row, 1, list(others)] = 1.0, 1.0
    between = np.array([seat[:, :, MEETING] for seat in heard])
    return Meetings(plays, np.asarray(between[:, None, None] * plays[:, :, None], dtype=np.complex128))


@dataclass(frozen=True, eq=False)
class Lost:
    """What each join lacks of two parts in step at each seat.

    rows: dB by third octave, shape (rows, 5). of_parts, of_both: ratio, what each channel has of the power of
    a part, and of both together. powers, power: ratio, these, by third octave.
    """

    rows: FloatArray
    of_parts: ComplexArray
    of_both: ComplexArray
    powers: FloatArray
    power: FloatArray

    @property
    def pulls(self) -> ComplexArray:
        """dB, shape (rows, channels, 40): the real part of one times a change of the logarithm of a channel's
        gain, averaged over a third octave, is what the row grows by.
        """
        strengths = np.sqrt(self.powers)
        shares = strengths / np.sum(strengths, axis=2)[:, :, np.newaxis] / self.powers
        of_parts = np.repeat(shares, PER_BAND, axis=-1)[:, :, :, np.newaxis] * self.of_parts
        of_both = np.repeat(1 / self.power, PER_BAND, axis=-1)[:, :, np.newaxis] * self.of_both
        pulls = 2 * TO_LEVELS * (of_both - np.sum(of_parts, axis=2))
        return np.asarray(pulls.reshape(len(self.rows), *pulls.shape[2:]), dtype=np.complex128)


def lost_in_joins(met: Meetings, through: ComplexArray) -> Lost:
    """What joins lose.

    through: complex ratio, what is done to each channel, shape (channels, 216).
    Source: sum of phasors, textbook; its differential.
    """
    moved = through[:, MEETING]
    played = met.plays * moved
    whole = np.sum(met.heard * moved, axis=4)
    of_parts = np.conj(whole) * played
    of_both = np.conj(np.sum(whole, axis=2)) * np.sum(played, axis=1)
    powers = in_bands(np.sum(of_parts.real, axis=3)) + 1e-30
    power = in_bands(np.sum(of_both.real, axis=2)) + 1e-30
    together = np.sum(np.sqrt(powers), axis=2)
    rows = TO_LEVELS * (np.log(power) - 2 * np.log(together))
    seats, joins, bands = rows.shape
    return Lost(rows.reshape(seats * joins, bands), of_parts, of_both, powers, power)
