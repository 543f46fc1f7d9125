"""Cables: resistance, voltage drop, the size that meets a drop, and the current a size carries.

Resistance tables name their standard and how sure we are of them. ``PUBLISHED`` rows were read in
print; ``MEMORY`` rows were not, and whoever shows one must add "check the cable's data sheet".

Sources: IEC 60028:1925 (copper), IEC 60228:2004 class 5 (flexible conductors), ISO 6722-1:2011
(road-vehicle cable, from memory), ASTM B258 (American wire gauge), ISO 10133 (continuous currents,
from memory), IEC 60364-5-54 annex A (short-circuit constant).
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from calculators.physics.checking import (
    require_finite,
    require_not_negative,
    require_positive,
)
from calculators.physics.confidence import Confidence

Conductor = Literal["copper", "copper-clad-aluminium"]
ReturnPath = Literal["cable", "body"]
COPPER_RESISTIVITY = 1.0 / 58.0e6
"""Resistivity of annealed copper at 20 degrees Celsius, ohm metres. IEC 60028:1925."""

COPPER_TEMPERATURE_COEFFICIENT = 0.00393
"""Rise of copper's resistance per kelvin, relative to 20 degrees Celsius. IEC 60028:1925."""

COPPER_CLAD_RESISTANCE_RATIO = 1.65
"""Resistance of copper-clad aluminium over copper of the same area.

Wire of 10 % copper by volume (class 10A of ASTM B566) has at least 62.9 % of copper's
conductivity by a wire maker's table, so 1.59 times the resistance. Cable sold to the trade varies:
1.55 to 1.65 is common practice, no source, and the worst of it is used here.
"""

GAUGE_STRANDING_RATIO = 1.16
"""Resistance of a flexible gauge cable over a solid wire of the gauge's area.

No table of flexible gauge cable was at hand: this is the worst ratio in IEC 60228 class 5 (1.157),
rounded up. Common practice, no source.
"""

REFERENCE_AMBIENT = 30.0
"""Air temperature at which the continuous currents hold, degrees Celsius."""


@dataclass(frozen=True)
class CableSize:
    """One standard size: ``area`` in m2, ``resistance`` in ohm per metre at 20 degrees Celsius.

    The resistance is the most the standard allows for plain copper.
    """

    name: str
    area: float
    resistance: float


@dataclass(frozen=True)
class SizeTable:
    """The sizes of one standard, smallest first, and how its figures are known."""

    standard: str
    confidence: Confidence
    sizes: tuple[CableSize, ...]


def _metric(rows: dict[float, float]) -> tuple[CableSize, ...]:
    """Sizes from mm2 and milliohm per metre as the standards print them."""
    return tuple(CableSize(f"{area:g} mm²", area * 1e-6, milliohm * 1e-3) for area, milliohm in rows.items())


# IEC 60228:2004 table 3, class 5, plain copper, ohm per km = milliohm per metre. Read in print.
FLEXIBLE_SIZES = SizeTable(
    "IEC 60228 class 5",
    "published",
    _metric(
        {
            0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30,
            10.0: 1.91, 16.0: 1.21, 25.0: 0.780, 35.0: 0.554, 50.0: 0.386, 70.0: 0.272,
            95.0: 0.206, 120.0: 0.161,
        }
    ),
)  # fmt: skip

# The same table, tinned copper. Read in print.
TINNED_FLEXIBLE_SIZES = SizeTable(
    "IEC 60228 class 5, tinned",
    "published",
    _metric(
        {
            0.5: 40.1, 0.75: 26.7, 1.0: 20.0, 1.5: 13.7, 2.5: 8.21, 4.0: 5.09, 6.0: 3.39,
            10.0: 1.95, 16.0: 1.24, 25.0: 0.795, 35.0: 0.565, 50.0: 0.393, 70.0: 0.277,
            95.0: 0.210, 120.0: 0.164,
        }
    ),
)  # fmt: skip

# ISO 6722-1:2011, bare copper, milliohm per metre. From memory, but 1.5 mm2 was seen in print.
VEHICLE_SIZES = SizeTable(
    "ISO 6722-1",
    "memory",
    _metric(
        {
            0.35: 54.4, 0.5: 37.1, 0.75: 24.7, 1.0: 18.5, 1.5: 12.7, 2.5: 7.60, 4.0: 4.71,
            6.0: 3.14, 10.0: 1.82, 16.0: 1.16, 25.0: 0.743, 35.0: 0.527, 50.0: 0.368,
            70.0: 0.259, 95.0: 0.196,
        }
    ),
)  # fmt: skip

