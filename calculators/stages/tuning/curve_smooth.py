"""A curve smoothed: by the bands of the standard, or over a part of an octave about each frequency."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Chart,
    Choice,
    Curve,
    CurveText,
    InputError,
    Made,
    Output,
    OutputChart,
    OutputCurve,
    OutputFile,
    OutputText,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import bands, curve_means
from calculators.physics.arrays import FloatArray
from calculators.vocabulary import curve_points
from calculators.vocabulary.measuring_charts import grid_between
from calculators.vocabulary.point_examples import DOOR_BEFORE
from calculators.vocabulary.responses import Places, floats, response_chart

WIDTHS = {
    "third-octave-bands": "third-octave bands (IEC 61260-1)",
    "octave-bands": "octave bands (IEC 61260-1)",
    "3": "one third of an octave about each frequency",
    "6": "one sixth",
    "12": "one twelfth",
    "24": "one twenty-fourth",
}
FEWEST_SMOOTHED = 3


@dataclass(frozen=True, kw_only=True)
class CurveSmooth:
    """The smoothed curve, and what smoothing took from it."""

    holds: Annotated[str, OutputText("Smoothed to", main=True, brief="largest_change")]
    largest_change: Annotated[float, Output("It hides at most", LEVEL, decimals=1)]
    change_frequency: Annotated[float, Output("that is at", FREQUENCY, trim=True, figures=3)]
    chart: Annotated[Chart, OutputChart("As measured, and smoothed")]
    curve: Annotated[Curve, OutputCurve("Smoothed")]
    csv: Annotated[Made, OutputFile("Smoothed curve for a spreadsheet")]


@calculator(
    title="Smooth a curve",
    example={"measured": DOOR_BEFORE, "smoothing": "third-octave-bands"},
    sources=("iec-61260-1", "common-practice"),
)
def curve_smooth(
    measured: Annotated[Curve, CurveText("Measured curve", help="Hz and dB in columns.")],
    smoothing: Annotated[str, Choice("Smooth to", WIDTHS)] = "third-octave-bands",
) -> CurveSmooth:
    """The mean power of a curve in bands, every octave of a band weighing alike.

    Bands have their middles and edges by IEC 61260-1, base ten; a part of an octave runs from f·2^(−1/2n) to
    f·2^(1/2n). A band that the curve does not hold whole is left out. Smooth to look and to compare, never
    before an average over points, and never before a delay or a polarity is read. A phase column is left
    aside: phase is not smoothed.
    """
    low, high = curve_points.shared_band({"measured": measured})
    centres, low_edges, high_edges = _bands(smoothing, low, high)
    if centres.size < FEWEST_SMOOTHED:
        raise InputError("measured", "The curve holds fewer than three such bands: paste more of it.")
    level = curve_means.band_levels(measured.frequency, measured.level, low_edges, high_edges)
    places = np.union1d(grid_between(low, high), centres[(centres >= low) & (centres <= high)])
    raw = np.interp(np.log(places), np.log(measured.frequency), measured.level)
    drawn = np.interp(np.log(places), np.log(centres), level)
    # Beyond the outermost middles nothing is said of a band.
    said = (places >= centres[0]) & (places <= centres[-1])
    hidden = np.where(said, np.abs(raw - drawn), 0.0)
    most = int(np.argmax(np.round(hidden, 6)))
    return CurveSmooth(
        holds=f"{WIDTHS[smoothing]}: {centres.size} from {curve_points.hertz_words(float(centres[0]))} "
        f"to {curve_points.hertz_words(float(centres[-1]))}",
        largest_change=float(hidden[most]),
        change_frequency=float(places[most]),
        chart=response_chart(
            "As measured, and smoothed",
            Places(places, places[:: max(1, places.size // 30)]),
            {"As measured": raw, "Smoothed": (np.where(said, drawn, np.nan), "main")},
            curve_points.wide_axis(raw, drawn),
            read_at=float(places[most]),
        ),
        curve=Curve(floats(centres), floats(level)),
        csv=curve_points.csv_file("smoothed.csv", {"Hz": centres, "dB": level}),
    )


def _bands(smoothing: str, low: float, high: float) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Middles and edges, Hz, of the bands that lie whole between two frequencies."""
    if smoothing.endswith("bands"):
        centres, edges = (
            (bands.exact_third_octaves(), bands.third_octave_edges())
            if smoothing == "third-octave-bands"
            else bands.octaves_and_edges()
        )
        bottom, top = edges.T
    else:
        centres = grid_between(low, high)
        bottom, top = curve_means.octave_edges(centres, 1 / int(smoothing))
    inside = (bottom >= low / curve_points.SLACK) & (top <= high * curve_points.SLACK)
    return centres[inside], bottom[inside], top[inside]
