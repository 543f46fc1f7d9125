"""A box's boards laid together in space by a library of solids: what they enclose is the volume stated."""

from math import cos, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, JoinType, Manifold, OpType

from calculators.declaring import InputError
from calculators.physics import solids
from calculators.stages.fabrication.box_volume import box_volume
from calculators.vocabulary import enclosures

GLUE = 1e-6
"""Metres by which each board is thicker on every side, so that boards which touch are one."""


@st.composite
def sections(draw: st.DrawFn) -> tuple[solids.Corner, ...]:
    """A random outline without crossings, with corners that go in as well."""
    count = draw(st.integers(3, 8))
    steps = [draw(st.floats(0.6, 1.0)) for _ in range(count)]
    angles = 2 * pi * np.cumsum(steps) / sum(steps)
    reach = [draw(st.floats(0.25, 0.5)) for _ in range(count)]
    return tuple((r * cos(a), r * sin(a)) for r, a in zip(reach, angles, strict=True))


def board(outline: list[solids.Corner], low: float, high: float) -> Manifold:
    """A board of that outline in the plane of the section, from one height across the box to another."""
    grown = CrossSection([outline]).offset(GLUE, JoinType.Miter, 4.0)
    return Manifold.extrude(grown, high - low + 2 * GLUE).translate((0.0, 0.0, low - GLUE))


def enclosed(boards: list[Manifold]) -> float:
    """Volume of the one room that the boards shut off from outside."""
    built = Manifold.batch_boolean(boards, OpType.Add)
    low, high = np.array(built.bounding_box()).reshape(2, 3)
    block = Manifold.cube(tuple(high - low + 0.2)).translate(tuple(low - 0.1))
    rooms = sorted(room.volume() for room in (block - built).decompose())[:-1]
    rooms = [room for room in rooms if room > 1e-7]  # Less is a sliver between two boards.
    assert len(rooms) == 1, "the boards leave a gap, or more than one room"
    return float(rooms[0])


def wall_outline(
    start: solids.Corner, end: solids.Corner, wall: solids.Wall, thickness: float, turns: tuple[float, float]
) -> list[solids.Corner]:
    """A mitred wall in section from its line of the cut list: outside face from corner to corner."""
    along = np.subtract(end, start) / np.hypot(*np.subtract(end, start))
    across = np.array((-along[1], along[0])) * thickness
    first, last = (
        np.sign(turn) * thickness * tan(radians(bevel))
        for turn, bevel in zip(turns, wall.bevels, strict=True)
    )
    corners = (start, np.add(start, wall.outer * along), np.add(start, (wall.outer - last) * along) + across,
               np.add(start, first * along) + across)  # fmt: skip
    return [(float(x), float(y)) for x, y in corners]


@settings(max_examples=25)
@given(sections(), st.floats(0.006, 0.02), st.floats(0.1, 1.0), st.booleans())
def test_mitred_boards_enclose_the_gross_volume(
    section: tuple[solids.Corner, ...], thickness: float, across: float, ends_over: bool
) -> None:
    names = [f"Side {number}" for number in range(len(section))]
    try:
        solid = enclosures.prism(
            section, across, thickness, is_inside=False, mitred=True, ends_over=ends_over, names=names,
            field="corners",
        )  # fmt: skip
    except InputError:
        assume(False)
    walls = solids.walls(section, thickness, mitred=True)
    assume(all(bevel < 75 for wall in walls for bevel in wall.bevels))
    run = {part.length for part in solid.parts if part.name.startswith("Side")}
    assert run == {across - 2 * thickness if ends_over else across}
    low = thickness if ends_over else 0.0
    count = len(section)

    def turn(number: int) -> float:
        (x0, y0), (x1, y1), (x2, y2) = section[number - 1], section[number], section[(number + 1) % count]
        return (x1 - x0) * (y2 - y1) - (y1 - y0) * (x2 - x1)

    boards = [
        board(
            wall_outline(section[number], section[(number + 1) % count], wall, thickness,
                         (turn(number), turn((number + 1) % count))),
            low, across - low,
        )
        for number, wall in enumerate(walls)
    ]  # fmt: skip
    cap = list(solid.outer if ends_over else solid.inner)
    boards += [board(cap, 0.0, thickness), board(cap, across - thickness, across)]
    assert enclosed(boards) == pytest.approx(solid.gross, rel=1e-4)


def test_butted_boards_of_the_list_enclose_the_gross_volume() -> None:
    """670 by 270 by 122 mm outside, laid by hand from the lines of its list."""
    result = box_volume(shape="box", width=0.67, depth=0.27, height=0.122)
    (flat, upright, end), t = result.parts, 0.015
    assert [part.pieces for part in result.parts] == [2, 2, 2]

    def block(size: tuple[float, float, float], place: tuple[float, float, float]) -> Manifold:
        x, y, z = place
        return board([(x, y), (x + size[0], y), (x + size[0], y + size[1]), (x, y + size[1])], z, z + size[2])

    boards = [
        *(block((flat.width, t, flat.length), (0, y, 0)) for y in (0, 0.122 - t)),
        *(block((t, upright.width, upright.length), (x, t, 0)) for x in (0, 0.27 - t)),
        *(block((end.length, end.width, t), (t, t, z)) for z in (0, 0.67 - t)),
    ]
    assert enclosed(boards) == pytest.approx(result.gross, rel=1e-4)
    assert sum(piece.volume() for piece in boards) * 680 == pytest.approx(result.mass, rel=1e-3)
    with pytest.raises(AssertionError, match="gap"):
        enclosed([piece for piece in boards if piece is not boards[2]])


def by_layers(outline: tuple[solids.Corner, ...]) -> tuple[np.ndarray, float]:
    """Widths of a section at many heights, and their distance: what a tape would add up."""
    x, y = np.array(outline).T
    step = (y.max() - y.min()) / 2000
    levels = y.min() + (np.arange(2000) + 0.5) * step
    widths = np.zeros(2000)
    for x1, y1, x2, y2 in zip(x, y, np.roll(x, -1), np.roll(y, -1), strict=True):
        met = (levels >= min(y1, y2)) & (levels < max(y1, y2))
        widths[met] += np.sign(y2 - y1) * (x1 + (levels[met] - y1) * (x2 - x1) / (y2 - y1))
    return np.abs(widths), step


@settings(max_examples=200)
@given(sections(), st.floats(0.1, 1.5))
def test_a_prism_holds_what_layer_upon_layer_holds(section: tuple[solids.Corner, ...], across: float) -> None:
    solid = enclosures.prism(
        section, across, 0.012, is_inside=True, mitred=False, ends_over=False, names=[""] * len(section),
        field="corners",
    )  # fmt: skip
    widths, step = by_layers(section)
    assert solid.gross == pytest.approx(widths.sum() * step * across, rel=1e-4)


@settings(max_examples=200)
@given(st.floats(0.2, 0.8), st.floats(0.2, 0.8), st.floats(0.06, 0.4), st.booleans())
def test_a_round_box_holds_what_disc_upon_disc_holds(
    top: float, bottom: float, height: float, is_inside: bool
) -> None:
    solid = enclosures.well(top, bottom, height, 0.015, is_inside=is_inside)
    widths, step = by_layers(solid.inner)
    assert solid.gross == pytest.approx((pi / 4 * widths**2).sum() * step, rel=1e-4)
    if is_inside:
        assert solid.gross == pytest.approx(pi * height / 12 * (top**2 + top * bottom + bottom**2))
