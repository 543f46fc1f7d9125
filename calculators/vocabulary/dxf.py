"""Drawings to scale as a DXF file, for whoever cuts by machine: millimetres, y upwards.

The file is of release 12, the plainest: programs for such machines read it, and the page makes it without a
library of 2.6 MB that every device would have to fetch first.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache, lru_cache
from itertools import chain
from math import atan2, degrees, dist
from typing import Any

from calculators.declaring import Made
from calculators.declaring.drawings import Arc, Dimension, Drawing, Line, Place, Polygon, Text

DXF_RELEASE = "AC1009"
"""Release 12, as the header of a file names it."""
MILLIMETRES = 4
"""The unit's number in a header."""
BETWEEN_DRAWINGS = 50.0
"""Millimetres between two drawings, one under the other."""
LETTER_HEIGHT = 11.0
"""Height of letters, in units of the picture."""
DXF_LAYERS = "OUTLINES", "SHEETS", "HELP_LINES", "WORDS", "SIZES"
OUTLINE_LAYER, SHEET_LAYER, HELP_LAYER, WORD_LAYER, SIZE_LAYER = DXF_LAYERS
TEXT_ANCHORS = {"start": 0, "middle": 1, "end": 2}
"""Numbers of how a text lies on its place."""

type Group = tuple[int, str | int | float]
"""A group code of the format, and its value."""
ON_PAPER = " 30\r\n0.0000\r\n"
"""The third coordinate of every point, as the format writes it."""


@lru_cache(maxsize=4)  # Many keys of a form change nothing of what is cut.
def dxf_file(name: str, drawings: tuple[Drawing, ...], views: tuple[Drawing, ...] = ()) -> Made:
    """Drawings to scale as one file, one under the other, each on the same layers; ``views`` come first.

    What is cut out has a layer of its own, so that a machine can be given that alone: the sheets that it is
    cut from, help lines, words and sizes lie on others. Of a view nothing is cut: all its lines help.
    """
    return Made.whole(name, "image/vnd.dxf", dxf(drawings, views).encode("ascii"))


def dxf(drawings: Sequence[Drawing], views: Sequence[Drawing] = ()) -> str:
    """The text of the file. Source: the published reference of the format, release 12, from memory."""
    pieces = chain(
        _section(
            "HEADER", (_groups((9, "$ACADVER"), (1, DXF_RELEASE), (9, "$INSUNITS"), (70, MILLIMETRES)),)
        ),
        _section("TABLES", (_tables(),)),
        _section("ENTITIES", _entities(drawings, views)),
        (_groups((0, "EOF")),),
    )
    return "".join(pieces)


def _groups(*groups: Group) -> str:
    """Groups as the format writes them."""
    return "".join([f"{code:3d}\r\n{_written(value)}\r\n" for code, value in groups])


def _written(value: str | int | float) -> str:
    """A value as the format writes it; what is not ASCII by its number."""
    if isinstance(value, float):
        return f"{round(value, 4) + 0.0:.4f}"  # Never "-0.0000".
    letters = str(value)
    if letters.isascii():  # So are nearly all; a plan of sheets has a thousand.
        return letters
    return "".join(letter if letter.isascii() else f"\\U+{ord(letter):04X}" for letter in letters)


def _section(name: str, pieces: Iterable[str]) -> Iterator[str]:
    yield _groups((0, "SECTION"), (2, name))
    yield from pieces
    yield _groups((0, "ENDSEC"))


@cache
def _tables() -> str:
    """The one line type, and the layers."""
    line = _groups((0, "LTYPE"), (2, "CONTINUOUS"), (70, 0), (3, "Solid line"), (72, 65), (73, 0), (40, 0.0))
    layers = "".join(
        _groups((0, "LAYER"), (2, layer), (70, 0), (62, colour), (6, "CONTINUOUS"))
        for colour, layer in enumerate(reversed(DXF_LAYERS), 3)  # Outlines have the colour of ink, 7.
    )
    end = _groups((0, "ENDTAB"))
    return (
        f"{_groups((0, 'TABLE'), (2, 'LTYPE'), (70, 1))}{line}{end}"
        f"{_groups((0, 'TABLE'), (2, 'LAYER'), (70, len(DXF_LAYERS)))}{layers}{end}"
    )


