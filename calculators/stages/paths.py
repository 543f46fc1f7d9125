"""Two paths or two sounds together: reflections, sums, joins and opposed bands."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Flag,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputList,
    Rows,
    calculator,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LENGTH, LEVEL, SPEED, TIME
from calculators.physics import air, levels
from calculators.stages.responses import (
    LOWEST_SHOWN,
    LevelsAt,
    floats,
    places_shown,
    response_chart,
)
from calculators.stages.sound import AIR_TEMPERATURE

LOWEST_DRAWN = -30.0
HIGHEST = 20000.0
# Teeth of the comb that a chart draws; above them they run together to the eye.
TEETH_DRAWN = 12


@dataclass(frozen=True)
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
        speed / (2 * difference),
        difference,
        difference / speed,
        floats(air.notch_frequencies(difference, speed, HIGHEST)),
        floats(air.peak_frequencies(difference, speed, HIGHEST)),
        levels.notch_depth(reflection_level),
        levels.peak_height(reflection_level),
        speed,
        comb_chart(
            "Direct sound and reflection together",
            difference,
            reflection_level,
            speed,
            "Together, without phase",
        ),
        _comb_advice(reflection_level),
    )


def _comb_advice(reflection_level: float) -> tuple[Advice, ...]:
    if reflection_level > -20:
        return ()
    text = "A reflection this weak moves the level by less than 1 dB: look elsewhere for the fault."
    return (Advice("reflection_level", text),)


def comb_chart(title: str, difference: float, second_level: float, speed: float, average: str) -> Chart:
    """Level of two paths together over that of the first alone, with the first opposed band.

    Above the last tooth drawn they lie too close for a picture: the line ends there.
    """
    spacing = speed / difference
    eighths = np.arange(1, 8 * TEETH_DRAWN + 1) * spacing / 8
    turns, end = eighths[3::4], min(float(eighths[-1]), HIGHEST)
    places = places_shown((), turns, eighths)
    level = levels.level(air.comb_response(places.at, difference, second_level, speed))
    without_phase = np.full_like(level, levels.power_sum([0.0, second_level]))
    opposed = air.opposed_band(difference, speed)
    bands = []
    if opposed.low < HIGHEST:
        shown = max(opposed.low, 20.0), min(opposed.high, HIGHEST)
        bands.append(Band("First band of opposed phase", *shown))
    if end < HIGHEST:
        bands.append(Band("Teeth too close to draw", end, HIGHEST))
    return response_chart(
        title,
        places,
        {"Together": (np.where(places.at <= end, level, np.nan), "main"), average: without_phase},
        Axis("Level over one alone", "dB", LOWEST_DRAWN, 9, lowest=LOWEST_SHOWN),
        tuple(bands),
        read_at=spacing / 2,
    )


@dataclass(frozen=True)
class SoundLevel:
    """One of the sounds to add."""

    level: Annotated[float, Number("Level", LEVEL, -200, 200, usual=(0, 140))]
    phase: Annotated[float, Number("Phase", ANGLE, -3600, 3600, usual=(-360, 360), help="One tone only.")] = (
        0.0
    )


@dataclass(frozen=True)
class LevelSum:
    """All sounds together."""

    total: Annotated[float, Output("Together", LEVEL, decimals=2, lowest=-100.0, main=True)]
    above_loudest: Annotated[
        float, Output("Above the loudest of them", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    other_total: Annotated[float, Output("If it were the other kind", LEVEL, decimals=2, lowest=-100.0)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Sum of levels",
    example={"levels": [{"level": 90.0}, {"level": 87.0}], "coherent": False},
    sources=("iso-1996-1", "phasor-sum"),
)
def level_sum(
    levels: Annotated[tuple[SoundLevel, ...], Rows("Sounds", "sound", at_most=24)],
    coherent: Annotated[
        bool,
        Flag(
            "One tone, with phase",
            help="No: music, noise, any sounds without a tie.",
        ),
    ] = False,
) -> LevelSum:
    """What several sounds make together.

    Sounds that have nothing to do with each other add as powers: two equal ones are 3 dB more.
    The same tone from two places adds with its phase: 6 dB more in step, nothing left opposed.
    """
    heights = [sound.level for sound in levels]
    as_powers, as_phasors = _sums(heights, [sound.phase for sound in levels])
    total, other = (as_phasors, as_powers) if coherent else (as_powers, as_phasors)
    advice: tuple[Advice, ...] = ()
    if not coherent and any(sound.phase for sound in levels):
        advice = (Advice("coherent", "Phase counts only for one and the same tone: it was left aside."),)
    return LevelSum(total, total - max(heights), other, advice)


def _sums(heights: list[float], phases: list[float]) -> tuple[float, float]:
    return levels.power_sum(heights), levels.phasor_sum(heights, phases)


@dataclass(frozen=True)
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
    phase = levels.phase_of_delay(frequency, delay)
    together = levels.phasor_sum([0.0, -level_difference], [0.0, -phase])
    turned = levels.phasor_sum([0.0, -level_difference], [0.0, 180.0 - phase])
    advice: tuple[Advice, ...] = ()
    if turned > together:
        text = (
            "They work against each other because one is late: first take the delay out, then judge the "
            "polarity. Reversing one of them does not mend a difference in arrival."
        )
        advice = (Advice("delay", text),)
    if phase > 360:
        advice = (
            *advice,
            Advice(
                "delay",
                "More than a whole cycle late: the level may look right while a drum loses its attack.",
            ),
        )
    return PhaseAndJoin(
        phase,
        180.0 - (180.0 - phase) % 360,
        together,
        together - levels.peak_height(-level_difference),
        turned,
        1 / (2 * frequency),
        levels.delay_of_phase(frequency, wanted_phase),
        _join_chart(frequency, delay, level_difference),
        advice,
    )


def _join_chart(frequency: float, delay: float, level_difference: float) -> Chart:
    """Both sums two octaves either side."""
    quieter = 10 ** (-level_difference / 20)

    def together(sign: int) -> LevelsAt:
        return lambda where: levels.level(1 + sign * quieter * np.exp(-2j * np.pi * where * delay))

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


@dataclass(frozen=True)
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
        first.centre,
        first.low,
        first.high,
        second.low,
        second.centre,
        second.high,
        path_difference / speed,
        speed,
        comb_chart(
            "Left and right together at the seat", path_difference, 0.0, speed, "Two that do not interfere"
        ),
    )
