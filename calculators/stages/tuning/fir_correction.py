"""One channel corrected by a filter of many taps (FIR): level, and phase with bounded pre-ringing."""

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Made,
    Number,
    Output,
    OutputChart,
    OutputFile,
    OutputRows,
    OutputText,
    Rows,
    Steps,
    Text,
    Working,
    calculator,
    lived,
)
from calculators.declaring.quantities import ANGLE, COUNT, FREQUENCY, LEVEL, RATIO, TIME
from calculators.physics import fir_corrections, speaker_system
from calculators.physics.arrays import FloatArray
from calculators.physics.fir_corrections import Correction, Wanted
from calculators.vocabulary import curve_points, fir_filters
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.fir_filters import PointFound
from calculators.vocabulary.phased_curves import phase_is_lost
from calculators.vocabulary.point_examples import COAXIAL

WAYS = {
    "least": "level alone, by least phase: no pre-ringing, no delay",
    "mixed": "level, and excess phase too: with pre-ringing, within the bounds",
}
SMOOTHED_OVER = {"3": "one third octave", "6": "one sixth", "12": "one twelfth"}
MAKING_FILTER = "Making the filter"
RATES = (("44.1 kHz", 44_100.0), ("48 kHz", 48_000.0), ("96 kHz", 96_000.0))


