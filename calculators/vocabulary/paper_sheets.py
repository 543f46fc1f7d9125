"""An outline at its true size on sheets of paper to join, each with a square to check the printer by."""

from collections.abc import Iterator, Sequence
from math import ceil

from calculators.declaring import Drawing
from calculators.declaring.drawings import Line, Place, Polygon, Shape, Text, rectangle

SHEET_WIDTH, SHEET_HEIGHT = 165.0, 250.0
"""A sheet in mm: inside the margins of A4 and US letter, and inside the column of the page."""
FRAME_LEFT, FRAME_TOP, FRAME_WIDTH, FRAME_HEIGHT = 4.0, 23.0, 157.0, 224.0
MOST_SHEETS = 24
CHECK_SIDE, CHECK_AWAY, CHECK_CORNER = 100.0, 10.0, 8.0
JOIN_MARK = 3.0


class TooManySheetsError(ValueError):
    """More paper than anybody joins; its text says how much."""


def full_size(outlines: Sequence[Sequence[Place]], name: str) -> tuple[Drawing, ...]:
    """Closed outlines, in mm with y upwards, cut up for sheets of paper, row by row from the upper left.

    They are turned by 90° where that takes fewer sheets. Raises TooManySheetsError.
    """
    upright = [[(x, -y) for x, y in outline] for outline in outlines]
    turned = [[(y, x) for x, y in outline] for outline in outlines]
    laid = min((upright, turned), key=_count)
    columns, rows = _grid(laid)
    if columns * rows > MOST_SHEETS:
        raise TooManySheetsError(str(columns * rows))
    left, top, _, _ = _reach(laid)
    sides = [(outline[number - 1], outline[number]) for outline in laid for number in range(len(outline))]
    return tuple(
        _sheet(
            name, row, column, rows, columns,
            [(_moved(start, left, top), _moved(end, left, top)) for start, end in sides],
        )
        for row in range(rows)
        for column in range(columns)
    )  # fmt: skip


def _reach(outlines: Sequence[Sequence[Place]]) -> tuple[float, float, float, float]:
    """Left, top, right and bottom."""
    x, y = zip(*(place for outline in outlines for place in outline), strict=True)
    return min(x), min(y), max(x), max(y)


def _grid(outlines: Sequence[Sequence[Place]]) -> tuple[int, int]:
    """Columns and rows of sheets."""
    left, top, right, bottom = _reach(outlines)
    return max(1, ceil((right - left) / FRAME_WIDTH)), max(1, ceil((bottom - top) / FRAME_HEIGHT))


def _count(outlines: Sequence[Sequence[Place]]) -> int:
    columns, rows = _grid(outlines)
    return columns * rows


def _moved(place: Place, left: float, top: float) -> Place:
    return place[0] - left, place[1] - top


def _sheet(
    name: str, row: int, column: int, rows: int, columns: int, sides: Sequence[tuple[Place, Place]]
) -> Drawing:
    """One sheet: what of the sides lies in its frame, moved there."""
    x, y = column * FRAME_WIDTH, row * FRAME_HEIGHT
    drawn = (clipped(side, (x, y, x + FRAME_WIDTH, y + FRAME_HEIGHT)) for side in sides)
    number, count = row * columns + column + 1, rows * columns
    title = f"{name}, sheet {number} of {count}: row {row + 1}, column {column + 1}"
    shapes: list[Shape] = [
        Text((FRAME_LEFT, 6.0), title, strong=True),
        Text((FRAME_LEFT, 12.5), "Print at 100 %, not “fit to page”. The square's sides are"),
        Text((FRAME_LEFT, 19.0), "100 mm within 0.5 mm, or nothing is cut by this sheet."),
        Polygon(rectangle(FRAME_LEFT, FRAME_TOP, FRAME_WIDTH, FRAME_HEIGHT), "thin"),
        *_check_square(),
        *_join_marks(row, column, rows, columns),
        *(
            Line((_moved(start, x - FRAME_LEFT, y - FRAME_TOP), _moved(end, x - FRAME_LEFT, y - FRAME_TOP)))
            for start, end in filter(None, drawn)
        ),
    ]
    spoken = f"{title}, at its true size, with a square of 100 mm to check the printer by."
    return Drawing(
        title=title, spoken=spoken, height=SHEET_HEIGHT, width=SHEET_WIDTH, shapes=tuple(shapes)
    )  # fmt: skip


def clipped(
    side: tuple[Place, Place], frame: tuple[float, float, float, float]
) -> tuple[Place, Place] | None:
    """The stretch of a straight line inside a frame (left, top, right, bottom); None without one.

    Liang and Barsky, 1984.
    """
    (x, y), (end_x, end_y) = side
    across, down = end_x - x, end_y - y
    first, last = 0.0, 1.0
    for change, room in (
        (-across, x - frame[0]), (across, frame[2] - x), (-down, y - frame[1]), (down, frame[3] - y),
    ):  # fmt: skip
        if change == 0:
            if room < 0:
                return None
        elif change < 0:
            first = max(first, room / change)
        else:
            last = min(last, room / change)
    if first >= last:
        return None
    return (x + first * across, y + first * down), (x + last * across, y + last * down)


def _check_square() -> Iterator[Shape]:
    """The four corners of a square, in the lower left of the frame."""
    left, bottom = FRAME_LEFT + CHECK_AWAY, FRAME_TOP + FRAME_HEIGHT - CHECK_AWAY
    for x, inwards in ((left, CHECK_CORNER), (left + CHECK_SIDE, -CHECK_CORNER)):
        for y, upwards in ((bottom, -CHECK_CORNER), (bottom - CHECK_SIDE, CHECK_CORNER)):
            yield Line(((x + inwards, y), (x, y), (x, y + upwards)), "thin")
    yield Text((left + CHECK_SIDE / 2, bottom - 2), "100 mm", "middle")


def _join_marks(row: int, column: int, rows: int, columns: int) -> Iterator[Shape]:
    """Crosses on the edges that another sheet joins: half of each stands on either sheet."""
    right, bottom = FRAME_LEFT + FRAME_WIDTH, FRAME_TOP + FRAME_HEIGHT
    for joins, x in ((column > 0, FRAME_LEFT), (column < columns - 1, right)):
        for y in (FRAME_TOP + FRAME_HEIGHT / 4, FRAME_TOP + 3 * FRAME_HEIGHT / 4) if joins else ():
            yield Line(((x - JOIN_MARK, y), (x + JOIN_MARK, y)), "thin")
    for joins, y in ((row > 0, FRAME_TOP), (row < rows - 1, bottom)):
        for x in (FRAME_LEFT + FRAME_WIDTH / 4, FRAME_LEFT + 3 * FRAME_WIDTH / 4) if joins else ():
            yield Line(((x, y - JOIN_MARK), (x, y + JOIN_MARK)), "thin")
