"""A drawing as SVG text, by classes alone: no script and no style attributes."""

from collections.abc import Callable, Iterator, Sequence
from itertools import pairwise
from math import ceil, cos, hypot, radians, sin
from typing import Any

from calculators.declaring.drawings import (
    PICTURE,
    Arc,
    Dimension,
    Dot,
    Drawing,
    Hatch,
    Line,
    Moving,
    Place,
    Polygon,
    Text,
)
from calculators.presenting.escaping import text

# All in units of the picture.
HATCH_STEP = 8.0
ARROW_LENGTH, ARROW_HALF = 8.0, 3.0
OVERSHOOT = 4.0
LIFT, DROP = 6.0, 5.0
DOT = 4.5


def drawing(declared: Drawing) -> str:
    """A figure: the picture over its title."""
    return (
        f'<figure class="dc-drawing">{picture(declared)}'
        f"<figcaption>{text(declared.title)}</figcaption></figure>"
    )


def paper(declared: Drawing) -> str:
    """A sheet of paper: printed alone on its page, at its true size."""
    return f'<div class="dc-drawing dc-paper">{picture(declared)}</div>'


def picture(declared: Drawing) -> str:
    """The SVG alone."""
    unit = declared.unit
    shapes = "".join(SHAPES[type(shape)](shape, unit) for shape in declared.shapes)
    return (
        f'<svg class="dc-draw" viewBox="0 0 {PICTURE:g} {number(declared.height / unit)}" role="img" '
        f'aria-label="{text(declared.spoken)}" focusable="false">{shapes}</svg>'
    )


def number(value: float) -> str:
    """A coordinate to a tenth of a unit."""
    return f"{round(value, 1) + 0.0:g}"


def pair(place: Place) -> str:
    """A place as SVG writes it; it is in units of the picture already."""
    return f"{number(place[0])} {number(place[1])}"


def inside(places: Sequence[Place], unit: float) -> list[Place]:
    """Places in units of the picture."""
    return [(x / unit, y / unit) for x, y in places]


def path(ways: str, kind: str, fill: str = "none") -> str:
    """A path by its classes; ink and no filling need none of their own."""
    names = [f"dc-{kind}"] if kind != "ink" else []
    names += [f"dc-fill-{fill}"] if fill != "none" else []
    marked = f' class="{" ".join(names)}"' if names else ""
    return f'<path{marked} d="{ways}"/>'


def straight(places: Sequence[Place]) -> str:
    """A way through places from one to the next."""
    return "M" + "L".join(pair(place) for place in places)


def bent(places: Sequence[Place]) -> str:
    """A smooth way through places: in each it runs as from the one before to the one after."""
    row = [places[0], *places, places[-1]]
    parts = ["M" + pair(places[0])]
    for before, start, end, after in zip(row, row[1:], row[2:], row[3:], strict=False):
        first = (start[0] + (end[0] - before[0]) / 6, start[1] + (end[1] - before[1]) / 6)
        second = (end[0] - (after[0] - start[0]) / 6, end[1] - (after[1] - start[1]) / 6)
        parts.append(f"C{pair(first)} {pair(second)} {pair(end)}")
    return "".join(parts)


def line(shape: Line, unit: float) -> str:
    """A line, straight or smooth."""
    places = inside(shape.places, unit)
    return path(bent(places) if shape.smooth else straight(places), shape.stroke)


def arc(shape: Arc, unit: float) -> str:
    """A circle or a part of one."""
    ((x, y),), radius = inside((shape.centre,), unit), shape.radius / unit
    size = number(radius)
    if shape.end - shape.start >= 360:
        way = (
            f"M{pair((x - radius, y))}a{size} {size} 0 1 1 {number(2 * radius)} 0"
            f"a{size} {size} 0 1 1 {number(-2 * radius)} 0z"
        )
    else:
        first, last = (
            (x + radius * cos(radians(angle)), y + radius * sin(radians(angle)))
            for angle in (shape.start, shape.end)
        )
        large = int(shape.end - shape.start > 180)
        way = f"M{pair(first)}A{size} {size} 0 {large} 1 {pair(last)}"
    return path(way, shape.stroke, shape.fill)


def polygon(shape: Polygon, unit: float) -> str:
    """A closed outline."""
    return path(straight(inside(shape.places, unit)) + "z", shape.stroke, shape.fill)


def hatch(shape: Hatch, unit: float) -> str:
    """Slanted lines, cut to the outlines here, so that no picture needs a name for a pattern."""
    outlines = [inside(outline, unit) for outline in shape.outlines]
    ways = "".join(straight(stroke) for stroke in hatch_strokes(outlines, -1 if shape.falling else 1))
    return path(ways, "hatch")


