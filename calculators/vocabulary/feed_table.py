"""The survey's table of feeds: a row each, and the two of one side that are to be summed."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Choice, InputError, Number, Text
from calculators.declaring.quantities import FREQUENCY, TIME, VOLTAGE
from calculators.physics.decibels import decibels_from_voltage_ratio

FEED_TABLE_FIELD = "feeds"
MEET_WITHIN = 1 / 3
"""Octaves that the ends of two feeds may lie apart and still be one crossover. Common practice, no source."""

TONES = {
    "unknown": "not looked at",
    "nothing": "nothing",
    "knob": "the knob",
    "signal": "the signal",
    "limiter": "a limiter, by the probe",
}
MISSED = {"unknown": "not looked at", "no": "no", "yes": "yes: code, or muted"}
ASKED_BY_TONE = {
    "knob": "flattened at the usual step alone, and that step pinned",
    "signal": "no fixed filter mends it: an earlier or digital source, or accepted in writing",
    "limiter": "a step down, and the probe again: a limiter works at this one",
}
"""What the pick-up does about a tone that moves."""


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
    ceiling: Annotated[
        float | None,
        Number(
            "Volts at the ceiling",
            VOLTAGE,
            0.05,
            100,
            usual=(1, 30),
            optional=True,
            empty="not measured",
            help="RMS of a full-scale sine, on its load.",
        ),
    ] = None
    tone: Annotated[str, Choice("Its tone follows", TONES, help="By level-dependence.")] = "unknown"
    load_detection: Annotated[
        str, Choice("Its speaker is missed", MISSED, help="Unplugged for a minute.")
    ] = "unknown"


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

    @property
    def gain(self) -> float | None:
        """How much louder the high one is, dB; None where the volts of one are not known."""
        if self.low.ceiling is None or self.high.ceiling is None:
            return None
        return decibels_from_voltage_ratio(self.high.ceiling / self.low.ceiling)

    def refuse_moving(self) -> None:
        """Raises InputError, about the table, for a feed that no one setting of a sum can stand for."""
        for each in (self.low, self.high):
            if each.tone in ("signal", "limiter"):
                raise InputError(
                    FEED_TABLE_FIELD,
                    f"The tone of {each.name} follows {TONES[each.tone]}: they add up at one level only. "
                    f"{ASKED_BY_TONE[each.tone].capitalize()}.",
                )

    def pinned_advice(self) -> tuple[Advice, ...]:
        """What holds at one step of the volume alone."""
        names = " and ".join(each.name for each in (self.low, self.high) if each.tone == "knob")
        words = f"The tone of {names} follows the knob: pin the usual step, the sum holds at that one alone."
        return (Advice(FEED_TABLE_FIELD, words),) if names else ()


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


def blank_cells(feed: SurveyedFeed) -> list[str]:
    """What the survey has not filled in of a feed."""
    cells = {
        "volts at the ceiling": feed.ceiling is None,
        "what its tone follows": feed.tone == "unknown",
        "load detection": feed.load_detection == "unknown",
    }
    return [cell for cell, blank in cells.items() if blank]


def asked_of(feed: SurveyedFeed) -> str:
    """What a feed asks for where it is picked up."""
    asked = [ASKED_BY_TONE.get(feed.tone, "")]
    asked.append("a load in the place of its speaker" if feed.load_detection == "yes" else "")
    asked.append("polarity turned back, and proven again" if feed.polarity == "inverted" else "")
    asked.append(f"{feed.carries.strip()} kept in the mix" if feed.carries.strip() else "")
    return "; ".join(filter(None, asked)) or "nothing"


def carried_advice(feeds: tuple[SurveyedFeed, ...]) -> tuple[Advice, ...]:
    """What rides on which feed, so that none of it is lost."""
    return tuple(
        Advice(
            FEED_TABLE_FIELD, f"{each.name} carries {each.carries.strip()}: keep it in the mix, and test it."
        )
        for each in feeds
        if each.carries.strip()
    )