def _entities(drawings: Sequence[Drawing], views: Sequence[Drawing]) -> Iterator[str]:
    top = 0.0
    for number, drawing in enumerate((*views, *drawings)):
        ink = HELP_LAYER if number < len(views) else OUTLINE_LAYER
        for shape in drawing.shapes:
            if write := ENTITIES_OF.get(type(shape)):
                yield write(shape, _Placing(top, LETTER_HEIGHT * drawing.unit, ink))
        top -= drawing.height + BETWEEN_DRAWINGS


class _Placing:
    """Where a drawing lies in the file: its upper edge, height of letters, mm, and layer of edges."""

    def __init__(self, top: float, letter: float, ink: str) -> None:
        self.top = top
        self.letter = letter
        self.ink = ink

    def __call__(self, place: Place) -> Place:
        return place[0], self.top - place[1]

    def layer(self, stroke: str) -> str:
        """The layer of a line."""
        return HELP_LAYER if stroke == "thin" else self.ink


def _point(place: Place) -> str:
    """The groups of an entity's first point."""
    return f" 10\r\n{_written(place[0])}\r\n 20\r\n{_written(place[1])}\r\n{ON_PAPER}"


def _outline(places: Iterable[Place], layer: str, closed: bool = False) -> str:
    on_layer = _groups((8, layer))
    vertex = f"{_groups((0, 'VERTEX'))}{on_layer}"
    start = f"{_groups((0, 'POLYLINE'))}{on_layer}{_groups((66, 1))}{_point((0.0, 0.0))}"
    vertices = "".join([vertex + _point(place) for place in places])
    return f"{start}{_groups((70, int(closed)))}{vertices}{_groups((0, 'SEQEND'))}{on_layer}"


def _words(words: str, place: Place, letter: float, layer: str, anchor: int, angle: float = 0.0) -> str:
    x, y = place
    return (
        f"{_groups((0, 'TEXT'), (8, layer))}{_point(place)}"
        f"{_groups((40, letter), (1, words), (50, angle), (72, anchor), (11, x), (21, y), (31, 0.0))}"
    )


def _line(shape: Line, placed: _Placing) -> str:
    return _outline(map(placed, shape.places), placed.layer(shape.stroke))


def _polygon(shape: Polygon, placed: _Placing) -> str:
    """A tinted one is a sheet that parts are cut from."""
    if shape.stroke == "none":
        return ""
    layer = SHEET_LAYER if shape.fill == "tint" else placed.layer(shape.stroke)
    return _outline(map(placed, shape.places), layer, closed=True)


def _arc(shape: Arc, placed: _Placing) -> str:
    whole = shape.end - shape.start >= 360
    start = _groups((0, "CIRCLE" if whole else "ARC"), (8, placed.layer(shape.stroke)))
    circle = f"{start}{_point(placed(shape.centre))}{_groups((40, shape.radius))}"
    # Ours run as a clock does, those of the file against it.
    return circle if whole else circle + _groups((50, -shape.end % 360), (51, -shape.start % 360))


def _text(shape: Text, placed: _Placing) -> str:
    return _words(shape.words, placed(shape.place), placed.letter, WORD_LAYER, TEXT_ANCHORS[shape.anchor])


def _dimension(shape: Dimension, placed: _Placing) -> str:
    """A line aside of the length, one to it from either end, and the millimetres in its middle."""
    start, end = placed(shape.start), placed(shape.end)
    length = dist(start, end)
    along = (end[0] - start[0]) / length, (end[1] - start[1]) / length

    def aside(place: Place, away: float) -> Place:
        return place[0] + away * along[1], place[1] - away * along[0]

    ends = aside(start, shape.aside), aside(end, shape.aside)
    lines = _outline([start, *ends, end], SIZE_LAYER)
    angle = round(degrees(atan2(along[1], along[0])), 6)  # A last digit turns no words round.
    upright = -90 < angle <= 90
    middle = (ends[0][0] + ends[1][0]) / 2, (ends[0][1] + ends[1][1]) / 2
    over = aside(middle, placed.letter / (-4 if upright else 4))
    angle = angle % 360 if upright else (angle + 180) % 360
    return lines + _words(
        shape.words or f"{length:.1f}", over, placed.letter, SIZE_LAYER, TEXT_ANCHORS["middle"], angle
    )


ENTITIES_OF: dict[type, Callable[[Any, _Placing], str]] = {
    Line: _line,
    Polygon: _polygon,
    Arc: _arc,
    Text: _text,
    Dimension: _dimension,
}
"""A hatch is left out: the outlines round it are drawn."""
