"""A chart as SVG text: no script, no style attributes, so that any security policy lets it be.

Colours come from the style sheet by class; lines differ by dash as well as by colour.
"""

from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby
from math import floor, inf, log10

from calculators.declaring import Axis, Band, Chart, Series
from calculators.declaring.numerals import typographic
from calculators.presenting.escaping import text
from calculators.presenting.numbers import all_plain, plain

WIDTH, HEIGHT = 360, 236
LEFT, RIGHT, TOP, BOTTOM = 40, 8, 15, 34
PLOT_WIDTH = WIDTH - LEFT - RIGHT
PLOT_HEIGHT = HEIGHT - TOP - BOTTOM
MOST_TICKS = 7
DIGITS = tuple(range(1, 10))

UNSEEN = 1e-6
"""Of the picture's 360 across; a pixel is far more. Points are written that much farther right and down: one
half-way between two tenths then falls to the same side in every build of the mathematics library."""

type Point = tuple[float, float]


def chart(declared: Chart) -> str:
    """A figure: the picture, its legend, a field that reads values off it, and its numbers."""
    return (
        '<figure class="dc-chart">'
        f"<figcaption>{text(declared.title)}</figcaption>"
        f"{picture(declared)}{legend(declared)}{numbers(declared)}"
        "</figure>"
    )


def picture(declared: Chart) -> str:
    """The SVG alone."""
    x, y = declared.x, declared.y
    parts = [
        f'<svg viewBox="0 0 {WIDTH} {HEIGHT}" role="img" aria-label="{text(spoken(declared))}" '
        'focusable="false">'
    ]
    parts += [band_shape(band, x, y) for band in declared.bands]
    parts += [grid_x(x), grid_y(y)]
    parts.append(
        f'<rect class="dc-frame" x="{LEFT}" y="{TOP}" width="{PLOT_WIDTH}" height="{PLOT_HEIGHT}"/>'
        f'<text class="dc-axis" x="{LEFT + PLOT_WIDTH / 2:.0f}" y="{HEIGHT - 3}">{axis_name(x)}</text>'
        f'<text class="dc-axis-y" x="2" y="{TOP - 5}">{text(y.unit)}</text>'
    )
    # The line that matters goes under the others: drawn over them it would hide one that runs along it.
    for number, series in sorted(enumerate(declared.series, 1), key=lambda entry: entry[1].line != "main"):
        for points in lines(x, declared.at, all_down(y, series.values)):
            parts.append(f'<polyline class="dc-line {line_class(series, number)}" points="{points}"/>')
    return "".join(parts) + "</svg>"


def spoken(declared: Chart) -> str:
    """What a screen reader says in place of the picture."""
    names = ", ".join(series.label for series in declared.series)
    axes = f"{declared.y.label} over {declared.x.label.lower()}"
    return f"Chart: {declared.title}. {axes}: {names}. Its numbers follow."


def axis_name(axis: Axis) -> str:
    """Name of an axis with its unit."""
    return text(f"{axis.label}, {axis.unit}" if axis.unit else axis.label)


def place(axis: Axis, value: float) -> float:
    """Where a value lies on its axis, 0 to 1; below 0 or above 1 outside it."""
    if axis.scale == "logarithmic":
        return (log10(value) - log10(axis.low)) / (log10(axis.high) - log10(axis.low))
    return (value - axis.low) / (axis.high - axis.low)


def across(axis: Axis, value: float) -> float:
    """Horizontal place of a value in the picture, beside the frame if it lies outside it.

    Rounded far below a pixel: a place half-way between two tenths then falls to the same side in
    every build of the mathematics library, and a page's live chart equals the one it was built with.
    """
    return round(LEFT + PLOT_WIDTH * place(axis, value), 6)


def down(axis: Axis, value: float) -> float:
    """Vertical place of a value in the picture, above or below the frame if it lies outside it."""
    return round(TOP + PLOT_HEIGHT * (1 - place(axis, value)), 6)


