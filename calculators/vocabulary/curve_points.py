"""Curves of several points, pasted as rows: on shared places, in third octaves, on a chart, in a file."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Annotated

import numpy as np
from numpy.typing import NDArray

from calculators.declaring import Axis, Curve, CurveText, InputError, Made, Rows, Text
from calculators.physics import bands, curve_means, equalisers
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.feed_curves import check_levels
from calculators.vocabulary.measuring_charts import grid_between
from calculators.vocabulary.responses import LOWEST_SHOWN

LOWEST_PLACE, HIGHEST_PLACE = 5.0, 48e3
"""Hz: what a curve says beyond is not looked at."""
LEAST_SHARED = 1.0
MOST_PLACES = 1000
AS_BANDS = 0.25
"""Octaves from point to point: over it a curve is third-octave levels already."""
GRID_OCTAVES = 1 / 24
SLACK = 2**GRID_OCTAVES * (1 + 1e-9)
"""A curve of 24 places to the octave may end one of them before a band does, whatever binary makes of it."""

type Places = NDArray[np.intp]
"""Numbers of bands."""


@dataclass(frozen=True)
class MeasuredPoint:
    """What one point of the microphone measured."""

    name: Annotated[str, Text("Point", help="As on its mark.")]
    curve: Annotated[Curve, CurveText("Its curve", help="Hz and dB in columns, perhaps degrees.")]


OTHERS = Rows("Curves over it", "curve", at_least=0, at_most=4, fold=True, help="Of other runs, as kept.")


def curves_of(points: Sequence[MeasuredPoint]) -> dict[str, Curve]:
    """The curves by the field that each was pasted into."""
    return {f"points[{place}].curve": point.curve for place, point in enumerate(points)}


def names_of(points: Sequence[MeasuredPoint], *taken: str) -> list[str]:
    """What the points are called; by its number one without a name, or with one that is taken."""
    names: list[str] = []
    for place, point in enumerate(points, 1):
        name = " ".join(point.name.split())
        names.append(
            name
            if name and name not in names and not any(word in name for word in taken)
            else f"Point {place}"
        )
    return names


def levels_over(points: Sequence[MeasuredPoint], curve: Curve) -> dict[str, FloatArray]:
    """The levels of these points, dB, by name, where a curve has its own; NaN where they say nothing."""
    at = np.log(curve.frequency)
    return {
        name: np.interp(at, np.log(point.curve.frequency), point.curve.level, np.nan, np.nan)
        for name, point in zip(names_of(points, "Level", "Noise"), points, strict=True)
    }


def shared_band(curves: Mapping[str, Curve]) -> tuple[float, float]:
    """The band, Hz, that all curves hold. Raises InputError beside a field for less than an octave of it."""
    for field, curve in curves.items():
        check_levels(field, curve, "a measurement")
    low = max(LOWEST_PLACE, *(curve.frequency[0] for curve in curves.values()))
    high = min(HIGHEST_PLACE, *(curve.frequency[-1] for curve in curves.values()))
    if not high >= low * 2**LEAST_SHARED:
        field = max(curves, key=lambda name: curves[name].frequency[0])
        raise InputError(field, "The curves share less than an octave: look at their frequencies.")
    return low, high


def are_alike(curves: Mapping[str, Curve]) -> bool:
    """Whether all curves have the same frequencies."""
    return len({curve.frequency for curve in curves.values()}) == 1


def on_places(curves: Mapping[str, Curve]) -> tuple[FloatArray, FloatArray]:
    """Shared places, Hz, and the level of each curve there, dB, shape (curves, places).

    Curves of the same frequencies stay as they are; others are put on places 24 to the octave.
    """
    low, high = shared_band(curves)
    own = np.asarray(next(iter(curves.values())).frequency)
    inside = (own >= low) & (own <= high)
    if are_alike(curves) and own.size <= MOST_PLACES:
        return own[inside], np.stack([np.asarray(curve.level)[inside] for curve in curves.values()])
    places = grid_between(low, high)
    edges = curve_means.octave_edges(places, GRID_OCTAVES)
    levels = [curve_means.band_levels(curve.frequency, curve.level, *edges) for curve in curves.values()]
    return places, np.stack(levels)


def thirds_inside(curves: Mapping[str, Curve]) -> Places:
    """The third octaves that all curves hold whole; of levels by band, those that all have."""
    low, high = shared_band(curves)
    if any(is_by_band(curve) for curve in curves.values()):
        centres = bands.exact_third_octaves()
        return np.flatnonzero((centres >= low / SLACK) & (centres <= high * SLACK))
    edges = bands.third_octave_edges()
    return np.flatnonzero((edges[:, 0] >= low / SLACK) & (edges[:, 1] <= high * SLACK))


def is_by_band(curve: Curve) -> bool:
    """Whether a curve is third-octave levels already."""
    octaves = np.log2(curve.frequency[-1] / curve.frequency[0]) / (len(curve.frequency) - 1)
    return bool(octaves > AS_BANDS)


def third_levels(curve: Curve, inside: Places) -> FloatArray:
    """Levels of a curve in third octaves, dB: the mean power of each band, or the band's own level."""
    if is_by_band(curve):
        return equalisers.levels_through_points(
            bands.exact_third_octaves()[inside], curve.frequency, curve.level
        )
    return curve_means.band_levels(curve.frequency, curve.level, *bands.third_octave_edges()[inside].T)


