"""Cables: resistance, voltage drop, the size that meets a drop, and the current a size carries.

Resistance tables name their standard and how sure we are of them. PUBLISHED rows were read in
print; MEMORY rows were not, and whoever shows one must add "check the cable's data sheet".

Sources: IEC 60028:1925 (copper), IEC 60228:2004 class 5 (flexible conductors), ISO 6722-1:2011
(road-vehicle cable, from memory), ASTM B258 (American wire gauge), ISO 10133 (continuous currents,
from memory), IEC 60364-5-54 annex A (short-circuit constant).
"""

import math
from dataclasses import dataclass
from functools import lru_cache
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
"""Resistivity of annealed copper at 20 °C, ohm metres. IEC 60028:1925."""

COPPER_TEMPERATURE_COEFFICIENT = 0.00393
"""Rise of copper's resistance per kelvin, relative to 20 °C. IEC 60028:1925."""

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
"""Air temperature at which the continuous currents hold, °C."""


@dataclass(frozen=True)
class CableSize:
    """One standard size. area: m². resistance: Ω per m at 20 °C, the most the standard allows for copper."""

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
    """Sizes from mm² and milliohm per metre as the standards print them."""
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

# ISO 6722-1:2011, bare copper, milliohm per metre. From memory, but 1.5 mm² was seen in print.
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

# mm²: continuous ampere by conductor temperature limit. ISO 10133 annex A, from memory; the values
# stay under the boat wiring law 33 CFR 183.425 table 5 (read in print, see the tests).
_ISO_10133_LIMITS = (60.0, 70.0, 85.0, 105.0)
_ISO_10133_CURRENTS: dict[float, tuple[float, float, float, float]] = {
    0.75: (6, 10, 12, 16), 1.0: (8, 14, 18, 20), 1.5: (12, 18, 21, 25), 2.5: (17, 25, 30, 35),
    4.0: (22, 35, 40, 45), 6.0: (29, 45, 50, 60), 10.0: (40, 65, 70, 90),
    16.0: (54, 90, 100, 130), 25.0: (71, 120, 140, 170), 35.0: (87, 160, 185, 210),
    50.0: (105, 210, 230, 270), 70.0: (135, 265, 285, 330), 95.0: (165, 310, 330, 390),
    120.0: (190, 360, 400, 450),
}  # fmt: skip

# mm²: ampere to plan with, for a cable under carpet, in a bundle or in a sleeve. Common practice,
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
"""Hottest the conductor may stay, °C, by insulation.

General PVC: IEC 60364-5-52. Classes A (85), B (100), C (125), D (150): ISO 19642, formerly ISO 6722-1.
Boat cable: 105. Silicone rubber: 180, some of it 200. All from memory: the figure printed on the
cable's sheath or data sheet stands above these.
"""

PLANNING_LIMIT = 70.0
"""Degrees Celsius that a conductor settles at, at most, with its planning current in air of 30."""


def gauge_diameter(gauge: int) -> float:
    """Diameter, m, of a solid wire by American wire gauge.

    gauge: number, -3 (4/0), -2 (3/0), -1 (2/0), 0 (1/0) and up to 40.
    Raises ValueError outside that range.
    Source: ASTM B258.
    """
    if not -3 <= gauge <= 40:
        raise ValueError(f"gauge must be from -3 (4/0) to 40, not {gauge}")
    return float(0.127e-3 * 92.0 ** ((36 - gauge) / 39.0))


def gauge_area(gauge: int) -> float:
    """Area, m², of a solid wire by American wire gauge.

    Arguments, errors and source as in `gauge_diameter`.
    """
    return math.pi / 4.0 * gauge_diameter(gauge) ** 2


def gauge_name(gauge: int) -> str:
    """Name as printed on the drum: 4/0 AWG for -3, 8 AWG for 8. Arguments as in `gauge_diameter`."""
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def ideal_resistance(area: float) -> float:
    """Resistance, Ω per m at 20 °C, of solid copper of an area.

    area: m², above 0. Raises ValueError if it is not.
    Source: IEC 60028:1925.
    """
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
    """Resistance of copper at a temperature (°C) over that at 20, a ratio.

    Used for copper-clad aluminium too, whose coefficient differs by a few parts in a hundred.
    Raises ValueError below -200, where the straight line no longer holds.
    Source: IEC 60028:1925.
    """
    require_finite(temperature=temperature)
    if temperature < -200.0:
        raise ValueError(f"temperature must be -200 or more, not {temperature}")
    return 1.0 + COPPER_TEMPERATURE_COEFFICIENT * (temperature - 20.0)


