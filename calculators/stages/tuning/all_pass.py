"""Two seats: what an all-pass in each side does to left and right together."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Choice,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputFlag,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import FREQUENCY, LENGTH, LEVEL, RATIO, TIME
from calculators.physics import air, audibility, biquads, decibels, filters, two_seats
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.responses import (
    LOWEST_DRAWN,
    LOWEST_SHOWN,
    Places,
    Wanted,
    places_of,
    response_chart,
    round_axis,
)
from calculators.vocabulary.surroundings import AIR_TEMPERATURE

# Of the pair that is fair to both seats in a free field, as times of speed over path difference.
FAIR_LEFT, FAIR_RIGHT = 0.27, 0.58
FAIR_LEFT_Q, FAIR_RIGHT_Q = 2.0, 1.4
TURNS = {"second": "a whole turn", "first": "half a turn", "none": "none"}
PLACES_TO_THE_OCTAVE = 96
WORTH_IT = 0.5  # dB: a smaller gain at a seat is none.
A_NULL = -12.0  # dB: a note there is gone.
FREQUENCIES = (20.0, 5e3)
QS = (0.2, 10.0)


@dataclass(frozen=True, kw_only=True)
class AllPass:
    """Left and right together at two mirrored seats, with and without all-pass filters."""

    words: Annotated[str, OutputText("Worth it?", main=True, brief="both_gain")]
    both_gain: Annotated[bool, OutputFlag("Both seats gain")]
    without: Annotated[float, Output("Mean of the band without, at both", LEVEL, decimals=2)]
    mean_1: Annotated[float, Output("With them, at the left seat", LEVEL, decimals=2)]
    mean_2: Annotated[float, Output("at the right seat", LEVEL, decimals=2)]
    seats_apart: Annotated[float, Output("The two seats differ by", LEVEL, decimals=2)]
    left_used: Annotated[float | None, Output("Left all-pass at", FREQUENCY, decimals=0, none="none")]
    right_used: Annotated[float | None, Output("Right all-pass at", FREQUENCY, decimals=0, none="none")]
    lowest_1: Annotated[
        float, Output("Deepest cancellation at the left seat", LEVEL, decimals=1, lowest=LOWEST_SHOWN)
    ]
    lowest_frequency_1: Annotated[float, Output("that is at", FREQUENCY, figures=3)]
    lowest_2: Annotated[float, Output("Deepest at the right seat", LEVEL, decimals=1, lowest=LOWEST_SHOWN)]
    lowest_frequency_2: Annotated[float, Output("that one is at", FREQUENCY, figures=3)]
    gain_low: Annotated[
        float | None,
        Output("Widest stretch where both seats gain: from", FREQUENCY, decimals=0, none="nowhere at once"),
    ]
    gain_high: Annotated[float | None, Output("to", FREQUENCY, decimals=0, none="nowhere at once")]
    left_delay: Annotated[
        float, Output("Left all-pass is late at its centre by", TIME, show="ms", decimals=2)
    ]
    right_delay: Annotated[float, Output("Right one by", TIME, show="ms", decimals=2)]
    noticed: Annotated[
        float | None,
        Output("Just noticed, at the higher centre", TIME, show="ms", decimals=2, none="not known there"),
    ]
    chart: Annotated[Chart, OutputChart("Left and right together at each seat")]
    delay_chart: Annotated[Chart, OutputChart("Group delay of each side")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="All-pass for two seats",
    example={"path_difference": 0.49, "temperature": 24.0, "left_frequency": 190.0, "right_frequency": 410.0},
    sources=("iso-9613-1", "phasor-sum", "audio-eq-cookbook", "blauert-laws-1978"),
)
def all_pass(
    path_difference: Annotated[
        float,
        Number(
            "Far speaker farther by",
            LENGTH,
            0.1,
            3,
            show="cm",
            usual=(0.2, 1.2),
            units=("m", "in"),
            help="At either seat: left and right mirrored.",
        ),
    ] = 0.49,
    left_order: Annotated[str, Choice("Left side turns by", TURNS)] = "second",
    left_frequency: Annotated[
        float | None,
        Number("Left all-pass", FREQUENCY, *FREQUENCIES, optional=True, empty="0.27 × speed ÷ difference"),
    ] = None,
    left_q: Annotated[float, Number("Its Q", RATIO, *QS, help="A whole turn only.")] = FAIR_LEFT_Q,
    right_order: Annotated[str, Choice("Right side turns by", TURNS)] = "second",
    right_frequency: Annotated[
        float | None,
        Number("Right all-pass", FREQUENCY, *FREQUENCIES, optional=True, empty="0.58 × speed ÷ difference"),
    ] = None,
    right_q: Annotated[float, Number("Its Q, too", RATIO, *QS, help="A whole turn only.")] = FAIR_RIGHT_Q,
    low: Annotated[float, Number("Mean from", FREQUENCY, 20, 2000, usual=(60, 300), seldom=True)] = 100.0,
    high: Annotated[
        float, Number("Mean to", FREQUENCY, 50, 5000, usual=(400, 1500), units=("kHz",), seldom=True)
    ] = 800.0,
    temperature: Annotated[float, AIR_TEMPERATURE] = 20.0,
) -> AllPass:
    """What an all-pass in each side gives back at two seats, and what it takes.

    With equal delays the far side is late at either seat, and both lose the same notes. An all-pass turns
    the phase of one side and leaves its level. One alone helps one seat and robs the other; one in
    each side can be fair, and each seat keeps a narrow cancellation. Levels are over a perfect sum, as power
    over even steps of ratio. Free field, mirrored seats: try it, measure at both, and let both people judge.
    """
    if not low < high / 2:
        raise InputError("high", "The band must be wider than an octave: give a higher end.")
    speed = air.speed_of_sound(temperature)
    late = path_difference / speed
    left = _side(left_order, _or_start(left_frequency, FAIR_LEFT / late), left_q)
    right = _side(right_order, _or_start(right_frequency, FAIR_RIGHT / late), right_q)
    at = np.geomspace(low, high, int(np.round(PLACES_TO_THE_OCTAVE * np.log2(high / low))) + 1)
    plain, _ = two_seats.at_both_seats(at, late, _none(at), _none(at))
    one, other = two_seats.at_both_seats(at, late, left.gain(at), right.gain(at))
    means = [two_seats.mean_level(each) for each in (plain, one, other)]
    gained = at[two_seats.longest_gain(two_seats.regained(plain, one, other))]
    look = _Look(late, left, right)
    places = look.places(low, high)
    first, second = (_lowest(places.at, line, low, high) for line in look.levels(places.at)[:2])
    return AllPass(
        words=_words(means, first, second),
        both_gain=min(means[1:3]) - means[0] >= WORTH_IT,
        without=means[0],
        mean_1=means[1],
        mean_2=means[2],
        seats_apart=abs(means[1] - means[2]),
        left_used=left.frequency,
        right_used=right.frequency,
        lowest_1=first[0],
        lowest_frequency_1=first[1],
        lowest_2=second[0],
        lowest_frequency_2=second[1],
        gain_low=float(gained[0]) if gained.size else None,
        gain_high=float(gained[-1]) if gained.size else None,
        left_delay=left.late_at_centre,
        right_delay=right.late_at_centre,
        noticed=_noticed(left, right),
        chart=_level_chart(look, places, (low, high)),
        delay_chart=_delay_chart(left, right, (low, high)),
        advice=_advice(means, left, right),
    )


@dataclass(frozen=True, eq=False)
class _Side:
    """The all-pass of one side, if there is one, and its centre, Hz."""

    sections: filters.Sections | None
    frequency: float | None

    def gain(self, at: FloatArray) -> ComplexArray:
        return _none(at) if self.sections is None else filters.response(self.sections, at)

    def late(self, at: FloatArray) -> FloatArray:
        return np.zeros_like(at) if self.sections is None else filters.group_delay(self.sections, at)

    @property
    def late_at_centre(self) -> float:
        return 0.0 if self.frequency is None else float(self.late(np.array([self.frequency]))[0])


def _none(at: FloatArray) -> ComplexArray:
    return np.ones(at.shape, dtype=np.complex128)


def _or_start(frequency: float | None, start: float) -> float:
    """The frequency typed, or the start for this path difference, within what may be typed."""
    return min(max(start, FREQUENCIES[0]), FREQUENCIES[1]) if frequency is None else frequency


def _side(order: str, frequency: float, q: float) -> _Side:
    if order == "none":
        return _Side(None, None)
    kind: biquads.FilterKind = "all-pass" if order == "second" else "all-pass-1"
    return _Side(biquads.biquad(kind, frequency, 0.0, q), frequency)


def _noticed(left: _Side, right: _Side) -> float | None:
    """Group delay just noticed at the higher of the two centres, s."""
    centres = [side.frequency for side in (left, right) if side.frequency is not None]
    return audibility.group_delay_noticed(max(centres)) if centres else None


def _words(means: list[float], lowest: tuple[float, float], other: tuple[float, float]) -> str:
    """Whether it is worth it, by means (dB); each seat's lowest level (dB) and where it is (Hz)."""
    gains = (means[1] - means[0], means[2] - means[0])
    if min(gains) >= WORTH_IT:
        return f"both gain: {gains[0]:.1f} and {gains[1]:.1f} dB{_nulls(lowest, other)}"
    if max(gains) >= WORTH_IT:
        seat = "right" if gains[0] > gains[1] else "left"
        loses = "loses" if min(gains) < -0.05 else "gains"
        return f"no: the {seat} seat {loses} {abs(min(gains)):.1f} dB"
    return "no: neither seat gains"


