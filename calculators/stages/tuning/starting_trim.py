"""Trims to start from, by data sheets, before anything was measured."""

from dataclasses import dataclass
from math import log10
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import LEVEL, POWER
from calculators.physics import gain
from calculators.vocabulary.speakers import (
    DISTANCE,
    LOAD_OF_SPEAKER,
    SENSITIVITY,
    SENSITIVITY_BASIS,
    per_watt_of,
)

FAR_APART = 12.0
CABIN_LIFTS = 10.0
"""dB by which a cabin can lift the bass over the open air. Common practice, no source."""


@dataclass(frozen=True)
class PlannedChannel:
    """A channel by its data sheets."""

    name: Annotated[str, Text("Channel")]
    sensitivity: Annotated[float, SENSITIVITY]
    power: Annotated[
        float,
        Number("Amplifier", POWER, 0.1, 10e3, usual=(10, 1000), help="Its gain was set to that power."),
    ]
    distance: Annotated[float, DISTANCE] = 1.0
    load: Annotated[float, LOAD_OF_SPEAKER] = 4.0
    offset: Annotated[float, Number("Wanted above the others", LEVEL, -40, 40, usual=(-15, 15))] = 0.0
    kind: Annotated[
        str, Choice("It is", {"front": "a tweeter, midrange or woofer", "subwoofer": "a subwoofer"})
    ] = "front"


@dataclass(frozen=True, kw_only=True)
class PlannedTrim:
    """Where to start with one channel."""

    name: Annotated[str, OutputText("Channel")]
    trim: Annotated[float, Output("Start at", LEVEL, decimals=1)]
    full_level: Annotated[float, Output("At full power, at the head, cabin counted", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class StartingTrims:
    """Trims to start from, none above 0 dB."""

    settings: Annotated[str, OutputText("Start at", main=True, brief="largest_trim")]
    weakest: Annotated[str, OutputText("Stays at 0 dB")]
    largest_trim: Annotated[float, Output("Largest trim", LEVEL, decimals=1)]
    channels: Annotated[tuple[PlannedTrim, ...], OutputRows("Trims to start from", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Trims to start from",
    example={
        "channels": [
            {"name": "Left tweeter", "sensitivity": 91.0, "power": 70.0, "distance": 0.86},
            {"name": "Left woofer", "sensitivity": 89.0, "power": 70.0, "distance": 0.98},
            {
                "name": "Subwoofer",
                "sensitivity": 83.6,
                "power": 300.0,
                "distance": 1.92,
                "offset": 8.0,
                "kind": "subwoofer",
            },
        ],
    },
    sources=("inverse-distance", "level-difference", "common-practice"),
)
def starting_trim(
    channels: Annotated[tuple[PlannedChannel, ...], Rows("Channels", "channel", at_least=1, at_most=16)],
    sensitivity_basis: Annotated[str, SENSITIVITY_BASIS] = "1-watt",
) -> StartingTrims:
    """Trims to start from, by sensitivity, power and distance.

    Each channel's level at the head at full power, by data sheet: sensitivity, plus the power over 1 W, less
    the distance over 1 m, as in the open air; a subwoofer 10 dB more, for a cabin lifts the bass. The
    weakest, so counted, stays at 0 dB and the others come down to it. A cabin can lift by
    more, and the far side too: measure, and let the level trims replace these.
    """
    levels = [
        per_watt_of(each.sensitivity, sensitivity_basis, each.load)
        + 10 * log10(each.power)
        - 20 * log10(each.distance)
        + (CABIN_LIFTS if each.kind == "subwoofer" else 0.0)
        for each in channels
    ]
    trims = gain.level_trims(levels, [each.offset for each in channels])
    rows = tuple(
        PlannedTrim(name=each.name, trim=trim, full_level=level)
        for each, trim, level in zip(channels, trims, levels, strict=True)
    )
    return StartingTrims(
        settings=", ".join(f"{row.name} {typographic(f'{round(row.trim, 1) + 0.0:.1f}')}" for row in rows)
        + " dB",
        weakest=channels[trims.index(max(trims))].name,
        largest_trim=min(trims),
        channels=rows,
        advice=_advice(channels, levels),
    )


def _advice(channels: tuple[PlannedChannel, ...], levels: list[float]) -> tuple[Advice, ...]:
    """By what each can do, whatever is wanted of it: no taste makes an amplifier too large."""
    alike = {
        kind: [level for each, level in zip(channels, levels, strict=True) if each.kind == kind]
        for kind in ("front", "subwoofer")
    }
    advice = []
    if any(max(group) - min(group) > FAR_APART for group in alike.values() if group):
        text = (
            f"More than {FAR_APART:g} dB apart by data sheet: a smaller amplifier for the strong channel "
            "makes less noise, and so does its gain taken down by meter."
        )
        advice.append(Advice("channels", text))
    if all(alike.values()):
        text = (
            "A subwoofer against a front says little by data sheet: a cabin can lift the bass by "
            f"{CABIN_LIFTS:.0f} dB and more. These {CABIN_LIFTS:.0f} dB are counted here: take nothing more "
            "off."
        )
        advice.append(Advice("channels", text))
    return tuple(advice)
