"""One equaliser filter, digital and analogue, with its coefficients."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    calculator,
)
from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LEVEL, OCTAVES, RATIO, TIME
from calculators.physics import biquads, curve_places, decibels, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.filters import (
    FILTER_FREQUENCY,
    FILTER_GAIN,
    FILTER_Q,
    KIND,
    SAMPLE_RATE,
    SAMPLE_RATES,
)
from calculators.vocabulary.responses import (
    LOWEST_SHOWN,
    SHOWN,
    Places,
    Wanted,
    floats,
    level_axis,
    places_of,
    response_chart,
    response_curve,
    round_axis,
)

Q_MEANINGS = {
    "half-gain": "Half-gain: width at half the gain in dB",
    "three-db": "−3 dB: width 3 dB off the top or foot",
    "constant": "Constant-Q: the same ringing at any gain",
}
LEAST_GAIN_OF_THREE_DB = 3.5
WITH_WIDTH = ("peak", "notch")


@dataclass(frozen=True, kw_only=True)
class BiquadCoefficients:
    """y = b0·x + b1·x₋₁ + b2·x₋₂ - a1·y₋₁ - a2·y₋₂, the largest denominator term being 1."""

    sample_rate: Annotated[float, Output("Sample rate", FREQUENCY, show="kHz", figures=5, trim=True)]
    b0: Annotated[float, Output("b0", COUNT, decimals=12)]
    b1: Annotated[float, Output("b1", COUNT, decimals=12)]
    b2: Annotated[float, Output("b2", COUNT, decimals=12)]
    a1: Annotated[float, Output("a1", COUNT, decimals=12)]
    a2: Annotated[float, Output("a2", COUNT, decimals=12)]


@dataclass(frozen=True, kw_only=True)
class Filter:
    """One filter: its width, its response, and its coefficients at every usual sample rate."""

    q_used: Annotated[float, Output("Q, half-gain", RATIO, decimals=3, main=True)]
    q_three_db: Annotated[
        float | None, Output("The same as a −3 dB Q", RATIO, decimals=3, none="none: no points 3 dB off")
    ]
    q_constant: Annotated[
        float | None, Output("The same as a constant-Q", RATIO, decimals=3, none="peaks only")
    ]
    bandwidth: Annotated[
        float | None,
        Output("Width between the half-gain points", OCTAVES, decimals=2, none="not for this kind"),
    ]
    looked_at: Annotated[float, Output("Level and phase below are at", FREQUENCY, trim=True)]
    level_at: Annotated[float, Output("Level there", LEVEL, decimals=2, lowest=LOWEST_SHOWN)]
    phase_at: Annotated[
        float | None, Output("Phase there", ANGLE, decimals=1, none="none: nothing passes there")
    ]
    group_delay_at: Annotated[float, Output("Group delay there", TIME, show="ms", decimals=3)]
    largest_difference: Annotated[
        float | None,
        Output("Digital against analogue, the most up to 20 kHz", LEVEL, decimals=2, none="no digital one"),
    ]
    largest_difference_frequency: Annotated[
        float | None, Output("That difference is at", FREQUENCY, trim=True, none="nowhere")
    ]
    chart: Annotated[Chart, OutputChart("Response")]
    phase_chart: Annotated[Chart, OutputChart("Phase")]
    delay_chart: Annotated[Chart, OutputChart("Group delay")]
    coefficients: Annotated[tuple[BiquadCoefficients, ...], OutputRows("Biquad coefficients", copy=True)]
    response: Annotated[Curve, OutputCurve("Response")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="One filter, digital and analogue",
    example={"kind": "peak", "frequency": 8000.0, "gain": -6.0, "q": 1.41, "sample_rate": 48000.0},
    sources=("audio-eq-cookbook", "bilinear-transform"),
)
def filter(
    kind: Annotated[str, KIND] = "peak",
    frequency: Annotated[float, FILTER_FREQUENCY] = 1000.0,
    gain: Annotated[float, FILTER_GAIN] = 0.0,
    q: Annotated[float, FILTER_Q] = 0.7071067811865476,
    sample_rate: Annotated[float | None, SAMPLE_RATE] = 48e3,
    bandwidth: Annotated[
        float | None,
        Number(
            "Width instead of Q",
            OCTAVES,
            0.05,
            6,
            optional=True,
            empty="use the Q",
            help="Peak: between the points of half its gain in dB. Notch: at −3 dB.",
        ),
    ] = None,
    at: Annotated[
        float | None,
        Number(
            "Level and phase at", FREQUENCY, 10, 20e3, units=("kHz",), optional=True, empty="the frequency"
        ),
    ] = None,
    q_kind: Annotated[
        str,
        Choice("That Q is", Q_MEANINGS, help="Peaks only. Your processor's manual says which."),
    ] = "half-gain",
) -> Filter:
    """What one equaliser filter does, digital and analogue.

    The digital filter meets the analogue one at its own frequency; towards the top of the band it
    grows narrower, the more so the lower the sample rate. Coefficients are divided by a0. Some
    processors want a1 and a2 with the other sign: read the manual.
    """
    chosen = cast(biquads.FilterKind, kind)
    q_used = _q_used(chosen, q, bandwidth, gain, cast(biquads.Meaning, q_kind))
    analogue = biquads.biquad(chosen, frequency, gain, q_used)
    built = analogue if sample_rate is None else filters.to_digital(analogue, sample_rate, frequency)
    asked = frequency if at is None else at
    there = complex(filters.response(built, np.array([asked]))[0])
    look = _Look(analogue, built)
    around = np.concatenate(
        [curve_places.around_filters(frequency, q_used, rate) for rate in (None, sample_rate)]
    )
    named = (frequency, asked)
    levels, delays = Wanted((0, 1, 2), named, around), Wanted((3,), named, around)
    places, turning = places_of(look.all, [levels, delays])
    drawn = {"Analogue": analogue} | ({"Digital": built} if sample_rate is not None else {})
    gains = {name: filters.response(each, places.at) for name, each in drawn.items()}
    levels_at = {name: decibels.level(gain) for name, gain in gains.items()}
    difference = _apart(list(levels_at.values())[-1], levels_at["Analogue"])
    # Below a millionth of a decibel only rounding is left, which is not worth a place.
    worst = int(np.argmax(np.round(np.abs(difference), 6)))
    peak, level_at = kind == "peak", float(decibels.level(there))
    return Filter(
        q_used=q_used,
        q_three_db=biquads.stated_q(q_used, gain, "three-db") if peak and abs(gain) > 3.02 else None,
        q_constant=biquads.stated_q(q_used, gain, "constant") if peak else None,
        bandwidth=biquads.bandwidth_of_q(q_used, frequency, sample_rate) if kind in WITH_WIDTH else None,
        looked_at=asked,
        level_at=level_at,
        phase_at=float(decibels.phase(there)) if level_at > decibels.LOWEST_LEVEL else None,
        group_delay_at=float(filters.group_delay(built, asked)),
        largest_difference=None if sample_rate is None else float(difference[worst]),
        largest_difference_frequency=None if sample_rate is None else float(places.at[worst]),
        chart=_level_chart(levels_at, difference, places, asked),
        phase_chart=_phase_chart(gains, places, asked),
        delay_chart=_delay_chart(drawn, turning, asked),
        coefficients=_coefficients(analogue, frequency, sample_rate),
        response=response_curve(filters.response(built, SHOWN)),
        advice=_gain_advice(kind, gain, q_used),
    )


def _q_used(
    kind: biquads.FilterKind, q: float, bandwidth: float | None, gain: float, meaning: biquads.Meaning
) -> float:
    """The cookbook's Q, by a width, or by a Q in whatever sense it was given."""
    if bandwidth is not None:
        if kind not in WITH_WIDTH:
            raise InputError("bandwidth", "A width stands for a Q in peaks and notches only: leave it empty.")
        return biquads.q_of_bandwidth(bandwidth)
    if kind != "peak":
        return q
    if meaning == "three-db" and abs(gain) < LEAST_GAIN_OF_THREE_DB:
        raise InputError(
            "q_kind",
            f"Under {LEAST_GAIN_OF_THREE_DB:g} dB of gain there are no points 3 dB off the top to measure "
            "a width at: take another kind of Q.",
        )
    return biquads.own_q(q, gain, meaning)


