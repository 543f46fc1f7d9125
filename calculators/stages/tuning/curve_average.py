"""One curve out of several points: the mean of their powers, or of their sound as it adds up."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import (
    Advice,
    Chart,
    Choice,
    Curve,
    InputError,
    Made,
    Output,
    OutputChart,
    OutputCurve,
    OutputFile,
    OutputRows,
    OutputText,
    Rows,
    calculator,
)
from calculators.declaring.quantities import FREQUENCY, LEVEL
from calculators.physics import curve_means, curve_parts, decibels
from calculators.physics.arrays import FloatArray
from calculators.vocabulary import curve_points
from calculators.vocabulary.curve_points import MeasuredPoint
from calculators.vocabulary.point_examples import DOOR_POINTS
from calculators.vocabulary.responses import Places, floats, response_chart

ENOUGH_POINTS = 6
MEAN = "Mean"
MOST_LINES = 3
"""Of more points than these only the highest and the lowest are drawn beside the mean."""


@dataclass(frozen=True, kw_only=True)
class AveragedBand:
    """One third octave over the points."""

    nominal: Annotated[float, Output("Band", FREQUENCY, trim=True, figures=5)]
    level: Annotated[float, Output("Mean", LEVEL, decimals=1)]
    lowest_point: Annotated[float, Output("Lowest point", LEVEL, decimals=1)]
    highest_point: Annotated[float, Output("Highest point", LEVEL, decimals=1)]
    spread: Annotated[float, Output("Spread, shape alone", LEVEL, decimals=1)]


@dataclass(frozen=True, kw_only=True)
class CurveAverage:
    """The mean, and how far the points lie apart."""

    holds: Annotated[str, OutputText("The curve is", main=True, brief="widest_spread")]
    widest_spread: Annotated[float, Output("Widest spread of a third octave", LEVEL, decimals=1)]
    spread_frequency: Annotated[float, Output("that is at", FREQUENCY, trim=True, figures=5)]
    chart: Annotated[Chart, OutputChart("Mean over the points")]
    bands: Annotated[tuple[AveragedBand, ...], OutputRows("By third octave", copy=True, fold=True)]
    curve: Annotated[Curve, OutputCurve("Mean")]
    csv: Annotated[Made, OutputFile("Mean and points for a spreadsheet")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Mean of several points",
    example={"points": DOOR_POINTS},
    sources=("iso-3382-1", "iec-61260-1", "phasors", "common-practice"),
)
def curve_average(
    points: Annotated[
        tuple[MeasuredPoint, ...],
        Rows("Points", "point", at_least=2, at_most=12, help="Six to nine within 10 cm of the head."),
    ],
    method: Annotated[
        str,
        Choice(
            "Mean of",
            {"power": "powers: for levels", "complex": "sound with its phase: for repeats and joins"},
        ),
    ] = "power",
) -> CurveAverage:
    """The mean of curves measured at several points, and how far they lie apart.

    Powers are averaged for levels and for the equaliser: what cancels at one point counts as little as it
    should. With phase the curves are added up as sound is, so what is out of step takes from each other: that
    is for runs repeated on one mark, whose noise falls, and for points within 30 mm at a join; all must come
    from one recording or one clock. A microphone moved slowly round the head gives the mean of powers in one
    run, and hides the spread. The spread is that of shapes: each point's own mean level is taken out.
    """
    curves = curve_points.curves_of(points)
    places, levels = curve_points.on_places(curves)
    phase: tuple[float, ...] | None = None
    if method == "complex":
        mean = curve_means.mean_response(levels, _phases(curves, places))
        level, phase = decibels.level(mean), floats(decibels.phase(mean))
    else:
        level = curve_parts.power_mean(levels)
    inside = curve_points.thirds_inside(curves)
    if not inside.size:
        raise InputError("points[0].curve", "The curves share no whole third octave: paste more of them.")
    thirds = np.stack([curve_points.third_levels(curve, inside) for curve in curves.values()])
    means = curve_points.third_levels(Curve(floats(places), floats(level)), inside)
    spread = curve_parts.spread(thirds)
    widest = int(np.argmax(np.round(spread, 6)))
    names = curve_points.nominal(inside)
    kind = "powers" if method == "power" else "sound with its phase"
    return CurveAverage(
        holds=f"the mean of {len(points)} points, {kind}, "
        f"{curve_points.hertz_words(float(places[0]))} to {curve_points.hertz_words(float(places[-1]))}",
        widest_spread=float(spread[widest]),
        spread_frequency=names[widest],
        chart=_chart(places, level, levels, curve_points.names_of(points, MEAN)),
        bands=tuple(
            AveragedBand(
                nominal=name,
                level=mean_level,
                lowest_point=min(column),
                highest_point=max(column),
                spread=apart,
            )
            for name, mean_level, column, apart in zip(
                names, means.tolist(), thirds.T.tolist(), spread.tolist(), strict=True
            )
        ),
        curve=Curve(floats(places), floats(level), phase),
        csv=curve_points.csv_file(
            "mean-of-points.csv",
            {"Hz": places, "mean dB": level, "spread dB": curve_parts.spread(levels)}
            | {f"point {number} dB": line for number, line in enumerate(levels, 1)},
        ),
        advice=_advice(len(points), method),
    )


def _phases(curves: dict[str, Curve], places: FloatArray) -> FloatArray:
    """Phases of curves that can be added up, degrees. Raises InputError beside a field where they cannot."""
    if not curve_points.are_alike(curves):
        raise InputError(
            "method", "With phase all curves need the same frequencies: take them from one measurement."
        )
    phases = []
    for field, curve in curves.items():
        if curve.phase is None:
            raise InputError(field, "A third column is needed: the phase in degrees.")
        if places.size != len(curve.frequency):
            raise InputError(
                field,
                f"With phase give at most {curve_points.MOST_PLACES} frequencies, from "
                f"{curve_points.LOWEST_PLACE:g} Hz to {curve_points.HIGHEST_PLACE / 1000:g} kHz.",
            )
        phases.append(curve.phase)
    return np.asarray(phases, dtype=np.float64)


def _chart(places: FloatArray, level: FloatArray, levels: FloatArray, names: list[str]) -> Chart:
    lines = {MEAN: (level, "main")}
    if len(names) <= MOST_LINES:
        drawn = dict(zip(names, levels, strict=True))
    else:
        drawn = {"Highest point": np.max(levels, axis=0), "Lowest point": np.min(levels, axis=0)}
    return response_chart(
        "Mean over the points",
        Places(places, places[:: max(1, places.size // 30)]),
        lines | drawn,
        curve_points.wide_axis(level, *drawn.values()),
        read_at=float(places[places.size // 2]),
    )


def _advice(count: int, method: str) -> tuple[Advice, ...]:
    if method == "power" and count < ENOUGH_POINTS:
        return (
            Advice(
                "points",
                f"{count} points: for the equaliser take six to nine, and leave one out of the fit to check "
                "by.",
            ),
        )
    return ()
