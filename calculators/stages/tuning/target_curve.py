"""Equaliser: the curve to aim at."""

from dataclasses import dataclass
from itertools import pairwise
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Band,
    Chart,
    Choice,
    Curve,
    InputError,
    Number,
    Output,
    OutputChart,
    OutputCurve,
    OutputRows,
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import bands, equalisers
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.responses import (
    SHOWN,
    Places,
    floats,
    level_axis,
    places_shown,
    response_chart,
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

PUBLISHED = {
    "iso-2969": ((40.0, -2.0), (50.0, -1.0), (63.0, 0.0), (2000.0, 0.0), (10e3, -7.0), (16e3, -11.0)),
    "bs-1116": ((50.0, 0.0), (16e3, 0.0)),
}
"""Hz and dB of curves that standards give: ISO 2969:2015 and ITU-R BS.1116-3 (2015), from memory."""
MADE_FOR = {"iso-2969": "cinemas over 125 m³", "bs-1116": "listening rooms"}


@dataclass(frozen=True)
class TargetPoint:
    """A point of a curve drawn by hand."""

    frequency: Annotated[float, Number("Frequency", FREQUENCY, 10, 20e3, units=("kHz",))]
    level: Annotated[float, Number("Level", LEVEL, -40, 40, usual=(-15, 15))]


@dataclass(frozen=True, kw_only=True)
class TargetBand:
    """The target in one third-octave band."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    level: Annotated[float, Output("Target", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
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
    sources=("common-practice", "audio-eq-cookbook", "iso-2969-2015", "itu-r-bs-1116-3"),
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
    published: Annotated[
        str,
        Choice(
            "A published curve instead",
            {
                "none": "none",
                "iso-2969": "cinema: ISO 2969:2015, SMPTE ST 202:2010",
                "bs-1116": "listening room: ITU-R BS.1116-3, 2015",
            },
            seldom=True,
            help="Made for rooms, not for vehicles.",
        ),
    ] = "none",
) -> TargetCurve:
    """The curve to tune a vehicle towards, at every third octave.

    A shelf, a tilt and a shelf, set to 0 dB at 1 kHz; or points of your own, taken as they are; or a curve
    that a standard gives for rooms, held level beyond its ends. A target is a matter of taste: a level line
    sounds thin and bright in a vehicle.
    """
    if points and published != "none":
        raise InputError("published", "Points of your own stand below: take them out, or choose none here.")
    given = PUBLISHED.get(published, tuple((point.frequency, point.level) for point in points))
    if given:
        places, heights = zip(*given, strict=True)
        if any(after <= before for before, after in pairwise(places)):
            raise InputError("points", "The points must rise in frequency from row to row.")

        def level_at(frequency: FloatArray) -> FloatArray:
            return equalisers.levels_through_points(frequency, places, heights)
    else:
        shape = equalisers.TargetShape(bass_gain, bass_frequency, tilt, hinge, treble_gain, treble_frequency)

        def level_at(frequency: FloatArray) -> FloatArray:
            return target_levels(frequency, shape)

    bass, centre, treble = floats(level_at(np.array([50.0, 1000.0, 10e3])))
    by_band = zip(bands.NOMINAL_THIRD_OCTAVES, floats(level_at(bands.exact_third_octaves())), strict=True)
    line = level_at(SHOWN)
    drawn = places_shown((level_at,), (50.0, 1000.0, 10e3))
    return TargetCurve(
        bass_level=bass,
        middle_level=centre,
        treble_level=treble,
        chart=_target_chart(drawn, level_at(drawn.at)),
        bands=tuple(TargetBand(frequency=float(name), level=level) for name, level in by_band),
        curve=Curve(floats(SHOWN), floats(line)),
        advice=_advice(published),
    )


def _advice(published: str) -> tuple[Advice, ...]:
    """What a published curve was made for."""
    if published == "none":
        return ()
    (low, *_), *_, (high, *_) = PUBLISHED[published]
    return (
        Advice(
            "published",
            f"Made for {MADE_FOR[published]}, from {low:g} Hz to {high / 1000:g} kHz, and for no vehicle: "
            "its bass and treble are no proof of what is right in one. Hear it against shelf and tilt.",
        ),
    )


def _target_chart(places: Places, line: FloatArray) -> Chart:
    return response_chart(
        "Target curve, with 3 dB either side",
        places,
        {"Target": (line, "main"), "3 dB above": (line + 3, "limit"), "3 dB below": (line - 3, "limit")},
        level_axis(line - 3, line + 3),
        (Band("Where the limit of 3 dB holds: 80 Hz to 10 kHz", 80, 10e3),),
        read_at=1000.0,
    )
