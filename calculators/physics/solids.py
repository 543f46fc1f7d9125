"""Boxes as solids: sections with straight sides, drawn in, drawn out, and what their walls measure.

A section is its corners in order, either way round, in m. Exact plane geometry (Euclid); the area is the
sum of cross products (Gauss).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calculators.physics.checking import require_not_negative, require_positive

type Corner = tuple[float, float]

RIGHT = math.radians(0.05)
"""How far from 90° a corner may be and still be cut square."""
CLOSE = 1e-9


@dataclass(frozen=True)
class Wall:
    """One side of a section as its board is cut.

    outer, inner: m, the lengths of its faces. length: m, the board to cut it from, which holds both. bevels:
    degrees, what each end is tilted from square, 0 where it is cut square.
    """

    outer: float
    inner: float
    length: float
    bevels: tuple[float, float]


def signed_area(corners: Sequence[Corner]) -> float:
    """Area of a section in m², above 0 where the corners run from x to y. Source: Gauss's area formula."""
    following = [*corners[1:], corners[0]]
    return 0.5 * math.fsum(
        x * next_y - next_x * y for (x, y), (next_x, next_y) in zip(corners, following, strict=True)
    )


def is_simple(corners: Sequence[Corner]) -> bool:
    """Whether the sides close without touching each other anywhere but at their corners.

    Source: definition.
    """
    count = len(corners)
    sides = [(corners[number], corners[(number + 1) % count]) for number in range(count)]
    for first in range(count):
        for second in range(first + 1, count):
            beside = second == first + 1 or (first == 0 and second == count - 1)
            if not beside and _cross(*sides[first], *sides[second]):
                return False
    return all(_bend(corners, number) is not None for number in range(count))


def _cross(a: Corner, b: Corner, c: Corner, d: Corner) -> bool:
    """Whether two sides meet."""

    def side(p: Corner, q: Corner, r: Corner) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    if max(a[0], b[0]) < min(c[0], d[0]) or max(c[0], d[0]) < min(a[0], b[0]):
        return False
    if max(a[1], b[1]) < min(c[1], d[1]) or max(c[1], d[1]) < min(a[1], b[1]):
        return False
    return side(a, b, c) * side(a, b, d) <= 0 and side(c, d, a) * side(c, d, b) <= 0


def _way(start: Corner, end: Corner) -> Corner | None:
    """Direction from a corner to the next, of length 1; None if they are one."""
    x, y = end[0] - start[0], end[1] - start[1]
    length = math.hypot(x, y)
    return (x / length, y / length) if length > CLOSE else None


def _bend(corners: Sequence[Corner], number: int) -> float | None:
    """Angle by which the outline turns at a corner, radians; None for a side without length or a spike."""
    before = _way(corners[number - 1], corners[number])
    after = _way(corners[number], corners[(number + 1) % len(corners)])
    if before is None or after is None:
        return None
    turn = math.atan2(
        before[0] * after[1] - before[1] * after[0], before[0] * after[0] + before[1] * after[1]
    )
    return turn if abs(turn) < math.radians(179) else None


def inset(corners: Sequence[Corner], thickness: float) -> tuple[Corner, ...]:
    """The section a wall's thickness further in.

    thickness: m; below 0 it draws the section further out.
    Raises ValueError for a section that doesn't close, and where walls of that thickness leave no room.
    Source: plane geometry.
    """
    if len(corners) < 3 or not is_simple(corners):
        raise ValueError("the sides cross or do not close")
    inwards = math.copysign(thickness, thickness * signed_area(corners))
    count = len(corners)
    ways = [_way(corners[number], corners[(number + 1) % count]) for number in range(count)]
    moved = []
    for number, (x, y) in enumerate(corners):
        before, after = ways[number - 1], ways[number]
        assert before is not None
        assert after is not None
        # Both sides move along their normals; the corner goes where they meet again.
        normal = (-before[1] - after[1], before[0] + after[0])
        share = inwards / (1 + before[0] * after[0] + before[1] * after[1])
        moved.append((x + share * normal[0], y + share * normal[1]))
    for number, way in enumerate(ways):
        new = _way(moved[number], moved[(number + 1) % count])
        if new is None or way is None or new[0] * way[0] + new[1] * way[1] <= 0:
            raise ValueError("walls of this thickness leave no room")
    if not is_simple(moved):
        raise ValueError("walls of this thickness leave no room")
    return tuple(moved)


def walls(outside: Sequence[Corner], thickness: float, mitred: bool) -> tuple[Wall, ...]:
    """The boards round a section that is given by its outside, one for each side, in m.

    thickness: m. At a right corner the longer side runs through, unless all are mitred; other corners are
    always mitred. Raises ValueError as `inset` does.
    Source: plane geometry.
    """
    require_positive(thickness=thickness)
    inside = inset(outside, thickness)
    count = len(outside)
    sign = math.copysign(1.0, signed_area(outside))
    outer = [math.dist(outside[number], outside[(number + 1) % count]) for number in range(count)]
    inner = [math.dist(inside[number], inside[(number + 1) % count]) for number in range(count)]

    def end(side: int, corner: int, other: int) -> tuple[float, float]:
        """What an end adds to the outer face, and its bevel in degrees."""
        bend = _bend(outside, corner)
        assert bend is not None
        turn = sign * bend
        if not mitred and abs(abs(turn) - math.pi / 2) < RIGHT:
            through = (outer[side], -side) > (outer[other], -other)
            return ((0.0 if turn > 0 else thickness) if through else (-thickness if turn > 0 else 0.0)), 0.0
        beyond = 0.0 if turn > 0 else thickness * math.tan(-turn / 2)
        return beyond, math.degrees(abs(turn) / 2)

    found = []
    for side in range(count):
        following = (side + 1) % count
        first, first_bevel = end(side, side, (side - 1) % count)
        last, last_bevel = end(side, following, following)
        found.append(Wall(outer[side], inner[side], outer[side] + first + last, (first_bevel, last_bevel)))
    return tuple(found)


def frustum_volume(diameter: float, other_diameter: float, height: float) -> float:
    """Volume of a round box that tapers, m³.

    diameter, other_diameter: m, 0 or more, of its ends. height: m, above 0. Raises ValueError outside.
    Source: Euclid, Elements XII.
    """
    require_not_negative(diameter=diameter, other_diameter=other_diameter)
    require_positive(height=height)
    return math.pi * height / 12 * (diameter**2 + diameter * other_diameter + other_diameter**2)


def cylinder_volume(diameter: float, length: float) -> float:
    """Volume that a round port takes, m³.

    diameter: m, outside, 0 or more. length: m, inside the box, 0 or more. Raises ValueError below 0.
    Source: Euclid, Elements XII.
    """
    require_not_negative(diameter=diameter, length=length)
    return math.pi / 4 * diameter**2 * length