# mm2: continuous ampere by conductor temperature limit. ISO 10133 annex A, from memory; the values
# stay under the boat wiring law 33 CFR 183.425 table 5 (read in print, see the tests).
_ISO_10133_LIMITS = (60.0, 70.0, 85.0, 105.0)
_ISO_10133_CURRENTS: dict[float, tuple[float, float, float, float]] = {
    0.75: (6, 10, 12, 16), 1.0: (8, 14, 18, 20), 1.5: (12, 18, 21, 25), 2.5: (17, 25, 30, 35),
    4.0: (22, 35, 40, 45), 6.0: (29, 45, 50, 60), 10.0: (40, 65, 70, 90),
    16.0: (54, 90, 100, 130), 25.0: (71, 120, 140, 170), 35.0: (87, 160, 185, 210),
    50.0: (105, 210, 230, 270), 70.0: (135, 265, 285, 330), 95.0: (165, 310, 330, 390),
    120.0: (190, 360, 400, 450),
}  # fmt: skip

# mm2: ampere to plan with, for a cable under carpet, in a bundle or in a sleeve. Common practice,
# no source: about four fifths of the ISO 10133 figure for 70 degree insulation.
_PLANNING_CURRENTS: dict[float, float] = {
    0.75: 7.5, 1.0: 10, 1.5: 14, 2.5: 20, 4.0: 28, 6.0: 36, 10.0: 52, 16.0: 75, 25.0: 100,
    35.0: 130, 50.0: 170, 70.0: 215, 95.0: 250, 120.0: 290,
}  # fmt: skip

# Cables bunched in a sleeve: what is left of the current of each, by how many are loaded. IEC 60364-5-52
# table B.52.17, from memory, by analogy: it counts circuits, here each loaded cable counts.
_BUNDLE_SHARES = {1: 1.0, 2: 0.8, 3: 0.7, 4: 0.65, 5: 0.6, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.5, 12: 0.45}

INSULATION_LIMITS: dict[str, float] = {
    "general-pvc": 70.0,
    "vehicle-class-a": 85.0,
    "vehicle-class-b": 100.0,
    "boat-cable": 105.0,
    "vehicle-class-c": 125.0,
    "vehicle-class-d": 150.0,
    "silicone": 180.0,
    "silicone-200": 200.0,
}
"""Hottest the conductor may stay, degrees Celsius, by insulation.

General PVC: IEC 60364-5-52. Classes A (85), B (100), C (125), D (150): ISO 19642, formerly ISO 6722-1.
Boat cable: 105. Silicone rubber: 180, some of it 200. All from memory: the figure printed on the
cable's sheath or data sheet stands above these.
"""

PLANNING_LIMIT = 70.0
"""Degrees Celsius that a conductor settles at, at most, with its planning current in air of 30."""


def gauge_diameter(gauge: int) -> float:
    """Diameter in metres of a solid wire by American wire gauge. ASTM B258.

    ``gauge`` runs from -3 (4/0), -2 (3/0), -1 (2/0), 0 (1/0) up to 40. Raises ``ValueError``
    outside.
    """
    if not -3 <= gauge <= 40:
        raise ValueError(f"gauge must be from -3 (4/0) to 40, not {gauge}")
    return float(0.127e-3 * 92.0 ** ((36 - gauge) / 39.0))


def gauge_area(gauge: int) -> float:
    """Area in m2 of a solid wire by American wire gauge; see `gauge_diameter`."""
    return math.pi / 4.0 * gauge_diameter(gauge) ** 2


def gauge_name(gauge: int) -> str:
    """Name as printed on the drum: ``4/0 AWG`` for -3, ``8 AWG`` for 8."""
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def ideal_resistance(area: float) -> float:
    """Resistance in ohm per metre at 20 degrees Celsius of solid copper of ``area`` m2."""
    require_positive(area=area)
    return COPPER_RESISTIVITY / area


GAUGE_SIZES = SizeTable(
    "ASTM B258 areas, flexible cable",
    "common-practice",
    tuple(
        CableSize(
            gauge_name(gauge),
            gauge_area(gauge),
            ideal_resistance(gauge_area(gauge)) * GAUGE_STRANDING_RATIO,
        )
        for gauge in (20, 18, 16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2, -3)
    ),
)


def temperature_factor(temperature: float) -> float:
    """Resistance of copper at ``temperature`` (degrees Celsius) over that at 20. IEC 60028.

    Used for copper-clad aluminium too, whose coefficient differs by a few parts in a hundred.
    Raises ``ValueError`` below -200, where the straight line no longer holds.
    """
    require_finite(temperature=temperature)
    if temperature < -200.0:
        raise ValueError(f"temperature must be -200 or more, not {temperature}")
    return 1.0 + COPPER_TEMPERATURE_COEFFICIENT * (temperature - 20.0)


