"""Responses over frequency: where they are looked at, and the charts that show them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

import numpy as np

from calculators.declaring import Axis, Band, Chart, Curve, Line, Series
from calculators.physics import curve_places, decibels
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.curve_places import LevelsAt

LOWEST_DRAWN = -30.0
LOWEST_SHOWN = -60.0
LOWEST_HEARD, HIGHEST_HEARD = 20.0, 20e3
# 40 places to the decade: every fourth is the exact centre of a third-octave band.
GRID = 1000 * 10 ** (np.arange(-112, 81) / 40)
SHOWN = GRID[(GRID > 19.9) & (GRID < 20e3)]
# More turns than this are too close to list; the highest and the lowest still are.
TURNS_LISTED = 40
SAME_PLACE, TOO_NEAR_TO_LIST = 1e-4, 0.02


@dataclass(frozen=True)
class Places:
    """Frequencies, Hz, rising: ``at``, where a chart looks, and ``listed``, those its table names."""

    at: FloatArray
    listed: FloatArray


def places_shown(
    lines: Sequence[LevelsAt],
    named: Sequence[float] | FloatArray = (),
    around: FloatArray | None = None,
    low: float = LOWEST_HEARD,
    high: float = HIGHEST_HEARD,
    finest: float | None = None,
) -> Places:
    """Where lines over frequency are drawn so that the picture shows what they do.

    From ``low`` to ``high`` (Hz): evenly by ratio, at the places ``named`` (by the table too), at
    the places ``around`` narrow filters, and wherever a line turns. ``finest``: Hz, the closest
    that two turns can lie together, if that is closer than the even places.
    """
    even = _within(GRID, low, high)
    own = _within(np.asarray(named, dtype=np.float64), low, high)
    detail = _within(np.empty(0) if around is None else around, low, high)
    own = np.concatenate([own, [low, high]])
    at = np.unique(np.concatenate([even, own, detail]))
    searched = at
    if finest is not None:
        searched = np.unique(np.concatenate([at, np.arange(low, high, finest / 6)]))
    turns = [_turns(line, searched, own) for line in lines]
    thirds = _apart(GRID[::4], own, TOO_NEAR_TO_LIST)
    listed = [_within(thirds, low, high), own, *turns]
    return Places(np.unique(np.concatenate([at, *turns])), np.unique(np.concatenate(listed)))


def _turns(line: LevelsAt, searched: FloatArray, named: FloatArray) -> FloatArray:
    """Where a line turns, but for the places named already; of a great many the highest and the lowest."""
    turns = curve_places.turning_points(line, searched)
    turns = _apart(turns, named, SAME_PLACE)
    if turns.size <= TURNS_LISTED:
        return turns
    level = line(turns)
    return np.take(turns, [int(np.argmax(level)), int(np.argmin(level))])


def _apart(values: FloatArray, named: FloatArray, ratio: float) -> FloatArray:
    """Those values that stand by more than a ratio apart from all the named ones."""
    near = np.min(np.abs(np.log(values[:, np.newaxis] / named)), axis=1, initial=np.inf)
    return np.extract(near > ratio, values)


def _within(values: FloatArray, low: float, high: float) -> FloatArray:
    return values[(values >= low) & (values <= high)]


def response_chart(
    title: str,
    places: Places,
    lines: Mapping[str, FloatArray | tuple[FloatArray, Line]],
    level: Axis,
    bands: tuple[Band, ...] = (),
    read_at: float | None = None,
) -> Chart:
    """A chart of lines over frequency, each with a value at every place, or NaN where it has none.

    ``read_at``: Hz, where reading off starts.
    """
    series = []
    for name, line in lines.items():
        values, kind = line if isinstance(line, tuple) else (line, "plain")
        drawn = tuple(value if isfinite(value) else None for value in values.tolist())
        series.append(Series(name, drawn, kind))
    return Chart(
        title,
        Axis("Frequency", "Hz", float(places.at[0]), float(places.at[-1]), "logarithmic"),
        level,
        floats(places.at),
        tuple(series),
        bands,
        table_at=floats(places.listed),
        read_at=read_at,
    )


def level_axis(*lines: FloatArray) -> Axis:
    """A level axis with round ends that hold these lines, 6 dB either side of zero at the least.

    It ends at -36 and at 36 dB: what goes on below or above leaves the frame.
    """
    low = min(-6.0, *(float(np.min(line)) for line in lines))
    high = max(6.0, *(float(np.max(line)) for line in lines))
    return Axis(
        "Level",
        "dB",
        max(6.0 * floor(low / 6), -36.0),
        min(6.0 * ceil(high / 6), 36.0),
        lowest=LOWEST_SHOWN,
    )


def round_axis(
    label: str, unit: str, *lines: FloatArray, step: float | None = None, decimals: int = 1
) -> Axis:
    """An axis from zero whose ends are multiples of a step, or round numbers, and hold these lines."""
    low, high = (float(end([end(line) for line in lines])) for end in (np.min, np.max))
    if step is None:
        step = round_up(max(high, -low, 1e-6) / 4)
    ends = min(step * floor(low / step + 1e-9), 0.0), max(step * ceil(high / step - 1e-9), 0.0)
    return Axis(label, unit, ends[0], max(ends[1], ends[0] + step), decimals=decimals)


def round_up(value: float) -> float:
    """The next of 1, 1.5, 2, 3, 4, 5, 6, 8 and 10 times a power of ten."""
    power = float(10.0 ** floor(log10(value)))
    return next(size * power for size in (1, 1.5, 2, 3, 4, 5, 6, 8, 10) if size * power >= value * 0.999)


def response_curve(gain: ComplexArray) -> Curve:
    """A response over the frequencies of `SHOWN`, as data."""
    return Curve(floats(SHOWN), floats(decibels.level(gain)), floats(np.degrees(np.angle(gain))))


def floats(values: FloatArray) -> tuple[float, ...]:
    """An array as plain numbers."""
    return tuple(values.tolist())
