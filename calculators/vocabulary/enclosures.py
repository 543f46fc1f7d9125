"""Boxes to build: their boards, the section they are drawn on, the parts to cut and the drawing."""

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Annotated

from calculators.declaring import Drawing, InputError, Number
from calculators.declaring.drawings import (
    PICTURE,
    Arc,
    Dimension,
    Hatch,
    Line,
    Place,
    Polygon,
    Shape,
    Text,
    rectangle,
    scale_bar,
)
from calculators.declaring.quantities import AREA, COUNT, LENGTH
from calculators.physics import solids
from calculators.physics.sheets import Piece, Placed, nested
from calculators.vocabulary.paper_sheets import MOST_SHEETS, TooManySheetsError, full_size
from calculators.vocabulary.sheet_cutting import CutSheets

BOX_SIDES = ("Bottom", "Front", "Top", "Back")
"""Names of the four sides of a box and a wedge, in the order of their corners."""
MOST_PARTS = 60
"""Boards that anybody cuts for one box. Common practice, no source."""


@dataclass(frozen=True)
class Board:
    """A material for walls: what the reader sees, and its usual density, kg/m³."""

    label: str
    density: float
    wood: bool = True


BOARDS = {
    "birch-ply": Board("birch ply", 680.0),
    "mdf": Board("fibreboard (MDF)", 750.0),
    "chipboard": Board("chipboard", 650.0),
    "hdpe": Board("plastic sheet (HDPE)", 950.0, wood=False),
    "pvc-foam": Board("PVC foam board", 550.0, wood=False),
    "aluminium": Board("aluminium", 2700.0, wood=False),
}


@dataclass(frozen=True)
class DrawnCorner:
    """One corner of a drawn section."""

    x: Annotated[float, Number("To the right", LENGTH, -2, 2, show="mm", usual=(0, 1.2))]
    y: Annotated[float, Number("Up", LENGTH, -2, 2, show="mm", usual=(0, 1.2))]


@dataclass(frozen=True)
class Brace:
    """A board inside the box, as thick as its walls."""

    length: Annotated[float, Number("Length", LENGTH, 0.01, 2, show="mm", usual=(0.05, 1))]
    width: Annotated[float, Number("Width", LENGTH, 0.01, 2, show="mm", usual=(0.02, 0.6))]
    cut_out: Annotated[
        float,
        Number("Cut out of it", AREA, 0, 4, show="cm²", usual=(0, 0.1), help="The window in it."),
    ] = 0.0
    pieces: Annotated[int, Number("Pieces", COUNT, 1, 8, whole=True)] = 1


@dataclass(frozen=True)
class Part:
    """A rectangle to saw: sides in m, how many, how its edges are cut, and the most they tilt, degrees."""

    name: str
    length: float
    width: float
    count: int = 1
    edges: str = "square"
    tilt: float = 0.0


@dataclass(frozen=True)
class Room:
    """What the inside of a box can hold at most, m, whichever way it stands.

    ``longest``: a straight line. ``broadest``: the shorter side of a board. ``narrow``: a ball.
    """

    longest: float
    broadest: float
    narrow: float


def _square_room(*sides: float) -> Room:
    """Room between three pairs of walls: a board is no broader than the least face's diagonal."""
    narrow, middle, _ = sorted(sides)
    return Room(math.hypot(*sides), math.hypot(narrow, middle), narrow)


def goes_inside(room: Room, braces: Sequence[Brace], port_diameter: float, port_length: float) -> None:
    """Raise InputError for a brace, its window, or a port (m, outside) that is larger than its place."""
    for number, brace in enumerate(braces):
        if brace.cut_out >= brace.length * brace.width:
            raise InputError(f"braces[{number}].cut_out", "The window is larger than the brace.")
        if max(brace.length, brace.width) > room.longest:
            raise InputError(f"braces[{number}].length", _too_large("brace", "long", room.longest))
        if min(brace.length, brace.width) > room.broadest:
            raise InputError(f"braces[{number}].width", _too_large("brace", "wide", room.broadest))
    if not port_diameter or not port_length:
        return
    if port_length > room.longest:
        message = f"{_too_large('straight port', 'long', room.longest)} Type a bent one with the terminal."
        raise InputError("port_length", message)
    if port_diameter > room.broadest or min(port_diameter, port_length) > room.narrow:
        raise InputError("port_diameter", _too_large("port", "wide", room.narrow))


