"""A chart as SVG text: no script, no style attributes, so that any security policy lets it be.

Colours come from the style sheet by class; lines differ by dash as well as by colour.
"""

from math import floor, log10

from calculators.declaring import Axis, Band, Chart
from calculators.presenting.escaping import text
from calculators.presenting.numbers import plain, typographic

WIDTH, HEIGHT = 360, 236
LEFT, RIGHT, TOP, BOTTOM = 40, 8, 10, 34
PLOT_WIDTH = WIDTH - LEFT - RIGHT
PLOT_HEIGHT = HEIGHT - TOP - BOTTOM
MOST_TICKS = 7


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
    parts += [tick_x(value, x) for value in ticks(x)]
    parts += [tick_y(value, y) for value in ticks(y)]
    parts.append(
        f'<rect class="dc-frame" x="{LEFT}" y="{TOP}" width="{PLOT_WIDTH}" height="{PLOT_HEIGHT}"/>'
        f'<text class="dc-axis" x="{LEFT + PLOT_WIDTH / 2:.0f}" y="{HEIGHT - 3}">{axis_name(x)}</text>'
        f'<text class="dc-axis-y" x="2" y="{TOP - 1}">{text(y.unit)}</text>'
    )
    places = [f"{across(x, at):.1f}" for at in declared.at]
    for number, series in enumerate(declared.series, 1):
        for points in lines(places, series.values, y):
            parts.append(f'<polyline class="dc-line dc-line-{number}" points="{points}"/>')
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
    """Horizontal place of a value in the picture.

    Rounded far below a pixel: a place half-way between two tenths then falls to the same side in
    every build of the mathematics library, and a page's live chart equals the one it was built with.
    """
    return round(LEFT + PLOT_WIDTH * min(max(place(axis, value), 0.0), 1.0), 6)


def down(axis: Axis, value: float) -> float:
    """Vertical place of a value in the picture."""
    return round(TOP + PLOT_HEIGHT * (1 - min(max(place(axis, value), 0.0), 1.0)), 6)


def lines(places: list[str], values: tuple[float | None, ...], axis: Axis) -> list[str]:
    """Runs of points of one series, given where they lie across; a missing value breaks the line."""
    runs: list[list[str]] = [[]]
    for place_across, value in zip(places, values, strict=True):
        if value is None:
            runs.append([])
        else:
            runs[-1].append(f"{place_across},{down(axis, value):.1f}")
    return [" ".join(run) for run in runs if len(run) > 1]


def band_shape(band: Band, x: Axis, y: Axis) -> str:
    """A shaded stretch, with its meaning as a title."""
    if band.axis == "x":
        left, right = across(x, band.low), across(x, band.high)
        place_ = f'x="{left:.1f}" y="{TOP}" width="{right - left:.1f}" height="{PLOT_HEIGHT}"'
    else:
        top, bottom = down(y, band.high), down(y, band.low)
        place_ = f'x="{LEFT}" y="{top:.1f}" width="{PLOT_WIDTH}" height="{bottom - top:.1f}"'
    return f'<rect class="dc-band" {place_}><title>{text(band.label)}</title></rect>'


def ticks(axis: Axis) -> list[float]:
    """Round values to mark on an axis."""
    if axis.scale == "logarithmic":
        first, last = floor(log10(axis.low)), floor(log10(axis.high)) + 1
        steps = (1, 2, 5) if last - first <= 4 else (1,)
        marks = [step * 10.0**power for power in range(first, last + 1) for step in steps]
        return [mark for mark in marks if axis.low * 0.999 <= mark <= axis.high * 1.001]
    step = round_step((axis.high - axis.low) / MOST_TICKS)
    count = floor((axis.high - axis.low) / step + 1e-9)
    start = -floor(-axis.low / step + 1e-9) * step
    marks = [start + step * index for index in range(count + 1)]
    return [mark for mark in marks if mark <= axis.high + step * 1e-6]


def round_step(least: float) -> float:
    """The next of 1, 2, 3, 5, 6, 10 times a power of ten at or above ``least``."""
    power = 10.0 ** floor(log10(least))
    return next(step * power for step in (1, 2, 3, 5, 6, 10, 12) if step * power >= least * 0.9999)


def tick_x(value: float, axis: Axis) -> str:
    """A grid line with its label under it."""
    at = across(axis, value)
    return (
        f'<line class="dc-grid" x1="{at:.1f}" x2="{at:.1f}" y1="{TOP}" y2="{TOP + PLOT_HEIGHT}"/>'
        f'<text class="dc-tick-x" x="{at:.1f}" y="{TOP + PLOT_HEIGHT + 13}">{short(value)}</text>'
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
        f'<li class="dc-key dc-key-{number}">{text(series.label)}</li>'
        for number, series in enumerate(declared.series, 1)
    ]
    items += [f'<li class="dc-key dc-key-band">{text(band.label)}</li>' for band in declared.bands]
    return f'<ul class="dc-legend">{"".join(items)}</ul>'


def numbers(declared: Chart) -> str:
    """The chart's data as a table, folded, with a field that reads one line of it."""
    places = range(0, len(declared.at), declared.table_every)
    head = "".join(
        f'<th scope="col">{text(series.label)}, {text(declared.y.unit)}</th>' for series in declared.series
    )
    body = "".join(
        f'<tr><th scope="row">{at_text(declared.x, declared.at[index])}</th>'
        + "".join(f"<td>{cell(series.values[index], declared.y)}</td>" for series in declared.series)
        + "</tr>"
        for index in places
    )
    table = (
        f'<table class="dc-table"><thead><tr><th scope="col">{axis_name(declared.x)}</th>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table>"
    )
    return (
        "<doorcard-read-off></doorcard-read-off>"
        f'<details class="dc-numbers"><summary>Numbers behind the chart</summary>'
        f'<div class="dc-scroll" tabindex="0" role="group" aria-label="{text(declared.title)}: numbers">'
        f"{table}</div></details>"
    )


def at_text(axis: Axis, value: float) -> str:
    """A place on the horizontal axis: three figures."""
    digits = plain(value, 3)
    return typographic(digits.rstrip("0").rstrip(".") if "." in digits else digits)


def cell(value: float | None, axis: Axis) -> str:
    """A value in the table; empty where there is none."""
    return "" if value is None else typographic(plain(value, decimals=axis.decimals))
