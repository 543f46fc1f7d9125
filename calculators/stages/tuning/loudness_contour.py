"""How much bass a lower volume asks for: equal-loudness contours."""

from dataclasses import dataclass
from math import ceil, floor
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Chart,
    Number,
    Output,
    OutputChart,
    OutputRows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import audibility
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.low_volume import AT, BASS, TUNED_AT, knob_of
from calculators.vocabulary.responses import Places, response_chart


@dataclass(frozen=True, kw_only=True)
class LoudnessBand:
    """One third octave: what it needs at both volumes, and how much more of it the second one asks for."""

    frequency: Annotated[float, Output("Band", FREQUENCY, figures=5, trim=True)]
    tuned_level: Annotated[float, Output("As loud as 1 kHz, tuned", LEVEL, decimals=1)]
    heard_level: Annotated[float, Output("listening", LEVEL, decimals=1)]
    lift: Annotated[float, Output("Lift", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class LoudnessContour:
    """The lift that keeps a balance when the volume changes."""

    knob: Annotated[float, Output("Bass knob, 40 to 63 Hz", LEVEL, decimals=1, main=True)]
    bass_lift: Annotated[float, Output("At 50 Hz", LEVEL, decimals=1)]
    upper_lift: Annotated[float, Output("At 100 Hz", LEVEL, decimals=1)]
    treble_lift: Annotated[float, Output("At 10 kHz", LEVEL, decimals=1)]
    bands: Annotated[tuple[LoudnessBand, ...], OutputRows("By third-octave band", fold=True)]
    chart: Annotated[Chart, OutputChart("Lift for the lower volume")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Bass at another volume",
    example={"tuned": 80.0, "listening": 60.0},
    sources=("iso-226-2003",),
)
def loudness_contour(
    tuned: Annotated[float, TUNED_AT] = 80.0,
    listening: Annotated[
        float, Number("Listening at", LEVEL, *audibility.LOUDNESS_RANGE, usual=(45, 85), help="The same.")
    ] = 60.0,
) -> LoudnessContour:
    """How much more bass a lower volume needs to keep the balance it was tuned with.

    An ear loses bass faster than the rest as the volume falls. Lift is what each frequency needs over what 1
    kHz gave up. By tones, young ears and no road noise: a guide for the range of a bass knob, not a curve to
    type in. Where the standard is silent, over 80 dB at 5 kHz and up, its formula is carried on.
    """
    before, now = audibility.equal_loudness(tuned), audibility.equal_loudness(listening)
    lift = audibility.lift_at_another_volume(tuned, listening)
    by_name = dict(zip(audibility.CONTOUR_FREQUENCIES, lift.tolist(), strict=True))
    advice: tuple[Advice, ...] = ()
    if listening > tuned:
        advice = (Advice("listening", "Louder than it was tuned: the bass wants less, or it booms."),)
    return LoudnessContour(
        knob=knob_of(lift),
        bass_lift=by_name[50.0],
        upper_lift=by_name[100.0],
        treble_lift=by_name[10000.0],
        bands=tuple(
            LoudnessBand(frequency=frequency, tuned_level=first, heard_level=second, lift=each)
            for frequency, first, second, each in zip(
                audibility.CONTOUR_FREQUENCIES, before.tolist(), now.tolist(), lift.tolist(), strict=True
            )
        ),
        chart=response_chart(
            "Lift that keeps the balance",
            Places(AT, AT),
            {"Lift": (lift, "main")},
            Axis("Level", "dB", *_ends(lift)),
            (Band("Bass knob", *BASS),),
            read_at=50.0,
        ),
        advice=advice,
    )


def _ends(lift: FloatArray) -> tuple[float, float]:
    """Ends of the axis: multiples of 3 dB that hold the line, zero between them."""
    low, high = float(np.min(lift)), float(np.max(lift))
    return min(3.0 * floor(low / 3), -3.0), max(3.0 * ceil(high / 3), 3.0)
