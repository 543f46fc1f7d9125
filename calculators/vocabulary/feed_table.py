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
TONE_CELL = "what its tone follows"
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
            0.01,
            100,
            usual=(1, 30),
            optional=True,
            empty="not measured",
            help="RMS of a full-scale sine, on its load: the largest of the ceiling tones.",
        ),
    ] = None
    tone: Annotated[str, Choice("Its tone follows", TONES, help="By level-dependence.")] = "unknown"
    load_detection: Annotated[
        str, Choice("Its speaker is missed", MISSED, help="Unplugged for a minute.")
    ] = "unknown"


@dataclass(frozen=True)
class SurveyedPair:
    """Two feeds of a side: where the low one ends and the high one begins, Hz, and what lies between them."""

    low: SurveyedFeed
    high: SurveyedFeed
    ends: float
    begins: float

    @property
    def corner(self) -> float:
        """Where they meet, Hz."""
        return math.sqrt(self.ends * self.begins)

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

    def advice(self) -> tuple[Advice, ...]:
        """What holds at one step of the volume alone, and what nobody has looked at."""
        words = []
        if names := self._names_by_tone("knob"):
            words.append(
                f"The tone of {names} follows the knob: pin the usual step, the sum holds at that one alone."
            )
        if names := self._names_by_tone("unknown"):
            words.append(f"What the tone of {names} follows was not looked at: sum only when it was.")
        return tuple(Advice(FEED_TABLE_FIELD, each) for each in words)

    def volts_advice(self, typed_gain: float) -> tuple[Advice, ...]:
        """Where the trim of the model comes from; ``typed_gain``: dB, which known volts overrule."""
        if self.gain is None:
            return ()
        trim = "The trim here is the ceiling step's: set it from a recording at the usual step."
        overruled = "The table's volts stand above “High feed is louder by”."
        return (
            Advice(FEED_TABLE_FIELD, trim),
            *((Advice("gain", overruled),) if typed_gain != 0 else ()),
        )

    def blank_advice(self, typed_gain: float) -> tuple[Advice, ...]:
        """What is blank of the two besides their tones; without volts ``typed_gain``, dB, is taken."""
        blanks = "; ".join(
            f"{each.name}, {cell}"
            for each in (self.low, self.high)
            for cell in blank_cells(each)
            if cell != TONE_CELL
        )
        if not blanks:
            return ()
        taken = (
            f" The sum takes {typed_gain:g} dB, as typed: nobody measured it." if self.gain is None else ""
        )
        return (Advice(FEED_TABLE_FIELD, f"Still blank in the feed table: {blanks}.{taken}"),)

    def _names_by_tone(self, tone: str) -> str:
        return " and ".join(each.name for each in (self.low, self.high) if each.tone == tone)


def surveyed_pair(given: str, feeds: tuple[SurveyedFeed, ...], side: str) -> SurveyedPair | None:
    """The two feeds of a side that a sum is made of; none for a model, which asks no survey.

    A recording goes without them, a sum by the table does not. Raises InputError, about the table, where it
    lacks them then, and for a feed that moves.
    """
    if given == "model":
        return None
    pairs = [pair_of(feeds, side)] if given == "table" else _meeting(feeds, side)
    for each in pairs:
        each.refuse_moving()
    return next(iter(pairs), None)


def pair_of(feeds: tuple[SurveyedFeed, ...], side: str) -> SurveyedPair:
    """The low and the high feed of a side. Raises InputError, about the table, where no one pair meets."""
    meeting, joins = _meeting(feeds, side), _joins(feeds, side)
    if len(meeting) == 1:
        return meeting[0]
    if len(joins) == 1:
        (pair,) = joins
        raise InputError(
            FEED_TABLE_FIELD,
            f"{pair.low.name} ends at {pair.ends:g} Hz and {pair.high.name} begins at {pair.begins:g} Hz: no "
            "one crossover. Take curves of both, from one recording.",
        )
    own = [each for each in feeds if each.side == side]
    lows = sum(each.plays_to is not None for each in own)
    highs = sum(each.plays_from is not None for each in own)
    raise InputError(
        FEED_TABLE_FIELD,
        f"The {side} side needs one feed that plays to a frequency and one that plays from it: the table "
        f"has {lows} and {highs}. A woofer that goes down to its own limit: leave “Plays from” empty. Rear "
        "feeds and a centre are never summed: leave them out. In a job, give rear feeds the side “neither”.",
    )


def _joins(feeds: tuple[SurveyedFeed, ...], side: str) -> list[SurveyedPair]:
    """Each feed of a side that ends somewhere, with each other one that begins somewhere."""
    own = [each for each in feeds if each.side == side]
    return [
        SurveyedPair(low, high, low.plays_to, high.plays_from)
        for low in own
        for high in own
        if low is not high and low.plays_to is not None and high.plays_from is not None
    ]


def _meeting(feeds: tuple[SurveyedFeed, ...], side: str) -> list[SurveyedPair]:
    """Those of them that are a crossover."""
    return [each for each in _joins(feeds, side) if abs(math.log2(each.ends / each.begins)) <= MEET_WITHIN]


def blank_cells(feed: SurveyedFeed) -> list[str]:
    """What the survey has not filled in of a feed."""
    cells = {
        "volts at the ceiling": feed.ceiling is None,
        TONE_CELL: feed.tone == "unknown",
        "load detection": feed.load_detection == "unknown",
    }
    return [cell for cell, blank in cells.items() if blank]


def asked_of(feed: SurveyedFeed) -> str:
    """What a feed asks for where it is picked up."""
    asked = [ASKED_BY_TONE.get(feed.tone, "")]
    asked.append("a load, if its speaker is unplugged" if feed.load_detection == "yes" else "")
    asked.append("inverted: summing says whether it is turned" if feed.polarity == "inverted" else "")
    asked.append(f"{feed.carries.strip()} kept in the mix" if feed.carries.strip() else "")
    return "; ".join(filter(None, asked)) or ("not known yet" if blank_cells(feed) else "nothing")


def first_line_advice(feeds: tuple[SurveyedFeed, ...]) -> tuple[Advice, ...]:
    """A danger where another line than the first drives the most: what is carried on is the first one's."""
    measured = [each for each in feeds if each.ceiling is not None]
    if not measured:
        return ()
    loudest = max(measured, key=lambda each: each.ceiling or 0.0)
    if feeds[0].ceiling == loudest.ceiling:
        return ()
    than = "the most of those measured" if feeds[0].ceiling is None else "more than the first line"
    words = (
        f"{loudest.name} drives {than}: move it to the top. The pick-up and the gain chain take the first "
        "line's volts."
    )
    return (Advice(FEED_TABLE_FIELD, words, danger=True),)


def carried_advice(feeds: tuple[SurveyedFeed, ...]) -> tuple[Advice, ...]:
    """What rides on which feed, so that none of it is lost."""
    return tuple(
        Advice(
            FEED_TABLE_FIELD, f"{each.name} carries {each.carries.strip()}: keep it in the mix, and test it."
        )
        for each in feeds
        if each.carries.strip()
    )