@lru_cache(maxsize=32)  # From key to key most charts keep their places.
def all_across(axis: Axis, values: tuple[float, ...]) -> tuple[list[float], list[str]]:
    """Of many values what ``across`` gives before it is rounded, and as a line names it.

    One beside the frame has no name. The ends of the axis are looked at once.
    """
    if axis.scale == "logarithmic":
        times = PLOT_WIDTH / (log10(axis.high) - log10(axis.low))
        start = LEFT - times * log10(axis.low)
        places = [start + times * log10(value) for value in values]
    else:
        times = PLOT_WIDTH / (axis.high - axis.low)
        start = LEFT - times * axis.low
        places = [start + times * value for value in values]
    left, right = LEFT - UNSEEN, LEFT + PLOT_WIDTH + UNSEEN
    return places, [f"{place + UNSEEN:.1f}" if left < place < right else "" for place in places]


def all_down(axis: Axis, values: Sequence[float | None]) -> list[float | None]:
    """Of many values what ``down`` gives before it is rounded, where there are any."""
    if axis.scale == "logarithmic":
        return [None if value is None else down(axis, value) for value in values]
    times = -PLOT_HEIGHT / (axis.high - axis.low)
    start = TOP - times * axis.high
    return [None if value is None else start + times * value for value in values]


def framed(at: float, low: float, high: float) -> float:
    """The nearest place within two ends."""
    return min(max(at, low), high)


def lines(x: Axis, at: tuple[float, ...], heights: Sequence[float | None]) -> list[str]:
    """Runs of points of one series, as they lie across and down.

    A run ends at a missing value, and where the line crosses the frame: what lies outside is not
    drawn, least of all along the edge, where it would seem to be the value.
    """
    places, named = all_across(x, at)
    top, bottom = TOP - UNSEEN, TOP + PLOT_HEIGHT + UNSEEN
    # Nearly every point lies inside, and is then written once, as it is.
    written = [
        f"{across_},{down_ + UNSEEN:.1f}" if across_ and down_ is not None and top < down_ < bottom else ""
        for across_, down_ in zip(named, heights, strict=True)
    ]
    runs: list[list[str]] = [[]]
    since = 0
    for place in range(1, len(written)) if "" in written else ():
        if written[place - 1] and written[place]:
            continue
        runs[-1] += filter(None, written[since:place])
        since = place
        part = drawn_part(places[place - 1 : place + 1], heights[place - 1 : place + 1])
        if part is None:
            runs.append([])
            continue
        first, last = map(written_point, part)
        if runs[-1] and runs[-1][-1] != first:
            runs.append([])
        runs[-1] += (first, last)
    runs[-1] += filter(None, written[since:])
    apart = ([point for point, _ in groupby(run)] for run in runs if run)
    return [" ".join(run) for run in apart if len(run) > 1]


def drawn_part(places: Sequence[float], heights: Sequence[float | None]) -> tuple[Point, Point] | None:
    """The part of the straight line between two points that lies in the frame, if both are there."""
    here, there = heights
    if here is None or there is None:
        return None
    if min(here, there) > TOP + PLOT_HEIGHT + UNSEEN or max(here, there) < TOP - UNSEEN:
        return None  # Above the frame or under it, from end to end.
    return clipped((round(places[0], 6), round(here, 6)), (round(places[1], 6), round(there, 6)))


def written_point(point: Point) -> str:
    """A point as a line of the picture names it."""
    return f"{point[0] + UNSEEN:.1f},{point[1] + UNSEEN:.1f}"


def clipped(start: Point, end: Point) -> tuple[Point, Point] | None:
    """The part of a straight line that lies in the frame, if any (Liang and Barsky)."""
    enter, leave = 0.0, 1.0
    for along, (low, high) in enumerate(((LEFT, LEFT + PLOT_WIDTH), (TOP, TOP + PLOT_HEIGHT))):
        step = end[along] - start[along]
        if step == 0:
            if not low <= start[along] <= high:
                return None
            continue
        one, other = (low - start[along]) / step, (high - start[along]) / step
        enter, leave = max(enter, min(one, other)), min(leave, max(one, other))
    if enter > leave:
        return None
    return between(start, end, enter), between(start, end, leave)


