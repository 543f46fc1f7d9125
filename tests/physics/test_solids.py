"""Sections and boxes: exact areas and volumes, beside an integration that shares nothing with them."""

from math import atan2, cos, hypot, pi, sin, tan

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from calculators.physics import solids

RECTANGLE = ((0.0, 0.0), (0.27, 0.0), (0.27, 0.122), (0.0, 0.122))
ELL = ((0.0, 0.0), (0.5, 0.0), (0.5, 0.2), (0.28, 0.2), (0.28, 0.35), (0.0, 0.35))


@st.composite
def sections(draw: st.DrawFn) -> tuple[solids.Corner, ...]:
    """A random outline without crossings: corners at rising angles round a middle, either way round."""
    count = draw(st.integers(3, 9))
    steps = [draw(st.floats(0.5, 1.0)) for _ in range(count)]
    angles = 2 * pi * np.cumsum(steps) / sum(steps)
    assume(max(np.diff(angles, prepend=angles[-1] - 2 * pi)) < 0.9 * pi)
    reach = [draw(st.floats(0.2, 0.6)) for _ in range(count)]
    corners = [(r * cos(a), r * sin(a)) for r, a in zip(reach, angles, strict=True)]
    return tuple(corners if draw(st.booleans()) else corners[::-1])


def scanned(corners: tuple[solids.Corner, ...]) -> float:
    """Area by adding up lines across the section, each by where it crosses the sides."""
    x, y = np.array(corners).T
    count = 20000
    low, high = y.min(), y.max()
    levels = low + (np.arange(count) + 0.5) * (high - low) / count
    total = np.zeros(count)
    for x1, y1, x2, y2 in zip(x, y, np.roll(x, -1), np.roll(y, -1), strict=True):
        hit = (levels >= min(y1, y2)) & (levels < max(y1, y2))
        total[hit] += np.sign(y2 - y1) * (x1 + (levels[hit] - y1) * (x2 - x1) / (y2 - y1))
    return abs(total.sum()) * (high - low) / count


@given(sections())
def test_area_is_what_an_integration_gives(corners: tuple[solids.Corner, ...]) -> None:
    assert abs(solids.signed_area(corners)) == pytest.approx(scanned(corners), rel=1e-4)


@given(sections(), st.floats(0.001, 0.02))
def test_inner_sides_lie_a_wall_from_the_outer_ones(
    corners: tuple[solids.Corner, ...], thickness: float
) -> None:
    try:
        inner = solids.inset(corners, thickness)
    except ValueError:
        assume(False)
    count = len(corners)
    for number, (x, y) in enumerate(inner):
        for side in (number - 1, number):
            (x1, y1), (x2, y2) = corners[side], corners[(side + 1) % count]
            across = ((x - x1) * (y2 - y1) - (y - y1) * (x2 - x1)) / hypot(x2 - x1, y2 - y1)
            assert abs(across) == pytest.approx(thickness, rel=1e-6)
    assert abs(solids.signed_area(inner)) < abs(solids.signed_area(corners))
    back = solids.inset(inner, -thickness)
    assert np.allclose(back, corners, atol=1e-9)


@given(sections(), st.floats(0.001, 0.02))
def test_mitred_walls_fill_what_lies_between_the_outlines(
    corners: tuple[solids.Corner, ...], thickness: float
) -> None:
    """Each wall is a trapezium; together they are the outside less the inside, and each blank holds it."""
    try:
        inner = solids.inset(corners, thickness)
    except ValueError:
        assume(False)
    boards = solids.walls(corners, thickness, mitred=True)
    filled = sum((wall.outer + wall.inner) / 2 * thickness for wall in boards)
    between = abs(solids.signed_area(corners)) - abs(solids.signed_area(inner))
    assert filled == pytest.approx(between, rel=1e-9)
    for wall in boards:
        assert wall.length >= max(wall.outer, wall.inner) - 1e-12


@given(sections())
def test_bevels_close_the_ring(corners: tuple[solids.Corner, ...]) -> None:
    """At a corner both boards are tilted alike, by half of what the corner turns."""
    try:
        boards = solids.walls(corners, 0.002, mitred=True)
    except ValueError:
        assume(False)
    count = len(corners)
    for number, wall in enumerate(boards):
        before = boards[number - 1]
        assert before.bevels[1] == pytest.approx(wall.bevels[0])
        (x0, y0), (x1, y1), (x2, y2) = corners[number - 1], corners[number], corners[(number + 1) % count]
        turn = atan2(y2 - y1, x2 - x1) - atan2(y1 - y0, x1 - x0)
        turn = (turn + pi) % (2 * pi) - pi
        assert wall.bevels[0] == pytest.approx(abs(turn) * 90 / pi, abs=1e-6)


