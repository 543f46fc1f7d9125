"""The subwoofer's join: delay, polarity and level by phase, at all points and seats at once."""

from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import ANGLE, FREQUENCY, LENGTH, LEVEL, SLOPE, TIME
from calculators.physics import air, decibels, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_joins import TwoParts
from calculators.vocabulary.filters import FALLS_BELOW, FALLS_WITH_Q, FAMILY_NAMES, SLOPES, order_of
from calculators.vocabulary.phased_curves import FARTHEST_APART, judged_places, read_at
from calculators.vocabulary.responses import LOWEST_SHOWN
from calculators.vocabulary.sub_alignment_parts import (
    BASS_BAND,
    FRONT_BAND,
    Part,
    bass_advice,
    flight_advice,
    is_searched,
    join_phase_chart,
    modelled_parts,
    over_the_front,
    setting_in_short,
    setting_words,
    settings,
    sum_chart,
    whole_cycle,
)
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

FAR = Number("Distance", LENGTH, 0.05, 10, show="cm", usual=(0.3, 4), units=("m", "in"))


@dataclass(frozen=True)
class BassPoint:
    """One point, or one seat, with both parts as measured there."""

    name: Annotated[str, Text("Point or seat")]
    sub: Annotated[Curve, CurveText("Subwoofer alone", help="“The curve for the tune”, its first line too.")]
    front: Annotated[Curve, CurveText("Front alone", help="At the same point, by the same clock.")]