def metal_factor(conductor: Conductor) -> float:
    """Resistance of the conductor's metal over copper, a ratio: 1, or 1.65 for copper-clad aluminium.

    Raises ValueError for another conductor.
    Source: that of `COPPER_CLAD_RESISTANCE_RATIO`.
    """
    if conductor == "copper":
        return 1.0
    if conductor == "copper-clad-aluminium":
        return COPPER_CLAD_RESISTANCE_RATIO
    raise ValueError(f"conductor must be copper or copper-clad-aluminium, not {conductor}")


def conductor_length(length: float, return_path: ReturnPath) -> float:
    """Length, m, of cable that the current runs through, for a route of a length one way.

    length: m, 0 or more. The return by cable counts the route twice. The return by the body counts it
    once: the body itself is added as a resistance, see extra_resistance in `run_resistance`.
    Raises ValueError for a length below 0 or another return.
    Source: definition.
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
    """Resistance, Ω, of a whole run: cable of both ways, plus joints, fuse and body.

    resistance: Ω per m at 20 °C, above 0, the table's. total_length: m, 0 or more, from
    `conductor_length`. temperature: °C, the conductor's. extra_resistance: Ω, 0 or more, of joints, fuse
    holder and body.
    Raises ValueError outside those ranges.
    Source: IEC 60028:1925 for the temperature; definition.
    """
    require_positive(resistance=resistance)
    require_not_negative(total_length=total_length, extra_resistance=extra_resistance)
    factor = temperature_factor(temperature) * metal_factor(conductor)
    return resistance * total_length * factor + extra_resistance


def cable_loss(current: float, resistance: float) -> float:
    """Power, W, turned to heat in a conductor: I²·R.

    current: A, 0 or more. resistance: Ω, 0 or more. Raises ValueError below 0.
    Source: Joule's law.
    """
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
    """Area, m², of a solid conductor that loses just the drop allowed.

    current: A, above 0. total_length: m, above 0, both ways. allowed_drop: V, above 0. temperature: °C.
    extra_resistance: Ω, 0 or more. A flexible cable of this area loses more: pick a size by its own
    resistance.
    Raises ValueError outside those ranges, and where the extra resistance alone takes the whole drop.
    Source: IEC 60028:1925; Ohm's law.
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
    """Length, m, of cable, both ways counted, that loses just the drop allowed.

    resistance: Ω per m at 20 °C. Other arguments and errors as in `smallest_area`.
    """
    left = _drop_left(current, allowed_drop, extra_resistance)
    return left / (current * run_resistance(resistance, 1.0, temperature, conductor))


def ambient_factor(ambient: float, insulation_limit: float) -> float:
    """Share that is left of a continuous current in hot air: √((limit - ambient)/(limit - 30)).

    ambient: °C. insulation_limit: °C, 40 to 250. The heat a cable sheds falls with the gap between its
    limit and the air, so the current falls with the root: 1 at 30 and below (no credit for cold), 0 at
    the limit and above.
    Raises ValueError outside those ranges.
    Source: heat balance; agrees with the tables of IEC 60364-5-52 and 33 CFR 183.425.
    """
    require_finite(ambient=ambient)
    if not 40.0 <= insulation_limit <= 250.0:
        raise ValueError(f"insulation limit must be 40 to 250, not {insulation_limit}")
    left = (insulation_limit - ambient) / (insulation_limit - REFERENCE_AMBIENT)
    return math.sqrt(min(max(left, 0.0), 1.0))


def bundle_factor(together: float) -> float:
    """Share that is left of a planning current where several loaded cables lie in one sleeve.

    together: number of cables, 1 to 12. 1 for one and for two: the planning currents count a neighbour
    already.
    Raises ValueError outside 1 to 12.
    Source: IEC 60364-5-52 table B.52.17, from memory, by analogy.
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
    # Nine decimals, so that 2.5 mm² gives 20 A and not a hair less, which would cost it its fuse.
    return round(math.exp(logarithm), 9)


@lru_cache(maxsize=256)  # A schedule asks for the same few sizes at every cable, key after key.
def _current_at_rest(area: float, column: int) -> float:
    """The lower of both tables' currents, A, before air, metal and sleeve; of the first one that column."""
    by_class = {size: row[column] for size, row in _ISO_10133_CURRENTS.items()}
    return min(_current_by_area(area, by_class), _current_by_area(area, _PLANNING_CURRENTS))