def nominal(inside: Places) -> list[float]:
    """The names of bands, Hz."""
    return [float(bands.NOMINAL_THIRD_OCTAVES[place]) for place in inside.tolist()]


def centres(inside: Places) -> FloatArray:
    """The exact middles of bands, Hz."""
    return np.asarray(bands.exact_third_octaves()[inside], dtype=np.float64)


def difference_axis(line: FloatArray) -> Axis:
    """An axis about zero that holds a line of differences, 3 to 60 dB either way."""
    most = min(max(3.0, 3.0 * float(np.ceil(np.max(np.abs(line)) / 3 - 1e-9))), 60.0)
    return Axis("Level", "dB", -most, most)


def spread_axis(line: FloatArray, least: float) -> Axis:
    """An axis from zero that holds a line of spreads, and twice what is called wide."""
    return Axis("Spread", "dB", 0.0, max(2 * least, 3.0 * float(np.ceil(np.max(line) / 3 - 1e-9))))


def wide_axis(*lines: FloatArray) -> Axis:
    """A level axis with round ends that holds these lines, of the loudest 60 dB at most."""
    top = 5.0 * np.ceil((max(float(np.max(line)) for line in lines) + 1) / 5)
    low = 5.0 * np.floor(min(float(np.min(line)) for line in lines) / 5)
    return Axis("Level", "dB", float(min(max(low, top - 60), top - 20)), float(top), lowest=4 * LOWEST_SHOWN)


def csv_file(name: str, columns: Mapping[str, FloatArray]) -> Made:
    """Columns of numbers for a spreadsheet, frequencies first."""
    lines = [",".join(columns)]
    for frequency, *levels in zip(*columns.values(), strict=True):
        lines.append(",".join([f"{frequency:.6g}", *(f"{round(level, 2) + 0.0:.2f}" for level in levels)]))
    return Made.whole(name, "text/csv", ("\r\n".join(lines) + "\r\n").encode())


def response_file(curve: Curve, name: str) -> Made:
    """A curve with its phase as columns, as any of these fields takes them; ``name``: without its ending."""
    columns = {"Hz": np.asarray(curve.frequency), "dB": np.asarray(curve.level)}
    if curve.phase is not None:
        columns["degrees"] = np.asarray(curve.phase)
    return csv_file(f"{name}.csv", columns)


def hertz_words(frequency: float) -> str:
    """A frequency in three figures."""
    return f"{float(f'{frequency:.3g}'):g} Hz"
