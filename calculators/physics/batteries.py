"""Lead-acid starter batteries: charge from the voltage at rest, drain, reserve, discharge time."""

from typing import Literal

import numpy as np

from calculators.physics.checking import (
    require_finite,
    require_fraction,
    require_not_negative,
    require_positive,
)

Chemistry = Literal["flooded", "absorbent-glass-mat"]

CHARGE_STEPS = (0.0, 0.25, 0.5, 0.75, 1.0)

REST_VOLTAGES: dict[Chemistry, tuple[float, float, float, float, float]] = {
    "flooded": (11.89, 12.06, 12.24, 12.45, 12.65),
    "absorbent-glass-mat": (11.80, 12.00, 12.30, 12.60, 12.85),
}
"""Volts at rest, near 25 °C, at each of `CHARGE_STEPS`.

Flooded (and enhanced flooded): Battery Council International service manual, from memory; the
rounded rule 11.6, 12.0, 12.2, 12.4, 12.6 was seen in print. Absorbent glass mat: common practice,
no source. Good to about 15 % of charge, after 4 h at rest; the maker's figures stand above these.
"""

CELLS = 6
ACID_CONSTANT = 0.84
"""Volts of one cell over its acid's specific gravity. Linden, Handbook of Batteries."""

ACID_GRAVITIES = (1.120, 1.155, 1.190, 1.225, 1.265)
"""Specific gravity of the acid at each of `CHARGE_STEPS`, flooded, 25 °C.

Battery Council International service manual, from memory; a battery maker's table of ranges, seen
in print, holds each of them. An absorbent-glass-mat battery's acid is stronger, so it freezes later.
"""

FREEZING_GRAVITIES = (1.000, 1.100, 1.150, 1.200, 1.250, 1.280)
FREEZING_POINTS = (0.0, -7.2, -15.0, -26.7, -52.2, -67.8)
"""Degrees Celsius at which acid of each gravity freezes: 32, 19, 5, -16, -62 and -90 F.

US Army Ordnance, subcourse OD1002, batteries, read in print.
"""

SHORTED_VOLTAGE = 10.5
"""Volts at rest under which a cell is probably shorted. Common practice, no source."""

NO_CURRENT = 1e-6
"""Ampere under which a current counts as none."""

PEUKERT_EXPONENT, RATED_HOURS = 1.2, 20.0
"""For `time_to_spend`: lead-acid starter batteries, rated over 20 h. Common practice, no source."""


def state_of_charge(rest_voltage: float, chemistry: Chemistry = "flooded") -> float:
    """Charge, 0 to 1, by the voltage after 4 h at rest, straight between the table's points.

    rest_voltage: V, above 0. 0 below and 1 above the table. Temperature is left out: it moves a rested
    battery by about 1 mV per kelvin (from memory), far less than the doubt. A lithium battery cannot be
    read this way.
    Raises ValueError for another voltage or chemistry.
    Source: those of `REST_VOLTAGES`, with their doubt.
    """
    require_positive(rest_voltage=rest_voltage)
    if chemistry not in REST_VOLTAGES:
        raise ValueError(f"chemistry must be one of {', '.join(REST_VOLTAGES)}, not {chemistry}")
    return float(np.interp(rest_voltage, REST_VOLTAGES[chemistry], CHARGE_STEPS))


def freezing_point(rest_voltage: float, charge: float) -> float:
    """Temperature, °C, at which the acid of a battery freezes.

    rest_voltage: V, above 0. charge: 0 to 1. A battery under its table's lowest voltage is flatter than
    flat: there the gravity is taken from the voltage (`ACID_CONSTANT`), down to water.
    Raises ValueError for a voltage that is not above 0 or a charge that is not finite.
    Source: those of `ACID_GRAVITIES` and `FREEZING_POINTS`.
    """
    require_positive(rest_voltage=rest_voltage)
    require_finite(charge=charge)
    by_charge = float(np.interp(charge, CHARGE_STEPS, ACID_GRAVITIES))
    by_voltage = rest_voltage / CELLS - ACID_CONSTANT
    return float(np.interp(min(by_charge, by_voltage), FREEZING_GRAVITIES, FREEZING_POINTS))


