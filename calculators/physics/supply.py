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
    """What is left over, and how long a new, warm battery lasts.

    driving_surplus, idle_surplus: A, below 0 where it is missing. idle_share: ratio of the whole load to the
    alternator's idle output. idle_endurance: s, to flat at idle, None where the alternator keeps up.
    battery_endurance: s, with the engine off and both loads on, None with no load.
    """

    driving_surplus: float
    idle_surplus: float
    idle_share: float
    idle_endurance: float | None
    battery_endurance: float | None


def amplifier_current(power: float, efficiency: float, supply: float) -> float:
    """Current, A, that an amplifier draws to give a power: P/(efficiency·V).

    power: W, 0 or more. efficiency: share, above 0 to 1 (about 0.5 for class AB, 0.8 to 0.9 for class D,
    common practice). supply: V at its terminals, above 0.
    Raises ValueError outside those ranges.
    Source: definition of efficiency.
    """
    require_not_negative(power=power)
    require_fraction(efficiency=efficiency)
    require_positive(supply=supply)
    return power / (efficiency * supply)


def average_power_fraction(crest: float) -> float:
    """Share of the rated power that music has on average whose peaks just reach the rails.

    crest: dB, 0 (square wave) or more. 10^(-(crest - 3.01)/10): 1 for a sine, 1/8 for 12 dB.
    Raises ValueError below 0.
    Source: definition of the crest factor.
    """
    require_not_negative(crest=crest)
    return float(10.0 ** (-(crest - SINE_CREST) / 10.0))


def heat_loss(power: float, efficiency: float) -> float:
    """Heat, W, that an amplifier makes while it gives a power: P·(1/efficiency - 1).

    power: W, 0 or more. efficiency: share, above 0 to 1. Raises ValueError outside those ranges.
    Source: definition of efficiency.
    """
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
    """Balance of the alternator against vehicle and system.

    alternator: A, above 0. idle_fraction: share, above 0 to 1, that a hot one gives at idle. vehicle_load: A,
    0 or more. system_current: A, 0 or more, the average of the music, not its peak. capacity: Ah, above 0.
    usable: share of it, above 0 to 1, that may be spent before the engine may not start.
    Raises ValueError outside those ranges.
    Source: common practice; Peukert's law for the battery.
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