def _nulls(first: tuple[float, float], second: tuple[float, float]) -> str:
    if max(first[0], second[0]) < A_NULL:
        return f"; each keeps a null, at {first[1]:.0f} and {second[1]:.0f} Hz"
    return ""


@dataclass(frozen=True, eq=False)
class _Look:
    """Left and right together, as they are looked at."""

    late: float
    left: _Side
    right: _Side

    def levels(self, at: FloatArray) -> list[FloatArray]:
        """At the left seat, at the right one, and at both without all-pass, dB over a sum in step."""
        plain, _ = two_seats.at_both_seats(at, self.late, _none(at), _none(at))
        one, other = two_seats.at_both_seats(at, self.late, self.left.gain(at), self.right.gain(at))
        return [decibels.level(each) for each in (one, other, plain)]

    def places(self, low: float, high: float) -> Places:
        """An octave beyond the band on either side, and wherever a line turns."""
        finest = 1 / (2 * self.late)
        wanted = Wanted((0, 1, 2), (low, high), low=low / 2, high=high * 2, finest=finest)
        return places_of(self.levels, [wanted])[0]


def _lowest(at: FloatArray, line: FloatArray, low: float, high: float) -> tuple[float, float]:
    """The lowest level of a line between two frequencies, and where it is."""
    inside = np.flatnonzero((at >= low) & (at <= high))
    place = int(inside[np.argmin(np.round(line[inside], 6))])
    return float(line[place]), float(at[place])