@dataclass(frozen=True, kw_only=True)
class FirCorrection:
    """The filter, what it costs in time, and what it gains."""

    setting: Annotated[str, OutputText("Set", main=True, brief="delay")]
    delay: Annotated[float, Output("Delay to add to every other channel", TIME, show="ms", decimals=3)]
    at_top: Annotated[float, Output("Of that, the phase at the top of the band", TIME, show="ms", decimals=3)]
    cut_in_front: Annotated[
        float, Output("Trim in front of every channel, so that no tone is lifted", LEVEL, decimals=1)
    ]
    largest: Annotated[float, Output("Largest coefficient", RATIO, decimals=3)]
    low_used: Annotated[float, Output("Corrected from", FREQUENCY, figures=3)]
    high_used: Annotated[float, Output("to", FREQUENCY, figures=3)]
    before: Annotated[float, Output("Level off in the band, RMS", LEVEL, decimals=2)]
    after: Annotated[float, Output("Level off with the filter, RMS", LEVEL, decimals=2)]
    phase_before: Annotated[float, Output("Excess phase about the top of the band, RMS", ANGLE, decimals=0)]
    phase_after: Annotated[
        float, Output("Excess phase about the top, with the filter, RMS", ANGLE, decimals=0)
    ]
    phase_from: Annotated[
        float | None, Output("Phase corrected from", FREQUENCY, figures=3, none="phase left alone")
    ]
    earlier: Annotated[
        float | None,
        Output("Pre-ringing before the time allowed", LEVEL, decimals=1, none="none", lowest=-120.0),
    ]
    loudest_early: Annotated[
        float | None, Output("Loudest before the peak", LEVEL, decimals=1, none="none", lowest=-120.0)
    ]
    rings: Annotated[float, Output("Pre-ringing over the level allowed lasts", TIME, show="ms", decimals=2)]
    points: Annotated[tuple[PointFound, ...], OutputRows("At other points")]
    chart: Annotated[Chart, OutputChart("Level")]
    time_chart: Annotated[Chart, OutputChart("The filter in time")]
    coefficients: Annotated[Made, OutputFile("Coefficients, one a line")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="FIR correction",
    example={"way": "mixed"},
    sources=("oppenheim-schafer", "kirkeby-nelson-1999", "neely-allen-1979", "common-practice"),
    cautions=("S14", "S22"),
)
def fir_correction(
    channel: Annotated[str, Text("Channel", longest=40, help="For the name of the file.")] = "",
    curve: Annotated[
        Curve | None,
        CurveText(
            "Curve of one channel",
            optional=True,
            help="Hz, dB and degrees, flight time taken out. Without one, an invented coaxial of our own.",
        ),
    ] = None,
    low: Annotated[float, Number("Correct from", FREQUENCY, 20, 10e3, usual=(60, 4000))] = 100.0,
    high: Annotated[
        float, Number("Correct to", FREQUENCY, 100, 20e3, usual=(300, 12e3), units=("kHz",))
    ] = 10e3,
    way: Annotated[str, Choice("It corrects", WAYS)] = "least",
    taps: Annotated[
        float, Number("Taps", COUNT, 32, 16_384, whole=True, usual=(128, 8192), help="Of this channel.")
    ] = 2048.0,
    sample_rate: Annotated[
        float, Number("The processor's sample rate", FREQUENCY, 8000, 192e3, show="kHz", options=RATES)
    ] = 48_000.0,
    lowest_safe: Annotated[
        float | None,
        Number(
            "Lowest safe frequency of the driver",
            FREQUENCY,
            10,
            15e3,
            optional=True,
            empty="not typed",
            help="From the job sheet: nothing is corrected under it.",
        ),
    ] = None,
    max_boost: Annotated[float, Number("Most it may lift", LEVEL, 0, 12, usual=(0, 6))] = 3.0,
    max_cut: Annotated[float, Number("Most it may cut", LEVEL, 0.5, 30, usual=(6, 15), seldom=True)] = 12.0,
    ring_time: Annotated[
        float,
        Number("Pre-ringing earlier than", TIME, 2e-4, 0.05, show="ms", usual=(5e-4, 0.005)),
    ] = fir_filters.RING_TIME,
    ring_level: Annotated[
        float,
        Number("lies under the peak by", LEVEL, 20, 80, usual=(30, 60), help="Twice as early: nothing."),
    ] = fir_filters.RING_LEVEL,
    smoothing: Annotated[str, Choice("Smoothed over", SMOOTHED_OVER, seldom=True)] = "6",
    others: Annotated[
        tuple[MeasuredPoint, ...],
        Rows("The same channel at other points", "point", at_least=0, at_most=9, fold=True),
    ] = (),
) -> Steps[FirCorrection]:
    """A filter of many taps for one channel: what brings its level to its own mean, within a band.

    The curve is smoothed, no dip is lifted by more than allowed, and outside the band nothing is done: low-
    and high-pass stay in the processor. What lies less than an octave over the channel's own −10 dB point at
    the low end, or beyond that at the high end, is left alone and counts in no mean, whatever was typed. By
    least phase it takes no time and rings after its peak alone, as any equaliser does. Excess phase, that of
    an all-pass or a passive crossover, can only be undone by sound before the peak: it is corrected from as
    low as the bound on that pre-ringing lets it, and the channel then comes later, so all others must wait:
    by so much that they meet its top octave as before. A delay or a turned polarity is not its affair.
    """
    wanted = Wanted(
        low=low, high=high, max_boost=max_boost, max_cut=max_cut, taps=int(taps), sample_rate=sample_rate,
        ring_time=ring_time, ring_level=ring_level, mixed=way == "mixed",
    )  # fmt: skip
    shown = curve is None
    curve = curve or COAXIAL
    _refuse(curve, wanted, lowest_safe)
    typed, wanted = wanted, fir_filters.where_it_plays(curve, wanted)
    octaves = 1 / int(smoothing)
    frequency, level, phase = (np.asarray(each) for each in (curve.frequency, curve.level, curve.phase or ()))
    reading = fir_corrections.measured(frequency, level, phase, octaves, wanted)
    speaker = yield from lived(reading, MAKING_FILTER, 0.1)
    yield Working(MAKING_FILTER, 0.2)
    found = yield from lived(fir_corrections.corrected(speaker, wanted), MAKING_FILTER, 0.5)
    yield Working(MAKING_FILTER, 0.7)
    inside = np.flatnonzero((speaker.places >= wanted.low) & (speaker.places <= wanted.high))
    at = speaker.places[inside]
    lifted = np.interp(np.log(at), np.log(wanted.frequencies()[1:]), found.level[1:])
    before, after = fir_filters.off(speaker.level[inside]), fir_filters.off(speaker.level[inside] + lifted)
    turned = fir_corrections.turned_by(found, wanted, at)
    yield Working(MAKING_FILTER, 0.8)
    delay = fir_corrections.lateness(found, wanted, at)
    lift = max(0.0, float(np.max(found.level)))
    points = fir_filters.point_rows(others, at, lifted, octaves)
    charts = fir_filters.level_chart(speaker, found, wanted), fir_filters.time_chart(found, wanted)
    yield Working(MAKING_FILTER, 0.9)
    file = fir_filters.coefficients(found.taps, sample_rate, channel, "invented" if shown else "")
    yield Working(MAKING_FILTER, 0.95)
    return FirCorrection(
        setting=_words(found, wanted, delay),
        delay=delay,
        at_top=delay - found.lead / sample_rate,
        cut_in_front=-lift,
        largest=fir_filters.largest(found.taps),
        low_used=wanted.low,
        high_used=wanted.high,
        before=before,
        after=after,
        phase_before=_rms_degrees(speaker.excess[inside]),
        phase_after=_rms_degrees(speaker.excess[inside] + turned),
        phase_from=found.from_low,
        earlier=found.earlier,
        loudest_early=fir_filters.loudest_early(found),
        rings=_rings(found, wanted),
        points=points,
        chart=charts[0],
        time_chart=charts[1],
        coefficients=file,
        advice=(
            *fir_filters.lifted_fall(curve, wanted, found),
            *fir_filters.advice_on_band(typed, wanted),
            *fir_filters.advice_on(speaker, found, wanted, points, lowest_safe, shown),
        ),
    )


