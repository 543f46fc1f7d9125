"""What a job file holds besides the facts: declared once, with the inputs that a form has, too.

A job file is one JSON object. Under ``sheet`` stands what is declared here; every other name is a section of
facts (``geometry``, ``supply``, …) in SI units, which runs and pages read by their paths.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any, Literal

from calculators.declaring import Choice, InputField, Number, Rows, Text
from calculators.declaring.calculator import input_fields_of
from calculators.declaring.quantities import RATIO

VERSION = 3
"""Of the form of a job file; version 1 held the facts alone, 2 the source's volts beside the feed table."""

HoldPointName = Literal["H1", "H2", "H3", "H4", "H5", "H6"]

NONE = "this job has none"
"""What the history says of an answer that was taken out."""

HOLD_POINTS = {
    "H1": "survey agreed",
    "H2": "airbags safe",
    "H3": "before the door skins close",
    "H4": "before first power",
    "H5": "before tuning",
    "H6": "before the keys",
}
"""The points at which somebody else looks, and what each stands before."""

ACCEPTED_BY = "Accepted by (as “customer”) and the day"
"""Of an exception: who and when, for a job names nobody."""

EARLIEST = "2000-01-01"
"""No job is older: a day before it is that of a device whose clock stood still."""

MOST_HISTORY = 2000
"""Changes that a job keeps."""

TWO_SIGN = ("H2", "H4")
"""Airbags and first power: two sign, for nobody does these alone."""

LOCKED: Mapping[str, tuple[str, ...]] = {
    "H1": ("brief", "quote", "geometry", "survey", "battery", "restart"),
    "H2": ("condition",),
    "H3": ("treatment",),
    "H4": (
        "supply", "wiring", "hold_up", "fixing", "amplifier", "alternator", "feeds", "boxes", "enclosure",
        "floor",
    ),
    "H5": ("commissioning", "gain", "woofer", "tweeter", "subwoofer"),
    "H6": ("crossovers", "tuning", "verification", "charging", "processor", "levels", "mass"),
}  # fmt: skip
"""Sections of facts that a hold point closes: what stands there changes with a reason and initials alone."""

CLOSED_RUNS: Mapping[str, tuple[str, ...]] = {
    "H1": ("quote",),
    "H3": ("treatment-plan",),
    "H4": (
        "cable", "fuse", "wiring-schedule", "current-draw", "hold-up", "pre-charge", "speaker-lead",
        "fixing-load",
    ),
    "H5": ("gain-chain", "gain-voltage", "limiter"),
    "H6": (
        "delay", "crossover", "level-trim", "starting-trim", "equaliser-headroom", "added-mass",
        "battery-drain",
    ),
}  # fmt: skip
"""Calculators of which a hold point closes every run that has its answer, whatever the run takes it from."""


@dataclass(frozen=True, kw_only=True)
class HoldPoint:
    """A hold point that was signed. A name is no proof: the ink on the sheet is.

    ``second`` is who signed with the first, at the points of `TWO_SIGN`.
    """

    point: Annotated[HoldPointName, Choice("Hold point", HOLD_POINTS)]
    by: Annotated[str, Text("Initials", longest=20)]
    second: Annotated[str, Text("Initials of the other one", longest=20)] = ""
    at: Annotated[
        str, Text("When", longest=25, pattern=r"\d{4}-\d\d-\d\d( \d\d:\d\d)?", wanted="like 2031-05-14 16:30")
    ]


@dataclass(frozen=True, kw_only=True)
class Changed:
    """A fact that was changed."""

    path: Annotated[str, Text("Fact", longest=120)]
    before: Annotated[str, Text("Before", longest=400)]
    after: Annotated[str, Text("After", longest=400)]
    by: Annotated[str, Text("Initials", longest=20)]
    at: Annotated[str, Text("When", longest=25)]
    reason: Annotated[str, Text("Why", longest=400)] = ""


