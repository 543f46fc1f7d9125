"""How far left and right may differ in a fit: in the mean of broad bands, and at single notes."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from calculators.physics.arrays import FloatArray, IndexArray
from calculators.physics.speaker_system import THIRDS, in_band

SIDE_BANDS = tuple(pairwise((300.0, 600.0, 1200.0, 2500.0, 5000.0, 10_000.0, 16_000.0)))
"""Hz: the bands in which left and right are to be alike."""
JUDGED_FROM_TO = SIDE_BANDS[0][0], SIDE_BANDS[-1][1]
"""Hz, from one end of these to the other."""
PAIR_WEIGHT = 0.3
"""What left against right counts in each of these, beside all channels together: where sides add up by their
power, one may else carry all, and the other be turned down to nothing."""
HELD_WITHIN, HELD_WEIGHT = 0.7, 3.0
"""dB by which sides may differ in each of these where they are held together, and what a dB beyond counts: 1
dB is wanted, and steps and joins that follow a fit take up to 0.3. Rule of our own."""
NOTES_FROM_TO = 300.0, 5000.0
"""Hz, between which a hand matches left and right: a difference there moves a voice at one note."""
NOTE_APART, NOTE_PARTED, NOTE_WEIGHT = 2.5, 0.5, 0.4
"""dB by which sides may differ in a third octave there, or by so much more than without filters, and what a
dB beyond counts. Found on simulated cabins: the farthest note of the middle one falls from 4.5 to 3.6 dB, and
at places that no fit has seen the middle level is as near, and one cabin in fifty leaves a bar."""


def side_means(paired: IndexArray) -> FloatArray:
    """What makes means over `SIDE_BANDS` of levels by third octave, ratio, shape (27, 6).

    paired: numbers of the third octaves that both sides play. Source: definition.
    """
    means = np.zeros((THIRDS, len(SIDE_BANDS)))
    for number, (low, high) in enumerate(SIDE_BANDS):
        inside = np.intersect1d(in_band(low, high), paired)
        means[inside, number] = 1 / max(1, inside.size)
    return means


def notes_within(paired: IndexArray, bare: FloatArray) -> FloatArray:
    """By how much sides may differ in third octaves, dB, shape (pairs, 27); infinite where nobody asks.

    paired: numbers, as in `side_means`. bare: dB, by which they differ without filters, of that shape.
    Source: rule of our own.
    """
    notes = np.intersect1d(in_band(*NOTES_FROM_TO), paired)
    most = np.full(bare.shape, math.inf)
    most[:, notes] = np.maximum(NOTE_APART, np.abs(bare[:, notes]) + NOTE_PARTED)
    return most


@dataclass(frozen=True, eq=False)
class Parted:
    """What sides differ by beyond what they may.

    past: dB, by pair and third octave, 0 within, shape (pairs, 27). broad: dB, by pair and broad band, 0
    within, shape (pairs, 6). means: ratio, as in `parted`.
    """

    past: FloatArray
    broad: FloatArray
    means: FloatArray

    @property
    def rows(self) -> FloatArray:
        """What a fit's cost holds of it, dB: one for each third octave that is beyond, then for each band."""
        notes, bands = self.past[self.past != 0], self.broad[self.broad != 0]
        return np.concatenate([NOTE_WEIGHT * notes, HELD_WEIGHT * bands])

    def slopes(self, grown: FloatArray) -> FloatArray:
        """What `rows` grow by where the difference of sides grows so.

        grown: dB for each unit of some values, shape (…, pairs, 27); the answer's is (…, rows).
        Source: definition.
        """
        notes, bands = grown[..., self.past != 0], (grown @ self.means)[..., self.broad != 0]
        return np.concatenate([NOTE_WEIGHT * notes, HELD_WEIGHT * bands], axis=-1)


def parted(over: FloatArray, within: FloatArray, means: FloatArray, held: bool) -> Parted:
    """What sides differ by beyond what they may.

    over, within: dB, shape (pairs, 27). means: ratio, of `side_means`. held: whether they are held together
    in broad bands. Source: definition.
    """
    broad, most = over @ means, HELD_WITHIN if held else math.inf
    return Parted(over - np.clip(over, -within, within), broad - np.clip(broad, -most, most), means)