def hatch_strokes(outlines: Sequence[Sequence[Place]], slope: int) -> Iterator[tuple[Place, Place]]:
    """The strokes of a hatch: on each the stretches between two crossings with an outline.

    A stroke is the line x + slope·y = level. Levels lie half-way between multiples of the step, where
    corners seldom do.
    """
    sides = [side for outline in outlines for side in pairwise([*outline, outline[0]])]
    heights = [x + slope * y for outline in outlines for x, y in outline]
    level = HATCH_STEP * (ceil(min(heights) / HATCH_STEP - 0.5) + 0.5)
    while level < max(heights):
        crossed = []
        for (x1, y1), (x2, y2) in sides:
            first, last = x1 + slope * y1 - level, x2 + slope * y2 - level
            if (first < 0) != (last < 0):
                part = first / (first - last)
                crossed.append((x1 + part * (x2 - x1), y1 + part * (y2 - y1)))
        crossed.sort()
        yield from zip(crossed[::2], crossed[1::2], strict=True)
        level += HATCH_STEP


def dimension(shape: Dimension, unit: float) -> str:
    """Two help lines, the line between them with an arrow at each end, and the length.

    A scale bar is one with nothing aside. The length stands over the line or, of an upright one, beside it.
    """
    (x1, y1), (x2, y2) = inside((shape.start, shape.end), unit)
    length = hypot(x2 - x1, y2 - y1)
    along, across = (x2 - x1) / length, (y2 - y1) / length
    aside = shape.aside / unit
    ends = [(x - across * aside, y + along * aside) for x, y in ((x1, y1), (x2, y2))]
    beyond = aside + (OVERSHOOT if aside >= 0 else -OVERSHOOT)
    near = OVERSHOOT if not aside else 0.0
    helps = "".join(
        straight([(x + across * near, y - along * near), (x - across * beyond, y + along * beyond)])
        for x, y in ((x1, y1), (x2, y2))
    )
    drawn = path(helps + straight(ends), "thin")
    # Too short for two arrows: the help lines alone say where it ends.
    if length >= 2.5 * ARROW_LENGTH:
        drawn += arrow(ends[0], along, across) + arrow(ends[1], -along, -across)
    middle = ((ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2)
    if abs(along) >= abs(across):
        return drawn + words((middle[0], middle[1] - LIFT), shape.shown(), "middle")
    side = 1 if -across * aside >= 0 else -1
    anchor = "start" if side > 0 else "end"
    return drawn + words((middle[0] + side * LIFT, middle[1] + DROP), shape.shown(), anchor)


def arrow(tip: Place, along: float, across: float) -> str:
    """An arrow's head; its body lies in the direction given."""
    foot = (tip[0] + ARROW_LENGTH * along, tip[1] + ARROW_LENGTH * across)
    sides = [(foot[0] - half * across, foot[1] + half * along) for half in (ARROW_HALF, -ARROW_HALF)]
    return path(straight([tip, *sides]) + "z", "none", "ink")


def words(place: Place, line_of_text: str, anchor: str, strong: bool = False) -> str:
    """A line of text at a place in units of the picture."""
    names = [f"dc-{anchor}"] if anchor != "start" else []
    names += ["dc-strong"] if strong else []
    marked = f' class="{" ".join(names)}"' if names else ""
    return f'<text{marked} x="{number(place[0])}" y="{number(place[1])}">{text(line_of_text)}</text>'


def lettering(shape: Text, unit: float) -> str:
    """A line of text."""
    return words(inside((shape.place,), unit)[0], shape.words, shape.anchor, shape.strong)


def dot(shape: Dot, unit: float) -> str:
    """A joint."""
    x, y = inside((shape.place,), unit)[0]
    return f'<circle class="dc-none dc-fill-ink" cx="{number(x)}" cy="{number(y)}" r="{DOT}"/>'


def moving(shape: Moving, unit: float) -> str:
    """A group that the page's script moves: its poses as time, shift, size and whether it is seen."""
    drawn = "".join(SHAPES[type(inner)](inner, unit) for inner in shape.shapes)
    poses = ";".join(
        f"{round(pose.at, 4):g} {pair((pose.shift[0] / unit, pose.shift[1] / unit))} "
        f"{round(pose.size, 3):g} {int(pose.seen)}"
        for pose in shape.poses
    )
    centre = pair((shape.centre[0] / unit, shape.centre[1] / unit))
    return f'<g data-poses="{poses}" data-centre="{centre}" data-seconds="{shape.seconds:g}">{drawn}</g>'


SHAPES: dict[type, Callable[[Any, float], str]] = {
    Line: line,
    Arc: arc,
    Polygon: polygon,
    Hatch: hatch,
    Dimension: dimension,
    Text: lettering,
    Dot: dot,
    Moving: moving,
}
"""How each shape is drawn; ``tests/presenting`` holds that none is missing."""