def continuous_current(
    area: float,
    insulation_limit: float = 70.0,
    ambient: float = REFERENCE_AMBIENT,
    conductor: Conductor = "copper",
    together: float = 1,
) -> float:
    """Current, A, that a cable may carry for hours, which no fuse may exceed.

    area: m², above 0. insulation_limit: °C, 60 to 250. ambient: °C, of the air. together: number of
    loaded cables in one sleeve, as `bundle_factor` takes it.
    The lower of a planning current for cable under carpet and of the figure for the nearest class at or
    below the limit, less for hot air, for copper-clad aluminium (same heat: less by the root of the
    resistance ratio) and for the sleeve. Always print "check the cable's data sheet" beside it.
    Raises ValueError outside those ranges.
    Source: common practice for the planning current; ISO 10133, from memory.
    """
    require_positive(area=area)
    if not _ISO_10133_LIMITS[0] <= insulation_limit <= 250.0:
        raise ValueError(f"insulation limit must be 60 to 250, not {insulation_limit}")
    column = max(i for i, limit in enumerate(_ISO_10133_LIMITS) if limit <= insulation_limit)
    shared = _current_at_rest(area, column) * bundle_factor(together)
    return shared * ambient_factor(ambient, insulation_limit) / math.sqrt(metal_factor(conductor))


def conductor_temperature(current: float, carried: float, ambient: float, insulation_limit: float) -> float:
    """Temperature, °C, that a conductor settles at, from the heat balance at its continuous current.

    current: A, 0 or more. carried: A, above 0, its `continuous_current` in air of 30 °C, at which it
    reaches its limit. ambient: °C. insulation_limit: °C. The rise goes with the square of the current. An
    estimate: the planning current leaves a margin, so a real cable runs cooler.
    Raises ValueError outside those ranges.
    Source: heat balance, textbook.
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
    """Temperature, °C, of a conductor that carries a current for hours.

    area: m². current: A. ambient, insulation_limit: °C. together: number of cables in one sleeve.
    `conductor_temperature` from the planning current, which warms any conductor by 40 K at most,
    whatever its insulation. Stops at the limit of the insulation, or at the air where that is hotter: a
    cable beyond it fails by heat before its drop is asked for.
    Errors and source as in `conductor_temperature`.
    """
    carried = continuous_current(area, PLANNING_LIMIT, REFERENCE_AMBIENT, conductor, together)
    settled = conductor_temperature(current, carried, ambient, PLANNING_LIMIT)
    return min(settled, max(insulation_limit, ambient))


def short_circuit_constant(start: float = 70.0, end: float = 160.0, conductor: Conductor = "copper") -> float:
    """Constant k, A·√s/m², of the adiabatic rule I²t ≤ k²S², a factor of the metal and its warming.

    k = K·√(ln((β + end)/(β + start))) with K 226 and β 234.5 for copper, 148 and 228 for aluminium, which
    stands in for copper-clad aluminium. start, end: °C; 160 is the end for PVC.
    Raises ValueError unless the end is above the start, both between -200 and 400.
    Source: IEC 60364-5-54 annex A, from memory.
    """
    if not -200.0 < start < end <= 400.0:
        raise ValueError(f"end temperature {end} must be above the start {start}")
    metal_factor(conductor)
    constant, beta = (226.0, 234.5) if conductor == "copper" else (148.0, 228.0)
    return constant * 1e6 * math.sqrt(math.log((beta + end) / (beta + start)))


def withstand_energy(area: float, constant: float) -> float:
    """Joule integral k²S², A²s, that a conductor outlives; holds for up to 5 s.

    area: m², above 0. constant: factor above 0, from `short_circuit_constant`.
    Raises ValueError outside those ranges.
    Source: IEC 60364-4-43, clause 434.5.2, from memory.
    """
    require_positive(area=area, constant=constant)
    return (constant * area) ** 2
