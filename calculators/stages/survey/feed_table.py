"""The survey's feed table: what is still blank in it, and what each feed asks for at the pick-up."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, InputError, Output, OutputRows, OutputText, Rows, calculator
from calculators.declaring.quantities import COUNT, LEVEL, VOLTAGE
from calculators.physics.decibels import decibels_from_voltage_ratio
from calculators.vocabulary.feed_table import SurveyedFeed, asked_of, blank_cells, first_line_advice
from calculators.vocabulary.names import name_key

NONE_BLANK = (
    "no blank cell among volts, tone and load detection; polarity, time and chimes are yours to check"
)
"""Only these three can be told from blank: the others begin with a value."""


@dataclass(frozen=True, kw_only=True)
class BlankCell:
    """A cell of the table that nobody has filled."""

    feed: Annotated[str, OutputText("Feed")]
    cell: Annotated[str, OutputText("Blank")]


@dataclass(frozen=True, kw_only=True)
class FeedAsked:
    """One feed: how loud it is, and what it asks for."""

    name: Annotated[str, OutputText("Feed")]
    ceiling_level: Annotated[
        float | None, Output("Against the loudest", LEVEL, decimals=1, none="not measured")
    ]
    asks: Annotated[str, OutputText("At the pick-up")]


@dataclass(frozen=True, kw_only=True)
class FeedTable:
    """How complete the table is, and what follows from it."""

    verdict: Annotated[str, OutputText("Feed table", main=True, brief="blank_count")]
    blank_count: Annotated[float, Output("Blank among volts, tone, load detection", COUNT, decimals=0)]
    loudest: Annotated[
        float | None, Output("Loudest feed at the ceiling, V RMS", VOLTAGE, decimals=2, none="not measured")
    ]
    blanks: Annotated[tuple[BlankCell, ...], OutputRows("Still blank")]
    asked: Annotated[tuple[FeedAsked, ...], OutputRows("Feed by feed", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Feed table of the survey",
    example={
        "feeds": [
            {"name": "Left woofer", "side": "left", "plays_to": 3000.0, "ceiling": 8.4, "tone": "knob",
             "load_detection": "no", "carries": "chimes"},
            {"name": "Left tweeter", "side": "left", "plays_from": 3000.0, "polarity": "inverted",
             "late": 1e-4, "ceiling": 7.84, "tone": "nothing", "load_detection": "yes"},
        ],
    },
    sources=("iec-60027-3", "common-practice"),
    cautions=("S09",),
)  # fmt: skip
def feed_table(
    feeds: Annotated[
        tuple[SurveyedFeed, ...],
        Rows(
            "Feeds", "feed", at_least=1, at_most=12, help="Each feed of the unit, rear ones and centre too."
        ),
    ],
) -> FeedTable:
    """What the survey found on each feed of the factory unit, and what that asks for where it is picked up.

    A feed without a lowest and a highest frequency plays everything. Volts are RMS of a full-scale sine at
    the ceiling step, loaded: the largest of the ceiling tones. What a tone follows is told by sweeps at two
    steps and two file levels, a limiter by the probe with two tones. Load detection: unplugged for a minute,
    a speaker that is missed brings a code or a muted feed.
    """
    _refuse(feeds)
    blanks = tuple(BlankCell(feed=each.name, cell=cell) for each in feeds for cell in blank_cells(each))
    volts = [each.ceiling for each in feeds if each.ceiling is not None]
    loudest = max(volts, default=None)
    count = len(blanks)
    return FeedTable(
        verdict=f"{count} {'cell is' if count == 1 else 'cells are'} blank" if blanks else NONE_BLANK,
        blank_count=float(count),
        loudest=loudest,
        blanks=blanks,
        asked=tuple(
            FeedAsked(
                name=each.name,
                ceiling_level=None
                if each.ceiling is None or loudest is None
                else decibels_from_voltage_ratio(each.ceiling / loudest),
                asks=asked_of(each),
            )
            for each in feeds
        ),
        advice=first_line_advice(feeds),
    )


def _refuse(feeds: tuple[SurveyedFeed, ...]) -> None:
    """Raise InputError for a feed that ends before it begins, and for a second one of a name."""
    names: set[str] = set()
    for number, each in enumerate(feeds):
        if each.plays_to is not None and each.plays_to <= (each.plays_from or 0.0):
            raise InputError(f"feeds[{number}].plays_to", "It ends before it begins.")
        if name_key(each.name) in names:
            raise InputError(f"feeds[{number}].name", "Two feeds have this name.")
        names.add(name_key(each.name))