def _coefficients(
    analogue: filters.Sections, frequency: float, sample_rate: float | None
) -> tuple[BiquadCoefficients, ...]:
    """One line for each usual sample rate, and for the one asked for; they meet at a frequency, Hz."""
    rates = {rate for _, rate in SAMPLE_RATES} | ({sample_rate} if sample_rate else set())
    lines = []
    for rate in sorted(rates):
        built = filters.to_digital(analogue, rate, frequency)
        b0, b1, b2 = floats(built.numerator[0])
        _, a1, a2 = floats(built.denominator[0])
        lines.append(BiquadCoefficients(sample_rate=rate, b0=b0, b1=b1, b2=b2, a1=a1, a2=a2))
    return tuple(lines)


def _gain_advice(kind: str, gain: float, q: float) -> tuple[Advice, ...]:
    """A word beyond the limits that the equaliser's page gives. Common practice, no source."""
    if kind not in biquads.KINDS_WITH_GAIN:
        return ()
    advice = []
    if gain > 6:
        text = (
            f"More than 6 dB of boost asks {decibels.power_ratio(gain):.1f} times the power there: amplifier "
            "and voice coil run hotter, and a cone in the bass moves farther. Cut elsewhere instead."
        )
        advice.append(Advice("gain", text))
    if gain < -12:
        text = (
            "A cut beyond −12 dB: look for a wrong gain, crossover or polarity before you equalise it away."
        )
        advice.append(Advice("gain", text))
    if kind == "peak" and gain > 3 and q >= 1:
        text = (
            "A narrow boost over 3 dB is seldom right. A narrow dip is mostly a cancellation: filled at one "
            "point, it is a hump a hand's breadth away, and costs power and stroke. Look whether it wanders "
            "from point to point, or goes when the other channel is muted. Common practice, no source."
        )
        advice.append(Advice("gain", text))
    return tuple(advice)


