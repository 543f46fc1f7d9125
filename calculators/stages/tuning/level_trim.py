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
from calculators.declaring.quantities import COUNT, LEVEL
from calculators.physics import gain, levels

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
            help="40 to 63 Hz: 3. 63 to 250 Hz: 7. 315 Hz to 5 kHz: 13. Leave 1 if the level is per band.",
        ),
    ] = 1
    offset: Annotated[
        float, Number("Wanted above the others", LEVEL, -40, 40, usual=(-15, 15), help="0 for equal levels.")
    ] = 0.0
    at_join: Annotated[
        float | None,
        Number(
            "At the join, over the next row",
            LEVEL,
            -60,
            60,
            usual=(-15, 15),
            optional=True,
            empty="by its own band",
            help="This one over the half octave above it, less the next row's over the half octave below.",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class ChannelTrim:
    """What to set for one channel."""

    name: Annotated[str, OutputText("Channel")]
    trim: Annotated[float, Output("Trim", LEVEL, decimals=1)]
    per_band: Annotated[float, Output("Per third octave", LEVEL, decimals=1)]
    counted: Annotated[float, Output("Counted, by its join", LEVEL, decimals=1)]
    after: Annotated[float, Output("Level then", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class LevelTrims:
    """A trim for each channel, none above 0 dB."""

    settings: Annotated[str, OutputText("Set", main=True)]
    channels: Annotated[tuple[ChannelTrim, ...], OutputRows("Trims to set", copy=True)]
    weakest: Annotated[str, OutputText("Stays at 0 dB")]
    largest_trim: Annotated[float, Output("Largest trim", LEVEL, decimals=1)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Level trims",
    example={
        "channels": [
            {"name": "Left tweeter", "level": 74.6, "bands": 7, "at_join": 3.2},
            {"name": "Left woofer", "level": 73.3, "bands": 10},
            {"name": "Right tweeter", "level": 73.1, "bands": 7, "at_join": 2.4},
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
        Rows("Channels", "channel", at_least=1, at_most=16, help="Each tweeter in the row above its woofer."),
    ],
) -> LevelTrims:
    """Trims that set every channel to its wanted level, by turning down alone.

    Noises of one total are the weaker in each band, the more bands they cover: so channels are
    compared by their level per third octave. A tweeter in the row above its woofer is instead set to
    it by the half octaves on either side of where they meet. The channel with the least to spare stays at
    0 dB and the others come down to it, so that no trim can make a channel clip. Leave the gain
    pots as commissioning set them.
    """
    per_band = [levels.level_per_band(channel.level, channel.bands) for channel in channels]
    counted = _counted(channels, per_band)
    trims = gain.level_trims(counted, [channel.offset for channel in channels])
    rows = [
        ChannelTrim(name=channel.name, trim=trim, per_band=own, counted=level, after=level + trim)
        for channel, trim, own, level in zip(channels, trims, per_band, counted, strict=True)
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
    return f"{round(level, 1) + 0.0:.1f}".replace("-", "−")


def _counted(channels: tuple[ChannelLevel, ...], per_band: list[float]) -> list[float]:
    """Level of each channel, dB, on one scale: its own per band, or what its join makes it."""
    counted = list(per_band)
    for place in reversed(range(len(channels))):
        louder = channels[place].at_join
        if louder is None:
            continue
        if place + 1 == len(channels):
            raise InputError(
                f"channels[{place}].at_join",
                "There is no row below: put the lower channel of the join there, or leave this empty.",
            )
        counted[place] = counted[place + 1] + louder
    return counted