def _too_large(thing: str, way: str, most: float) -> str:
    return f"No {thing} as {way} as that goes in: {1000 * most:.0f} mm at most."


@dataclass(frozen=True)
class Solid:
    """A box as it is built: volumes in m³, parts, and the outlines of its drawing in m.

    ``over``: m by which the rings of a round box, as sawn, stand over its height.
    """

    gross: float
    outside: float
    parts: tuple[Part, ...]
    outer: tuple[solids.Corner, ...]
    inner: tuple[solids.Corner, ...]
    across: float
    room: Room
    round: bool = False
    over: float = 0.0


def braces_volume(braces: Sequence[Brace], thickness: float) -> float:
    """Cubic metres of all braces, their windows taken off; ``thickness`` in m."""
    return thickness * math.fsum(
        brace.pieces * (brace.length * brace.width - brace.cut_out) for brace in braces
    )


def taken_inside(solid: Solid, inside: Sequence[float]) -> float:
    """Cubic metres that all inside takes; raises InputError where nothing is left."""
    taken = math.fsum(inside)
    if taken >= solid.gross:
        words = f"What is inside takes {1000 * taken:.1f} L; the empty box holds {1000 * solid.gross:.1f} L."
        raise InputError("driver_displacement", words)
    return taken


def all_parts(solid: Solid, braces: Sequence[Brace]) -> tuple[Part, ...]:
    """Boards and braces; raises InputError for more than `MOST_PARTS`."""
    own = (
        Part(f"Brace {number}", brace.length, brace.width, int(brace.pieces))
        for number, brace in enumerate(braces, 1)
    )
    parts = (*solid.parts, *own)
    if sum(part.count for part in parts) > MOST_PARTS:
        raise InputError("height", f"More than {MOST_PARTS} parts: take thicker board for the rings.")
    return parts


def prism(
    corners: Sequence[solids.Corner],
    across: float,
    thickness: float,
    *,
    is_inside: bool,
    mitred: bool,
    ends_over: bool,
    names: Sequence[str],
    field: str,
) -> Solid:
    """A box on a section, ``across`` long between or over its ends; raises InputError on ``field``."""
    try:
        given = solids.inset(corners, 0.0)
        outer = solids.inset(given, -thickness) if is_inside else given
        inner = solids.inset(outer, thickness)
        boards = solids.walls(outer, thickness, mitred)
    except ValueError as error:
        raise InputError(field, f"This box does not close: {error}.") from None
    outside_across = across + 2 * thickness if is_inside else across
    inside_across = outside_across - 2 * thickness
    if inside_across <= 0:
        raise InputError("width", "The two ends leave no room between them.")
    run = inside_across if ends_over else outside_across
    cap = outer if ends_over else inner
    reach = [max(axis) - min(axis) for axis in zip(*cap, strict=True)]
    square = len(cap) == 4 and math.isclose(abs(solids.signed_area(cap)), reach[0] * reach[1])
    parts = [
        Part(name, run, wall.length, edges=_edges(wall), tilt=max(wall.bevels))
        for name, wall in zip(names, boards, strict=True)
    ]
    parts.append(Part("End", reach[0], reach[1], 2, "square" if square else "to the section"))
    return Solid(
        gross=abs(solids.signed_area(inner)) * inside_across,
        outside=abs(solids.signed_area(outer)) * outside_across,
        parts=_merged(parts),
        outer=outer,
        inner=inner,
        across=outside_across,
        room=_square_room(*(max(axis) - min(axis) for axis in zip(*inner, strict=True)), inside_across),
    )


def _edges(wall: solids.Wall) -> str:
    """How the two long edges of a wall are cut."""
    bevels = wall.bevels
    if not any(bevels):
        return "square"
    face = "outside" if wall.outer >= wall.inner else "inside"
    tilts = [f"{bevel:.1f}°" if bevel else "square" for bevel in bevels]
    return f"both {tilts[0]}, {face} longer" if tilts[0] == tilts[1] else f"{tilts[0]} and {tilts[1]}"