@dataclass(frozen=True, kw_only=True)
class BassAtPoint:
    """What the join loses at one point."""

    name: Annotated[str, OutputText("Point or seat")]
    found_loss: Annotated[float, Output("Mean loss as found", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    set_loss: Annotated[float, Output("so set", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    worst_after: Annotated[float, Output("worst", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    phase_apart: Annotated[float, Output("farthest apart", ANGLE, decimals=0)]


@dataclass(frozen=True, kw_only=True)
class SubAlignment:
    """Delay, polarity and level of the subwoofer, and what they leave."""

    setting: Annotated[str, OutputText("Set", main=True, brief="short")]
    short: Annotated[str, OutputBrief("The join")]
    delay: Annotated[float, Output("Subwoofer later by; below 0: all others", TIME, show="ms", decimals=3)]
    polarity_word: Annotated[str, OutputText("Polarity of the subwoofer")]
    gain: Annotated[float, Output("Level of the subwoofer", LEVEL, decimals=1)]
    mean_loss: Annotated[float, Output("Mean loss then", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    spread: Annotated[float, Output("It spreads by", LEVEL, decimals=2)]
    found_loss: Annotated[float, Output("Mean loss as found", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    worst_loss: Annotated[float, Output("Worst loss then", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    worst_frequency: Annotated[float, Output("that is at", FREQUENCY, figures=3, trim=True)]
    other_loss: Annotated[
        float, Output("Mean loss with the other polarity", LEVEL, decimals=2, lowest=LOWEST_SHOWN)
    ]
    join_frequency: Annotated[float, Output("Middle of the join", FREQUENCY, figures=3, trim=True)]
    phase: Annotated[float, Output("Subwoofer against the front there", ANGLE, decimals=0)]
    largest_phase: Annotated[float, Output("Farthest apart, all points together", ANGLE, decimals=0)]
    late: Annotated[float, Output("By the slope of the phase still late by", TIME, show="ms", decimals=2)]
    whole_cycle: Annotated[str, OutputText("Whole cycles between them")]
    points: Annotated[tuple[BassAtPoint, ...], OutputRows("Point by point")]
    chart: Annotated[Chart, OutputChart("Subwoofer, front and their sum")]
    phase_chart: Annotated[Chart, OutputChart("Phase of the subwoofer against the front")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Subwoofer's join",
    example={
        "given": "model",
        "sub_corner": 80.0,
        "front_corner": 80.0,
        "sub_resonance": 45.0,
        "sub_q": 0.8,
        "front_resonance": 70.0,
        "front_q": 0.8,
        "sub_distance": 1.92,
        "front_distance": 1.47,
        "temperature": 24.0,
    },
    sources=("phasors", "linkwitz-riley-1976", "small-1972", "iso-9613-1", "common-practice"),
)
def sub_alignment(
    given: Annotated[
        str,
        Choice(
            "The parts are",
            {"measured": "curves with phase", "model": "filters, boxes and distances, as a model"},
        ),
    ] = "measured",
    points: Annotated[
        tuple[BassPoint, ...],
        Rows(
            "Points and seats",
            "point",
            at_least=0,
            at_most=12,
            help="Delays and filters as they stand. Left door, right door and both: a row each.",
            fold=True,
        ),
    ] = (),
    polarity: Annotated[
        str, Choice("Polarity", {"proven": "as proven", "free": "may be chosen, at this join alone"})
    ] = "proven",
    wanted_over_front: Annotated[
        float | None,
        Number(
            "Subwoofer over the front",
            LEVEL,
            -20,
            30,
            usual=(0, 12),
            optional=True,
            empty="level as it is",
            help="Per third octave: 40 to 63 Hz against 100 to 160 Hz.",
        ),
    ] = None,
    sub_family: Annotated[
        str, Choice("Subwoofer's low-pass", FAMILY_NAMES, help="Of the model.")
    ] = "linkwitz-riley",
    sub_slope: Annotated[float, Number("Its slope", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    sub_corner: Annotated[float, Number("Its corner", FREQUENCY, 30, 300, usual=(50, 120))] = 80.0,
    sub_resonance: Annotated[float | None, FALLS_BELOW] = 45.0,
    sub_q: Annotated[float, FALLS_WITH_Q] = 0.8,
    sub_distance: Annotated[float, FAR] = 1.9,
    front_family: Annotated[
        str, Choice("Doors' high-pass", FAMILY_NAMES, help="Of the model.")
    ] = "linkwitz-riley",
    front_slope: Annotated[float, Number("Its slope, too", SLOPE, 6, 48, options=SLOPES)] = 24.0,
    front_corner: Annotated[float, Number("Its corner, too", FREQUENCY, 30, 300, usual=(50, 120))] = 80.0,
    front_resonance: Annotated[float | None, FALLS_BELOW] = 70.0,
    front_q: Annotated[float, FALLS_WITH_Q] = 0.8,
    front_distance: Annotated[float, FAR] = 1.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
    low: Annotated[float, Number("Join from", FREQUENCY, 20, 200, usual=(40, 80), seldom=True)] = 50.0,
    high: Annotated[float, Number("Join to", FREQUENCY, 40, 400, usual=(100, 200), seldom=True)] = 125.0,
    search_about: Annotated[
        float,
        Number(
            "Search about",
            TIME,
            -FARTHEST_APART,
            FARTHEST_APART,
            show="ms",
            help="Later by this than as found. The search goes half a cycle to either side, and no farther.",
            seldom=True,
        ),
    ] = 0.0,
) -> SubAlignment:
    """Delay, polarity and level with which subwoofer and front lose least where they meet.

    By phase, not by arrival: a box is late by itself, and by another time at each frequency. Loss is what
    the sum lacks of two parts in step; the mean loss and half its spread count, over 50 to 125 Hz and over
    all points and seats together. Polarity stays as it was proven unless you set it free and turning it wins
    over 0.3 dB. If the subwoofer, farthest already, is still late, all the others are delayed. The arrival
    that a curve's first line says is put back into its phase.
    """
    if not low * 1.5 <= high:
        raise InputError("high", "The join must be wider than that: give a higher end.")
    at = judged_places(low, high)
    if given == "measured":
        names, found = _measured(points, at)
        stands = over_the_front(*_bands(points)) if wanted_over_front is not None else 0.0
    else:
        parts = (
            _part("low-pass", "sub_slope", sub_family, sub_slope, sub_corner, sub_resonance, sub_q,
            sub_distance), _part("high-pass", "front_slope", front_family, front_slope, front_corner,
            front_resonance, front_q, front_distance),
        )  # fmt: skip
        names = ("the model",)
        found, stands = modelled_parts(parts, at, air.speed_of_sound(temperature))
    gain = 0.0 if wanted_over_front is None else wanted_over_front - stands
    flight = flight_advice(point.sub for point in points if given == "measured")
    return _answer(names, found, gain, polarity == "free", search_about, flight)


def _answer(
    names: tuple[str, ...], found: TwoParts, gain: float, free: bool, search_about: float,
    flight: tuple[Advice, ...],
) -> SubAlignment:  # fmt: skip
    """The best setting with the subwoofer ``gain`` dB louder, and what it leaves at each point.

    ``search_about`` in s; ``free``: polarity may be chosen.
    """
    louder = found.changed(1.0, 0.0, gain)
    best, other = settings(louder, free, search_about)
    after = louder.changed(best.sign, best.delay, 0.0)
    loss, before = after.lost(), found.lost()
    place = int(np.argmin(np.round(np.min(loss, axis=0), 9)))
    phases = decibels.phase(after.against())
    advice = (*flight, *bass_advice(best, other, after, free, search_about))
    return SubAlignment(
        setting=setting_words(best, gain),
        short=setting_in_short(best, gain, advice, is_searched(best, after, search_about)),
        delay=best.delay,
        polarity_word="turn it" if best.sign < 0 else "as it is",
        gain=gain,
        mean_loss=float(np.mean(loss)),
        spread=float(np.std(loss)),
        found_loss=float(np.mean(before)),
        worst_loss=float(np.min(loss[:, place])),
        worst_frequency=float(after.frequency[place]),
        other_loss=float(np.mean(louder.changed(other.sign, other.delay, 0.0).lost())),
        join_frequency=after.middle,
        phase=float(phases[int(np.argmin(np.abs(after.frequency - after.middle)))]),
        largest_phase=float(np.max(np.abs(phases))),
        late=after.late_by_slope(),
        whole_cycle=whole_cycle(after),
        points=_by_point(names, before, loss, after),
        chart=sum_chart(found, after),
        phase_chart=join_phase_chart(found, after),
        advice=advice,
    )


def _by_point(
    names: tuple[str, ...], before: FloatArray, loss: FloatArray, after: TwoParts
) -> tuple[BassAtPoint, ...]:
    """Each point as found and as set."""
    apart = decibels.phase(after.low * np.conj(after.high))
    return tuple(
        BassAtPoint(
            name=name,
            found_loss=float(np.mean(one)),
            set_loss=float(np.mean(set_so)),
            worst_after=float(np.min(set_so)),
            phase_apart=float(np.max(np.abs(phase))),
        )
        for name, one, set_so, phase in zip(names, before, loss, apart, strict=True)
    )


def _part(
    side: filters.Side, slope_field: str, family: str, slope: float, corner: float, resonance: float | None,
    q: float, distance: float,
) -> Part:  # fmt: skip
    order = order_of(slope_field, family, slope)
    return Part(side, cast(filters.Family, family), order, corner, resonance, q, distance)


def _measured(points: tuple[BassPoint, ...], at: FloatArray) -> tuple[tuple[str, ...], TwoParts]:
    """The names of the points, and both parts at all of them."""
    if not points:
        raise InputError("points", "Paste both curves of a point at least, or take the model.")
    for place, point in enumerate(points):
        if (point.sub.arrival is None) is not (point.front.arrival is None):
            other = "sub" if point.sub.arrival is None else "front"
            raise InputError(
                f"points[{place}].{other}",
                "Its partner says an arrival, and this curve none: “; arrival 6.3 ms” in a line above it.",
            )
    low = [read_at(f"points[{place}].sub", point.sub, at) for place, point in enumerate(points)]
    high = [read_at(f"points[{place}].front", point.front, at) for place, point in enumerate(points)]
    return tuple(point.name for point in points), TwoParts(at, np.stack(low), np.stack(high))


def _bands(points: tuple[BassPoint, ...]) -> tuple[list[ComplexArray], list[ComplexArray]]:
    """Each part in its own band, at every point."""
    bass, front = (judged_places(*ends) for ends in (BASS_BAND, FRONT_BAND))
    return (
        [read_at(f"points[{place}].sub", point.sub, bass) for place, point in enumerate(points)],
        [read_at(f"points[{place}].front", point.front, front) for place, point in enumerate(points)],
    )
