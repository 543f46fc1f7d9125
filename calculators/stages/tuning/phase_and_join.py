"""Two speakers where they meet: delay, phase and sum."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Advice, Axis, Band, Chart, Number, Output, OutputChart, calculator
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, TIME
from calculators.physics import decibels
from calculators.physics.curve_places import LevelsAt
from calculators.vocabulary.responses import (
    LOWEST_DRAWN,
    LOWEST_SHOWN,
    places_shown,
    response_chart,
)


@dataclass(frozen=True, kw_only=True)
class PhaseAndJoin:
    """Two speakers at the frequency where they meet."""

    phase: Annotated[float, Output("Phase the delay makes", ANGLE, decimals=1, main=True)]
    phase_between: Annotated[float, Output("Phase between the two", ANGLE, decimals=1)]
    sum_level: Annotated[
        float, Output("Together, over the louder alone", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    lost: Annotated[float, Output("Lost against being in step", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    reversed_level: Annotated[
        float, Output("With one of them reversed", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    half_cycle: Annotated[float, Output("Half a cycle there lasts", TIME, show="ms")]
    delay_for_phase: Annotated[float, Output("Delay for the phase asked for", TIME, show="ms", figures=3)]
    chart: Annotated[Chart, OutputChart("Around the frequency")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Phase and join",
    example={"frequency": 80.0, "delay": 1.31e-3, "level_difference": 0.0},
    sources=("geometry-of-arrival", "phasor-sum"),
    equations=(
        "phase = 360*frequency*delay",
        "half_cycle = 1/(2*frequency)",
        "delay_for_phase = wanted_phase/(360*frequency)",
    ),
)
def phase_and_join(
    frequency: Annotated[float, Number("They meet at", FREQUENCY, 10, 20e3, usual=(20, 8e3), units=("kHz",))],
    delay: Annotated[
        float,
        Number("One is late by", TIME, 0, 0.1, show="ms", usual=(0, 0.02), units=("µs",)),
    ] = 0.0,
    level_difference: Annotated[float, Number("and quieter by", LEVEL, 0, 60, usual=(0, 20))] = 0.0,
    wanted_phase: Annotated[float, Number("Delay for a phase of", ANGLE, 0, 360)] = 30.0,
) -> PhaseAndJoin:
    """What a delay means in degrees where two speakers meet, and what it costs.

    Up to 30° costs a third of a decibel at the most; at 90° two equal speakers have lost 3 dB, at
    180° they are gone. Where they are in step, reversing one of them must make a deep null.
    """
    phase = decibels.phase_of_delay(frequency, delay)
    together = decibels.phasor_sum([0.0, -level_difference], [0.0, -phase])
    turned = decibels.phasor_sum([0.0, -level_difference], [0.0, 180.0 - phase])
    advice: tuple[Advice, ...] = ()
    if turned > together:
        text = (
            "They work against each other because one is late: first take the delay out, then judge the "
            "polarity. Reversing one of them does not mend a difference in arrival."
        )
        advice = (Advice("delay", text),)
    if phase >= 180:
        text = (
            "Half a cycle late or more: where they are in step, it is by accident. The level may look right "
            "while a drum loses its attack. Take the delay out."
        )
        advice = (*advice, Advice("delay", text))
    return PhaseAndJoin(
        phase=phase,
        phase_between=180.0 - (180.0 - phase) % 360,
        sum_level=together,
        lost=together - decibels.peak_height(-level_difference),
        reversed_level=turned,
        half_cycle=1 / (2 * frequency),
        delay_for_phase=decibels.delay_of_phase(frequency, wanted_phase),
        chart=_join_chart(frequency, delay, level_difference),
        advice=advice,
    )


def _join_chart(frequency: float, delay: float, level_difference: float) -> Chart:
    """Both sums two octaves either side."""
    quieter = 10 ** (-level_difference / 20)

    def together(sign: int) -> LevelsAt:
        return lambda where: decibels.level(1 + sign * quieter * np.exp(-2j * np.pi * where * delay))

    places = places_shown(
        (together(1), together(-1)),
        (frequency,),
        low=frequency / 4,
        high=frequency * 4,
        finest=1 / (2 * delay) if delay else None,
    )
    return response_chart(
        "Level over the louder one alone",
        places,
        {"As they are": (together(1)(places.at), "main"), "One reversed": together(-1)(places.at)},
        Axis("Level", "dB", LOWEST_DRAWN, 9, lowest=LOWEST_SHOWN),
        (Band("Half an octave either side", frequency / 2**0.5, frequency * 2**0.5),),
        read_at=frequency,
    )