@pytest.mark.parametrize("section", [RECTANGLE, RECTANGLE[::-1], ELL, ELL[::-1]])
def test_butted_boards_fill_what_lies_between_the_outlines(section: tuple[solids.Corner, ...]) -> None:
    boards = solids.walls(section, 0.015, mitred=False)
    between = abs(solids.signed_area(section)) - abs(solids.signed_area(solids.inset(section, 0.015)))
    assert sum(wall.length * 0.015 for wall in boards) == pytest.approx(between)
    assert all(wall.bevels == (0.0, 0.0) for wall in boards)


def test_the_longer_board_runs_through() -> None:
    lengths = [round(wall.length, 6) for wall in solids.walls(RECTANGLE, 0.015, mitred=False)]
    assert lengths == [0.27, 0.092, 0.27, 0.092]


@pytest.mark.parametrize(
    ("corners", "thickness"),
    [
        (((0, 0), (1, 0)), 0.01),
        (((0, 0), (1, 0), (0, 0)), 0.01),
        (((0, 0), (1, 1), (1, 0), (0, 1)), 0.01),  # Sides that cross.
        (((0, 0), (1, 0), (1, 0), (0, 1)), 0.01),  # A side without length.
        (((0, 0), (0.03, 0), (0.03, 1), (0, 1)), 0.015),  # Walls that meet.
        (((0, 0), (0.03, 0), (0.03, 1), (0, 1)), 0.02),
    ],
)
def test_what_does_not_close_is_refused(corners: tuple[solids.Corner, ...], thickness: float) -> None:
    with pytest.raises(ValueError, match=r"close|room"):
        solids.inset(corners, thickness)


@given(st.floats(0.05, 1), st.floats(0, 1), st.floats(0.02, 1))
def test_a_round_box_is_what_a_stack_of_discs_is(top: float, bottom: float, height: float) -> None:
    share = (np.arange(2000) + 0.5) / 2000
    discs = pi / 4 * (bottom + (top - bottom) * share) ** 2 * height / 2000
    assert solids.frustum_volume(top, bottom, height) == pytest.approx(discs.sum(), rel=1e-5)
    assert solids.frustum_volume(top, top, height) == pytest.approx(solids.cylinder_volume(top, height))


def test_a_leaning_front_is_mitred_by_half_of_what_the_corner_turns() -> None:
    """By hand: 140 mm back over 330 mm up leans 22.9887° and is 358.469 mm long; mitres lie 45° ± half of it.

    A blade stands square at 0°; 56.494° at the foot and 33.506° at the top are its tilts.
    """
    section = ((0.0, 0.0), (0.26, 0.0), (0.12, 0.33), (0.0, 0.33))
    front = solids.walls(solids.inset(section, -0.015), 0.015, mitred=False)[1]
    assert front.inner == pytest.approx(0.358469, abs=1e-6)
    assert front.bevels == pytest.approx((45 + 22.9887 / 2, 45 - 22.9887 / 2), abs=1e-4)
    assert front.outer == pytest.approx(
        0.358469 + 0.015 * (tan(56.494 * pi / 180) + tan(33.506 * pi / 180)), abs=1e-6
    )


def test_a_mitre_is_the_tangent_longer() -> None:
    """Six equal sides: each mitred board is longer outside than inside by 2·t·tan 30°."""
    six = tuple((cos(pi * corner / 3), sin(pi * corner / 3)) for corner in range(6))
    for wall in solids.walls(six, 0.018, mitred=True):
        assert wall.outer - wall.inner == pytest.approx(2 * 0.018 * tan(pi / 6))
        assert wall.bevels == pytest.approx((30.0, 30.0))


@pytest.mark.parametrize("along", [(1.0, 0.0), (0.0, 1.0), (3.0, 1.0), (-1.0, 4.0)])
@given(st.lists(st.integers(-4, 4), min_size=4, max_size=4))
def test_sides_on_one_line_meet_where_their_stretches_do(along: tuple[float, float], at: list[int]) -> None:
    a, b, c, d = ((along[0] * place, 7.0 + along[1] * place) for place in at)
    meet = max(min(at[:2]), min(at[2:])) <= min(max(at[:2]), max(at[2:]))
    assert solids._cross(a, b, c, d) == meet
