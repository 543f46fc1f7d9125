"""What a diagram shows: boxes, wires and labels. How it is drawn is for ``presenting``.

Places are in units of which the whole picture is ``width`` wide; at 360 they are about the pixels
of a phone. The origin is the upper left corner, ``x`` runs to the right, ``y`` down.
"""

from dataclasses import dataclass
from typing import Literal

type Place = tuple[float, float]

PHONE_WIDTH = 360.0


@dataclass(frozen=True)
class Box:
    """A thing with its name: up to three ``lines`` of text in the middle of it.

    ``fuse`` has its wire drawn through it, ``coil`` is round, ``ground`` stands on three strokes,
    ``speaker`` is a frame round the coils of one speaker.
    """

    x: float
    y: float
    width: float
    height: float
    lines: tuple[str, ...]
    kind: Literal["plain", "battery", "fuse", "coil", "ground", "speaker"] = "plain"


@dataclass(frozen=True)
class Wire:
    """A conductor through two places or more; ``plus`` and ``minus`` differ by dash and colour."""

    places: tuple[Place, ...]
    kind: Literal["plus", "minus", "signal"] = "plus"


@dataclass(frozen=True)
class Label:
    """A line of text that starts, centres or ends at a place; ``strong`` is the bold one."""

    x: float
    y: float
    words: str
    anchor: Literal["start", "middle", "end"] = "start"
    strong: bool = False


@dataclass(frozen=True)
class Diagram:
    """A whole picture; ``spoken`` says all of it in words, for those who do not see it."""

    title: str
    width: float
    height: float
    spoken: str
    boxes: tuple[Box, ...]
    wires: tuple[Wire, ...]
    labels: tuple[Label, ...] = ()
