"""What a shut cabin adds to the bass."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL, VOLUME
from calculators.physics import air, decibels
from calculators.physics import loudspeaker_boxes as boxes
from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.responses import SHOWN, places_shown, response_chart, response_curve, round_axis
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

CABIN_LOWEST, CABIN_HIGHEST = 10.0, 200.0
USUAL_RISES = (6.0, 9.0)


@dataclass(frozen=True, kw_only=True)
class CabinGain:
    """Where the rise begins, and what it comes to."""

    transition: Annotated[float, Output("The rise begins at (c/2L)", FREQUENCY, decimals=1, main=True)]
    volume_transition: Annotated[
        float | None,
        Output("By the cabin's volume instead", FREQUENCY, decimals=1, none="no volume given"),
    ]
    gain_at: Annotated[float, Output("Estimate at that frequency", LEVEL, decimals=1)]
    usual_low: Annotated[float, Output("What real vehicles give there, from", LEVEL, decimals=1)]
    usual_high: Annotated[float, Output("to", LEVEL, decimals=1)]
    chart: Annotated[Chart, OutputChart("Rise of the bass")]
    gain: Annotated[Curve, OutputCurve("Rise of the bass")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Cabin gain",
    example={"longest": 2.5, "leak": 12.0, "temperature": 20.0, "cabin_volume": 3.0, "frequency": 30.0},
    sources=("kinsler", "iso-9613-1", "common-practice"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "transition = speed/(2*longest)",
    ),
)
def cabin_gain(
    longest: Annotated[
        float,
        Number(
            "Cabin, longest inside",
            LENGTH,
            0.5,
            12,
            usual=(1.5, 6),
            units=("cm", "ft"),
            help="From the dashboard's foot to the hatch.",
        ),
    ],
    leak: Annotated[
        float,
        Number(
            "Its leaks end the rise at",
            FREQUENCY,
            0,
            200,
            usual=(0, 40),
            help="0 for a tight one. Nobody knows it before it is measured.",
        ),
    ] = 0.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    cabin_volume: Annotated[
        float | None,
        Number(
            "Air in the cabin",
            VOLUME,
            0.3,
            30,
            usual=(2, 12),
            units=("L", "cu ft"),
            optional=True,
            empty="not known",
        ),
    ] = None,
    frequency: Annotated[float, Number("Read it at", FREQUENCY, 5, 200, usual=(15, 80))] = 30.0,
) -> CabinGain:
    """What a shut cabin adds below c/2L, where it is a single spring of air: an estimate.

    Common practice, no source. Sealed and stiff it would rise by 12 dB an octave without end. Real cabins
    leak and give way: 6 to 9 dB an octave. Measure yours; never promise it.
    """
    speed = air.speed_of_sound(temperature)
    transition = speed / (2 * longest)
    if leak >= transition:
        raise InputError("leak", f"Leaks end the rise below its beginning: less than {transition:.1f} Hz.")

    def rise(at: FloatArray) -> FloatArray:
        return decibels.level(boxes.cabin_gain(at, transition, leak))

    low, high = (_straight(frequency, transition, slope) for slope in USUAL_RISES)
    volume_transition = None
    if cabin_volume is not None:
        volume_transition = boxes.pressure_transition(cabin_volume) * speed / SPEED_OF_SOUND
    return CabinGain(
        transition=transition,
        volume_transition=volume_transition,
        gain_at=float(rise(np.array([frequency]))[0]),
        usual_low=low,
        usual_high=high,
        chart=_chart(transition, leak, frequency),
        gain=response_curve(boxes.cabin_gain(SHOWN, transition, leak)),
        advice=(
            Advice(
                "gain_at",
                "An estimate: two vehicles of one length differ by 6 dB. Set the level and the equaliser by "
                "a measurement at the seat, doors and windows shut.",
            ),
        ),
    )


def _straight(frequency: float, transition: float, slope: float) -> float:
    """dB of a straight rise, dB/oct, from the transition down."""
    return float(max(slope * np.log2(transition / frequency), 0.0))


def _chart(transition: float, leak: float, frequency: float) -> Chart:
    def rise(at: FloatArray, end: float) -> FloatArray:
        return decibels.level(boxes.cabin_gain(at, transition, end))

    named = [place for place in (frequency, transition) if CABIN_LOWEST <= place <= CABIN_HIGHEST]
    places = places_shown((lambda at: rise(at, leak),), named, low=CABIN_LOWEST, high=CABIN_HIGHEST)
    at = places.at
    lines: dict[str, FloatArray] = {"Tight and stiff": rise(at, 0.0)}
    if leak > 0:
        lines["With those leaks"] = rise(at, leak)
    for slope in USUAL_RISES:
        lines[f"{slope:.0f} dB an octave"] = np.maximum(slope * np.log2(transition / at), 0.0)
    axis = round_axis("Over half space", "dB", *lines.values(), step=6.0)
    read_at = frequency if frequency >= CABIN_LOWEST else None
    return response_chart("Rise of the bass in a shut cabin", places, lines, axis, read_at=read_at)
