"""Equaliser: the 31 bands solved, the headroom filters need, and the curve to aim at."""

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Annotated, cast

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import (
    Advice,
    Band,
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
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL, RATIO, SLOPE
from calculators.physics import bands, biquads, curve_places, equalisers, filters, levels
from calculators.stages.responses import (
    SHOWN,
    Floats,
    LevelsAt,
    Places,
    floats,
    level_axis,
    places_shown,
    response_chart,
    response_curve,
)
from calculators.stages.single_filter import (
    FILTER_FREQUENCY,
    FILTER_GAIN,
    FILTER_Q,
    KIND,
    SAMPLE_RATE,
)

THIRD_OCTAVE_Q = 4.33
SLIDER_END = 12.0
MOST_ASKED = 24.0
# A slider that would be shown as 0.0 stays where it is.
LEAST_MOVE = 0.05
# A miss that would be shown as 0.00 is nowhere.
LEAST_MISS = 0.005
# Out by more than this between the bands, and the reader is told why.
MUCH_BETWEEN = 1.0
# The sliders' names; the filters stand at the exact centres.
NOMINAL = bands.NOMINAL_THIRD_OCTAVES
NO_GAINS = (0.0,) * len(NOMINAL)
CENTRES = bands.exact_third_octaves()

BASS_GAIN = Number("Bass shelf", LEVEL, -20, 20, usual=(0, 12))
BASS_FREQUENCY = Number("Middle of the bass shelf", FREQUENCY, 20, 500, usual=(40, 150))
TILT = Number("Tilt above the place where it turns", SLOPE, -3, 3, usual=(-1, 0), help="Below 0: it falls.")
HINGE = Number("The tilt turns at", FREQUENCY, 20, 20e3, units=("kHz",))
TREBLE_GAIN = Number("Treble shelf", LEVEL, -20, 20, usual=(-6, 3))
TREBLE_FREQUENCY = Number("Middle of the treble shelf", FREQUENCY, 1e3, 20e3, show="kHz", units=("Hz",))


@dataclass(frozen=True)
class BandGain:
    """One slider to move."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    gain: Annotated[float, Output("Set this gain", LEVEL, decimals=1)]


@dataclass(frozen=True)
class EqualisedBand:
    """One slider: what was asked, what that alone would give, what to set and what that gives."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    asked: Annotated[float, Output("Asked", LEVEL, decimals=1)]
    as_set: Annotated[float, Output("Sliders as asked give", LEVEL, decimals=1)]
    gain: Annotated[float, Output("Set this gain", LEVEL, decimals=1)]
    got: Annotated[float, Output("Got", LEVEL, decimals=1)]


@dataclass(frozen=True)
class GraphicEqualiser:
    """The gains that come nearest to the curve asked for, and what they leave of it."""

    settings: Annotated[str, OutputText("Move only these", main=True)]
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
            help="Measured: over or under 0 dB, where the target has its 1 kHz. The sign is turned for you.",
        ),
    ] = NO_GAINS,
    q: Annotated[
        float,
        Number("Q of every band", RATIO, 1.4, 12, usual=(2, 8), help="4.33 is one third of an octave wide."),
    ] = THIRD_OCTAVE_Q,
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
        asked = _target(CENTRES, shape) - asked
    _check_asked(asked)
    solved = equalisers.solve_graphic_equaliser(asked, q, sample_rate, gain_limit)
    as_asked = equalisers.graphic_equaliser(asked, q, sample_rate)
    as_solved = equalisers.graphic_equaliser(solved.gains, q, sample_rate)

    def wanted(frequency: Floats) -> Floats:
        return equalisers.levels_through_points(frequency, CENTRES, asked)

    by_asked, by_solved = _against(wanted, as_asked), _against(wanted, as_solved)
    worst = int(np.argmax(np.round(np.abs(by_solved.left), 9)))
    between = float(abs(by_solved.left[worst]))
    points = equalisers.solved_points()
    missed = levels.level(filters.response(as_asked, points)) - wanted(points)
    at_bands = solved.levels[::2]
    rows = zip(NOMINAL, asked, asked + missed[::2], solved.gains, at_bands, strict=True)
    moved = [
        BandGain(float(name), float(gain))
        for name, gain in zip(NOMINAL, solved.gains, strict=True)
        if abs(gain) >= LEAST_MOVE
    ]
    return GraphicEqualiser(
        ", ".join(f"{_band_name(band.frequency)} {_signed(band.gain)}" for band in moved) or "none",
        solved.miss,
        float(np.max(np.abs(at_bands - asked))),
        between,
        float(by_solved.places.at[worst]) if between >= LEAST_MISS else None,
        float(np.sqrt(np.mean(missed**2))),
        float(np.max(np.abs(missed[::2]))),
        float(solved.gains[np.argmax(np.abs(solved.gains))]),
        equalisers.headroom(as_solved, 20.0, 20e3).boost,
        tuple(moved),
        _compared("Asked and got with the solved gains", by_solved, "Got"),
        _compared("Sliders set as asked", by_asked, "Sliders as asked"),
        tuple(EqualisedBand(*(float(cell) for cell in row)) for row in rows),
        response_curve(filters.response(as_solved, SHOWN)),
        response_curve(filters.response(as_asked, SHOWN)),
        _solved_advice(solved, asked, gain_limit, between, q),
    )


