"""Pieces cut from sheets with straight cuts from edge to edge, as a knife or a panel saw cuts them."""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from calculators.physics.checking import require_positive

TOLERANCE = 1e-9
"""Metres by which a piece may seem too large for its place through rounding alone."""


@dataclass(frozen=True)
class Piece:
    """A rectangle to cut: whose it is, and its sides, m; ``turns`` says that it may lie either way round."""

    owner: int
    width: float
    height: float
    turns: bool = True


@dataclass(frozen=True)
class Placed:
    """A piece on a sheet: its lower corner and its sides as they lie, m."""

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

    def holds(self, width: float, height: float) -> bool:
        return width <= self.width + TOLERANCE and height <= self.height + TOLERANCE

    def without(self, width: float, height: float) -> list["_Room"]:
        """What is left beside and above a piece in its corner, after the cut that leaves more in one."""
        right, above = self.width - width, self.height - height
        if right * self.height >= above * self.width:
            rooms = [
                _Room(self.x + width, self.y, right, self.height),
                _Room(self.x, self.y + height, width, above),
            ]
        else:
            rooms = [
                _Room(self.x, self.y + height, self.width, above),
                _Room(self.x + width, self.y, right, height),
            ]
        return [room for room in rooms if room.width > TOLERANCE and room.height > TOLERANCE]


type Rule = Callable[[_Room, float, float], float]


def tiles(
    owner: int, width: float, height: float, sheet_width: float, sheet_height: float
) -> tuple[Piece, ...]:
    """The pieces that cover a rectangle edge to edge, none larger than a sheet; the fewer way round.

    Sides in m, above 0, else ValueError.
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
    """How many pieces `tiles` would give."""
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

    A piece goes where the least is left beside it, or beside a row of its like; what is left of that
    place is cut once across, so every layout can be cut edge to edge. The fewest sheets of three orders
    of laying by both rules.
    Raises ValueError for a piece larger than the sheet.
    """
    require_positive(sheet_width=sheet_width, sheet_height=sheet_height)
    orders = (
        sorted(pieces, key=lambda piece: -piece.width * piece.height),
        sorted(pieces, key=lambda piece: (-max(piece.width, piece.height), -min(piece.width, piece.height))),
        sorted(pieces, key=lambda piece: (-min(piece.width, piece.height), -max(piece.width, piece.height))),
    )
    layouts = (
        _laid(order, rule, sheet_width, sheet_height) for order in orders for rule in (_beside, _beside_row)
    )
    return min(layouts, key=len)


def _beside(room: _Room, width: float, height: float) -> float:
    """The narrower strip that is left beside a piece."""
    return min(room.width - width, room.height - height)


def _beside_row(room: _Room, width: float, height: float) -> float:
    """The narrower strip that is left beside as many pieces of this size as the room takes."""
    return min(room.width % width, room.height % height)


def _laid(
    pieces: Iterable[Piece], rule: Rule, sheet_width: float, sheet_height: float
) -> tuple[tuple[Placed, ...], ...]:
    rooms: list[list[_Room]] = []
    sheets: list[list[Placed]] = []
    for piece in pieces:
        place = _best_place(piece, rooms, rule)
        if place is None:
            rooms.append([_Room(0.0, 0.0, sheet_width, sheet_height)])
            sheets.append([])
            place = _best_place(piece, rooms, rule)
            if place is None:
                raise ValueError("a piece is larger than the sheet")
        sheet, room, width, height = place
        sheets[sheet].append(Placed(piece.owner, room.x, room.y, width, height))
        rooms[sheet].remove(room)
        rooms[sheet] += room.without(width, height)
    return tuple(tuple(sheet) for sheet in sheets)


def _ways_round(piece: Piece) -> tuple[tuple[float, float], ...]:
    """Sides of a piece as it may lie."""
    upright = (piece.width, piece.height)
    return (upright, (piece.height, piece.width)) if piece.turns else (upright,)


def _best_place(piece: Piece, rooms: list[list[_Room]], rule: Rule) -> tuple[int, _Room, float, float] | None:
    """Sheet, room and sides as laid where the rule leaves the least."""
    fits = (
        (rule(room, width, height), number, room, width, height)
        for number, sheet in enumerate(rooms)
        for room in sheet
        for width, height in _ways_round(piece)
        if room.holds(width, height)
    )
    best = min(fits, key=lambda fit: (fit[0], fit[1], fit[2].x, fit[2].y), default=None)
    return None if best is None else best[1:]
