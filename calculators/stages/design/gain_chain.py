"""The gain chain: where it clips first, what each stage is set to, and the noise it leaves."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputRows, OutputText, Rows, calculator
from calculators.declaring.quantities import LENGTH, LEVEL, RESISTANCE, VOLTAGE
from calculators.physics import gain, speaker_output
from calculators.vocabulary.gain_stages import (
    TIE,
    ChainRow,
    Stage,
    chain_stage,
    clipping_order,
    gain_at_zero,
    headroom_advice,
    order_advice,
    signed,
)
from calculators.vocabulary.speakers import SENSITIVITY, SENSITIVITY_BASIS, per_watt_of

INPUT_RESERVE = 1.0
NOISE_BELOW_FULL = 90.0
"""dB of noise under the amplifier's full output, at a tweeter's channel. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class GainChain:
    """Order of clipping, settings and noise of a whole chain."""

    first_to_clip: Annotated[str, OutputText("Clips first", main=True, brief="clips_at")]
    clips_at: Annotated[float | None, Output("It clips at (dBFS)", LEVEL, decimals=1, none="none does")]
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
            usual=(-10, 10),
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
    boxes = tuple(chain_stage(place, stage, stages) for place, stage in enumerate(stages))
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
            (0.0, *(gain_at_zero(stage) for stage in stages)),
            points,
            strict=True,
        )
    )
    order = clipping_order(rows)
    open_rows = [row for row, stage in zip(rows[1:], stages, strict=True) if stage.gain is None]
    noise = math.hypot(*(row.noise for row in rows))
    full = stages[-1].output_max
    per_watt = per_watt_of(sensitivity, sensitivity_basis, load)
    in_front = settled[-2].output_max if len(stages) > 1 else None
    silent = noise <= 0.0 or full is None
    # Half of the noise's power is left to everything behind the source.
    most_hiss = limit / points[0].behind / math.sqrt(2.0)
    return GainChain(
        first_to_clip=order[0].name,
        clips_at=order[0].clips_at,
        order=", ".join(f"{row.name} {signed(row.clips_at)}" for row in order) + " dBFS",
        setting=open_rows[-1].gain if open_rows else None,
        limiter=None
        if in_front is None or full is None
        else gain.limiter_threshold(full, in_front, points[-1].gain),
        noise=noise,
        noise_at_ear=None if silent else speaker_output.noise_at_ear(noise, load, per_watt, distance),
        source_noise_limit=most_hiss,
        below_full=None if full is None or silent else 20.0 * math.log10(full / noise),
        chain=rows,
        advice=(
            *order_advice(rows, order),
            *headroom_advice(rows, stages, headroom),
            *_margin_advice(rows, stages, reserve),
            *_noise_advice(noise, limit, source_noise, most_hiss, None if silent else full),
        ),
    )


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
                f"{signed(row.clips_at)} dBFS. Take its trim down and the amplifier's gain up by as much."
            )
            advice.append(Advice("chain", message, danger=True))
        elif row.clips_at < -TIE:
            message = f"{row.name} clips at {signed(row.clips_at)} dBFS, inside what a file may hold."
            advice.append(Advice("chain", message, danger=True))
        elif row.clips_at < wanted - TIE:
            message = (
                f"{row.name} has {max(row.clips_at, 0.0):.1f} dB left with all boosts in; plan {wanted:g} dB."
            )
            advice.append(Advice("chain", message))
    return tuple(advice)


def _noise_advice(
    noise: float, limit: float, source_noise: float, most_hiss: float, full: float | None
) -> tuple[Advice, ...]:
    """Noise over its limit, by whose doing, and under the last stage's ``full`` output; None where silent."""
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
    if full is not None and (below := 20.0 * math.log10(full / noise)) < NOISE_BELOW_FULL:
        message = (
            f"{below:.1f} dB under the full output, and a tweeter's channel wants {NOISE_BELOW_FULL:g} dB. A "
            "woofer's may have less: its low-pass takes most of the hiss, and the ear at it decides."
        )
        advice.append(Advice("below_full", message))
    return tuple(advice)