def _check_asked(asked: Floats) -> None:
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
    return f"{gain:+.1f}".replace("-", "−")


def _solved_advice(
    solved: equalisers.SolvedEqualiser, asked: Floats, limit: float, between: float, q: float
) -> tuple[Advice, ...]:
    advice = []
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
    if np.max(asked) > 6:
        advice.append(
            Advice(
                "gains",
                "More than 6 dB of boost asks four times the power there or more: check the headroom. "
                "Do not fill a cancellation: it is right at one point of the head only, and costs "
                "amplifier and stroke everywhere.",
            )
        )
    return tuple(advice)


@dataclass(frozen=True, eq=False)
class _Against:
    """What was asked (dB) at the places where a built curve is looked at, and what that one leaves."""

    places: Places
    asked: Floats
    left: Floats


def _against(wanted: LevelsAt, built: filters.Sections) -> _Against:
    def got(frequency: Floats) -> Floats:
        return levels.level(filters.response(built, frequency))

    def left(frequency: Floats) -> Floats:
        return got(frequency) - wanted(frequency)

    places = places_shown((got, left), CENTRES)
    return _Against(places, wanted(places.at), left(places.at))


def _compared(title: str, curves: _Against, name: str) -> Chart:
    got = curves.asked + curves.left
    return response_chart(
        title,
        curves.places,
        {"Asked": curves.asked, name: (got, "main"), "Difference": curves.left},
        level_axis(curves.asked, got, curves.left),
        (Band("Within 1 dB of what was asked", -1, 1, axis="y"),),
    )


@dataclass(frozen=True)
class EqualiserFilter:
    """One filter of an equaliser."""

    kind: Annotated[str, KIND] = "peak"
    frequency: Annotated[float, FILTER_FREQUENCY] = 1000.0
    gain: Annotated[float, FILTER_GAIN] = 0.0
    q: Annotated[float, FILTER_Q] = 1.41


