"""Responses over frequency: where they are looked at, and the charts that show them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, floor, log10

import numpy as np

from calculators.declaring import Axis, Band, Chart, Curve, Line, Series
from calculators.physics import curve_places, decibels
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.curve_places import LevelsAt, LevelsOfAll

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


@dataclass(frozen=True, eq=False)
class Wanted:
    """Places that are wanted of some curves, by their numbers.

    From ``low`` to ``high`` (Hz): evenly by ratio, at the places ``named`` (by the table too), at
    the places ``around`` narrow filters, and wherever a curve turns. ``finest``: Hz, the closest
    that two turns can lie together, if that is closer than the even places.
    """

    curves: Sequence[int]
    named: Sequence[float] | FloatArray = ()
    around: FloatArray = field(default_factory=lambda: np.empty(0))
    low: float = LOWEST_HEARD
    high: float = HIGHEST_HEARD
    finest: float | None = None

    def own(self) -> FloatArray:
        """The places named, and both ends."""
        named = _within(np.asarray(self.named, dtype=np.float64), self.low, self.high)
        return np.asarray(np.concatenate([named, [self.low, self.high]]), dtype=np.float64)

    def places(self) -> FloatArray:
        """All but where curves turn."""
        around = _within(self.around, self.low, self.high)
        even = _within(GRID, self.low, self.high)
        return np.asarray(np.unique(np.concatenate([even, self.own(), around])), dtype=np.float64)

    def searched(self, places: FloatArray) -> FloatArray:
        """Places so close that no more than one turn lies between two of them."""
        if self.finest is None:
            return places
        close = np.arange(self.low, self.high, self.finest / 6)
        return np.asarray(np.unique(np.concatenate([places, close])), dtype=np.float64)


def places_shown(
    lines: Sequence[LevelsAt],
    named: Sequence[float] | FloatArray = (),
    around: FloatArray | None = None,
    low: float = LOWEST_HEARD,
    high: float = HIGHEST_HEARD,
    finest: float | None = None,
) -> Places:
    """Where lines over frequency are drawn so that the picture shows what they do, as `Wanted` says."""
    detail = np.empty(0) if around is None else around
    wanted = Wanted(range(len(lines)), named, detail, low, high, finest)
    return places_of(lambda frequency: [line(frequency) for line in lines], [wanted])[0]


def places_of(curves: LevelsOfAll, wanted: Sequence[Wanted]) -> list[Places]:
    """Where curves are drawn, for several charts at once: what the curves share is worked out once."""
    evenly = [each.places() for each in wanted]
    searched = [each.searched(places) for each, places in zip(wanted, evenly, strict=True)]
    searches = [(curve, at) for each, at in zip(wanted, searched, strict=True) for curve in each.curves]
    found = iter(curve_places.turning_points(curves, searches) if searches else ())
    shown = []
    for each, places in zip(wanted, evenly, strict=True):
        own = each.own()
        turns = [_listed(curves, curve, _apart(next(found), own, SAME_PLACE)) for curve in each.curves]
        thirds = _within(_apart(GRID[::4], own, TOO_NEAR_TO_LIST), each.low, each.high)
        listed = np.unique(np.concatenate([thirds, own, *turns]))
        shown.append(Places(np.unique(np.concatenate([places, *turns])), listed))
    return shown


def _listed(curves: LevelsOfAll, curve: int, turns: FloatArray) -> FloatArray:
    """The turns of a curve; of a great many the highest and the lowest."""
    if turns.size <= TURNS_LISTED:
        return turns
    level = curves(turns)[curve]
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
        drawn: list[float | None] = values.tolist()
        for place in np.flatnonzero(~np.isfinite(values)).tolist():
            drawn[place] = None
        series.append(Series(name, tuple(drawn), kind))
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
    return Curve(floats(SHOWN), floats(decibels.level(gain)), floats(decibels.phase(gain)))


def floats(values: FloatArray) -> tuple[float, ...]:
    """An array as plain numbers."""
    return tuple(values.tolist())
