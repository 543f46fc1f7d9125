"""Boards: printed values, a second way to the same figure, and what must hold."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calculators.physics import plates
from calculators.physics.plates import Stiffness

SIDES = [
    (1.0, 0.01160),
    (1.1, 0.01265),
    (1.2, 0.01353),
    (1.4, 0.01484),
    (1.6, 0.01570),
    (1.8, 0.01620),
    (2.0, 0.01651),
    (3.0, 0.01690),
]
"""Timoshenko and Woinowsky-Krieger, table 23: b/a, and w·D/(P·a²) under a point load in the middle."""
ALIKE = plates.same_both_ways(8.75e9, 0.012, 0.3)


@pytest.mark.parametrize(("sides", "factor"), SIDES)
def test_a_point_load_on_a_rectangle_as_printed(sides: float, factor: float) -> None:
    found = plates.rectangular_board(1000, 1.0, sides, 0.02, ALIKE)
    assert found * ALIKE.along / 1000 == pytest.approx(factor, rel=2e-3)


def test_a_point_load_on_a_round_board_as_printed() -> None:
    """Timoshenko and Woinowsky-Krieger, equation 92: P·a²·(3 + ν)/(16π·D·(1 + ν))."""
    found = plates.round_board(1000, 0.6, 0, ALIKE)
    assert found == pytest.approx(1000 * 0.3**2 * 3.3 / 1.3 / (16 * math.pi * ALIKE.along))


def test_a_round_board_loaded_all_over_as_printed() -> None:
    """The same, equation 67: q·a⁴·(5 + ν)/(64·D·(1 + ν)), the patch's circle as large as the board."""
    found = plates.round_board(1000, 0.6, 0.3 * math.sqrt(math.pi), ALIKE)
    even = 1000 / (math.pi * 0.3**2) * 0.3**4 * 5.3 / (64 * 1.3 * ALIKE.along)
    assert found == pytest.approx(even)


def ritz_round(board: Stiffness, reach: float) -> float:
    """w·1/(P·a²) of a round orthotropic board by Ritz: (1 - r²)·x²ⁱ·y²ʲ, the load on a circle of reach·a."""
    powers = [(2 * i, 2 * j) for i in range(9) for j in range(9 - i)]
    radii, weights = np.polynomial.legendre.leggauss(24)
    radii, angles = (radii + 1) / 2, (np.arange(48) + 0.5) * np.pi / 24
    x, y = np.outer(radii, np.cos(angles)).ravel(), np.outer(radii, np.sin(angles)).ravel()
    areas = np.repeat(weights / 2 * radii, 48) * np.pi / 24

    def power(at: np.ndarray, exponent: int, times: int) -> np.ndarray:
        if times > exponent:
            return np.zeros_like(at)
        return math.perm(exponent, times) * at ** (exponent - times)

    def bent(times_x: int, times_y: int, scale: float = 1.0) -> np.ndarray:
        return np.array([
            sum(
                sign * power(scale * x, i + more, times_x) * power(scale * y, j + again, times_y)
                for sign, more, again in ((1, 0, 0), (-1, 2, 0), (-1, 0, 2))
            )
            for i, j in powers
        ])  # fmt: skip

    one, other, twist = bent(2, 0), bent(0, 2), bent(1, 1)
    mixed = (one * areas) @ other.T
    energy = (
        board.along * (one * areas) @ one.T
        + board.across * (other * areas) @ other.T
        + board.coupled * (mixed + mixed.T)
        + 4 * board.twisting * (twist * areas) @ twist.T
    )
    force = bent(0, 0, reach) @ areas / np.pi
    return float(np.linalg.lstsq(energy, force, rcond=1e-14)[0][powers.index((0, 0))])


@pytest.mark.parametrize(
    ("thickness", "short"), [(0.0065, 0.04), (0.009, 0.02), (0.012, 0.02), (0.030, 0.02)]
)
@pytest.mark.parametrize("reach", [0.15, 0.57, 0.85])
def test_round_plywood_bends_as_its_average_does(thickness: float, short: float, reach: float) -> None:
    """Against the whole orthotropic solution, load from a tenth of the lid's width to nearly all of it."""
    for board, most in ((plates.birch_plywood(thickness), short), (ALIKE, 1e-3)):
        found = plates.round_board(1, 2, reach * math.sqrt(math.pi), board)
        assert -1e-3 <= ritz_round(board, reach) / found - 1 <= most