def _refuse(curve: Curve, wanted: Wanted, lowest_safe: float | None) -> None:
    """Raise InputError for a curve, a band or taps that no correction can be made of."""
    if curve.phase is None:
        raise InputError("curve", "The phase is needed too, in degrees, as a third column.")
    if phase_is_lost(curve):
        raise InputError(
            "curve",
            "The phase turns by more than 150° from one line to the next: the flight time is still in it. "
            "Take the curve that response gives.",
        )
    check_levels("curve", curve, "a measurement")
    if not wanted.low * 2 <= wanted.high:
        raise InputError("high", "The band must hold an octave at least.")
    if lowest_safe is not None and wanted.low < lowest_safe:
        raise InputError("low", f"The driver is not safe under {lowest_safe:g} Hz: correct from there up.")
    if wanted.low < curve.frequency[0] * (1 - 1e-9):
        raise InputError("low", f"The curve begins at {curve_points.hertz_words(curve.frequency[0])}.")
    if wanted.high > curve.frequency[-1] * (1 + 1e-9):
        raise InputError("high", f"The curve ends at {curve_points.hertz_words(curve.frequency[-1])}.")
    if wanted.high > 0.45 * wanted.sample_rate:
        raise InputError("high", "So near to half the sample rate no filter follows a curve: correct less.")
    if wanted.taps < 2 * wanted.lead + 2:
        raise InputError(
            "taps",
            f"So much pre-ringing takes {wanted.lead} taps before the peak, and as many must follow: allow "
            "less of it, or more taps.",
        )


def _rms_degrees(phase: FloatArray) -> float:
    """RMS of phases (rad), whole turns left out, degrees."""
    return math.degrees(speaker_system.rms(np.angle(np.exp(1j * phase))))


def _rings(found: Correction, wanted: Wanted) -> float:
    """How long before its peak the filter first stands over the level allowed, s."""
    loud = np.abs(found.taps) > np.max(np.abs(found.taps)) * 10 ** (-wanted.ring_level / 20)
    return max(0, found.lead - int(np.argmax(loud))) / wanted.sample_rate


def _words(found: Correction, wanted: Wanted, delay: float) -> str:
    rate = f"{wanted.taps} taps at {wanted.sample_rate / 1000:g} kHz"
    if not found.lead:
        return f"{rate}; no other channel has to wait"
    return f"{rate}; every other channel {1000 * delay:.3f} ms later"
