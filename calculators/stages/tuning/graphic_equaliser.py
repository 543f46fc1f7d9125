"""Equaliser: the 31 bands, solved."""

from dataclasses import dataclass, replace
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import (
    Advice,
    Bands,
    Chart,
    Choice,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    OutputText,
    calculator,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO
from calculators.physics import bands, decibels, equalisers, filters
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.comparisons import against, comparison_chart
from calculators.vocabulary.filters import SAMPLE_RATE
from calculators.vocabulary.responses import (
    SHOWN,
    floats,
    response_curve,
)
from calculators.vocabulary.targets import (
    BASS_FREQUENCY,
    BASS_GAIN,
    HINGE,
    TILT,
    TREBLE_FREQUENCY,
    TREBLE_GAIN,
    target_levels,
)
from calculators.vocabulary.third_octaves import NO_GAINS, SLIDER_Q

SLIDER_END = 12.0
MOST_ASKED = 24.0
# A slider that would be shown as 0.0 stays where it is.
LEAST_MOVE = 0.05
# A miss that would be shown as 0.00 is nowhere.
LEAST_MISS = 0.005
# A band that asks for this much more than its neighbours do, and a slider lifted by more, are questioned, dB.
NARROW_BOOST = 3.0
# Out by more than this between the bands, and the reader is told why.
MUCH_BETWEEN = 1.0
CENTRES = bands.exact_third_octaves()


@dataclass(frozen=True, kw_only=True)
class BandGain:
    """One slider to move."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    gain: Annotated[float, Output("Set this gain", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class EqualisedBand:
    """One slider: what was asked, what that alone would give, what to set and what that gives."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    asked: Annotated[float, Output("Asked", LEVEL, decimals=1)]
    as_set: Annotated[float, Output("Sliders as asked give", LEVEL, decimals=1)]
    gain: Annotated[float, Output("Set this gain", LEVEL, decimals=1)]
    got: Annotated[float, Output("Got", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class GraphicEqualiser:
    """The gains that come nearest to the curve asked for, and what they leave of it."""

    settings: Annotated[str, OutputText("Move only these", main=True, brief="largest_gain")]
    miss: Annotated[float, Output("At and between the bands they miss the curve by, RMS", LEVEL, decimals=2)]
    worst_miss: Annotated[float, Output("At a band, by no more than", LEVEL, decimals=2)]
    worst_between: Annotated[float, Output("Between the bands, by as much as", LEVEL, decimals=2)]
    worst_between_frequency: Annotated[
        float | None, Output("there, at", FREQUENCY, figures=3, trim=True, none="nowhere")
    ]
    miss_as_set: Annotated[float, Output("Sliders set as asked miss by, RMS", LEVEL, decimals=2)]
    worst_miss_as_set: Annotated[float, Output("and in their worst band by", LEVEL, decimals=2)]
    largest_gain: Annotated[float, Output("Largest gain to set", LEVEL, decimals=1)]
    boost: Annotated[float, Output("The most it lifts any tone", LEVEL, decimals=1)]
    to_move: Annotated[tuple[BandGain, ...], OutputRows("Sliders to move; the rest stay at 0", copy=True)]
    chart: Annotated[Chart, OutputChart("Asked and got")]
    chart_as_set: Annotated[Chart, OutputChart("Sliders set as asked")]
    bands: Annotated[tuple[EqualisedBand, ...], OutputRows("All 31 bands", copy=True, fold=True)]
    response: Annotated[Curve, OutputCurve("Response of the solved gains")]
    response_as_set: Annotated[Curve, OutputCurve("Response of the sliders set as asked")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="31-band equaliser, solved",
    example={"gains": list(NO_GAINS)},
    sources=(
        "audio-eq-cookbook",
        "iso-266",
        "iec-61260-1",
        "projected-newton",
        "valimaki-liski-2017",
        "common-practice",
    ),
)
def graphic_equaliser(
    given: Annotated[
        str,
        Choice(
            "The curve below is",
            {"wanted": "wanted: lift and cut like this", "measured": "measured: bring it to the target"},
        ),
    ] = "wanted",
    gains: Annotated[
        tuple[float, ...],
        Bands(
            "Curve, band by band",
            LEVEL,
            -MOST_ASKED,
            MOST_ASKED,
            help="Measured: over or under 0 dB, where the target has its 1 kHz; of levels in dB SPL take "
            "their mean off first. The sign is turned for you.",
        ),
    ] = NO_GAINS,
    q: Annotated[
        float,
        Number("Q of every band", RATIO, 1.4, 12, usual=(2, 8), help="4.33 is one third of an octave wide."),
    ] = SLIDER_Q,
    gain_limit: Annotated[
        float, Number("The most a slider can move", LEVEL, 1, 24, help="Up or down, as your processor says.")
    ] = 24.0,
    sample_rate: Annotated[float | None, SAMPLE_RATE] = 48e3,
    bass_gain: Annotated[float, replace(BASS_GAIN, label="Target: bass shelf", seldom=True)] = 0.0,
    bass_frequency: Annotated[float, replace(BASS_FREQUENCY, seldom=True)] = 80.0,
    tilt: Annotated[float, replace(TILT, label="Target: tilt", seldom=True)] = 0.0,
    hinge: Annotated[float, replace(HINGE, seldom=True)] = 200.0,
    treble_gain: Annotated[float, replace(TREBLE_GAIN, label="Target: treble shelf", seldom=True)] = 0.0,
    treble_frequency: Annotated[float, replace(TREBLE_FREQUENCY, seldom=True)] = 10e3,
) -> GraphicEqualiser:
    """The slider gains that come nearest to a wanted curve, or bring a measured one to its target.

    Each band's filter reaches into its neighbours, so sliders set to the curve you want give more
    than the curve. Here the gains are solved for: the least error at the 31 band centres and the
    30 places between them, no gain beyond the limit. The target is level unless you give it a
    shelf or a tilt; it counts for a measured curve alone.
    """
    asked = np.asarray(gains, dtype=np.float64)
    if given == "measured":
        shape = equalisers.TargetShape(bass_gain, bass_frequency, tilt, hinge, treble_gain, treble_frequency)
        asked = target_levels(CENTRES, shape) - asked
    _check_asked(asked)
    solved = equalisers.solve_graphic_equaliser(asked, q, sample_rate, gain_limit)
    as_asked = equalisers.graphic_equaliser(asked, q, sample_rate)
    as_solved = equalisers.graphic_equaliser(solved.gains, q, sample_rate)

    def wanted(frequency: FloatArray) -> FloatArray:
        return equalisers.levels_through_points(frequency, CENTRES, asked)

    by_asked, by_solved = against(wanted, as_asked), against(wanted, as_solved)
    worst = int(np.argmax(np.round(np.abs(by_solved.left), 9)))
    between = float(abs(by_solved.left[worst]))
    points = equalisers.solved_points()
    missed = decibels.level(filters.response(as_asked, points)) - wanted(points)
    at_bands = solved.levels[::2]
    moved = [
        BandGain(frequency=float(name), gain=float(gain))
        for name, gain in zip(bands.NOMINAL_THIRD_OCTAVES, solved.gains, strict=True)
        if abs(gain) >= LEAST_MOVE
    ]
    return GraphicEqualiser(
        settings=", ".join(f"{_band_name(band.frequency)} {_signed(band.gain)}" for band in moved) or "none",
        miss=solved.miss,
        worst_miss=float(np.max(np.abs(at_bands - asked))),
        worst_between=between,
        worst_between_frequency=float(by_solved.places.at[worst]) if between >= LEAST_MISS else None,
        miss_as_set=float(np.sqrt(np.mean(missed**2))),
        worst_miss_as_set=float(np.max(np.abs(missed[::2]))),
        largest_gain=float(solved.gains[np.argmax(np.abs(solved.gains))]),
        boost=equalisers.headroom(as_solved, 20.0, 20e3).boost,
        to_move=tuple(moved),
        chart=comparison_chart("Asked and got with the solved gains", by_solved, "Got"),
        chart_as_set=comparison_chart("Sliders set as asked", by_asked, "Sliders as asked"),
        bands=_rows(asked, asked + missed[::2], solved.gains, at_bands),
        response=response_curve(filters.response(as_solved, SHOWN)),
        response_as_set=response_curve(filters.response(as_asked, SHOWN)),
        advice=_solved_advice(solved, asked, gain_limit, between, q),
    )


def _rows(
    asked: FloatArray, as_set: FloatArray, gains: FloatArray, got: FloatArray
) -> tuple[EqualisedBand, ...]:
    columns = zip(
        bands.NOMINAL_THIRD_OCTAVES, *(floats(column) for column in (asked, as_set, gains, got)), strict=True
    )
    return tuple(
        EqualisedBand(frequency=float(name), asked=wanted, as_set=straight, gain=gain, got=given)
        for name, wanted, straight, gain, given in columns
    )


def _check_asked(asked: FloatArray) -> None:
    """Say beside its band that a curve asks for more than any slider has."""
    beyond = np.flatnonzero(np.abs(asked) > MOST_ASKED)
    if beyond.size:
        place = int(beyond[0])
        raise InputError(
            f"gains[{place}]",
            f"To meet the target this band would have to move by {_signed(float(asked[place]))} dB, "
            f"more than {MOST_ASKED:g}: look at the reading and at the target.",
        )


def _band_name(frequency: float) -> str:
    return f"{frequency:g} Hz" if frequency < 1000 else f"{frequency / 1000:g} kHz"


def _signed(gain: float) -> str:
    return typographic(f"{gain:+.1f}")


def _solved_advice(
    solved: equalisers.SolvedEqualiser, asked: FloatArray, limit: float, between: float, q: float
) -> tuple[Advice, ...]:
    advice = _boost_advice(asked, solved.gains)
    stopped = int(np.sum(np.abs(solved.gains) > limit - 1e-6))
    if stopped and solved.miss > 0.05:
        advice.append(
            Advice(
                "gain_limit",
                f"{stopped} of the sliders end at their limit: this curve cannot be had with them. "
                "Ask for a smoother curve.",
            )
        )
    if between > MUCH_BETWEEN:
        advice.append(
            Advice(
                "q",
                f"Between the bands the curve is out by up to {between:.1f} dB. A Q of {q:.3g} is too narrow "
                "for so large or so sharp a curve, and at 48 kHz and below the filters grow narrower still "
                "over 8 kHz. Ask for less or for a smoother curve, or use one wide filter instead.",
            )
        )
    if np.max(np.abs(solved.gains)) > SLIDER_END and limit > SLIDER_END:
        advice.append(
            Advice(
                "gain_limit",
                "Gains over 12 dB are needed, and many processors end there: type the limit of yours. "
                "A curve this ragged is seldom worth asking for.",
            )
        )
    return tuple(advice)


def _boost_advice(asked: FloatArray, gains: FloatArray) -> list[Advice]:
    """What the sliders would fill that is mostly left alone. Limits: common practice, no source."""
    advice = []
    beside = np.pad(asked, 1, mode="reflect")
    narrow = asked - (beside[:-2] + beside[2:]) / 2 > NARROW_BOOST
    if np.any(narrow):
        advice.append(
            Advice(
                "gains",
                f"{_band_names(narrow)}: asked for over 3 dB more than its neighbours. A dip so narrow is "
                "mostly a cancellation: do not fill it. Type there what the neighbours have.",
            )
        )
    if np.max(asked) > 6:
        advice.append(
            Advice(
                "gains",
                "More than 6 dB of boost asks four times the power there or more: check the headroom. "
                "Do not fill a cancellation: it is right at one point of the head only, and costs "
                "amplifier and stroke everywhere.",
            )
        )
    lifted = gains > NARROW_BOOST
    if np.any(lifted):
        advice.append(
            Advice(
                "to_move",
                f"{_band_names(lifted)}: lifted by more than 3 dB. Only what is no cancellation, and only if "
                "amplifier and stroke can pay for it.",
            )
        )
    return advice


def _band_names(chosen: NDArray[np.bool_]) -> str:
    return ", ".join(_band_name(float(name)) for name in np.asarray(bands.NOMINAL_THIRD_OCTAVES)[chosen])
