"""The gain chain: where it clips first, what each stage is set to, and the noise it leaves."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import LENGTH, LEVEL, RESISTANCE, VOLTAGE
from calculators.physics import gain, levels_at_ear
from calculators.stages.loudness import SENSITIVITY, SENSITIVITY_BASIS, per_watt_of

INPUT_RESERVE = 1.0
TIE = 0.05
"""dB within which two stages count as clipping together."""

VOLTS_OF_SINE = "V RMS of a sine. Turn a maker's peak figure into RMS first: times 0.707."


@dataclass(frozen=True)
class Stage:
    """One box between source and speaker."""

    name: Annotated[str, Text("Stage")]
    input_max: Annotated[
        float | None,
        Number("Most it takes in", VOLTAGE, 0.001, 500, usual=(0.2, 40), optional=True, empty="no limit",
               help=VOLTS_OF_SINE),
    ] = None  # fmt: skip
    output_max: Annotated[
        float | None,
        Number("Most it gives out", VOLTAGE, 0.001, 500, usual=(0.5, 100), optional=True, empty="no limit",
               help=VOLTS_OF_SINE),
    ] = None  # fmt: skip
    gain: Annotated[
        float | None,
        Number("Gain or trim", LEVEL, -100, 100, usual=(-40, 40), optional=True, empty="to be found"),
    ] = None
    unity: Annotated[
        float | None,
        Number(
            "Full output at 0 dB from", VOLTAGE, 0.001, 500, usual=(0.1, 40), optional=True,
            empty="plain gain",
            help="The volts in that make its full output with the trim at 0 dB. Empty: the gain is plain, "
            "volts out over volts in.",
        ),
    ] = None  # fmt: skip
    boost: Annotated[float, Number("Largest boost of its filters", LEVEL, 0, 40, usual=(0, 12))] = 0.0
    noise: Annotated[
        float,
        Number("Its own noise, A-weighted", VOLTAGE, 0, 1, show="µV", usual=(0, 0.002), units=("mV",)),
    ] = 0.0
    noise_at: Annotated[
        str, Choice("That noise is given at", {"output": "its output", "input": "its input"})
    ] = "output"


@dataclass(frozen=True)
class ChainRow:
    """One stage of the chain with a full-scale file at the ceiling step."""

    name: Annotated[str, OutputText("Stage")]
    gain: Annotated[float, Output("Gain or trim", LEVEL, decimals=2)]
    voltage: Annotated[float, Output("A 0 dBFS tone gives", VOLTAGE, figures=4)]
    voltage_boosted: Annotated[float, Output("With all boosts so far", VOLTAGE, figures=4)]
    clip_margin: Annotated[
        float | None, Output("Margin, its own boost in", LEVEL, decimals=1, none="no limit")
    ]
    clips_at: Annotated[
        float | None, Output("Clips at, all boosts in (dBFS)", LEVEL, decimals=1, none="no limit")
    ]
    noise: Annotated[float, Output("Its noise at the speaker", VOLTAGE, show="mV", figures=3)]


@dataclass(frozen=True)
class GainChain:
    """Order of clipping, settings and noise of a whole chain."""

    first_to_clip: Annotated[str, OutputText("Clips first", main=True)]
    order: Annotated[str, OutputText("In order, with all boosts in")]
    setting: Annotated[
        float | None, Output("Gain found for the last open stage", LEVEL, decimals=2, none="no gain was open")
    ]
    limiter: Annotated[
        float | None,
        Output("At the output in front, full drive is (dBFS)", LEVEL, decimals=1,
               none="the stage in front has no full output"),
    ]  # fmt: skip
    noise: Annotated[float, Output("Noise at the speaker", VOLTAGE, show="mV", figures=3)]
    noise_at_ear: Annotated[float | None, Output("Noise at the ear", LEVEL, decimals=1, none="none given")]
    source_noise_limit: Annotated[float, Output("The source may hiss at most", VOLTAGE, show="mV", figures=2)]
    below_full: Annotated[
        float | None, Output("Noise under the last stage's full output", LEVEL, decimals=1, none="none given")
    ]
    chain: Annotated[tuple[ChainRow, ...], OutputRows("Stage by stage", copy=True)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Gain chain",
    example={
        "source": 8.4,
        "source_noise": 80e-6,
        "stages": [
            {"name": "Pick-up", "input_max": 10.18, "gain": 0.0},
            {"name": "Processor input", "input_max": 10.0, "gain": 0.0, "noise": 100e-6, "noise_at": "input"},
            {"name": "Processor output", "output_max": 4.0, "unity": 10.0, "boost": 4.5, "noise": 22.5e-6},
            {"name": "Amplifier", "output_max": 16.733, "noise": 5e-6, "noise_at": "input"},
        ],
        "headroom": 5.0,
        "distance": 0.86,
    },
    sources=("iec-60027-3", "ohm", "inverse-distance", "common-practice"),
)
def gain_chain(
    source: Annotated[
        float,
        Number("Source: 0 dBFS file at the ceiling step", VOLTAGE, 0.01, 100, usual=(0.5, 30)),
    ],
    stages: Annotated[
        tuple[Stage, ...], Rows("Stages behind the source, amplifier last", "stage", at_least=1, at_most=12)
    ],
    headroom: Annotated[
        float,
        Number(
            "Headroom for quiet recordings",
            LEVEL,
            -20,
            20,
            usual=(0, 10),
            help="A file this far under full scale drives the amplifier to its full output. "
            "Below 0: this channel is meant to be quieter.",
        ),
    ] = 5.0,
    reserve: Annotated[
        float,
        Number(
            "Reserve inside a processor, over the largest boost",
            LEVEL,
            0,
            20,
            usual=(3, 12),
            help="High- and all-pass filters raise peaks. Boosts not yet known: 9 dB.",
        ),
    ] = 3.0,
    source_noise: Annotated[
        float,
        Number("Source: its noise, A-weighted", VOLTAGE, 0, 1, show="µV", usual=(0, 0.002), units=("mV",)),
    ] = 0.0,
    load: Annotated[float, Number("Speaker", RESISTANCE, 0.5, 32, usual=(1, 16))] = 4.0,
    sensitivity: Annotated[float, SENSITIVITY] = 91.0,
    sensitivity_basis: Annotated[str, SENSITIVITY_BASIS] = "1-watt",
    distance: Annotated[
        float, Number("Distance to the ear", LENGTH, 0.05, 20, show="cm", usual=(0.2, 4), units=("m", "in"))
    ] = 1.0,
    limit: Annotated[
        float, Number("Most noise at the speaker", VOLTAGE, 1e-6, 1, show="mV", usual=(1e-4, 0.005))
    ] = 0.0005,
) -> GainChain:
    """Follows a full-scale file at the ceiling step through every stage, to where it clips.

    The amplifier clips first, by the headroom chosen, and a limiter catches it; the source is next;
    nothing inside the processor ever clips. Leave a gain empty and it is found: the last stage's so
    that a file the headroom under full scale drives it to its full output, one before it so that the
    largest boost and the reserve fit under its full output. Noises add as power. A-weighted volts times
    a flat sensitivity are taken for the level at the ear, which is an assumption.
    """
    boxes = tuple(_box(place, stage, stages) for place, stage in enumerate(stages))
    first = gain.ChainStage(output_max=source, noise_out=source_noise)
    settled = gain.settled_chain(source, (first, *boxes), headroom, reserve)
    points = gain.gain_chain(source, settled)
    rows = tuple(
        ChainRow(
            name=name,
            gain=point.gain - base,
            voltage=point.level,
            voltage_boosted=point.level_boosted,
            clip_margin=point.margin,
            clips_at=point.clips_at,
            noise=point.noise,
        )
        for name, base, point in zip(
            ("Source", *(stage.name for stage in stages)),
            (0.0, *(_gain_at_zero(stage) for stage in stages)),
            points,
            strict=True,
        )
    )
    order = _order(rows)
    open_rows = [row for row, stage in zip(rows[1:], stages, strict=True) if stage.gain is None]
    noise = math.hypot(*(row.noise for row in rows))
    full = stages[-1].output_max
    per_watt = per_watt_of(sensitivity, sensitivity_basis, load)
    in_front = settled[-2].output_max if len(stages) > 1 else None
    silent = noise <= 0.0 or full is None
    # Half of the noise's power is left to everything behind the source.
    most_hiss = limit * source / points[-1].level / math.sqrt(2.0)
    return GainChain(
        first_to_clip=order[0].name,
        order=", ".join(f"{row.name} {_signed(row.clips_at)}" for row in order) + " dBFS",
        setting=open_rows[-1].gain if open_rows else None,
        limiter=None
        if in_front is None or full is None
        else gain.limiter_threshold(full, in_front, points[-1].gain),
        noise=noise,
        noise_at_ear=None if silent else levels_at_ear.noise_at_ear(noise, load, per_watt, distance),
        source_noise_limit=most_hiss,
        below_full=None if full is None or silent else 20.0 * math.log10(full / noise),
        chain=rows,
        advice=(
            *_order_advice(rows, order),
            *_margin_advice(rows, stages, reserve),
            *_noise_advice(noise, limit, source_noise, most_hiss),
        ),
    )


def _box(place: int, stage: Stage, stages: tuple[Stage, ...]) -> gain.ChainStage:
    """A typed stage as the physics takes it."""
    if stage.output_max is None:
        for needed, message in (
            (place == len(stages) - 1, "The last stage is the amplifier: give the volts at which it clips."),
            (stage.unity is not None, "Give the full output that this input makes."),
            (stage.gain is None, "Give the most it gives out, or its gain."),
        ):
            if needed:
                raise InputError(f"stages[{place}].output_max", message)
    at_input = stage.noise_at == "input"
    return gain.ChainStage(
        input_max=stage.input_max,
        output_max=stage.output_max,
        gain=None if stage.gain is None else stage.gain + _gain_at_zero(stage),
        boost=stage.boost,
        noise_in=stage.noise if at_input else 0.0,
        noise_out=0.0 if at_input else stage.noise,
    )


def _gain_at_zero(stage: Stage) -> float:
    """Volts out over volts in, dB, of a stage whose trim stands at 0 dB."""
    if stage.unity is None or stage.output_max is None:
        return 0.0
    return 20.0 * math.log10(stage.output_max / stage.unity)


def _order(rows: tuple[ChainRow, ...]) -> list[ChainRow]:
    """The stages with a limit, the one that clips first in front; the last stage leads a tie."""
    limited = [
        (row.clips_at - (TIE if row is rows[-1] else 0.0), row) for row in rows if row.clips_at is not None
    ]
    return [row for _, row in sorted(limited, key=lambda pair: pair[0])]


def _signed(level: float | None) -> str:
    text = f"{0.0 if level is None else level:+.1f}"
    return "0.0" if text in {"+0.0", "-0.0"} else text.replace("-", "−")


def _order_advice(rows: tuple[ChainRow, ...], order: list[ChainRow]) -> tuple[Advice, ...]:
    first, last = order[0], rows[-1]
    if first is last:
        at = _signed(first.clips_at)
        return (
            Advice(
                "limiter",
                f"{last.name} clips first, from {at} dBFS with all boosts in: set its limiter, or what is "
                "louder comes out with flat tops.",
            ),
        )
    if first is rows[0]:
        message = (
            f"The source clips before {last.name} is at its full output: one step past the ceiling sends "
            "flat tops through a clean amplifier, and no limiter sees them. Raise the gain behind it, or "
            "lock the volume at the ceiling."
        )
    else:
        message = (
            f"{first.name} clips first, not {last.name}: flat tops that no limiter sees go to the tweeters. "
            f"Turn down what stands in front of it, or give {first.name} a wider range."
        )
    return (Advice("first_to_clip", message, danger=True),)


def _margin_advice(
    rows: tuple[ChainRow, ...], stages: tuple[Stage, ...], reserve: float
) -> tuple[Advice, ...]:
    """What the stages between source and amplifier have left, with all boosts in."""
    advice = []
    for row, stage in zip(rows[1:-1], stages[:-1], strict=True):
        if row.clips_at is None:
            continue
        boosts = 20.0 * math.log10(row.voltage_boosted / row.voltage)
        wanted = INPUT_RESERVE if stage.output_max is None else reserve
        if row.clips_at < -TIE and row.clips_at + boosts >= 0.0 and boosts > 0.0:
            message = (
                f"Boosts of {boosts:.1f} dB eat the margin of {row.name}: it clips at "
                f"{_signed(row.clips_at)} dBFS. Take its trim down and the amplifier's gain up by as much."
            )
            advice.append(Advice("chain", message, danger=True))
        elif row.clips_at < -TIE:
            message = f"{row.name} clips at {_signed(row.clips_at)} dBFS, inside what a file may hold."
            advice.append(Advice("chain", message, danger=True))
        elif row.clips_at < wanted - TIE:
            message = (
                f"{row.name} has {max(row.clips_at, 0.0):.1f} dB left with all boosts in; plan {wanted:g} dB."
            )
            advice.append(Advice("chain", message))
    return tuple(advice)


def _noise_advice(noise: float, limit: float, source_noise: float, most_hiss: float) -> tuple[Advice, ...]:
    advice = []
    if noise > limit:
        message = (
            f"Noise of {1e3 * noise:.3g} mV is over the limit of {1e3 * limit:.3g} mV. What a channel needs "
            "less of, take at the amplifier's gain and not in the processor: that turns all noise in front "
            "down with it."
        )
        advice.append(Advice("noise", message, danger=True))
    if source_noise > most_hiss:
        message = (
            f"The source's {1e3 * source_noise:.3g} mV alone takes more than half of what may be heard: take "
            "this channel's trim at the amplifier, or use a digital source."
        )
        advice.append(Advice("source_noise", message))
    return tuple(advice)
