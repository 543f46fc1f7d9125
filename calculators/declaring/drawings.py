"""What a drawing shows: shapes in millimetres. How they are drawn is for ``presenting``.

The origin is the upper left corner, ``x`` runs to the right, ``y`` down. A picture is always
``PICTURE`` units across, about the pixels of a phone, so the width of a drawing makes its scale; a
scheme, which has none, is ``PICTURE`` millimetres wide. Letters and strokes keep their size at any
scale.
"""

from dataclasses import dataclass
from math import dist, floor, log10
from typing import Literal

PICTURE = 380.0

type Place = tuple[float, float]

type Stroke = Literal["ink", "feed", "ground", "signal", "thin", "none"]
"""What a line is: an edge, a conductor of that kind, a help line, or nothing but a filling."""

type Fill = Literal["none", "paper", "tint", "ink", "feed"]


@dataclass(frozen=True)
class Line:
    """A line through two places or more; ``smooth`` bends through them, as a cable does."""

    places: tuple[Place, ...]
    stroke: Stroke = "ink"
    smooth: bool = False


@dataclass(frozen=True)
class Arc:
    """Part of a circle, in degrees as a clock runs; 0 points right, 90 down. From 0 to 360 it is whole."""

    centre: Place
    radius: float
    start: float = 0.0
    end: float = 360.0
    stroke: Stroke = "ink"
    fill: Fill = "none"


@dataclass(frozen=True)
class Polygon:
    """A closed outline with what fills it."""

    places: tuple[Place, ...]
    stroke: Stroke = "ink"
    fill: Fill = "none"


@dataclass(frozen=True)
class Hatch:
    """Material that is cut through: slanted lines inside outlines; an outline in another is a hole.

    ``falling`` turns the lines, so that two parts which touch are told apart.
    """

    outlines: tuple[tuple[Place, ...], ...]
    falling: bool = False


@dataclass(frozen=True)
class Dimension:
    """A length between two places, its line ``aside`` of them: to the right of the way from start to end.

    ``words`` stand in for the millimetres between the places where the drawing is not to scale.
    """

    start: Place
    end: Place
    aside: float = 0.0
    words: str = ""

    def shown(self) -> str:
        """What stands at the line: the words, or the whole millimetres between the places."""
        return self.words or f"{dist(self.start, self.end):.0f} mm"


@dataclass(frozen=True)
class Text:
    """A line of text on a base line; ``strong`` is a name or the figure that counts."""

    place: Place
    words: str
    anchor: Literal["start", "middle", "end"] = "start"
    strong: bool = False


@dataclass(frozen=True)
class Dot:
    """A joint: conductors that meet without one only cross."""

    place: Place


@dataclass(frozen=True)
class Pose:
    """How something that moves stands at a share of its time, 0 to 1: shifted, grown, seen or not."""

    at: float
    shift: Place = (0.0, 0.0)
    size: float = 1.0
    seen: bool = True


@dataclass(frozen=True)
class Moving:
    """Shapes that move beside a sound: through poses, from 0 to 1 in so many seconds, again and again.

    They grow about the centre. A still picture shows them as they are drawn, and must say as much.
    """

    shapes: tuple["Line | Arc | Polygon", ...]
    poses: tuple[Pose, ...]
    seconds: float
    centre: Place = (0.0, 0.0)


type Shape = Line | Arc | Polygon | Hatch | Dimension | Text | Dot | Moving


@dataclass(frozen=True)
class Drawing:
    """A whole picture, ``width`` by ``height`` millimetres; later shapes lie over earlier ones.

    ``spoken`` says all of it in words, for those who do not see it.
    """

    title: str
    spoken: str
    height: float
    shapes: tuple[Shape, ...]
    width: float = PICTURE

    @property
    def unit(self) -> float:
        """Millimetres for each unit of the picture."""
        return self.width / PICTURE


def rectangle(left: float, top: float, width: float, height: float) -> tuple[Place, ...]:
    """The corners of a rectangle."""
    right, bottom = left + width, top + height
    return (left, top), (right, top), (right, bottom), (left, bottom)


def scale_bar(left: float, y: float, width: float) -> Dimension:
    """A bar of 1, 2 or 5 times a power of ten, for a drawing that is ``width`` millimetres across.

    It is the longest of those that takes no more than a third of the picture.
    """
    most = width / 3
    power = 10.0 ** floor(log10(most))
    length = max(step * power for step in (1, 2, 5) if step * power <= most)
    return Dimension((left, y), (left + length, y))
