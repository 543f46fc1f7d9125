"""What holds a thing in a crash: the load on each fixing, and what bolt and sheet bear.

Forms of the standards for bolts in thin sheet, used as an estimate: real sheet is pressed, painted and
rusts, and its joint is not one of a test rig.
"""

from dataclasses import dataclass

from calculators.physics.checking import require_not_negative, require_positive

GRAVITY = 9.80665
"""Standard acceleration of free fall, m/s² (ISO 80000-3)."""

BOLT_AREAS = {
    0.004: 8.78e-6,
    0.005: 14.2e-6,
    0.006: 20.1e-6,
    0.008: 36.6e-6,
    0.010: 58.0e-6,
    0.012: 84.3e-6,
}
"""Tensile stress area, m², of coarse threads by their diameter, m (ISO 898-1, from memory)."""

BOLT_CLASSES = {
    "4.8": (400e6, 0.5),
    "5.8": (500e6, 0.5),
    "8.8": (800e6, 0.6),
    "10.9": (1000e6, 0.5),
    "a2-70": (700e6, 0.5),
}
"""Nominal tensile strength, Pa, and shear over it with the thread in the joint (EN 1993-1-8, tables 3.1
and 3.4; stainless bolts: ISO 3506-1, and 0.5 on the safe side; from memory)."""

TENSION_SHARE = 0.9
"""Of a bolt's tensile strength, what is counted along it (EN 1993-1-8, table 3.4, from memory)."""


@dataclass(frozen=True)
class Strength:
    """Most that a part bears. pull: N along the bolt. shear: N across it."""

    pull: float
    shear: float

    def used(self, pull: float, shear: float) -> float:
        """Part of the strength that both loads (N, 0 or more) use up together: the sum of their shares.

        Source: EN 1993-1-3, clause 8.3 (8), fasteners under shear and tension, from memory.
        """
        require_not_negative(pull=pull, shear=shear)
        return pull / self.pull + shear / self.shear


def counted(fixings: int) -> int:
    """How many of the fixings are counted: half, rounded down, for loads do not share evenly.

    fixings: number, 2 or more. Raises ValueError for fewer.
    Source: common practice.
    """
    if fixings < 2:
        raise ValueError(f"fixings must be 2 or more, not {fixings}")
    return fixings // 2


def counted_in_row(fixings: int) -> int:
    """How many of one row's are counted, of two rows: half of the shorter row, rounded down, 1 at least.

    fixings: number in both rows together, 2 or more. Raises ValueError for fewer.
    Source: common practice.
    """
    return max(1, counted(fixings) // 2)


def overturning_pull(force: float, height: float, row_spacing: float, in_row: int) -> float:
    """Pull, N, on each fixing of the row that a load across the bolts tends to lift: F·h/(n·s).

    force: N. height: m, centre of mass over the face it is fixed to; 0 or more. row_spacing: m from
    the lifted row to the other, which it turns about. in_row: fixings of the row that are counted, 1 or more.
    Raises ValueError outside these. Source: balance of moments.
    """
    require_not_negative(force=force, height=height)
    require_positive(row_spacing=row_spacing, in_row=in_row)
    return force * height / (in_row * row_spacing)


def bolt_strength(area: float, strength: float, shear_share: float, factor: float) -> Strength:
    """Of a bolt with its thread in the joint: 0.9·strength·area along it, shear_share·strength·area across.

    area: m², tensile stress area. strength: nominal tensile strength, Pa. shear_share: ratio, shear strength
    over it. factor: partial factor, which divides both. All above 0. Raises ValueError if one is not.
    Source: EN 1993-1-8, table 3.4, from memory.
    """
    require_positive(area=area, strength=strength, shear_share=shear_share, factor=factor)
    whole = area * strength / factor
    return Strength(TENSION_SHARE * whole, shear_share * whole)


def sheet_strength(
    diameter: float, washer: float, thickness: float, strength: float, edge: float, factor: float
) -> Strength:
    """Of sheet under a bolt's washer, plate or nut: pulled through, and torn sideways by the bolt.

    Pull: washer·thickness·strength. Shear: 2.5·a·k·strength·diameter·thickness, with a = edge/(3·diameter),
    1 at most, and k = (0.8·thickness + 1.5)/2.5, thickness in mm, 1 at most. Both over the partial factor.
    diameter: m, of the bolt. washer: m, across what bears on the sheet. thickness: m. strength: tensile,
    Pa. edge: m, middle of the hole to the sheet's edge. factor: partial factor. All above 0. The form for
    bearing is meant for sheet from 0.75 mm, the one for pulling through for screws: under bolts in thinner
    sheet both are outside their range, an estimate.
    Raises ValueError if one is not above 0.
    Source: EN 1993-1-3, tables 8.2 and 8.4, from memory.
    """
    require_positive(
        diameter=diameter, washer=washer, thickness=thickness, strength=strength, edge=edge, factor=factor
    )
    near_edge = min(1.0, edge / (3 * diameter))
    thin = min(1.0, (0.8 * 1e3 * thickness + 1.5) / 2.5)
    return Strength(
        pull=washer * thickness * strength / factor,
        shear=2.5 * near_edge * thin * strength * diameter * thickness / factor,
    )


def stopping(speed: float, deceleration: float) -> tuple[float, float]:
    """Distance, m, and time, s, of an even stop: v²/2a and v/a.

    speed: m/s, above 0. deceleration: m/s², above 0. Raises ValueError if one is not.
    Source: kinematics.
    """
    require_positive(speed=speed, deceleration=deceleration)
    return speed**2 / (2 * deceleration), speed / deceleration
