"""Levels: trims that set the channels of a system to one another."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputRows, OutputText, Rows, Text, calculator
from calculators.declaring.quantities import LEVEL
from calculators.physics import gain

LARGE_TRIM = -12.0


@dataclass(frozen=True)
class ChannelLevel:
    """A channel as measured, and how loud it is wanted."""

    name: Annotated[str, Text("Channel")]
    level: Annotated[
        float, Number("Measured", LEVEL, -150, 150, help="All channels by the same meter and noise.")
    ]
    offset: Annotated[
        float, Number("Wanted above the others", LEVEL, -40, 40, usual=(-15, 15), help="0 for equal levels.")
    ] = 0.0


@dataclass(frozen=True)
class ChannelTrim:
    """What to set for one channel."""

    name: Annotated[str, OutputText("Channel")]
    trim: Annotated[float, Output("Trim", LEVEL, decimals=1)]
    after: Annotated[float, Output("Level then", LEVEL, decimals=1)]


@dataclass(frozen=True)
class LevelTrims:
    """A trim for each channel, none above 0 dB."""

    channels: Annotated[tuple[ChannelTrim, ...], OutputRows("Trims to set", copy=True)]
    weakest: Annotated[str, OutputText("Stays at 0 dB")]
    largest_trim: Annotated[float, Output("Largest trim", LEVEL, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Level trims",
    example={
        "channels": [
            {"name": "Left tweeter", "level": 74.6},
            {"name": "Left woofer", "level": 71.8},
            {"name": "Right tweeter", "level": 73.1},
            {"name": "Right woofer", "level": 70.9},
            {"name": "Subwoofer", "level": 86.2, "offset": 8.0},
        ],
    },
    sources=("level-difference",),
    equations=("spare = level - offset", "trim = least_spare - spare", "after = level + trim"),
)
def level_trim(
    channels: Annotated[tuple[ChannelLevel, ...], Rows("Channels", "channel", at_least=1, at_most=16)],
) -> LevelTrims:
    """Trims that set every channel to its wanted level, by turning down alone.

    The channel with the least to spare stays at 0 dB and the others come down to it, so that no
    trim can make a channel clip. Leave the gain pots as commissioning set them.
    """
    trims = gain.level_trims(
        [channel.level for channel in channels], [channel.offset for channel in channels]
    )
    rows = [
        ChannelTrim(channel.name, trim, channel.level + trim)
        for channel, trim in zip(channels, trims, strict=True)
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
    return LevelTrims(tuple(rows), channels[trims.index(max(trims))].name, largest, advice)