def metal_factor(conductor: Conductor) -> float:
    """Resistance of the conductor's metal over copper: 1, or 1.65 for copper-clad aluminium."""
    if conductor == "copper":
        return 1.0
    if conductor == "copper-clad-aluminium":
        return COPPER_CLAD_RESISTANCE_RATIO
    raise ValueError(f"conductor must be copper or copper-clad-aluminium, not {conductor}")


def conductor_length(length: float, return_path: ReturnPath) -> float:
    """Metres of cable that the current runs through, for a route of ``length`` one way.

    The return by cable counts the route twice. The return by the body counts it once: the body
    itself is added as a resistance, see ``extra_resistance`` in `run_resistance`.
    """
    require_not_negative(length=length)
    if return_path not in ("cable", "body"):
        raise ValueError(f"return path must be cable or body, not {return_path}")
    return 2.0 * length if return_path == "cable" else length


def run_resistance(
    resistance: float,
    total_length: float,
    temperature: float = 20.0,
    conductor: Conductor = "copper",
    extra_resistance: float = 0.0,
) -> float:
    """Resistance in ohm of a whole run: cable of both ways, plus joints, fuse and body.

    ``resistance`` is the table's, ohm per metre at 20 degrees Celsius; ``total_length`` is the
    metres of cable from `conductor_length`; ``temperature`` is the conductor's; the
    ``extra_resistance`` of joints, fuse holder and body is in ohm.
    """
    require_positive(resistance=resistance)
    require_not_negative(total_length=total_length, extra_resistance=extra_resistance)
    factor = temperature_factor(temperature) * metal_factor(conductor)
    return resistance * total_length * factor + extra_resistance


def cable_loss(current: float, resistance: float) -> float:
    """Watts turned to heat when ``current`` ampere runs through ``resistance`` ohm."""
    require_not_negative(current=current, resistance=resistance)
    return current**2 * resistance


def _drop_left(current: float, allowed_drop: float, extra_resistance: float) -> float:
    """Volts left for the cable itself once joints and body have had theirs."""
    require_positive(current=current, allowed_drop=allowed_drop)
    require_not_negative(extra_resistance=extra_resistance)
    left = allowed_drop - current * extra_resistance
    if left <= 0.0:
        raise ValueError("joints and body alone lose more than the allowed drop: no cable can help")
    return left


def smallest_area(
    current: float,
    total_length: float,
    allowed_drop: float,
    temperature: float = 20.0,
    conductor: Conductor = "copper",
    extra_resistance: float = 0.0,
) -> float:
    """Area in m2 of a solid conductor that loses just ``allowed_drop`` volts.

    A flexible cable of this area loses more: pick a size by its own resistance. Raises
    ``ValueError`` where ``extra_resistance`` alone takes the whole drop.
    """
    left = _drop_left(current, allowed_drop, extra_resistance)
    require_positive(total_length=total_length)
    factor = temperature_factor(temperature) * metal_factor(conductor)
    return COPPER_RESISTIVITY * factor * total_length * current / left


def longest_run(
    resistance: float,
    current: float,
    allowed_drop: float,
    temperature: float = 20.0,
    conductor: Conductor = "copper",
    extra_resistance: float = 0.0,
) -> float:
    """Metres of cable, both ways counted, that lose just ``allowed_drop`` volts.

    Arguments and errors as `run_resistance` and `smallest_area`.
    """
    left = _drop_left(current, allowed_drop, extra_resistance)
    return left / (current * run_resistance(resistance, 1.0, temperature, conductor))


def ambient_factor(ambient: float, insulation_limit: float) -> float:
    """What is left of the continuous current in air of ``ambient`` degrees Celsius.

    The heat a cable sheds falls with the gap between its limit and the air, so the current falls
    with the root: sqrt((limit - ambient)/(limit - 30)). 1 at 30 and below (no credit for cold), 0
    at the limit and above. Agrees with the tables of IEC 60364-5-52 and 33 CFR 183.425.
    """
    require_finite(ambient=ambient)
    if not 40.0 <= insulation_limit <= 250.0:
        raise ValueError(f"insulation limit must be 40 to 250, not {insulation_limit}")
    left = (insulation_limit - ambient) / (insulation_limit - REFERENCE_AMBIENT)
    return math.sqrt(min(max(left, 0.0), 1.0))


def bundle_factor(together: float) -> float:
    """What is left of a planning current where ``together`` loaded cables lie in one sleeve, 1 to 12.

    1 for one and for two: the planning currents count a neighbour already. From there as IEC
    60364-5-52 table B.52.17 falls (from memory, by analogy). Raises ``ValueError`` outside 1 to 12.
    """
    if not 1 <= together <= 12:
        raise ValueError(f"cables together must be 1 to 12, not {together}")
    share = float(np.interp(together, list(_BUNDLE_SHARES), list(_BUNDLE_SHARES.values())))
    return min(share / _BUNDLE_SHARES[2], 1.0)