def between(start: Point, end: Point, share: float) -> Point:
    """The point that share of the way along a line; a share of 0 or 1 is exactly its end."""
    if share in {0.0, 1.0}:
        return end if share else start
    right, bottom = LEFT + PLOT_WIDTH, TOP + PLOT_HEIGHT
    return (
        framed(start[0] + share * (end[0] - start[0]), LEFT, right),
        framed(start[1] + share * (end[1] - start[1]), TOP, bottom),
    )


def line_class(series: Series, number: int) -> str:
    """Class of a line by what it is for; a plain one by its place among the others."""
    return f"dc-line-{number if series.line == 'plain' else series.line}"


def band_shape(band: Band, x: Axis, y: Axis) -> str:
    """A shaded stretch, with its meaning as a title."""
    if band.axis == "x":
        left, right = (framed(across(x, end), LEFT, LEFT + PLOT_WIDTH) for end in (band.low, band.high))
        place_ = f'x="{left:.1f}" y="{TOP}" width="{right - left:.1f}" height="{PLOT_HEIGHT}"'
    else:
        top, bottom = (framed(down(y, end), TOP, TOP + PLOT_HEIGHT) for end in (band.high, band.low))
        place_ = f'x="{LEFT}" y="{top:.1f}" width="{PLOT_WIDTH}" height="{bottom - top:.1f}"'
    return f'<rect class="dc-band" {place_}><title>{text(band.label)}</title></rect>'


def ticks(axis: Axis) -> list[float]:
    """Round values to mark on an axis."""
    if axis.scale == "logarithmic":
        decades = log10(axis.high / axis.low)
        steps = (1, 2, 3, 4, 6, 8) if decades < 1.4 else (1, 2, 5) if decades <= 4 else (1,)
        return round_marks(axis, steps)
    step = round_step((axis.high - axis.low) / MOST_TICKS)
    count = floor((axis.high - axis.low) / step + 1e-9)
    start = -floor(-axis.low / step + 1e-9) * step
    marks = [start + step * index for index in range(count + 1)]
    return [mark for mark in marks if mark <= axis.high + step * 1e-6]


def round_marks(axis: Axis, steps: tuple[int, ...]) -> list[float]:
    """Those multiples of the powers of ten that lie on a logarithmic axis."""
    powers = range(floor(log10(axis.low)), floor(log10(axis.high)) + 1)
    marks = [step * 10.0**power for power in powers for step in steps]
    return [mark for mark in marks if axis.low * 0.999 <= mark <= axis.high * 1.001]


def minor_lines(axis: Axis) -> str:
    """Fine lines between the labelled ones of a logarithmic axis, so that 80 or 3000 can be found."""
    if axis.scale != "logarithmic" or axis.high / axis.low > 1e4:
        return ""
    strokes = "".join(f"M{across(axis, mark):.1f} {TOP}v{PLOT_HEIGHT}" for mark in round_marks(axis, DIGITS))
    return f'<path class="dc-minor" d="{strokes}"/>'


def round_step(least: float) -> float:
    """The next of 1, 2, 3, 5, 6, 10 times a power of ten at or above ``least``."""
    power = 10.0 ** floor(log10(least))
    return next(step * power for step in (1, 2, 3, 5, 6, 10, 12) if step * power >= least * 0.9999)


@lru_cache(maxsize=64)
def grid_x(axis: Axis) -> str:
    """All that marks a horizontal axis."""
    return minor_lines(axis) + "".join(tick_x(value, axis) for value in ticks(axis))


@lru_cache(maxsize=64)
def grid_y(axis: Axis) -> str:
    """All that marks a vertical axis."""
    return "".join(tick_y(value, axis) for value in ticks(axis))


def tick_x(value: float, axis: Axis) -> str:
    """A grid line with its label under it."""
    at = across(axis, value)
    return (
        f'<line class="dc-grid" x1="{at:.1f}" x2="{at:.1f}" y1="{TOP}" y2="{TOP + PLOT_HEIGHT}"/>'
        f'<text class="dc-tick-x" x="{at:.1f}" y="{TOP + PLOT_HEIGHT + 15}">{short(value)}</text>'
    )