@dataclass(frozen=True, kw_only=True)
class Accepted:
    """A limit that is not kept, and that the customer accepted.

    ``value`` is the reading of a line of the proof that was accepted: it covers that one, and none worse.
    Of an answer, ``said`` is its verdict and ``mark`` that of its values: it covers this answer alone.
    """

    what: Annotated[str, Text("What", longest=120)]
    why: Annotated[str, Text("Why", longest=400)]
    accepted: Annotated[str, Text(ACCEPTED_BY, longest=60)]
    value: Annotated[float | None, Number("Reading accepted", RATIO, -1e9, 1e9, optional=True)] = None
    said: Annotated[str, Text("Verdict accepted", longest=400)] = ""
    mark: Annotated[str, Text("Mark of its answer", longest=16)] = ""


@dataclass(frozen=True, kw_only=True)
class Customer:
    """Who the customer is: never on a sheet for another workshop, never in a code or a table."""

    field: Annotated[str, Text("Field", longest=40)]
    value: Annotated[str, Text("Value", longest=200)]


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """The declared part of a job file."""

    title: Annotated[str, Text("Job", longest=60)]
    hold_points: Annotated[
        tuple[HoldPoint, ...], Rows("Hold points", "hold point", at_least=0, at_most=6)
    ] = ()
    exceptions: Annotated[tuple[Accepted, ...], Rows("Exceptions", "exception", at_least=0, at_most=20)] = ()
    customer: Annotated[tuple[Customer, ...], Rows("Customer", "line", at_least=0, at_most=20)] = ()
    history: Annotated[tuple[Changed, ...], Rows("History", "change", at_least=0, at_most=MOST_HISTORY)] = ()


FIELDS: tuple[InputField, ...] = input_fields_of(Sheet, "the job sheet")


def signed(sheet: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """The hold points that were signed, by name."""
    return {point["point"]: point for point in sheet.get("hold_points", ())}


def badly_signed(sheet: Mapping[str, Any]) -> list[str]:
    """What is wrong with the signatures of a file: one name where two sign, an order that cannot be."""
    have, found = signed(sheet), []
    for name, point in have.items():
        earlier = [one for one in HOLD_POINTS if one < name]
        by, second = (point.get(part, "").strip().casefold() for part in ("by", "second"))
        if name in TWO_SIGN and second in ("", by):
            found.append(f"{name}: one name only")
        found += [f"{name} stands before {one}" for one in earlier if one not in have][:1]
        if point["at"][:10] < EARLIEST:
            found.append(f"{name}: signed on {point['at'][:10]}, before there was such a file")
        days = [have[one]["at"][:10] for one in earlier if one in have]
        if days and point["at"][:10] < max(days):
            found.append(f"{name}: signed on a day before that of an earlier one")
    return found


def badly_dated(sheet: Mapping[str, Any], today: str = "") -> list[str]:
    """What is wrong with the days of a file's history: no day, too early, to come, before the last good one.

    ``today``: as ``2031-05-14``; an empty text where nobody says it: then no day is to come.
    """
    found, last = [], ""
    for number, entry in enumerate(sheet.get("history", ()), 1):
        change, day = f"change {number} ({entry['path']})", entry["at"][:10]
        if not is_day(day):
            found.append(f"{change}: “{day}” is no day")
            continue
        if day < EARLIEST:
            found.append(f"{change}: dated {day}")
        elif today and day > today:
            found.append(f"{change}: dated {day}, a day to come")
        else:
            if day < last:
                found.append(f"{change}: dated {day}, after one of {last}")
            last = day
    return found


def is_day(words: str) -> bool:
    """Whether words are a day as ``2031-05-14``: a week or a day without signs between is none here."""
    try:
        return date.fromisoformat(words).isoformat() == words
    except ValueError:
        return False


def signers(point: Mapping[str, Any]) -> str:
    """Who signed a hold point."""
    return " and ".join(filter(None, (point["by"], point.get("second", ""))))
