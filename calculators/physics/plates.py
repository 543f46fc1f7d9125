"""How far a flat board bends under a load on a patch in its middle.

Thin boards on edges that carry but do not clamp; small deflections. A real lid on a soft seal bends more.
"""

import math

import numpy as np

from calculators.physics.checking import require_not_negative, require_positive
from calculators.physics.panels import bending_stiffness

TERMS = np.arange(1, 120, 2)
"""Half waves of the double series: odd ones alone bend the middle."""


def round_board(
    load: float, diameter: float, patch: float, modulus: float, thickness: float, poisson: float
) -> float:
    """Deflection, m, of the middle of a round board carried all round its edge.

    load: N. patch: m, the side of the square that it is spread over, taken as the circle of equal area; 0 is
    a point. diameter: m, of the support. modulus: Pa. thickness: m. poisson: ratio, 0 to below 1.
    Raises ValueError outside these, or for a patch that reaches over the edge.
    Source: Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, article 16.
    """
    require_positive(load=load, diameter=diameter)
    require_not_negative(patch=patch)
    edge, loaded = diameter / 2, patch / math.sqrt(math.pi)
    if loaded > edge:
        raise ValueError(f"patch must lie on the board, not reach {loaded} m of {edge} m")
    stiffness = bending_stiffness(modulus, thickness, poisson)
    shape = (3 + poisson) / (1 + poisson) * edge**2
    if loaded > 0:
        spread = math.log(loaded / edge) - (7 + 3 * poisson) / (4 * (1 + poisson))
        shape += loaded**2 * spread
    return load * shape / (16 * math.pi * stiffness)


def rectangular_board(
    load: float, span: float, width: float, patch: float, modulus: float, thickness: float, poisson: float
) -> float:
    """Deflection, m, of the middle of a rectangular board carried along all four edges.

    span, width: m, between supports. patch: side of the loaded square, m, above 0 and on the board. The rest
    as in `round_board`. Raises ValueError outside these.
    Source: Navier's double series; Timoshenko and Woinowsky-Krieger, article 29.
    """
    require_positive(load=load, span=span, width=width, patch=patch)
    if patch > min(span, width):
        raise ValueError(f"patch must lie on the board: {patch} m is wider than {min(span, width)} m")
    stiffness = bending_stiffness(modulus, thickness, poisson)
    along = np.sin(TERMS * math.pi * patch / (2 * span)) / TERMS
    across = np.sin(TERMS * math.pi * patch / (2 * width)) / TERMS
    curvature = np.add.outer((TERMS / span) ** 2, (TERMS / width) ** 2) ** 2
    total = float(np.sum(np.multiply.outer(along, across) / curvature))
    return 16 * load / (math.pi**6 * stiffness * patch**2) * total


def strip_board(load: float, span: float, width: float, modulus: float, thickness: float) -> float:
    """Deflection, m, of a strip carried at two ends, the load along a line across its middle: P·L³/48·E·I.

    load: N. span: m between the supports. width: m of the strip that bends. modulus: Pa. thickness: m.
    All above 0. Raises ValueError if one is not.
    Source: beam theory, Timoshenko, Strength of Materials.
    """
    require_positive(load=load, span=span, width=width, modulus=modulus, thickness=thickness)
    return load * span**3 / (48 * modulus * width * thickness**3 / 12)