def cold_capacity_factor(temperature: float) -> float:
    """Share of its capacity that a battery gives in the cold: 1 % less per kelvin below 25 °C, 0.4 at least.

    temperature: °C. Raises ValueError if it is not finite.
    Source: common practice.
    """
    require_finite(temperature=temperature)
    return min(1.0, max(0.4, 1.0 - 0.01 * (25.0 - temperature)))


def days_to_flat(capacity: float, usable: float, current: float) -> float | None:
    """Days until a share of a battery's charge is gone at a steady current; None with no current.

    capacity: Ah, above 0. usable: share, above 0 to 1, such as 0.4 from 90 % down to 50 %. current: A, 0
    or more. With no current only the battery's own discharge is left.
    Raises ValueError outside those ranges.
    Source: definition of the ampere-hour.
    """
    require_positive(capacity=capacity)
    require_fraction(usable=usable)
    require_not_negative(current=current)
    if current == 0.0:
        return None
    return capacity * usable / current / 24.0


def discharge_time(capacity: float, rated_hours: float, exponent: float, current: float) -> float:
    """Hours to flat by Peukert's law: H·(C/(I·H))^k.

    capacity: Ah, above 0, at the rated rate. rated_hours: hours, above 0, 20 for starter batteries.
    exponent: factor of 1 to 2, usually 1.2 for lead-acid (common practice). current: A, above 0.
    Raises ValueError outside those ranges.
    Source: Peukert (1897), from memory.
    """
    require_positive(capacity=capacity, rated_hours=rated_hours, current=current)
    if not 1.0 <= exponent <= 2.0:
        raise ValueError(f"exponent must be 1 to 2, not {exponent}")
    return float(rated_hours * (capacity / (current * rated_hours)) ** exponent)


def time_to_spend(capacity: float, usable: float, current: float) -> float | None:
    """Time, s, until a share of the charge of a new, warm battery is gone; None under a microampere.

    capacity: Ah. usable: share, above 0 to 1. current: A, 0 or more. Faster currents get less out of it;
    slower ones than the rated rate get no more than is written on it.
    Raises ValueError outside those ranges.
    Source: Peukert's law, as in `discharge_time`.
    """
    require_fraction(usable=usable)
    require_not_negative(current=current)
    if current < NO_CURRENT:
        return None
    hours = discharge_time(capacity, RATED_HOURS, PEUKERT_EXPONENT, current)
    return usable * 3600.0 * min(hours, capacity / current)


def resistance_from_cold_crank(
    cold_crank_current: float, end_voltage: float = 7.5, open_voltage: float = 12.6
) -> float:
    """Resistance, Ω, inside a battery at -18 °C, from its cold-crank rating.

    cold_crank_current: A, above 0. end_voltage: V, above 0, left at that current. open_voltage: V, above
    the end voltage. A warm battery has about half of it (common practice), so its short circuit is
    twice as strong.
    Raises ValueError outside those ranges.
    Source: EN 50342-1, 7.5 V left after 10 s; SAE J537, 7.2 V after 30 s.
    """
    require_positive(cold_crank_current=cold_crank_current, end_voltage=end_voltage)
    if open_voltage <= end_voltage:
        raise ValueError("open voltage must be above the end voltage")
    return (open_voltage - end_voltage) / cold_crank_current


WARM_SHARE = 0.5
"""Resistance of a warm battery over that at -18 °C. Common practice, no source."""


def warm_resistance(cold_crank_current: float) -> float:
    """Resistance, Ω, inside a warm battery: `WARM_SHARE` of that in the cold.

    Arguments and errors as in `resistance_from_cold_crank`.
    """
    return WARM_SHARE * resistance_from_cold_crank(cold_crank_current)
