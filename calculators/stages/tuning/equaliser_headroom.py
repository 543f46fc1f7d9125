"""Equaliser: the headroom filters need."""

from dataclasses import dataclass, replace
from typing import Annotated, cast

import numpy as np

from calculators.declaring import (
    Advice,
    Band,
    Bands,
    Chart,
    Curve,
    Flag,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    Rows,
    Steps,
    Text,
    calculator,
    told,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO
from calculators.physics import bands, biquads, curve_places, decibels, equalisers, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.filters import (
    FILTER_FREQUENCY,
    FILTER_GAIN,
    FILTER_Q,
    KIND,
    PASSES_RAISE,
    SAMPLE_RATE,
)
from calculators.vocabulary.responses import (
    LOWEST_HEARD,
    SHOWN,
    Places,
    level_axis,
    places_shown,
    response_chart,
    response_curve,
)
from calculators.vocabulary.third_octaves import NO_GAINS, SLIDER_Q

TURN_PHASE = {"low-pass", "high-pass", "notch", "all-pass"}

# Filters go down to 10 Hz: their tops lie above this, Hz, and shelves have come near their whole height.
LOWEST_LOOKED_AT = 5.0

# A cut that reads as 0.0 dB is none.
LEAST_CUT = 0.05

# Bass makes the worst peaks, and rings no longer at a faster rate; only the sum would grow longer.
WORST_CASE_RATE = 48e3


DANGEROUS_BOOST = 10.0
"""dB: over ten times the power burns a voice coil that music leaves cool. Common practice, no source."""


@dataclass(frozen=True)
class EqualiserFilter:
    """One filter of an equaliser."""

    kind: Annotated[str, KIND] = "peak"
    frequency: Annotated[float, FILTER_FREQUENCY] = 1000.0
    gain: Annotated[float, FILTER_GAIN] = 0.0
    q: Annotated[float, FILTER_Q] = 1.41


@dataclass(frozen=True, kw_only=True)
class EqualiserHeadroom:
    """How far an equaliser lifts the signal, and what that costs."""

    boost: Annotated[float, Output("The most it lifts any tone", LEVEL, decimals=2, main=True)]
    boost_frequency: Annotated[float, Output("at", FREQUENCY, trim=True)]
    cut: Annotated[float, Output("Gain to put in front", LEVEL, decimals=2)]
    worst_peak: Annotated[
        float, Output("By these filters no peak of any signal rises by more than", LEVEL, decimals=1)
    ]
    worst_cut: Annotated[
        float | None,
        Output(
            "Gain in front with which nothing can clip", LEVEL, decimals=1, none="crossovers are not listed"
        ),
    ]
    power_ratio: Annotated[float, Output("Times the power it asks there", RATIO, figures=3)]
    chart: Annotated[Chart, OutputChart("Response")]
    response: Annotated[Curve, OutputCurve("Response")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Headroom an equaliser needs",
    example={
        "filters": [
            {"kind": "low-shelf", "frequency": 63.0, "gain": 5.0, "q": 0.71},
            {"kind": "peak", "frequency": 160.0, "gain": -5.0, "q": 3.0},
            {"kind": "peak", "frequency": 90.0, "gain": 2.5, "q": 1.0},
        ],
    },
    sources=("audio-eq-cookbook", "iec-60027-3", "worst-peak", "common-practice"),
)
def equaliser_headroom(
    channel: Annotated[str, Text("Channel", longest=40, help="As the tuning sheet names it.")] = "",
    filters: Annotated[tuple[EqualiserFilter, ...], Rows("Filters", "filter", at_least=0, at_most=24)] = (),
    gains: Annotated[
        tuple[float, ...],
        Bands("31-band equaliser", LEVEL, -24, 24, help="The gains set on its sliders, if it is used."),
    ] = NO_GAINS,
    q: Annotated[float, Number("Q of the 31 bands", RATIO, 0.3, 12)] = SLIDER_Q,
    output_limit: Annotated[
        float,
        Number(
            "Room above full level already there",
            LEVEL,
            0,
            40,
            help="How far the signal stays under the output's limit before this equaliser; a channel's own "
            "trim of −4 dB is 4 dB of it.",
        ),
    ] = 0.0,
    sample_rate: Annotated[float | None, SAMPLE_RATE] = 48e3,
    crossed: Annotated[
        bool,
        Flag("Crossovers or all-passes are in line too", help="Of this channel, besides the filters above."),
    ] = False,
) -> Steps[EqualiserHeadroom]:
    """The most a set of filters lifts any tone, and the cut in front that keeps music from clipping.

    Filters add up: two boosts of 3 dB on one another lift 6 dB. What is lifted is asked of the
    amplifier as power, and taken from the level you can play at. Where passes or
    all-passes are in line, crossovers too, 3 dB are added to what tones ask for: turned phase alone can raise
    the peaks of music. The worst case, which hardly any music reaches, is worked out at 48 kHz or below,
    of the filters listed: with a crossover that is not, no gain in front is told for it.
    """
    built = _built(filters, gains, q, sample_rate)
    found = equalisers.headroom(built, LOWEST_LOOKED_AT, 20e3)
    slow = _built(filters, gains, q, min(sample_rate or WORST_CASE_RATE, WORST_CASE_RATE))
    peak = yield from told("Looking for the worst case", equalisers.worst_peak(slow))
    peak = max(peak, found.boost)
    turned = crossed or bool({row.kind for row in filters} & TURN_PHASE)
    rises = found.boost + (PASSES_RAISE if turned else 0.0), peak
    cut, worst_cut = (-max(rise - output_limit, 0.0) + 0.0 for rise in rises)
    return EqualiserHeadroom(
        boost=found.boost,
        boost_frequency=found.frequency,
        cut=cut,
        worst_peak=peak,
        worst_cut=None if crossed else min(worst_cut, cut),
        power_ratio=found.power_ratio,
        chart=_headroom_chart(channel, built, _headroom_places(built, filters, found), cut, output_limit),
        response=response_curve(_gain(built, SHOWN)),
        advice=_headroom_advice(found.boost, cut, turned, crossed),
    )


def _built(
    rows: tuple[EqualiserFilter, ...], gains: tuple[float, ...], q: float, sample_rate: float | None
) -> filters.Sections:
    """All filters in a row; sliders at 0 dB do nothing and are left out."""
    parts = [
        biquads.biquad(cast(biquads.FilterKind, row.kind), row.frequency, row.gain, row.q, sample_rate)
        for row in rows
    ]
    moved = np.flatnonzero(np.asarray(gains))
    if moved.size:
        centres = bands.exact_third_octaves()[moved]
        parts.append(biquads.biquad("peak", centres, np.asarray(gains)[moved], q, sample_rate))
    if not parts:
        parts.append(biquads.biquad("peak", 1000.0, 0.0, 1.0, sample_rate))
    return filters.cascade(*parts)


def _gain(built: filters.Sections, frequency: FloatArray) -> ComplexArray:
    return filters.response(built, frequency)


def _headroom_advice(boost: float, cut: float, turned: bool, crossed: bool) -> tuple[Advice, ...]:
    advice = []
    if boost > 6:
        advice.append(
            Advice(
                "boost",
                f"{boost:.1f} dB of boost asks {decibels.power_ratio(boost):.0f} times the power there: "
                "amplifier and voice coil run hotter. Cut elsewhere instead.",
                danger=boost > DANGEROUS_BOOST,
            )
        )
    if cut <= -LEAST_CUT:
        music = "music clips" if turned else "loud tones clip"
        front = typographic(f"{cut:.1f}")
        advice.append(Advice("cut", f"Set a gain of {front} dB in front of the equaliser, or {music}."))
    if turned:
        advice.append(
            Advice(
                "worst_peak",
                "Passes, notches and all-passes turn the phase, and that alone raises the peaks "
                f"of music. The gain in front holds {PASSES_RAISE:g} dB more for it. Common practice, no "
                "source."
                + (" Crossovers that are not listed above are not in the worst case." if crossed else ""),
            )
        )
    return tuple(advice)


def _headroom_places(
    built: filters.Sections, rows: tuple[EqualiserFilter, ...], found: equalisers.Headroom
) -> Places:
    centres = [row.frequency for row in rows]
    around = curve_places.around_filters(centres, [row.q for row in rows], built.sample_rate)
    return places_shown(
        (lambda frequency: decibels.level(_gain(built, frequency)),),
        (*centres, found.frequency),
        around,
        low=LOWEST_HEARD if found.frequency >= LOWEST_HEARD else LOWEST_LOOKED_AT,
    )


def _headroom_chart(
    channel: str, built: filters.Sections, places: Places, cut: float, output_limit: float
) -> Chart:
    level = decibels.level(_gain(built, places.at))
    lines = {"Equaliser": level}
    if cut:
        lines["Equaliser with the cut in front"] = level + cut
    axis = level_axis(*lines.values())
    axis = replace(axis, high=max(axis.high, output_limit + 3))
    clips = Band("Clips: above the output's limit", output_limit, axis.high, axis="y")
    title = f"Response, {channel}" if channel else "Response"
    return response_chart(title, places, lines, axis, (clips,), read_at=float(places.at[np.argmax(level)]))