@dataclass(frozen=True)
class EqualiserHeadroom:
    """How far an equaliser lifts the signal, and what that costs."""

    boost: Annotated[float, Output("The most it lifts any tone", LEVEL, decimals=2, main=True)]
    boost_frequency: Annotated[float, Output("at", FREQUENCY, trim=True)]
    cut: Annotated[float, Output("Gain to put in front", LEVEL, decimals=2)]
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
    sources=("audio-eq-cookbook", "iec-60027-3"),
)
def equaliser_headroom(
    filters: Annotated[tuple[EqualiserFilter, ...], Rows("Filters", "filter", at_least=0, at_most=24)] = (),
    gains: Annotated[
        tuple[float, ...],
        Bands("31-band equaliser", LEVEL, -24, 24, help="The gains set on its sliders, if it is used."),
    ] = NO_GAINS,
    q: Annotated[float, Number("Q of the 31 bands", RATIO, 0.3, 12)] = THIRD_OCTAVE_Q,
    output_limit: Annotated[
        float,
        Number(
            "Room above full level already there",
            LEVEL,
            0,
            40,
            help="How far the signal stays under the output's limit before this equaliser.",
        ),
    ] = 0.0,
    sample_rate: Annotated[float | None, SAMPLE_RATE] = 48e3,
) -> EqualiserHeadroom:
    """The most a set of filters lifts any tone, and the cut in front that keeps it from clipping.

    Filters add up: two boosts of 3 dB on one another lift 6 dB. What is lifted is asked of the
    amplifier as power, and taken from the level you can play at.
    """
    built = _built(filters, gains, q, sample_rate)
    found = equalisers.headroom(built, 20.0, 20e3)
    cut = -max(found.boost - output_limit, 0.0)
    return EqualiserHeadroom(
        found.boost,
        found.frequency,
        cut + 0.0,
        found.power_ratio,
        _headroom_chart(built, _headroom_places(built, filters, found), cut, output_limit),
        response_curve(_gain(built, SHOWN)),
        _headroom_advice(found.boost, cut),
    )


def _built(
    rows: tuple[EqualiserFilter, ...], gains: tuple[float, ...], q: float, sample_rate: float | None
) -> filters.Sections:
    """All filters in a row; sliders at 0 dB do nothing and are left out."""
    parts = [
        biquads.biquad(cast(biquads.Kind, row.kind), row.frequency, row.gain, row.q, sample_rate)
        for row in rows
    ]
    moved = np.flatnonzero(np.asarray(gains))
    if moved.size:
        centres = bands.exact_third_octaves()[moved]
        parts.append(biquads.biquad("peak", centres, np.asarray(gains)[moved], q, sample_rate))
    if not parts:
        parts.append(biquads.biquad("peak", 1000.0, 0.0, 1.0, sample_rate))
    return filters.cascade(*parts)


def _gain(built: filters.Sections, frequency: Floats) -> NDArray[np.complex128]:
    return filters.response(built, frequency)


def _headroom_advice(boost: float, cut: float) -> tuple[Advice, ...]:
    if boost > 6:
        return (
            Advice(
                "boost",
                f"{boost:.1f} dB of boost asks {levels.power_ratio(boost):.0f} times the power there: "
                "amplifier and voice coil run hotter. Cut elsewhere instead.",
            ),
        )
    if cut < 0:
        return (
            Advice(
                "cut",
                f"Set a gain of {cut:.1f} dB in front of the equaliser, or loud passages clip.".replace(
                    "-", "−"
                ),
            ),
        )
    return ()


def _headroom_places(
    built: filters.Sections, rows: tuple[EqualiserFilter, ...], found: equalisers.Headroom
) -> Places:
    centres = [row.frequency for row in rows]
    around = curve_places.around_filters(centres, [row.q for row in rows])
    return places_shown(
        (lambda frequency: levels.level(_gain(built, frequency)),), (*centres, found.frequency), around
    )


def _headroom_chart(built: filters.Sections, places: Places, cut: float, output_limit: float) -> Chart:
    level = levels.level(_gain(built, places.at))
    lines = {"Equaliser": level}
    if cut:
        lines["Equaliser with the cut in front"] = level + cut
    axis = level_axis(*lines.values())
    axis = replace(axis, high=max(axis.high, output_limit + 3))
    clips = Band("Clips: above the output's limit", output_limit, axis.high, axis="y")
    return response_chart(
        "Response", places, lines, axis, (clips,), read_at=float(places.at[np.argmax(level)])
    )


@dataclass(frozen=True)
class TargetPoint:
    """A point of a curve drawn by hand."""

    frequency: Annotated[float, Number("Frequency", FREQUENCY, 10, 20e3, units=("kHz",))]
    level: Annotated[float, Number("Level", LEVEL, -40, 40, usual=(-15, 15))]