@dataclass(frozen=True)
class _Look:
    """Levels, dB, of the analogue and of the digital filter, and how far they are apart.

    Where both let nothing through they are alike: a level under `LOWEST_SHOWN` counts as that.
    """

    analogue: filters.Sections
    built: filters.Sections

    def all(self, frequency: FloatArray) -> list[FloatArray]:
        """Analogue, digital, their difference and the digital one's delay, ms, each worked out once."""
        smooth, digital = (
            decibels.level(filters.response(each, frequency)) for each in (self.analogue, self.built)
        )
        return [smooth, digital, _apart(digital, smooth), 1e3 * filters.group_delay(self.built, frequency)]


def _apart(digital: FloatArray, smooth: FloatArray) -> FloatArray:
    return np.subtract(np.maximum(digital, LOWEST_SHOWN), np.maximum(smooth, LOWEST_SHOWN))


def _level_chart(
    levels: Mapping[str, FloatArray], difference: FloatArray, places: Places, read_at: float
) -> Chart:
    lines = {**levels, "Difference": difference} if "Digital" in levels else levels
    axis = level_axis(*lines.values())
    return response_chart("Response, digital and analogue", places, lines, axis, read_at=read_at)


def _phase_chart(gains: Mapping[str, ComplexArray], places: Places, read_at: float) -> Chart:
    """Phase without jumps, from where it starts in the bass."""
    lines = {name: np.degrees(np.unwrap(np.angle(gain))) for name, gain in gains.items()}
    axis = round_axis("Phase", "°", *lines.values(), step=90.0, decimals=0)
    return response_chart("Phase", places, lines, axis, read_at=read_at)


def _delay_chart(drawn: Mapping[str, filters.Sections], places: Places, read_at: float) -> Chart:
    late = {name: 1e3 * filters.group_delay(each, places.at) for name, each in drawn.items()}
    axis = round_axis("Group delay", "ms", *late.values(), decimals=3)
    return response_chart("Group delay", places, late, axis, read_at=read_at)