def _level_chart(look: _Look, places: Places, band: tuple[float, float]) -> Chart:
    one, other, plain = look.levels(places.at)
    opposed = 1 / (2 * look.late)
    return response_chart(
        "Left and right together, over the same two in step",
        places,
        {"Left seat": (one, "main"), "Right seat": other, "Without, at both": plain},
        Axis("Level", "dB", LOWEST_DRAWN, 6, lowest=LOWEST_SHOWN),
        (Band("The mean is of this band", *band),),
        read_at=opposed if band[0] / 2 < opposed < band[1] * 2 else band[0],
    )


def _delay_chart(left: _Side, right: _Side, band: tuple[float, float]) -> Chart:
    def late(at: FloatArray) -> list[FloatArray]:
        return [1e3 * left.late(at), 1e3 * right.late(at)]

    places = places_of(late, [Wanted((0, 1), band, low=band[0] / 2, high=band[1] * 2)])[0]
    shown = late(places.at)
    return response_chart(
        "Group delay of each side",
        places,
        {"Left": (shown[0], "main"), "Right": shown[1]},
        round_axis("Group delay", "ms", *shown, decimals=2),
        read_at=band[0],
    )


def _advice(means: list[float], left: _Side, right: _Side) -> tuple[Advice, ...]:
    advice = []
    if (left.sections is None) != (right.sections is None):
        text = "In one side alone it serves one seat at the other's cost. Try one in each side."
        advice.append(Advice("left_order", text))
    if abs(means[1] - means[2]) > 1:
        text = (
            f"The seats end up {abs(means[1] - means[2]):.1f} dB apart. More than 1 dB is not fair to both."
        )
        advice.append(Advice("seats_apart", text))
    for side, name in ((left, "left"), (right, "right")):
        if side.frequency is None:
            continue
        noticed = audibility.group_delay_noticed(side.frequency)
        if noticed is not None and side.late_at_centre > noticed:
            text = (
                f"At {figures(side.frequency, 3)} Hz this side is late by {1e3 * side.late_at_centre:.1f} "
                f"ms; trained ears notice {1e3 * noticed:.1f} ms there. Take a lower Q."
            )
            advice.append(Advice(f"{name}_q", text))
    return tuple(advice)
