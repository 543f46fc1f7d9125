"""Left alone and right alone with the finished sheet, at the fixed point: no other side hides a dead speaker.

Everything together hardly tells it: where one of two sides is silent the other still plays, 3 dB softer at
most, and that only above its join.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Output
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import speaker_system
from calculators.physics.arrays import ComplexArray, FloatArray, IndexArray, power_of
from calculators.physics.speaker_system import band_centres
from calculators.vocabulary.guided_way import SIDES_ALONE
from calculators.vocabulary.tune_plan import Channel, bands_played
from calculators.vocabulary.tune_sheet import nominal

SIDE_WITHIN, SIDE_WITHIN_ABOVE, SIDE_PLAIN_TO = 1.0, 2.5, 1000.0
"""dB: what a third octave of one side at one point may be off what was expected up to so many Hz; and above,
where 5 mm of the microphone move it by 2.4 dB at most on twenty sides simulated. The first is also what one
side as a whole may be louder than the other, against what was expected."""
TOO_SOFT = 15.0
"""dB under a side's middle level, from which on a third octave at one point is a hole that tells nothing."""


@dataclass(frozen=True, kw_only=True)
class SideHeard:
    """One third octave of each side alone, against what was expected of it."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    left_alone: Annotated[float | None, Output("Left alone, over expected", LEVEL, decimals=1, none="–")]
    right_alone: Annotated[float | None, Output("Right alone, over expected", LEVEL, decimals=1, none="–")]


@dataclass(frozen=True)
class Sides:
    """What each side alone is over what was expected, dB, by number of third octave; the volume aside."""

    over: Mapping[str, Mapping[int, float]]

    def rows(self) -> tuple[SideHeard, ...]:
        """Both sides as a table."""
        left, right = (self.over[side] for side in SIDES_ALONE)
        every = sorted({*left, *right})
        return tuple(
            SideHeard(nominal=nominal(band), left_alone=left.get(band), right_alone=right.get(band))
            for band in every
        )

    def faults(self) -> tuple[str, ...]:
        """What is not as expected, in words: one side louder as a whole, and the farthest band of each."""
        found = []
        middle = _middles(self.over)
        (soft, low), (_, high) = sorted(middle.items(), key=lambda pair: pair[1])
        if round(high - low, 6) > SIDE_WITHIN:
            found.append(
                f"{soft.lower()} alone is {high - low:.1f} dB softer than expected against the other"
            )
        for side, over in self.over.items():
            off = {band: level - middle[side] for band, level in over.items()}
            beyond = {band: abs(level) - _within(band) for band, level in off.items()}
            out = [band for band, much in beyond.items() if round(much, 6) > 0]
            if not out:
                continue
            farthest = max(out, key=beyond.__getitem__)
            more, way = off[farthest], "over" if off[farthest] > 0 else "under"
            others = f", and out in {len(out) - 1} more" if len(out) > 1 else ""
            found.append(
                f"{side.lower()} alone is {abs(more):.1f} dB {way} what was expected at "
                f"{nominal(farthest):g} Hz{others}"
            )
        return tuple(found)


def _middles(over: Mapping[str, Mapping[int, float]]) -> dict[str, float]:
    """Median of each side, dB; 0 of one that plays nothing that was looked at."""
    return {side: float(np.median(list(each.values()) or [0.0])) for side, each in over.items()}


def _within(band: int) -> float:
    return SIDE_WITHIN_ABOVE if band_centres()[band] > SIDE_PLAIN_TO * 1.01 else SIDE_WITHIN


def sides_of(
    channels: Sequence[Channel],
    gains: ComplexArray,
    heard: Mapping[str, FloatArray],
    reached: IndexArray,
) -> Sides:
    """What each side alone is over what was expected.

    ``gains``: complex, of each channel at the fixed point through the sheet, shape (channels, 216).
    ``heard``: power, a ratio, of each side as measured, shape (216,). ``reached``: numbers of the third
    octaves that the curves hold.
    """
    over = {}
    for side, sign in SIDES_ALONE.items():
        plays = [place for place, each in enumerate(channels) if each.side == sign]
        power = power_of(np.sum(gains[plays], axis=0))
        expected, level = speaker_system.levels_of(power), speaker_system.levels_of(heard[side])
        inside = np.intersect1d(bands_played(tuple(channels[place] for place in plays)), reached)
        loud = inside[expected[inside] >= np.median(expected[inside]) - TOO_SOFT] if inside.size else inside
        over[side] = {int(band): float(level[band] - expected[band]) for band in loud}
    volume = float(np.mean(list(_middles(over).values())))
    return Sides({side: {band: off - volume for band, off in each.items()} for side, each in over.items()})