def _merged(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Parts of one size and cut as one line, named together."""
    found: list[Part] = []
    for part in parts:
        for number, same in enumerate(found):
            alike = math.isclose(part.length, same.length) and math.isclose(part.width, same.width)
            if alike and part.edges == same.edges:
                name = f"{same.name}, {part.name.lower()}"
                found[number] = replace(same, name=name, count=same.count + part.count)
                break
        else:
            found.append(part)
    return tuple(found)


def well(top: float, bottom: float, height: float, thickness: float, *, is_inside: bool) -> Solid:
    """A round box: lid, floor and rings of board stacked to its height, trimmed to its slope."""
    # The wall is as wide at every height, so inside and outside taper alike.
    inner_height = height if is_inside else height - 2 * thickness
    if inner_height <= 0:
        raise InputError("height", "Floor and lid leave no room between them.")
    taper = (top - bottom) / height * thickness
    outer_height = inner_height + 2 * thickness
    if is_inside:
        inner_top, inner_bottom = top, bottom
        outer_top, outer_bottom = top + 2 * thickness + taper, bottom + 2 * thickness - taper
    else:
        outer_top, outer_bottom = top, bottom
        inner_top, inner_bottom = top - 2 * thickness - taper, bottom - 2 * thickness + taper
    if min(inner_top, inner_bottom, outer_top, outer_bottom) <= 0:
        raise InputError("diameter", "Walls of this thickness leave no room in a box as narrow as this.")
    widest = max(outer_top, outer_bottom)
    count = math.ceil(inner_height / thickness - 1e-9)

    def section(upper: float, lower: float, low: float, high: float) -> tuple[solids.Corner, ...]:
        middle = widest / 2
        return (
            (middle - lower / 2, low),
            (middle + lower / 2, low),
            (middle + upper / 2, high),
            (middle - upper / 2, high),
        )

    def blank(low: float) -> float:
        """The largest diameter of a board that lies from ``low`` to its thickness above, before planing."""
        at = (low, min(low + thickness, outer_height))
        return max(outer_bottom + (outer_top - outer_bottom) * place / outer_height for place in at)

    # Cut square and planed to the slope afterwards, a ring loses what the slope gains in its thickness.
    ring = f"round, {1000 * (thickness + abs(taper) / 2):.1f} mm wide"
    rings = [
        Part(f"Ring {number} from the floor", blank(number * thickness), blank(number * thickness), 1, ring)
        for number in range(1, count + 1)
    ]
    if not taper:
        rings = [Part("Ring", widest, widest, count, ring)]
    lid, floor = blank(outer_height - thickness), blank(0.0)
    bore = max(inner_top, inner_bottom)
    return Solid(
        gross=solids.frustum_volume(inner_top, inner_bottom, inner_height),
        outside=solids.frustum_volume(outer_top, outer_bottom, outer_height),
        parts=_merged(
            (
                Part("Lid", lid, lid, edges="round"),
                Part("Floor", floor, floor, edges="round"),
                *rings,
            )
        ),
        outer=section(outer_top, outer_bottom, 0.0, outer_height),
        inner=section(inner_top, inner_bottom, thickness, thickness + inner_height),
        across=widest,
        room=Room(math.hypot(bore, inner_height), bore, min(bore, inner_height)),
        round=True,
        over=max(0.0, count * thickness - inner_height),
    )


def sheets_of(
    parts: Sequence[Part], sheet_length: float, sheet_width: float, trim: float, kerf: float, grain: bool
) -> CutSheets:
    """The parts on sheets, each cut from edge to edge with a saw of that kerf, the edges trimmed off.

    With ``grain`` the longer side of every part lies along the sheet. Raises InputError for a part that
    no sheet holds.
    """
    usable = sheet_length - 2 * trim, sheet_width - 2 * trim
    for part in parts:
        sides = sorted((part.length, part.width))
        held = (sides[1] <= usable[0] and sides[0] <= usable[1]) or (
            not grain and sides[1] <= usable[1] and sides[0] <= usable[0]
        )
        if not held:
            size = f"{1000 * sides[1]:.0f} × {1000 * sides[0]:.0f} mm"
            raise InputError("sheet_length", f"No sheet of this size holds the part “{part.name}”, {size}.")
    pieces = [
        Piece(
            number,
            round(max(part.length, part.width) + kerf, 9),  # A last digit lays nothing elsewhere.
            round(min(part.length, part.width) + kerf, 9),
            turns=not grain,
        )
        for number, part in enumerate(parts)
        for _ in range(part.count)
    ]
    # A cut takes its kerf once between two parts and not at the far edge of the sheet.
    laid = nested(pieces, usable[0] + kerf, usable[1] + kerf)
    return CutSheets(
        "Board",
        sheet_length,
        sheet_width,
        Counter(),
        tuple(
            tuple(Placed(p.owner, p.x + trim, p.y + trim, p.width - kerf, p.height - kerf) for p in sheet)
            for sheet in laid
        ),
    )


def box_drawing(solid: Solid, parts: Sequence[Part]) -> Drawing:
    """The section of a box and its view from the front, to one scale, with outside sizes in mm."""
    outer, inner = ([(1000 * x, 1000 * y) for x, y in outline] for outline in (solid.outer, solid.inner))
    left, right = min(x for x, _ in outer), max(x for x, _ in outer)
    low, high = min(y for _, y in outer), max(y for _, y in outer)
    across, wide, tall = 1000 * solid.across, right - left, high - low
    # The wider view takes 260 of the picture's units; the rest is for the dimensions.
    unit = max(wide, across) / 260
    edge, gap = 30 * unit, 26 * unit

    def placed(corners: Sequence[Place]) -> tuple[Place, ...]:
        """On paper: y down, from the upper left."""
        return tuple((edge + x - left, edge + high - y) for x, y in corners)

    shapes: list[Shape] = [
        Text((edge, edge - 10 * unit), "Section", strong=True),
        Polygon(placed(outer), "none", "paper"),
        Hatch((placed(outer), placed(inner))),
        Polygon(placed(outer)),
        Polygon(placed(inner)),
        Dimension((edge, edge + tall), (edge + wide, edge + tall), aside=gap),
        Dimension((edge + wide, edge + tall), (edge + wide, edge), aside=gap),
    ]
    top = edge + tall + 3 * gap
    if solid.round:
        middle = (edge + wide / 2, top + wide / 2)
        shapes += [
            Text((edge, top - 10 * unit), "From above", strong=True),
            Arc(middle, wide / 2),
            Line(((middle[0] - 8 * unit, middle[1]), (middle[0] + 8 * unit, middle[1])), "thin"),
            Line(((middle[0], middle[1] - 8 * unit), (middle[0], middle[1] + 8 * unit)), "thin"),
        ]
        bottom = top + wide
    else:
        thickness = (across - 1000 * solid.gross / abs(solids.signed_area(solid.inner))) / 2
        shapes += [
            Text((edge, top - 10 * unit), "Front", strong=True),
            Polygon(rectangle(edge, top, across, tall), fill="paper"),
            *(
                Line(((edge + x, top), (edge + x, top + tall)), "thin")
                for x in (thickness, across - thickness)
            ),
            Dimension((edge, top + tall), (edge + across, top + tall), aside=gap),
        ]
        bottom = top + tall + gap
    shapes.append(scale_bar(edge, bottom + 2 * gap, PICTURE * unit))
    return Drawing(
        title="The box to scale, outside sizes.",
        spoken=_spoken(solid, parts),
        height=bottom + 3 * gap,
        width=PICTURE * unit,
        shapes=tuple(shapes),
    )


def section_on_paper(solid: Solid) -> tuple[Drawing, ...]:
    """The section at its true size on sheets to join; raises InputError where it takes too many."""
    outlines = [[(1000 * x, 1000 * y) for x, y in outline] for outline in (solid.outer, solid.inner)]
    try:
        return full_size(outlines, "Section at 1:1")
    except TooManySheetsError as error:
        message = (
            f"The section fills {error} sheets, {MOST_SHEETS} are the most: draw it on the board instead."
        )
        raise InputError("on_paper", message) from None


def _spoken(solid: Solid, parts: Sequence[Part]) -> str:
    """The drawing in words: its outside sizes, and every part."""
    wide, tall = (max(axis) - min(axis) for axis in zip(*solid.outer, strict=True))
    across = "" if solid.round else f", {1000 * solid.across:.0f} mm across"
    listed = "; ".join(
        f"{part.name}: {part.count} of {1000 * part.length:.0f} by {1000 * part.width:.0f} mm"
        for part in parts
    )
    return (
        f"The box in section is {1000 * wide:.0f} by {1000 * tall:.0f} mm outside{across}, "
        f"{1000 * solid.gross:.2f} L inside. Its parts: {listed}."
    )
