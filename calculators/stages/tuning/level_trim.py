"""Levels: trims that set the channels of a system to one another."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import COUNT, LEVEL
from calculators.physics import decibels, gain
from calculators.vocabulary.names import name_key

LARGE_TRIM = -12.0


@dataclass(frozen=True)
class ChannelLevel:
    """A channel as measured, and how loud it is wanted."""

    name: Annotated[str, Text("Channel")]
    level: Annotated[
        float, Number("Measured", LEVEL, -150, 150, help="Unweighted (Z), the noise inside its own band.")
    ]
    bands: Annotated[
        float,
        Number(
            "Third octaves in its noise",
            COUNT,
            1,
            31,
            whole=True,
            help="40 to 63 Hz: 3. 315 Hz to 2.5 kHz: 10. 3.15 to 12.5 kHz: 7. 1 if the level is per band.",
        ),
    ] = 1
    offset: Annotated[
        float, Number("Wanted above the others", LEVEL, -40, 40, usual=(-15, 15), help="0 for equal levels.")
    ] = 0.0
    at_join: Annotated[
        float | None,
        Number(
            "At the join, over its neighbour",
            LEVEL,
            -60,
            60,
            usual=(-15, 15),
            optional=True,
            empty="by its own band",
            help="Its half octave above the join, less the neighbour's half octave below.",
        ),
    ] = None
    set_to: Annotated[
        str,
        Text("Neighbour at that join", help="Its name, as typed in its row. Empty: the next row."),
    ] = ""


@dataclass(frozen=True, kw_only=True)
class ChannelTrim:
    """What to set for one channel."""

    name: Annotated[str, OutputText("Channel")]
    trim: Annotated[float, Output("Trim", LEVEL, decimals=1)]
    per_band: Annotated[float, Output("Per third octave", LEVEL, decimals=1)]
    set_to: Annotated[str, OutputText("Set to")]
    counted: Annotated[float, Output("Counted, by its join", LEVEL, decimals=1)]
    after: Annotated[float, Output("Level then", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class LevelTrims:
    """A trim for each channel, none above 0 dB."""

    settings: Annotated[str, OutputText("Set", main=True, brief="largest_trim")]
    channels: Annotated[tuple[ChannelTrim, ...], OutputRows("Trims to set", copy=True)]
    weakest: Annotated[str, OutputText("Stays at 0 dB")]
    largest_trim: Annotated[float, Output("Largest trim", LEVEL, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Level trims",
    example={
        "channels": [
            {"name": "Left tweeter", "level": 74.6, "bands": 7, "at_join": 3.2, "set_to": "Left woofer"},
            {"name": "Left woofer", "level": 73.3, "bands": 10},
            {"name": "Right tweeter", "level": 73.1, "bands": 7, "at_join": 2.4, "set_to": "Right woofer"},
            {"name": "Right woofer", "level": 72.4, "bands": 10},
            {"name": "Subwoofer", "level": 82.5, "bands": 3, "offset": 8.0},
        ],
    },
    sources=("level-difference", "iec-61260-1"),
    equations=(
        "per_band = level - 10*log(bands)/log(10)",
        "spare = counted - offset",
        "trim = least_spare - spare",
        "after = counted + trim",
    ),
)
def level_trim(
    channels: Annotated[
        tuple[ChannelLevel, ...],
        Rows("Channels", "channel", at_least=1, at_most=16, help="Name each tweeter's woofer, in any order."),
    ],
) -> LevelTrims:
    """Trims that set every channel to its wanted level, by turning down alone.

    Noises of one total are the weaker in each band, the more bands they cover: so channels are
    compared by their level per third octave. A tweeter is instead set to the woofer named
    beside it by the half octaves on either side of where they meet. The channel with the least to
    spare stays at 0 dB and the others come down to it, so that no trim can make a channel clip.
    Leave the gain pots as commissioning set them.
    """
    per_band = [decibels.level_per_band(channel.level, channel.bands) for channel in channels]
    neighbours = _neighbours(channels)
    counted = _counted(channels, per_band, neighbours)
    trims = gain.level_trims(counted, [channel.offset for channel in channels])
    rows = [
        ChannelTrim(
            name=channel.name,
            trim=trim,
            per_band=own,
            set_to="its own band" if lower is None else channels[lower].name,
            counted=level,
            after=level + trim,
        )
        for channel, trim, own, lower, level in zip(
            channels, trims, per_band, neighbours, counted, strict=True
        )
    ]
    largest = min(trims)
    advice: tuple[Advice, ...] = ()
    if largest < LARGE_TRIM:
        advice = (
            Advice(
                "channels",
                "A trim beyond −12 dB says that a gain is set wrong or a channel is weak: look at the gains, "
                "the wiring and the amplifier before you trim.",
            ),
        )
    return LevelTrims(
        settings=", ".join(f"{row.name} {_tenths(row.trim)}" for row in rows) + " dB",
        channels=tuple(rows),
        weakest=channels[trims.index(max(trims))].name,
        largest_trim=largest,
        advice=advice,
    )


def _tenths(level: float) -> str:
    return typographic(f"{round(level, 1) + 0.0:.1f}")


def _neighbours(channels: tuple[ChannelLevel, ...]) -> list[int | None]:
    """Place of the channel that each one is set to at its join, or None."""
    names = [name_key(channel.name) for channel in channels]
    return [
        _named(place, channel, names) if channel.set_to.strip() else _next(place, channels)
        for place, channel in enumerate(channels)
    ]


def _named(place: int, channel: ChannelLevel, names: list[str]) -> int:
    """Place of the row that is called so."""
    field = f"channels[{place}].set_to"
    found = [row for row, name in enumerate(names) if name == name_key(channel.set_to) and row != place]
    if len(found) != 1:
        many = "More than one other row is" if found else "No other row is"
        raise InputError(field, f"{many} called so: type the neighbour's name as it stands in its row.")
    if channel.at_join is None:
        raise InputError(
            f"channels[{place}].at_join", "Type how much this one is over its neighbour at the join."
        )
    return found[0]


def _next(place: int, channels: tuple[ChannelLevel, ...]) -> int | None:
    """The next row, where that can be meant: two tweeters in a row are two sides, not a join."""
    if channels[place].at_join is None:
        return None
    field = f"channels[{place}].set_to"
    if place + 1 == len(channels):
        raise InputError(field, "There is no next row: type the name of the neighbour.")
    if channels[place + 1].at_join is not None:
        raise InputError(
            field, "The next row is set by a join of its own: type the name of this one's neighbour."
        )
    return place + 1


def _counted(
    channels: tuple[ChannelLevel, ...], per_band: list[float], neighbours: list[int | None]
) -> list[float]:
    """Level of each channel, dB, on one scale: its own per band, or what its joins make it."""
    counted = []
    for place in range(len(channels)):
        level, at, seen = 0.0, place, {place}
        while (lower := neighbours[at]) is not None:
            if lower in seen:
                raise InputError(
                    f"channels[{place}].set_to",
                    "These joins lead round in a ring: set each tweeter to its woofer, and no woofer to it.",
                )
            level += channels[at].at_join or 0.0
            seen.add(lower)
            at = lower
        counted.append(level + per_band[at])
    return counted
