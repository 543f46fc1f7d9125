"""Drawings to scale as a DXF file, for whoever cuts by machine: millimetres, y upwards.

The library ezdxf writes it. It is asked for by the command line alone and imported when it is.
"""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from calculators.declaring.drawings import PICTURE, Arc, Dimension, Drawing, Line, Place, Polygon, Text

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

MILLIMETRES = 4
"""The unit's number in a DXF header."""
GAP = 50.0
"""Millimetres between two drawings, one under the other."""
LETTER = 11.0
"""Height of letters, in units of the picture."""
OUTLINES, HELP_LINES, WORDS, SIZES = "OUTLINES", "HELP_LINES", "WORDS", "SIZES"


def is_to_scale(drawing: Drawing) -> bool:
    """Whether its millimetres are those of the thing; a scheme's are not."""
    return drawing.width != PICTURE


def dxf(drawings: Sequence[Drawing]) -> str:
    """Drawings to scale as the text of one DXF file, one under the other, each on the same layers.

    Outlines, help lines, words and sizes have a layer each, so that a machine can be given the first
    alone. Raises ModuleNotFoundError where ezdxf is not installed.
    """
    from ezdxf.document import Drawing as Document

    document = Document.new("R2010")
    document.header["$INSUNITS"] = MILLIMETRES
    for layer in (OUTLINES, HELP_LINES, WORDS, SIZES):
        document.layers.add(layer)
    space = document.modelspace()
    top = 0.0
    for drawing in drawings:
        for shape in drawing.shapes:
            if write := SHAPES.get(type(shape)):
                write(space, shape, _Placing(top, drawing.unit))
        top -= drawing.height + GAP
    text = _Text()
    document.write(text)  # type: ignore[arg-type]
    return "".join(text)


class _Text(list[str]):
    """A text that the library writes into; no file is opened in this layer."""

    def write(self, words: str) -> int:
        self.append(words)
        return len(words)


class _Placing:
    """Where a drawing lies in the file: its upper edge, and the millimetres of a unit of its picture."""

    def __init__(self, top: float, unit: float) -> None:
        self.top = top
        self.unit = unit

    def __call__(self, place: Place) -> Place:
        return place[0], self.top - place[1]


def _line(space: "Modelspace", shape: Line, placed: _Placing) -> None:
    layer = HELP_LINES if shape.stroke == "thin" else OUTLINES
    space.add_lwpolyline([placed(place) for place in shape.places], dxfattribs={"layer": layer})


def _polygon(space: "Modelspace", shape: Polygon, placed: _Placing) -> None:
    if shape.stroke == "none":
        return
    layer = HELP_LINES if shape.stroke == "thin" else OUTLINES
    space.add_lwpolyline([placed(place) for place in shape.places], close=True, dxfattribs={"layer": layer})


def _arc(space: "Modelspace", shape: Arc, placed: _Placing) -> None:
    layer = {"layer": HELP_LINES if shape.stroke == "thin" else OUTLINES}
    centre = placed(shape.centre)
    if shape.end - shape.start >= 360:
        space.add_circle(centre, shape.radius, dxfattribs=layer)
    else:  # Ours run as a clock does, those of the file against it.
        space.add_arc(centre, shape.radius, -shape.end, -shape.start, dxfattribs=layer)


def _text(space: "Modelspace", shape: Text, placed: _Placing) -> None:
    from ezdxf.enums import TextEntityAlignment

    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }[shape.anchor]
    words = space.add_text(shape.words, height=LETTER * placed.unit, dxfattribs={"layer": WORDS})
    words.set_placement(placed(shape.place), align=align)


def _dimension(space: "Modelspace", shape: Dimension, placed: _Placing) -> None:
    size = space.add_aligned_dim(
        p1=placed(shape.start),
        p2=placed(shape.end),
        distance=-shape.aside,
        text=shape.words or "<>",
        override={"dimtxt": LETTER * placed.unit, "dimasz": LETTER * placed.unit, "dimdec": 1},
        dxfattribs={"layer": SIZES},
    )
    size.render()


SHAPES: dict[type, Callable[["Modelspace", Any, _Placing], None]] = {
    Line: _line,
    Polygon: _polygon,
    Arc: _arc,
    Text: _text,
    Dimension: _dimension,
}
"""A hatch is left out: the outlines round it are drawn."""
