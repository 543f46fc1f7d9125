"""What the system asks of the vehicle's supply: current, heat, and the charging budget."""

from dataclasses import dataclass

from calculators.physics import batteries
from calculators.physics.checking import (
    require_fraction,
    require_not_negative,
    require_positive,
)
from calculators.physics.decibels import SINE_CREST

IDLE_LOAD_SHARE = 0.8
"""Share of the alternator's hot-idle output to plan up to. Common practice, no source."""


@dataclass(frozen=True)
class ChargingBudget:
    """Ampere left over (or missing, below zero) and how long a new, warm battery lasts, in seconds.

    ``idle_endurance`` is the time to flat at idle, ``None`` where the alternator keeps up;
    ``battery_endurance`` is the time with the engine off and both loads on, ``None`` with no load.
    ``idle_share`` is the whole load over the alternator's idle output.
    """

    driving_surplus: float
    idle_surplus: float
    idle_share: float
    idle_endurance: float | None
    battery_endurance: float | None


def amplifier_current(power: float, efficiency: float, supply: float) -> float:
    """Ampere an amplifier draws to give ``power`` watts: P/(efficiency x V).

    ``efficiency`` above 0 to 1 (about 0.5 for class AB, 0.8 to 0.9 for class D, common practice);
    ``supply`` in volts at its terminals.
    """
    require_not_negative(power=power)
    require_fraction(efficiency=efficiency)
    require_positive(supply=supply)
    return power / (efficiency * supply)


def average_power_fraction(crest: float) -> float:
    """Average over rated power for music of ``crest`` dB whose peaks just reach the rails.

    10^(-(crest - 3.01)/10): 1 for a sine, 1/8 for 12 dB. ``crest`` 0 (square wave) or more.
    """
    require_not_negative(crest=crest)
    return float(10.0 ** (-(crest - SINE_CREST) / 10.0))


def heat_loss(power: float, efficiency: float) -> float:
    """Watts an amplifier turns to heat while giving ``power`` watts: P (1/efficiency - 1)."""
    require_not_negative(power=power)
    require_fraction(efficiency=efficiency)
    return power * (1.0 / efficiency - 1.0)


def charging_budget(
    alternator: float,
    idle_fraction: float,
    vehicle_load: float,
    system_current: float,
    capacity: float = 70.0,
    usable: float = 0.5,
) -> ChargingBudget:
    """Balance of the alternator against vehicle and system, all in ampere. Common practice.

    ``idle_fraction`` (above 0 to 1) is what a hot alternator gives at idle; ``system_current`` is
    the average of the music, not its peak. ``capacity`` in Ah, ``usable`` the share of it that may
    be spent before the engine may not start.
    """
    require_positive(alternator=alternator, capacity=capacity)
    require_not_negative(vehicle_load=vehicle_load, system_current=system_current)
    require_fraction(idle_fraction=idle_fraction, usable=usable)
    load = vehicle_load + system_current
    idle_surplus = alternator * idle_fraction - load
    return ChargingBudget(
        driving_surplus=alternator - load,
        idle_surplus=idle_surplus,
        idle_share=load / (alternator * idle_fraction),
        idle_endurance=batteries.time_to_spend(capacity, usable, max(0.0, -idle_surplus)),
        battery_endurance=batteries.time_to_spend(capacity, usable, load),
    )
