"""The bands in which left and right work against each other."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Chart, Number, Output, OutputChart, calculator
from calculators.declaring.quantities import FREQUENCY, LENGTH, SPEED, TIME
from calculators.physics import air
from calculators.vocabulary.combs import comb_chart
from calculators.vocabulary.surroundings import AIR_TEMPERATURE


@dataclass(frozen=True, kw_only=True)
class OpposedBands:
    """Where left and right work against each other at a seat."""

    band_centre: Annotated[float, Output("Opposed most at", FREQUENCY, decimals=0, main=True)]
    band_low: Annotated[float, Output("They oppose from", FREQUENCY, decimals=0)]
    band_high: Annotated[float, Output("to", FREQUENCY, decimals=0)]
    next_low: Annotated[float, Output("and again from", FREQUENCY, decimals=0)]
    next_centre: Annotated[float, Output("most at", FREQUENCY, decimals=0)]
    next_high: Annotated[float, Output("to there", FREQUENCY, decimals=0)]
    delay: Annotated[float, Output("The difference in time", TIME, show="ms", figures=3)]
    speed: Annotated[float, Output("Speed of sound", SPEED, decimals=1)]
    chart: Annotated[Chart, OutputChart("Left and right together at the seat")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Band in which left and right oppose",
    example={"path_difference": 0.49, "temperature": 24.0},
    sources=("iso-9613-1", "geometry-of-arrival"),
    equations=(
        "speed = 343.2*sqrt((temperature + 273.15)/293.15)",
        "delay = path_difference/speed",
        "band_centre = speed/(2*path_difference)",
        "band_low = speed/(4*path_difference)",
        "band_high = 3*speed/(4*path_difference)",
        "next_centre = 3*speed/(2*path_difference)",
        "next_low = 5*speed/(4*path_difference)",
        "next_high = 7*speed/(4*path_difference)",
    ),
)
def opposed_band(
    path_difference: Annotated[
        float,
        Number("Path difference", LENGTH, 0.02, 10, show="cm", usual=(0.1, 1.2), units=("m", "in")),
    ],
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> OpposedBands:
    """Where the same sound from left and right arrives more than a quarter turn apart.

    With equal delays both seats hear the far side late by the same time, so both lose the same
    bands. An equaliser on both sides lifts what little is left, and the power with it; on one side it
    puts back one point. Free field: reflections in a cabin blur the edges.
    """
    speed = air.speed_of_sound(temperature)
    first = air.opposed_band(path_difference, speed)
    second = air.opposed_band(path_difference, speed, 1)
    return OpposedBands(
        band_centre=first.centre,
        band_low=first.low,
        band_high=first.high,
        next_low=second.low,
        next_centre=second.centre,
        next_high=second.high,
        delay=path_difference / speed,
        speed=speed,
        chart=comb_chart(
            "Left and right together at the seat", path_difference, 0.0, speed, "Two that do not interfere"
        ),
    )