@pytest.mark.parametrize(
    ("thickness", "along", "across"), [(0.009, 11.4, 6.1), (0.012, 10.7, 6.8), (0.015, 10.3, 7.2)]
)
def test_birch_by_its_handbook(thickness: float, along: float, across: float) -> None:
    """Handbook of Finnish Plywood, mean bending moduli in GPa, from memory."""
    board = plates.birch_plywood(thickness)
    solid = 1e9 * thickness**3 / 12 / (1 - 0.05**2)
    assert board.along == pytest.approx(along * solid, rel=0.01)
    assert board.across == pytest.approx(across * solid, rel=0.01)
    assert board.turned == Stiffness(
        along=board.across, across=board.along, coupled=board.coupled, twisting=board.twisting
    )


def test_birch_stays_stiff_by_its_thickness() -> None:
    boards = [plates.birch_plywood(0.0005 * step) for step in range(2, 160)]
    for thin, thick in pairwise(boards):
        assert thin.along < thick.along
        assert thin.across < thick.across


@settings(max_examples=20)
@given(st.floats(0.1, 1), st.floats(0.1, 1), st.floats(0.1, 1), st.sampled_from((0.006, 0.012, 0.018)))
def test_a_rectangle_is_the_same_from_both_sides_and_stiffer_than_its_strip(
    span: float, width: float, share: float, thickness: float
) -> None:
    patch, board = share * min(span, width), plates.birch_plywood(thickness)
    one = plates.rectangular_board(100, span, width, patch, board)
    assert one == pytest.approx(plates.rectangular_board(100, width, span, patch, board.turned))
    # Two more edges hold it: it bends less than what two edges carry.
    assert 0 < one < 1.02 * plates.strip_board(100, span, width, patch, board)


def test_a_narrow_strip_is_a_beam() -> None:
    """P·(8L³ - 4L·c² + c³)/(384·E·I), the load along c."""
    beam = 1000 * (8 - 4 * 0.05**2 + 0.05**3) / (384 * 8.75e9 * 0.05 * 0.012**3 / 12)
    assert plates.strip_board(1000, 1.0, 0.05, 0.05, ALIKE) == pytest.approx(beam, rel=2e-3)
    assert plates.strip_board(1000, 1.0, 0.05, 0.05, ALIKE, at_edge=True) == pytest.approx(beam, rel=2e-3)


def test_a_wide_strip_in_its_middle_and_at_its_free_edge() -> None:
    """Infinitely wide, a point load; Lévy's series by hand, alike both ways.

    Middle: 0.01695·P·a²/D (the book's table 23). Edge: 4·1.0518/(π³·(1 - ν)·(3 + ν)) = 0.0587.
    """
    middle = plates.strip_board(1, 1.0, 3.0, 0.05, ALIKE) * ALIKE.along
    assert middle == pytest.approx(0.01695, rel=0.04)
    edge = plates.strip_board(1, 1.0, 3.0, 0.02, ALIKE, at_edge=True) * ALIKE.along
    assert edge == pytest.approx(0.0587, rel=0.03)


@pytest.mark.parametrize("grain", [plates.birch_plywood(0.012), plates.birch_plywood(0.012).turned])
def test_a_wide_plywood_strip_by_its_closed_series(grain: Stiffness) -> None:
    """A point load: P·a²·Σ(1/m³)/π³/√(2·Dx·(H + √(Dx·Dy))), odd m: Fourier's integral across, by hand."""
    both = grain.coupled + 2 * grain.twisting
    depth = math.sqrt(2 * grain.along * (both + math.sqrt(grain.along * grain.across)))
    middle = plates.strip_board(1, 1.0, 3.0, 0.05, grain)
    assert middle == pytest.approx(1.0518 / math.pi**3 / depth, rel=0.06)
    assert middle < 1.0518 / math.pi**3 / depth


def test_its_quadrature_is_gauss_s() -> None:
    places, weights = np.polynomial.legendre.leggauss(40)
    for own, published in zip(plates.quadrature(), (places, weights), strict=True):
        np.testing.assert_allclose(own, published, atol=1e-13)


@pytest.mark.parametrize(
    "call",
    [
        lambda: plates.round_board(100, 0.1, 0.3, ALIKE),
        lambda: plates.rectangular_board(100, 0.2, 1, 0.3, ALIKE),
        lambda: plates.strip_board(100, 0.2, math.inf, 0.1, ALIKE),
        lambda: plates.strip_board(100, 0.2, 1, 0.3, ALIKE),
        lambda: plates.birch_plywood(0),
    ],
)
def test_what_cannot_be_is_refused(call: object) -> None:
    with pytest.raises(ValueError, match="must"):
        call()  # type: ignore[operator]
