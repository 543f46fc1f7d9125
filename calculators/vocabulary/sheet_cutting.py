"""Which sheet gives which pieces: the cutting plan as a list and as a drawing."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from calculators.declaring import Drawing
from calculators.declaring.drawings import PICTURE, Polygon, Shape, Text, rectangle
from calculators.physics.sheets import Piece, Placed, nested, tile_count, tiles
from calculators.vocabulary import symbols

MOST_PIECES = 120
"""More than this for one kind of goods is a slip of the keyboard, or a sheet in the wrong unit."""
DRAWN = 9
SHEET_MARGIN, SHEET_HEADING, SHEET_COLUMNS = 6.0, 37.0, 3
TALLEST = 190.0
ROOM_FOR_NUMBER = 18.0


class TooManyPiecesError(ValueError):
    """A patch falls into more pieces than anybody cuts."""


@dataclass(frozen=True)
class CutSheets:
    """Sheets of one kind of goods: whole ones, and those cut into pieces."""

    title: str
    width: float
    height: float
    whole: Counter[int]
    cut: tuple[tuple[Placed, ...], ...]

    @property
    def count(self) -> int:
        """How many sheets are used."""
        return self.whole.total() + len(self.cut)


def cut_sheets(
    title: str, width: float, height: float, patches: Sequence[tuple[int, float, float]]
) -> CutSheets:
    """Cut patches, each given by its number and sides in m, from sheets of a width and height.

    A patch larger than a sheet is laid from several, edge to edge. Raises TooManyPiecesError.
    """
    if sum(tile_count(across, up, width, height) for _, across, up in patches) > MOST_PIECES:
        raise TooManyPiecesError
    pieces = [piece for patch in patches for piece in tiles(*patch, width, height)]
    short, long = sorted((width, height))

    def whole(piece: Piece) -> bool:
        return (
            min(piece.width, piece.height) > 0.999 * short and max(piece.width, piece.height) > 0.999 * long
        )

    return CutSheets(
        title,
        width,
        height,
        Counter(piece.owner for piece in pieces if whole(piece)),
        nested([piece for piece in pieces if not whole(piece)], width, height),
    )


def said(placed: Placed, names: Sequence[str]) -> str:
    """A piece in words: whose it is, and its sides in cm."""
    return f"{names[placed.owner]} {100 * placed.width:.0f} × {100 * placed.height:.0f} cm"


def cutting_list(plan: CutSheets, names: Sequence[str]) -> list[tuple[str, str]]:
    """Each sheet and what it is cut into, in words: the whole ones first."""
    lines = []
    if plan.whole:
        whole = "; ".join(f"{names[owner]}, {count}" for owner, count in plan.whole.items())
        count = plan.whole.total()
        which = "1" if count == 1 else f"1 to {count}"
        lines.append((f"{plan.title} {which}", f"whole: {whole}"))
    for number, sheet in enumerate(plan.cut, plan.whole.total() + 1):
        lines.append((f"{plan.title} {number}", "; ".join(said(placed, names) for placed in sheet)))
    return lines


def drawing(plans: Sequence[CutSheets], names: Sequence[str], most: int = DRAWN) -> Drawing:
    """The cut sheets to one scale, each piece with the number of its panel; whole sheets are not drawn.

    A picture shows ``most`` of them; a machine wants all.
    """
    sheets = [
        (number, plan, sheet)
        for plan in plans
        for number, sheet in enumerate(plan.cut, plan.whole.total() + 1)
    ]
    shown = sheets[:most]
    columns = min(SHEET_COLUMNS, max(1, len(shown)))
    room = (PICTURE - SHEET_MARGIN * (columns + 1)) / columns
    # The largest sheet fills its column, or its height: millimetres for each unit of the picture.
    unit = max((1000 * max(plan.width / room, plan.height / TALLEST) for _, plan, _ in shown), default=1.0)
    shapes: list[Shape] = []
    top = SHEET_MARGIN * unit
    for row in range(ceil(len(shown) / columns)):
        deepest = 0.0
        for column, (number, plan, sheet) in enumerate(shown[row * columns : (row + 1) * columns]):
            left, under = (SHEET_MARGIN + column * (room + SHEET_MARGIN)) * unit, top + SHEET_HEADING * unit
            shapes.append(Text((left, top + 14 * unit), symbols.fitted(plan.title, room)))
            shapes.append(Text((left, top + 31 * unit), f"Sheet {number}", strong=True))
            shapes.append(Polygon(rectangle(left, under, 1000 * plan.width, 1000 * plan.height), fill="tint"))
            for placed in sheet:
                shapes += _piece(placed, left, under, unit)
            deepest = max(deepest, 1000 * plan.height)
        top += (SHEET_HEADING + SHEET_MARGIN) * unit + deepest
    words = [
        f"{plan.title} {number}: {'; '.join(said(placed, names) for placed in sheet)}"
        for number, plan, sheet in shown
    ]
    more = f" The first {most} of {len(sheets)}." if len(sheets) > most else ""
    spoken = f"{'. '.join(words)}.{more}" if words else "No sheet is cut."
    return Drawing(
        title="Cutting plan: numbers are those of the list." + more,
        spoken=spoken,
        height=max(top, 2 * SHEET_MARGIN),
        shapes=tuple(shapes),
        width=PICTURE * unit,
    )


def _piece(placed: Placed, left: float, top: float, unit: float) -> Iterator[Shape]:
    x, y = left + 1000 * placed.x, top + 1000 * placed.y
    width, height = 1000 * placed.width, 1000 * placed.height
    yield Polygon(rectangle(x, y, width, height), fill="paper")
    if min(width, height) >= ROOM_FOR_NUMBER * unit:
        middle = (x + width / 2, y + height / 2 + symbols.TEXT_DROP * unit)
        yield Text(middle, str(placed.owner + 1), "middle", strong=True)
