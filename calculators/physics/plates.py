"""How far a flat board bends under a load on a patch.

Thin boards on edges that carry but do not clamp, corners held down; small deflections. A real lid on a soft
seal bends more. Plywood is stiffer along its face grain than across, and soft in twisting.
"""

import math
from dataclasses import dataclass
from functools import cache

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_not_negative, require_positive
from calculators.physics.panels import bending_stiffness

TERMS = np.arange(1, 120, 2)
"""Half waves of the double series: odd ones alone bend the middle."""

BIRCH = (
    (0.004, 16.471e9, 1.029e9),
    (0.0065, 12.737e9, 4.763e9),
    (0.009, 11.395e9, 6.105e9),
    (0.012, 10.719e9, 6.781e9),
    (0.015, 10.316e9, 7.184e9),
    (0.018, 10.048e9, 7.452e9),
    (0.021, 9.858e9, 7.642e9),
    (0.024, 9.717e9, 7.783e9),
    (0.030, 9.519e9, 7.981e9),
)
"""Birch plywood: thickness, m; mean bending modulus along and across the face grain, Pa. From memory."""
BIRCH_SHEAR = 0.62e9
"""Panel shear modulus of birch plywood, Pa: the same handbook, from memory."""
BIRCH_POISSON = 0.05
"""Poisson's ratio of plywood, the mean of both ways; from memory."""


def thinnest_sold(nominal: float) -> float:
    """Thinnest that sanded plywood of a nominal thickness may be, m.

    nominal: m, as it is sold. Source: EN 315, from memory.
    """
    return nominal - (0.0004 + 0.03 * nominal)


@dataclass(frozen=True, kw_only=True)
class Stiffness:
    """How stiff a board is, per metre of its width.

    along, across: bending stiffness, N·m, along the first side and the other. coupled: what bending one way
    draws from the other, N·m. twisting: shear modulus times thickness³/12, N·m.
    """

    along: float
    across: float
    coupled: float
    twisting: float

    @property
    def turned(self) -> "Stiffness":
        """The same board turned by a quarter."""
        return Stiffness(
            along=self.across, across=self.along, coupled=self.coupled, twisting=self.twisting
        )  # fmt: skip


def same_both_ways(modulus: float, thickness: float, poisson: float) -> Stiffness:
    """Stiffness, N·m, of a board alike in every direction: chipboard, fibreboard, metal, plastic.

    modulus: Pa. thickness: m. poisson: ratio, 0 to below 1. Raises ValueError outside these.
    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, article 10.
    """
    bending = bending_stiffness(modulus, thickness, poisson)
    return Stiffness(
        along=bending, across=bending, coupled=poisson * bending, twisting=bending * (1 - poisson) / 2
    )


def birch_plywood(thickness: float) -> Stiffness:
    """Stiffness, N·m, of birch plywood, its face grain along the first side.

    thickness: m, above 0; below 4 mm and above 30 mm the table's last moduli. Raises ValueError for none.
    Source: Handbook of Finnish Plywood, from memory; orthotropic plates by Timoshenko, article 85.
    """
    require_positive(thickness=thickness)
    sizes, along, across = zip(*BIRCH, strict=True)
    first, other = (float(np.interp(thickness, sizes, moduli)) for moduli in (along, across))
    solid = thickness**3 / 12 / (1 - BIRCH_POISSON**2)
    return Stiffness(
        along=first * solid,
        across=other * solid,
        coupled=BIRCH_POISSON * math.sqrt(first * other) * solid,
        twisting=BIRCH_SHEAR * thickness**3 / 12,
    )


def round_board(load: float, diameter: float, patch: float, stiffness: Stiffness) -> float:
    """Deflection, m, of the middle of a round board carried all round its edge.

    load: N. patch: m, the side of the square that it is spread over, taken as the circle of equal area; 0 is
    a point. diameter: m, of the support. A board that is not alike both ways counts as the one alike that
    its stiffness makes, averaged round the circle: 2 % or less short for birch plywood from 9 mm.
    Raises ValueError outside these, or for a patch that reaches over the edge.
    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, articles 16 and 85.
    """
    require_positive(load=load, diameter=diameter)
    require_not_negative(patch=patch)
    edge, loaded = diameter / 2, patch / math.sqrt(math.pi)
    if loaded > edge:
        raise ValueError(f"patch must lie on the board, not reach {loaded} m of {edge} m")
    both = stiffness.along + stiffness.across
    bending = (3 * both + 2 * stiffness.coupled + 4 * stiffness.twisting) / 8
    poisson = (both + 6 * stiffness.coupled - 4 * stiffness.twisting) / 8 / bending
    shape = (3 + poisson) / (1 + poisson) * edge**2
    if loaded > 0:
        spread = math.log(loaded / edge) - (7 + 3 * poisson) / (4 * (1 + poisson))
        shape += loaded**2 * spread
    return load * shape / (16 * math.pi * bending)


