"""A reflection, and the comb it makes."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Chart,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputList,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL, SPEED, TIME
from calculators.physics import air, decibels
from calculators.vocabulary.combs import comb_chart
from calculators.vocabulary.responses import HIGHEST_HEARD, LOWEST_SHOWN, floats
from calculators.vocabulary.surroundings import AIR_TEMPERATURE


@dataclass(frozen=True, kw_only=True)
class PathCancellation:
    """What a reflection does to the direct sound."""

    first_notch: Annotated[float, Output("First notch", FREQUENCY, trim=True, main=True)]
    path_difference: Annotated[float, Output("Path difference", LENGTH, show="cm", also=("in",))]
    delay: Annotated[float, Output("The reflection is late by", TIME, show="ms")]
    notches: Annotated[tuple[float, ...], OutputList("Notches", FREQUENCY, figures=3)]
    peaks: Annotated[tuple[float, ...], OutputList("Peaks", FREQUENCY, figures=3)]
    notch_depth: Annotated[float, Output("Level in a notch", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    peak_height: Annotated[float, Output("Level on a peak", LEVEL, decimals=1)]
    speed: Annotated[float, Output("Speed of sound", SPEED, decimals=1)]
    chart: Annotated[Chart, OutputChart("Direct sound and reflection together")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Reflection and its comb",
    example={"direct": 0.95, "reflected": 1.45, "reflection_level": -5.0},
    sources=("iso-9613-1", "everest-pohlmann", "neely-allen-1979"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "path_difference = reflected - direct",
        "delay = path_difference/speed",
        "first_notch = speed/(2*path_difference)",
        "peak_height = 20*log(1 + 10**(reflection_level/20))/log(10)",
    ),
)
def path_cancellation(
    direct: Annotated[
        float, Number("Direct path", LENGTH, 0.05, 20, show="cm", usual=(0.2, 4), units=("m", "in"))
    ],
    reflected: Annotated[
        float,
        Number(
            "Path by the reflection",
            LENGTH,
            0.05,
            20,
            show="cm",
            usual=(0.2, 6),
            units=("m", "in"),
            help="Speaker to the surface and from there to the ear.",
        ),
    ],
    reflection_level: Annotated[
        float,
        Number(
            "Level of the reflection",
            LEVEL,
            -60,
            0,
            help="At the ear, against the direct sound. 0: as loud as it.",
        ),
    ] = 0.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> PathCancellation:
    """Where a reflection, or any second path, cancels the direct sound and where it adds.

    The notches lie at odd multiples of the first one, the peaks half-way between. What an equaliser
    adds goes down both paths: it fills a notch at one point, and is a hump a hand's breadth away.
    Over a whole head no equaliser mends it. Move, aim or absorb.
    """
    if reflected - direct < 1e-4:
        raise InputError("reflected", "The path by the reflection must be longer than the direct one.")
    speed = air.speed_of_sound(temperature)
    difference = reflected - direct
    return PathCancellation(
        first_notch=speed / (2 * difference),
        path_difference=difference,
        delay=difference / speed,
        notches=floats(air.notch_frequencies(difference, speed, HIGHEST_HEARD)),
        peaks=floats(air.peak_frequencies(difference, speed, HIGHEST_HEARD)),
        notch_depth=decibels.notch_depth(reflection_level),
        peak_height=decibels.peak_height(reflection_level),
        speed=speed,
        chart=comb_chart(
            "Direct sound and reflection together",
            difference,
            reflection_level,
            speed,
            "Together, without phase",
        ),
        advice=_comb_advice(reflection_level, speed / (2 * difference)),
    )


def _comb_advice(reflection_level: float, first_notch: float) -> tuple[Advice, ...]:
    if first_notch > HIGHEST_HEARD:
        text = "The first notch lies over 20 kHz: this path takes no tone away that anybody hears."
        return (Advice("first_notch", text),)
    if reflection_level > -20:
        return ()
    text = "A reflection this weak moves the level by less than 1 dB: look elsewhere for the fault."
    return (Advice("reflection_level", text),)