@dataclass(frozen=True)
class TargetBand:
    """The target in one third-octave band."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    level: Annotated[float, Output("Target", LEVEL, decimals=1)]


@dataclass(frozen=True)
class TargetCurve:
    """A curve to tune towards."""

    bass_level: Annotated[float, Output("Target at 50 Hz", LEVEL, decimals=1, main=True)]
    middle_level: Annotated[float, Output("Target at 1 kHz", LEVEL, decimals=1)]
    treble_level: Annotated[float, Output("Target at 10 kHz", LEVEL, decimals=1)]
    chart: Annotated[Chart, OutputChart("Target curve")]
    bands: Annotated[tuple[TargetBand, ...], OutputRows("By third-octave band", copy=True, fold=True)]
    curve: Annotated[Curve, OutputCurve("Target curve")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Target curve",
    example={"bass_gain": 8.0, "bass_frequency": 80.0, "tilt": -0.5, "hinge": 200.0},
    sources=("common-practice", "audio-eq-cookbook"),
)
def target_curve(
    bass_gain: Annotated[float, BASS_GAIN] = 8.0,
    bass_frequency: Annotated[float, BASS_FREQUENCY] = 80.0,
    tilt: Annotated[float, TILT] = -0.5,
    hinge: Annotated[float, HINGE] = 200.0,
    treble_gain: Annotated[float, TREBLE_GAIN] = 0.0,
    treble_frequency: Annotated[float, TREBLE_FREQUENCY] = 10e3,
    points: Annotated[
        tuple[TargetPoint, ...],
        Rows(
            "Points instead of shelves and tilt",
            "point",
            at_least=0,
            at_most=31,
            help="With points given, straight lines run through them and the rest is left aside.",
        ),
    ] = (),
) -> TargetCurve:
    """The curve to tune a vehicle towards, at every third octave.

    A shelf, a tilt and a shelf, set to 0 dB at 1 kHz; or points of your own, taken as they are. A
    target is a matter of taste: a level line sounds thin and bright in a vehicle.
    """
    if points:
        places = [point.frequency for point in points]
        if any(after <= before for before, after in pairwise(places)):
            raise InputError("points", "The points must rise in frequency from row to row.")
        heights = [point.level for point in points]

        def level_at(frequency: Floats) -> Floats:
            return equalisers.levels_through_points(frequency, places, heights)
    else:
        shape = equalisers.TargetShape(bass_gain, bass_frequency, tilt, hinge, treble_gain, treble_frequency)

        def level_at(frequency: Floats) -> Floats:
            return _target(frequency, shape)

    bass, centre, treble = floats(level_at(np.array([50.0, 1000.0, 10e3])))
    by_band = zip(NOMINAL, floats(level_at(bands.exact_third_octaves())), strict=True)
    line = level_at(SHOWN)
    drawn = places_shown((level_at,), (50.0, 1000.0, 10e3))
    return TargetCurve(
        bass,
        centre,
        treble,
        _target_chart(drawn, level_at(drawn.at)),
        tuple(TargetBand(float(name), level) for name, level in by_band),
        Curve(floats(SHOWN), floats(line)),
    )


def _target(frequency: Floats, shape: equalisers.TargetShape) -> Floats:
    """Levels, dB, of a shape over its own level at 1 kHz."""
    return equalisers.target_levels(frequency, shape) - equalisers.target_levels(1000.0, shape)


def _target_chart(places: Places, line: Floats) -> Chart:
    return response_chart(
        "Target curve, with 3 dB either side",
        places,
        {"Target": (line, "main"), "3 dB above": (line + 3, "limit"), "3 dB below": (line - 3, "limit")},
        level_axis(line - 3, line + 3),
        (Band("Where the limit of 3 dB holds: 80 Hz to 10 kHz", 80, 10e3),),
        read_at=1000.0,
    )
