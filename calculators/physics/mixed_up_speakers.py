"""Which speaker a recording is of, as far as its level by third octaves and its arrival tell.

A microphone that moves by 100 mm changes what it hears of one speaker by a few decibels; another kind of
speaker is another band. Two of a kind, left and right, are alike: of those only the arrival tells, if it can.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import ArrayLike

from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.arrays import FloatArray
from calculators.physics.bands import exact_third_octaves, third_octave_edges
from calculators.physics.curve_means import band_levels

PLAYED = 20.0
"""dB under its loudest third octave, down to which a speaker is taken to play."""
ANOTHER, NEARER = 5.0, 0.5
"""dB, RMS, from which on a recording is unlike every other of its name; and what part of that another
speaker's are away at most, if it is one of them."""
WELL_OUTSIDE = 2.0
"""Times the high-pass or low-pass: an octave beyond it 24 dB per octave leave a channel 24 dB less."""
OPEN_BELOW, WOOFER_BELOW = 500.0, 1000.0
"""Hz: a woofer whose high-pass lies no higher than the first plays something under the second."""
ARRIVALS_WITHIN = 1e-4
"""s, by which an arrival may be out."""
TOLD_APART = 3e-4
"""s: two speakers that arrive nearer to each other than this are not told apart by arrival."""


def louder_outside(power: FloatArray, frequency: FloatArray, high_pass: float, low_pass: float) -> bool:
    """Whether the loudest octave beyond a channel's crossovers has more power than the loudest between them.

    By the octave, for over all of what lies beyond, the silence that the wrong speaker leaves there too would
    hide it. power: ratios, shape (n,). frequency: Hz, shape (n,), evenly by ratio. high_pass: Hz, 0 for none.
    low_pass: Hz, infinite for none. Source: definition.
    """
    octave = max(1, round(float(np.log(2) / np.log(frequency[1] / frequency[0]))))
    between = _loudest(power[(frequency >= high_pass) & (frequency <= low_pass)], octave)
    under, over = frequency < high_pass / WELL_OUTSIDE, frequency > low_pass * WELL_OUTSIDE
    return bool(between > 0 and max(_loudest(power[under], octave), _loudest(power[over], octave)) > between)


def _loudest(power: FloatArray, octave: int) -> float:
    """Mean power of the loudest octave of a stretch, or of all of it where it is narrower; 0 of none."""
    if not power.size:
        return 0.0
    return float(np.max(np.mean(sliding_window_view(power, min(octave, power.size)), axis=-1)))


def played(frequency: ArrayLike, level: ArrayLike) -> FloatArray:
    """Levels, dB, by third octaves, shape (31,), none more than 20 dB under the loudest.

    What lies beyond a curve's ends was not heard: it counts as that much softer. frequency: Hz, rising, shape
    (n,). level: dB, shape (n,). Source: IEC 61260-1:2014 for the bands; the limit is our own.
    """
    frequency = np.asarray(frequency, dtype=np.float64)
    low, high = third_octave_edges().T
    levels = band_levels(frequency, level, low, high)
    centres = exact_third_octaves()
    heard = (centres >= frequency[0]) & (centres <= frequency[-1])
    inside = levels[heard] if np.any(heard) else levels
    least = float(np.max(inside)) - PLAYED
    return np.where(heard, np.maximum(levels, least), least)


def is_no_woofer(levels: FloatArray, high_pass: float) -> bool:
    """Whether nothing of a recording lies under 1 kHz, though a woofer's high-pass leaves it that.

    levels: dB, as `played` gives them. high_pass: Hz, 0 for none. Source: common practice, no source.
    """
    below = exact_third_octaves() < WOOFER_BELOW * 0.99
    return high_pass <= OPEN_BELOW and bool(np.all(levels[below] <= np.min(levels)))


def apart(one: FloatArray, others: FloatArray) -> FloatArray:
    """How far a recording is from each of others, dB, RMS over the third octaves in which either plays.

    one, others: dB, as `played` gives them, shape (31,) and (n, 31). Source: our own measure.
    """
    plays = (one > np.min(one)) | (others > np.min(others, axis=1, keepdims=True))
    squares = np.where(plays, (others - one) ** 2, 0.0)
    return np.asarray(np.sqrt(np.sum(squares, axis=1) / np.maximum(np.sum(plays, axis=1), 1)))


def sounds_like(one: FloatArray, bears: int, others: FloatArray, speakers: Sequence[int]) -> int | None:
    """The number of the speaker that a recording sounds like, where it is far from all others of its own.

    one, others: dB, as `played` gives them, shape (31,) and (n, 31). bears: the number of the speaker that
    it is said to be of. speakers: the number of the one that each of the others is of. None where no other is
    of its own, or it is like one that is. Source: our own limits, on simulated cabins.
    """
    if bears not in speakers:
        return None
    away = apart(one, others)
    from_own = min(far for far, speaker in zip(away, speakers, strict=True) if speaker == bears)
    far, nearest = min(zip(away, speakers, strict=True))
    return nearest if from_own > ANOTHER and far < NEARER * from_own else None


def arrives_like(
    arrival: float,
    reach: float,
    own: Sequence[tuple[float, float]],
    others: Sequence[Sequence[tuple[float, float]]],
) -> int | None:
    """The number of the speaker whose arrival a recording has, where no move of the microphone explains it.

    Moved from one point to another, a microphone comes nearer to one speaker and farther from the one that
    ties the runs by its way at most, so an arrival moves by twice that. arrival: s, after the speaker that
    ties the runs. reach: m, from the fixed point. own: s and m of each other recording of its name. others: s
    and m of those of each other speaker. None where there is no such speaker, or more than one.
    Source: geometry.
    """

    def may(each: tuple[float, float]) -> bool:
        return abs(arrival - each[0]) <= 2 * (reach + each[1]) / SPEED_OF_SOUND + ARRIVALS_WITHIN

    if not own or any(may(each) for each in own):
        return None
    mean = float(np.mean([each[0] for each in own]))
    able = [
        number
        for number, other in enumerate(others)
        if other and all(map(may, other)) and abs(np.mean([each[0] for each in other]) - mean) > TOLD_APART
    ]
    return able[0] if len(able) == 1 else None