def rectangular_board(load: float, span: float, width: float, patch: float, stiffness: Stiffness) -> float:
    """Deflection, m, of the middle of a rectangular board carried along all four edges.

    span, width: m, between supports, the stiffness along and across. patch: side of the loaded square, m,
    above 0 and on the board. The rest as in `round_board`. Raises ValueError outside these.
    Source: Navier's double series; Timoshenko and Woinowsky-Krieger, articles 29 and 85.
    """
    _require_on_board(load, span, width, patch)
    along = np.sin(TERMS * math.pi * patch / (2 * span)) / TERMS
    across = np.sin(TERMS * math.pi * patch / (2 * width)) / TERMS
    one, other = (TERMS / span) ** 2, (TERMS / width) ** 2
    twisted = 2 * (stiffness.coupled + 2 * stiffness.twisting)
    curvature = (
        np.add.outer(stiffness.along * one**2, stiffness.across * other**2)
        + twisted * np.multiply.outer(one, other)
    )  # fmt: skip
    total = float(np.sum(np.multiply.outer(along, across) / curvature))
    return 16 * load / (math.pi**6 * patch**2) * total


WAVES = np.arange(1, 12, 2)
"""Half waves of a strip from support to support."""
DEGREES = 27
"""Polynomials across a strip, from free edge to free edge."""
EVEN, LOWEST = slice(0, None, 2), slice(0, 14)
"""Those that a load in the middle bends, and those that do for one at an edge."""


@cache
def quadrature() -> tuple[FloatArray, FloatArray]:
    """Places and weights (ratios) of Gauss's quadrature from -1 to 1 at 40 places.

    Source: G. H. Golub and J. H. Welsch, Calculation of Gauss quadrature rules (1969), from memory.
    """
    steps = np.arange(1, 40)
    beside = np.diag(steps / np.sqrt(4 * steps**2 - 1.0), 1)
    places, vectors = np.linalg.eigh(beside + beside.T)
    return places, 2 * vectors[0] ** 2


def _across(at: FloatArray) -> FloatArray:
    """Each Legendre polynomial at places from -1 to 1, by its recurrence."""
    rows = [np.ones_like(at), at]
    for degree in range(1, DEGREES - 1):
        rows.append(((2 * degree + 1) * at * rows[-1] - degree * rows[-2]) / (degree + 1))
    return np.array(rows)


def _slopes(rows: FloatArray) -> FloatArray:
    """The derivatives of polynomials whose next is the one before the last, and (2n + 1) times this."""
    slopes = [np.zeros_like(rows[0]), rows[0]]
    for degree in range(1, DEGREES - 1):
        slopes.append(slopes[-2] + (2 * degree + 1) * rows[degree])
    return np.array(slopes)


@cache
def _polynomials() -> tuple[FloatArray, FloatArray, FloatArray]:
    """The polynomials at the places of the quadrature, then their first and second derivatives."""
    bent = _across(quadrature()[0])
    sloped = _slopes(bent)
    return bent, sloped, _slopes(sloped)


def strip_board(
    load: float, span: float, width: float, patch: float, stiffness: Stiffness, *, at_edge: bool = False
) -> float:
    """Deflection, m, under the load of a board carried at two ends, its two other edges free.

    span: m, between the supports, the stiffness along. width: m, from free edge to free edge; beyond three
    spans and the patch more width carries nothing. at_edge: whether the loaded square lies against a free
    edge and the deflection is that edge's, not the middle's. The rest as in `rectangular_board`.
    Raises ValueError outside these.
    Source: Lévy's single series, Timoshenko and Woinowsky-Krieger, articles 30 and 85; across by Ritz.
    """
    _require_on_board(load, span, width, patch)
    width = min(width, 3 * span + patch)
    half = width / 2
    waves = WAVES * math.pi / span
    square = (waves**2)[:, None, None]
    used = LOWEST if at_edge else EVEN
    points, weights = quadrature()
    bent, sloped, curved = _polynomials()
    first, second, third = bent[used], sloped[used] / half, curved[used] / half**2
    bent, sloped = (first * weights) @ first.T, (second * weights) @ second.T
    both, curved = (first * weights) @ third.T, (third * weights) @ third.T
    energy = (
        stiffness.along * square**2 * bent
        - stiffness.coupled * square * (both + both.T)
        + 4 * stiffness.twisting * square * sloped
        + stiffness.across * curved
    ) * (span / 2 * half)
    reach = patch / width
    middle = 1 - reach if at_edge else 0.0
    spread = _across(middle + reach * points)[used] @ weights / 2
    lobes = np.sin(WAVES * math.pi / 2)
    forces = load * lobes * np.sin(waves * patch / 2) / (waves * patch / 2)
    shares = np.linalg.solve(energy, forces[:, None, None] * spread[None, :, None])[:, :, 0]
    place = _across(np.array([1.0 if at_edge else 0.0]))[used, 0]
    return float(np.sum((shares @ place) * lobes))


def _require_on_board(load: float, span: float, width: float, patch: float) -> None:
    require_positive(load=load, span=span, width=width, patch=patch)
    if patch > min(span, width):
        raise ValueError(f"patch must lie on the board: {patch} m is wider than {min(span, width)} m")
