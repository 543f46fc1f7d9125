"""The signs that schemes are made of, each drawn about a place in millimetres of the scheme."""

from collections.abc import Sequence

from calculators.declaring.drawings import Arc, Fill, Line, Place, Polygon, Shape, Stroke, Text, rectangle

LINE_HEIGHT, TEXT_DROP = 16.0, 5.0
LETTER = 7.8
"""Width to count for a letter of plain text; a strong one is ``STRONG_LETTER`` wide."""
STRONG_LETTER = 8.9


def fitted(words: str, width: float, strong: bool = False) -> str:
    """Words cut to a width, so that a long name from outside stays inside its frame."""
    most = int(width / (STRONG_LETTER if strong else LETTER))
    return words if len(words) <= most else words[: max(most - 1, 1)].rstrip() + "…"


def box(
    left: float,
    top: float,
    width: float,
    height: float,
    lines: Sequence[str] = (),
    fill: Fill = "paper",
    stroke: Stroke = "ink",
) -> tuple[Shape, ...]:
    """A thing with its name in the middle of it, the first line strong."""
    middle = left + width / 2
    first = top + height / 2 + TEXT_DROP - LINE_HEIGHT * (len(lines) - 1) / 2
    return (
        Polygon(rectangle(left, top, width, height), stroke, fill),
        *(
            Text((middle, first + LINE_HEIGHT * number), words, "middle", strong=number == 0)
            for number, words in enumerate(lines)
        ),
    )


def battery(
    left: float, top: float, width: float, height: float, lines: Sequence[str] = ()
) -> tuple[Shape, ...]:
    """A battery from its side, plus left and minus right, its posts on top of it."""
    posts = [left + width / 4, left + 3 * width / 4]
    return (
        *(Polygon(rectangle(post - 5, top - 7, 10, 7), fill="paper") for post in posts),
        *box(left, top, width, height, lines),
        Line(((posts[0] + 9, top - 6), (posts[0] + 17, top - 6))),
        Line(((posts[0] + 13, top - 10), (posts[0] + 13, top - 2))),
        Line(((posts[1] + 9, top - 6), (posts[1] + 17, top - 6))),
    )


def fuse(middle: Place, length: float = 44.0, upright: bool = False) -> tuple[Shape, ...]:
    """A fuse: a box with the wire in waves through it."""
    x, y = middle
    half = length / 2
    wave = tuple(
        (along * half, across)
        for along, across in ((-1.0, 0.0), (-0.5, -5.0), (0.0, 0.0), (0.5, 5.0), (1.0, 0.0))
    )
    if upright:
        return (
            Polygon(rectangle(x - 10, y - half, 20, length), fill="paper"),
            Line(tuple((x + across, y + along) for along, across in wave), "feed", smooth=True),
        )
    return (
        Polygon(rectangle(x - half, y - 10, length, 20), fill="paper"),
        Line(tuple((x + along, y + across) for along, across in wave), "feed", smooth=True),
    )


def resistor(middle: Place, length: float = 44.0, upright: bool = False) -> tuple[Shape, ...]:
    """A resistor: an empty box."""
    x, y = middle
    corners = (
        rectangle(x - 8, y - length / 2, 16, length)
        if upright
        else rectangle(x - length / 2, y - 8, length, 16)
    )
    return (Polygon(corners, fill="paper"),)


def diode(middle: Place, turn: int = 0) -> tuple[Shape, ...]:
    """A diode that conducts to the right, or after ``turn`` quarters down, to the left, up."""
    places = [(-9.0, -9.0), (-9.0, 9.0), (9.0, 0.0)], [(9.0, -9.0), (9.0, 9.0)]
    for _ in range(turn):
        places = [(-y, x) for x, y in places[0]], [(-y, x) for x, y in places[1]]
    x, y = middle
    arrow, bar = (tuple((x + dx, y + dy) for dx, dy in part) for part in places)
    return Polygon(arrow, fill="paper"), Line(bar)


def capacitor(middle: Place) -> tuple[Shape, ...]:
    """A capacitor in an upright wire: two plates, with a gap between that the wire leaves open."""
    x, y = middle
    return (
        Line(((x - 18, y - 5), (x + 18, y - 5))),
        Line(((x - 18, y + 5), (x + 18, y + 5))),
    )


def ground(place: Place) -> tuple[Shape, ...]:
    """A ground under a wire's end: three strokes, each shorter than the one above."""
    x, y = place
    return tuple(
        Line(((x - half, y + 7 * number), (x + half, y + 7 * number)))
        for number, half in enumerate((18.0, 11.0, 4.0))
    )


def meter(middle: Place, letter: str) -> tuple[Shape, ...]:
    """A meter: a ring with the letter of what it reads."""
    x, y = middle
    return (
        Arc(middle, 15, fill="paper"),
        Text((x, y + TEXT_DROP + 0.5), letter, "middle", strong=True),
    )