def tick_y(value: float, axis: Axis) -> str:
    """A grid line with its label beside it."""
    at = down(axis, value)
    kind = "dc-grid dc-zero" if value == 0 else "dc-grid"
    return (
        f'<line class="{kind}" x1="{LEFT}" x2="{LEFT + PLOT_WIDTH}" y1="{at:.1f}" y2="{at:.1f}"/>'
        f'<text class="dc-tick-y" x="{LEFT - 4}" y="{at + 3.5:.1f}">{short(value)}</text>'
    )


def short(value: float) -> str:
    """A tick's label: 20, 500, 1k, 20k, −6."""
    if abs(value) >= 1000:
        return typographic(f"{value / 1000:g}k")
    return typographic(f"{round(value, 9):g}")


def legend(declared: Chart) -> str:
    """Names of the lines and bands, each with its mark."""
    items = [
        f'<li class="dc-key {line_class(series, number).replace("line", "key")}">{text(series.label)}</li>'
        for number, series in enumerate(declared.series, 1)
    ]
    items += [f'<li class="dc-key dc-key-band">{text(band.label)}</li>' for band in declared.bands]
    return f'<ul class="dc-legend">{"".join(items)}</ul>'


def numbers(declared: Chart) -> str:
    """The chart's data as a table, folded, with a field that reads one line of it.

    Under it lies the place of the buttons that keep the chart.
    """
    listed = set(declared.table_at or declared.at)
    places = [index for index, at in enumerate(declared.at) if at in listed]
    head = "".join(
        f'<th scope="col">{text(series.label)}, {text(declared.y.unit)}</th>' for series in declared.series
    )
    columns = [cells([series.values[index] for index in places], declared.y) for series in declared.series]
    rows = zip([at_text(declared.at[index]) for index in places], *columns, strict=True)
    body = "".join(
        f'<tr><th scope="row">{name}</th><td>{"</td><td>".join(row)}</td></tr>' for name, *row in rows
    )
    table = (
        f'<table class="dc-table"><thead><tr><th scope="col">{axis_name(declared.x)}</th>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )
    return (
        f"{read_off(declared, places)}"
        f'<details class="dc-numbers"><summary>Numbers behind the chart</summary>'
        f'<div class="dc-scroll" tabindex="0" role="group" aria-label="{text(declared.title)}: numbers">'
        f"{table}</div><doorcard-keep-chart></doorcard-keep-chart></details>"
    )


def read_off(declared: Chart, places: list[int]) -> str:
    """Where the field that reads values off goes, and the line of the table it starts with."""
    if declared.read_at is None:
        start = len(places) // 2
    else:
        (drawn, _), wanted = all_across(declared.x, declared.at), across(declared.x, declared.read_at)
        away = [abs(drawn[index] - wanted) for index in places]
        start = away.index(min(away))
    return f'<doorcard-read-off data-start="{start}"></doorcard-read-off>'


@lru_cache(maxsize=4096)  # From key to key, and from chart to chart, most places stay.
def at_text(value: float) -> str:
    """A place on the horizontal axis: three figures."""
    digits = plain(value, 3)
    return typographic(digits.rstrip("0").rstrip(".") if "." in digits else digits)


def cells(values: Sequence[float | None], axis: Axis) -> list[str]:
    """A column of the table; empty where there is no value."""
    lowest = -inf if axis.lowest is None else axis.lowest
    plainly = [value for value in values if value is not None and value >= lowest]
    if len(plainly) < len(values):
        return [cell(value, axis) for value in values]
    return typographic(" ".join(all_plain(plainly, axis.decimals))).split()


def cell(value: float | None, axis: Axis) -> str:
    """A value in the table; empty where there is none."""
    if value is None:
        return ""
    if axis.lowest is not None and value < axis.lowest:
        return typographic(f"below {plain(axis.lowest, decimals=0)}")
    return typographic(plain(value, decimals=axis.decimals))
