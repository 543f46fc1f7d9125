"""Pieces cut from sheets with straight cuts from edge to edge, as a knife or a panel saw cuts them."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from itertools import product

from calculators.physics.checking import require_positive

TOLERANCE = 1e-9
"""Metres by which a piece may seem too large for its place through rounding alone."""


@dataclass(frozen=True)
class Piece:
    """A rectangle to cut; it may lie either way round if it turns.

    owner: number of whose it is. width, height: m.
    """

    owner: int
    width: float
    height: float
    turns: bool = True


@dataclass(frozen=True)
class Placed:
    """A piece on a sheet as it lies.

    owner: number of whose it is. x, y: m, its lower corner. width, height: m.
    """

    owner: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True)
class _Room:
    """A free rectangle of a sheet."""

    x: float
    y: float
    width: float
    height: float

    def without(self, width: float, height: float, *, across: bool) -> list["_Room"]:
        """What is left beside and above a piece in its corner; the first cut runs across or upwards."""
        right, above = self.width - width, self.height - height
        if across:
            rooms = [
                _Room(self.x, self.y + height, self.width, above),
                _Room(self.x + width, self.y, right, height),
            ]
        else:
            rooms = [
                _Room(self.x + width, self.y, right, self.height),
                _Room(self.x, self.y + height, width, above),
            ]
        return [room for room in rooms if room.width > TOLERANCE and room.height > TOLERANCE]


type Order = Callable[[Piece], tuple[float, ...]]
"""Which piece is laid first: the one for which it is least."""

type Fit = Callable[[_Room, float, float], float]
"""Where a piece is laid: in the room for which it is least."""

type Cut = Callable[[_Room, float, float], bool]
"""Whether the first cut beside a piece runs across the room."""


def tiles(
    owner: int, width: float, height: float, sheet_width: float, sheet_height: float
) -> tuple[Piece, ...]:
    """The pieces that cover a rectangle edge to edge, none larger than a sheet; the fewer way round.

    owner: number of whose they are. width, height, sheet_width, sheet_height: m, above 0.
    Raises ValueError if one is not.
    Source: arithmetic.
    """
    require_positive(width=width, height=height, sheet_width=sheet_width, sheet_height=sheet_height)
    ways = ((sheet_width, sheet_height), (sheet_height, sheet_width))
    across, up = min(ways, key=lambda way: _steps(width, way[0]) * _steps(height, way[1]))
    return tuple(
        Piece(owner, min(across, width - column * across), min(up, height - row * up))
        for row in range(_steps(height, up))
        for column in range(_steps(width, across))
    )


def tile_count(width: float, height: float, sheet_width: float, sheet_height: float) -> int:
    """Number of pieces that `tiles` would give. Arguments and errors as in `tiles`."""
    require_positive(width=width, height=height, sheet_width=sheet_width, sheet_height=sheet_height)
    return min(
        _steps(width, sheet_width) * _steps(height, sheet_height),
        _steps(width, sheet_height) * _steps(height, sheet_width),
    )


def _steps(whole: float, part: float) -> int:
    return max(1, math.ceil((whole - TOLERANCE) / part))


def nested(
    pieces: Sequence[Piece], sheet_width: float, sheet_height: float
) -> tuple[tuple[Placed, ...], ...]:
    """Pieces laid on as few sheets as a simple search finds, by sheet.

    sheet_width, sheet_height: m, above 0. A piece goes into the corner of a place that is free; what is left
    of that place is cut once across, so every layout can be cut edge to edge. All orders of laying, all
    choices of a place and of its first cut are tried with each other, until the sheets are as few as the
    area of the pieces allows.
    Raises ValueError for a piece larger than the sheet.
    Source: search of our own.
    """
    require_positive(sheet_width=sheet_width, sheet_height=sheet_height)
    area = math.fsum(piece.width * piece.height for piece in pieces)
    fewest = math.ceil(area / (sheet_width * sheet_height) - TOLERANCE)
    best: tuple[tuple[Placed, ...], ...] | None = None
    for cut, order, fit in product(LAYING_CUTS, LAYING_ORDERS, LAYING_PLACES):
        layout = _laid(sorted(pieces, key=order), fit, cut, sheet_width, sheet_height)
        if best is None or len(layout) < len(best):
            best = layout
        if len(best) <= fewest:
            break
    assert best is not None
    return best


LAYING_ORDERS: tuple[Order, ...] = (
    lambda piece: (-max(piece.width, piece.height), -min(piece.width, piece.height)),
    lambda piece: (-piece.width - piece.height,),
)
"""By the longer side, and by both together; the largest first."""

LAYING_PLACES: tuple[Fit, ...] = (
    lambda room, width, height: room.width * room.height - width * height,
    lambda room, width, height: min(room.width - width, room.height - height),
    lambda room, width, height: min(room.width % width, room.height % height),
)
"""By the area left, by the narrower strip left beside the piece, or beside a row of its like."""

LAYING_CUTS: tuple[Cut, ...] = (
    lambda room, width, height: room.width - width < room.height - height,
    lambda room, width, height: (room.width - width) * room.height < (room.height - height) * room.width,
)
"""Along the side with the longer strip beside it, and so that the larger rest stays whole."""


def _laid(
    pieces: Iterable[Piece], fit: Fit, cut: Cut, sheet_width: float, sheet_height: float
) -> tuple[tuple[Placed, ...], ...]:
    rooms: list[list[_Room]] = []
    sheets: list[list[Placed]] = []
    for piece in pieces:
        place = _best_place(piece, rooms, fit)
        if place is None:
            rooms.append([_Room(0.0, 0.0, sheet_width, sheet_height)])
            sheets.append([])
            place = _best_place(piece, rooms, fit)
            if place is None:
                raise ValueError("a piece is larger than the sheet")
        sheet, room, width, height = place
        sheets[sheet].append(Placed(piece.owner, room.x, room.y, width, height))
        rooms[sheet].remove(room)
        rooms[sheet] += room.without(width, height, across=cut(room, width, height))
    return tuple(tuple(sheet) for sheet in sheets)


def _ways_round(piece: Piece) -> tuple[tuple[float, float], ...]:
    """Sides of a piece as it may lie."""
    upright = (piece.width, piece.height)
    return (upright, (piece.height, piece.width)) if piece.turns else (upright,)


def _best_place(piece: Piece, rooms: list[list[_Room]], fit: Fit) -> tuple[int, _Room, float, float] | None:
    """Sheet, room and sides as laid where the fit leaves the least."""
    best, least = None, (math.inf, 0, 0.0, 0.0)
    for width, height in _ways_round(piece):
        least_width, least_height = width - TOLERANCE, height - TOLERANCE
        for number, sheet in enumerate(rooms):
            for room in sheet:
                if room.width >= least_width and room.height >= least_height:
                    rank = (fit(room, width, height), number, room.x, room.y)
                    if rank < least:
                        best, least = (number, room, width, height), rank
    return best