def _current_by_area(area: float, currents: dict[float, float]) -> float:
    """Straight line in log-log between the sizes; below the smallest in proportion to the area.

    Above the largest size the current stays: nothing is promised beyond the table.
    """
    areas = np.array(list(currents)) * 1e-6
    amperes = np.array(list(currents.values()), dtype=float)
    if area < areas[0]:
        return float(amperes[0] * area / areas[0])
    logarithm = np.interp(math.log(area), np.log(areas), np.log(amperes))
    # Nine decimals, so that 2.5 mm2 gives 20 A and not a hair less, which would cost it its fuse.
    return round(math.exp(logarithm), 9)


def continuous_current(
    area: float,
    insulation_limit: float = 70.0,
    ambient: float = REFERENCE_AMBIENT,
    conductor: Conductor = "copper",
    together: float = 1,
) -> float:
    """Ampere a cable of ``area`` m2 may carry for hours, which no fuse may exceed.

    The lower of a planning current for cable under carpet (common practice, no source) and of the
    ISO 10133 figure (from memory) for the nearest class at or below ``insulation_limit`` (degrees
    Celsius, 60 to 250), less for hot air and for copper-clad aluminium (same heat: less by the root
    of the resistance ratio), and less with ``together`` loaded cables in one sleeve, see
    `bundle_factor`. Always print "check the cable's data sheet" beside it.
    """
    require_positive(area=area)
    if not _ISO_10133_LIMITS[0] <= insulation_limit <= 250.0:
        raise ValueError(f"insulation limit must be 60 to 250, not {insulation_limit}")
    column = max(i for i, limit in enumerate(_ISO_10133_LIMITS) if limit <= insulation_limit)
    by_class = {size: row[column] for size, row in _ISO_10133_CURRENTS.items()}
    base = min(_current_by_area(area, by_class), _current_by_area(area, _PLANNING_CURRENTS))
    shared = base * bundle_factor(together)
    return shared * ambient_factor(ambient, insulation_limit) / math.sqrt(metal_factor(conductor))


def conductor_temperature(current: float, carried: float, ambient: float, insulation_limit: float) -> float:
    """Degrees Celsius the conductor settles at, from the heat balance at its continuous current.

    ``carried`` is the `continuous_current` at 30 degrees, at which it reaches ``insulation_limit``;
    the rise goes with the square of the current. An estimate: the planning current leaves a margin,
    so a real cable runs cooler.
    """
    require_positive(carried=carried)
    require_not_negative(current=current)
    require_finite(ambient=ambient, insulation_limit=insulation_limit)
    return ambient + (insulation_limit - REFERENCE_AMBIENT) * (current / carried) ** 2


def loaded_temperature(
    area: float,
    current: float,
    ambient: float,
    insulation_limit: float,
    conductor: Conductor = "copper",
    together: float = 1,
) -> float:
    """Degrees Celsius of a conductor of ``area`` m2 that carries ``current`` ampere for hours.

    `conductor_temperature` from the planning current, which warms any conductor by 40 K at most,
    whatever its insulation. Stops at the limit of the insulation, or at the air where that is hotter: a
    cable beyond it fails by heat before its drop is asked for.
    """
    carried = continuous_current(area, PLANNING_LIMIT, REFERENCE_AMBIENT, conductor, together)
    settled = conductor_temperature(current, carried, ambient, PLANNING_LIMIT)
    return min(settled, max(insulation_limit, ambient))


def short_circuit_constant(start: float = 70.0, end: float = 160.0, conductor: Conductor = "copper") -> float:
    """Constant k of the adiabatic rule I2 t <= k2 S2, in A s^0.5 / m2.

    k = K sqrt(ln((beta + end)/(beta + start))) with K 226 and beta 234.5 for copper, 148 and 228
    for aluminium, which stands in for copper-clad aluminium (IEC 60364-5-54 annex A, from memory).
    Temperatures in degrees Celsius; 160 is the end for PVC. Raises ``ValueError`` unless ``end``
    is above ``start``.
    """
    if not -200.0 < start < end <= 400.0:
        raise ValueError(f"end temperature {end} must be above the start {start}")
    metal_factor(conductor)
    constant, beta = (226.0, 234.5) if conductor == "copper" else (148.0, 228.0)
    return constant * 1e6 * math.sqrt(math.log((beta + end) / (beta + start)))


def withstand_energy(area: float, constant: float) -> float:
    """Joule integral k2 S2 in A2 s that a conductor of ``area`` m2 outlives.

    ``constant`` is from `short_circuit_constant`. IEC 60364-4-43 (clause 434.5.2 from memory);
    holds for up to 5 s.
    """
    require_positive(area=area, constant=constant)
    return (constant * area) ** 2
