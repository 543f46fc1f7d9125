"""A good crimp and three bad ones, sawn through: what each looks like, about a middle."""

from math import cos, pi, sin

from calculators.declaring.drawings import Arc, Hatch, Place, Polygon, Shape


def good(x: float, y: float) -> tuple[Shape, ...]:
    """Six-sided, barrel and strands one solid face."""
    return (
        Polygon(_six(x, y, 54), fill="paper"),
        Hatch((_six(x, y, 54), _six(x, y, 38))),
        Polygon(_six(x, y, 38), fill="feed"),
    )


def gaps(x: float, y: float) -> tuple[Shape, ...]:
    """Strands still round, with air between them."""
    return (Arc((x, y), 54, fill="paper"), Arc((x, y), 41), *_strands(x, y, 15.5, 6))


def cracked(x: float, y: float) -> tuple[Shape, ...]:
    """A barrel that is cracked, its metal squeezed out into fins."""
    return (
        Polygon(_six(x, y, 50), fill="paper"),
        Hatch((_six(x, y, 50), _six(x, y, 36))),
        Polygon(_six(x, y, 36), fill="feed"),
        *(
            Polygon(((x + side * 50, y - 5), (x + side * 72, y), (x + side * 50, y + 5)), fill="paper")
            for side in (-1, 1)
        ),
        Polygon(
            (
                (x - 6, y - 44), (x + 2, y - 36), (x - 3, y - 30), (x + 3, y - 18),
                (x + 3, y - 30), (x + 9, y - 38), (x + 4, y - 44),
            ),
            fill="ink",
        ),
    )  # fmt: skip


def missing(x: float, y: float) -> tuple[Shape, ...]:
    """Half of the strands cut off or left outside."""
    return (Arc((x, y), 54, fill="paper"), Arc((x, y), 41), *_strands(x, y + 4, 14, 6.8, left_out=9))


def _six(x: float, y: float, radius: float) -> tuple[Place, ...]:
    return tuple(
        (x + radius * cos(pi * corner / 3), y + radius * sin(pi * corner / 3)) for corner in range(6)
    )


def _strands(x: float, y: float, pitch: float, radius: float, left_out: int = 0) -> tuple[Shape, ...]:
    """Nineteen strands: one, six and twelve round it."""
    rings = [(x, y)] + [
        (
            x + ring * pitch * cos(2 * pi * number / (6 * ring)),
            y + ring * pitch * sin(2 * pi * number / (6 * ring)),
        )
        for ring in (1, 2)
        for number in range(6 * ring)
    ]
    return tuple(Arc(place, radius, fill="feed") for place in rings[left_out:])
