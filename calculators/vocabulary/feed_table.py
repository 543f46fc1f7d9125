"""The survey's table of feeds: a row each, and the two of one side that are to be summed."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Choice, InputError, Number, Text
from calculators.declaring.quantities import FREQUENCY, TIME

FEED_TABLE_FIELD = "feeds"
MEET_WITHIN = 1 / 3
"""Octaves that the ends of two feeds may lie apart and still be one crossover. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class SurveyedFeed:
    """A feed as the survey found it."""

    name: Annotated[str, Text("Feed")]
    side: Annotated[str, Choice("Side", {"left": "left", "right": "right", "both": "neither"})]
    plays_from: Annotated[
        float | None,
        Number("Plays from", FREQUENCY, 20, 20e3, units=("kHz",), optional=True, empty="the lowest"),
    ] = None
    plays_to: Annotated[
        float | None,
        Number("Plays to", FREQUENCY, 20, 20e3, units=("kHz",), optional=True, empty="the highest"),
    ] = None
    polarity: Annotated[str, Choice("It is", {"normal": "the right way round", "inverted": "inverted"})] = (
        "normal"
    )
    late: Annotated[
        float, Number("Late by", TIME, -0.02, 0.02, show="ms", units=("µs",), help="Against one of them all.")
    ] = 0.0
    carries: Annotated[str, Text("Carries too", longest=60, help="Chimes, parking tones, calls.")] = ""


@dataclass(frozen=True)
class SurveyedPair:
    """The two feeds of a side: where they meet, Hz, and how the high one is turned and late, s."""

    low: SurveyedFeed
    high: SurveyedFeed
    corner: float

    @property
    def inverted(self) -> bool:
        """Whether the high one is turned against the low one."""
        return self.low.polarity != self.high.polarity

    @property
    def late(self) -> float:
        """How much later the high one comes."""
        return self.high.late - self.low.late


def pair_of(feeds: tuple[SurveyedFeed, ...], side: str) -> SurveyedPair:
    """The low and the high feed of a side. Raises InputError, about the table, where it lacks one."""
    own = [each for each in feeds if each.side == side]
    lows = [each for each in own if each.plays_to is not None and each.plays_from is None]
    highs = [each for each in own if each.plays_from is not None and each.plays_to is None]
    if len(lows) != 1 or len(highs) != 1:
        raise InputError(
            FEED_TABLE_FIELD,
            f"The {side} side needs one feed that plays to a frequency and one that plays from it: the table "
            f"has {len(lows)} and {len(highs)}. Rear feeds and a centre are never summed: leave them out.",
        )
    (low,), (high,) = lows, highs
    ends = low.plays_to or math.inf, high.plays_from or 0.0
    if abs(math.log2(ends[0] / ends[1])) > MEET_WITHIN:
        raise InputError(
            FEED_TABLE_FIELD,
            f"{low.name} ends at {ends[0]:g} Hz and {high.name} begins at {ends[1]:g} Hz: no one crossover. "
            "Take curves of both, from one recording.",
        )
    return SurveyedPair(low, high, math.sqrt(ends[0] * ends[1]))


def carried_advice(feeds: tuple[SurveyedFeed, ...]) -> tuple[Advice, ...]:
    """What rides on which feed, so that none of it is lost."""
    return tuple(
        Advice(
            FEED_TABLE_FIELD, f"{each.name} carries {each.carries.strip()}: keep it in the mix, and test it."
        )
        for each in feeds
        if each.carries.strip()
    )
