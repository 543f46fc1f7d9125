"""What the charging system can give, and what the sound system leaves of it."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, calculator
from calculators.declaring.quantities import CHARGE, CURRENT, RATIO, TIME
from calculators.physics import batteries, supply

WORN = 0.5
"""Of what a new, warm battery gives, what an old or a cold one gives. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class ChargingBudget:
    """What is left over, and for how long the battery covers what is not."""

    idle_surplus: Annotated[float, Output("Left over at idle", CURRENT, figures=3, main=True)]
    driving_surplus: Annotated[float, Output("Left over driving", CURRENT, figures=3)]
    idle_share: Annotated[float, Output("Load, of what it gives at idle", RATIO, show="%", figures=3)]
    idle_endurance: Annotated[
        float | None,
        Output("At idle a new, warm battery lasts", TIME, show="min", figures=3, none="without end"),
    ]
    battery_endurance: Annotated[
        float | None,
        Output("Engine off, all on: new and warm it lasts", TIME, show="min", figures=3, none="no load"),
    ]
    worn_endurance: Annotated[
        float | None,
        Output("The same, old or cold: count on", TIME, show="min", figures=3, none="no load"),
    ]
    system_endurance: Annotated[
        float | None,
        Output("Engine off, system alone: new and warm", TIME, show="min", figures=3, none="no load"),
    ]
    worn_system_endurance: Annotated[
        float | None,
        Output("The same, old or cold: count on", TIME, show="min", figures=3, none="no load"),
    ]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Charging budget",
    example={"alternator": 150.0, "idle_fraction": 0.5, "vehicle_load": 35.0, "system_current": 17.9},
    sources=("arithmetic", "common-practice"),
    cautions=("S02", "S03"),
    equations=(
        "idle_surplus = alternator*idle_fraction - vehicle_load - system_current",
        "driving_surplus = alternator - vehicle_load - system_current",
        "idle_share = (vehicle_load + system_current)/(alternator*idle_fraction)",
    ),
)
def charging_budget(
    alternator: Annotated[float, Number("Alternator", CURRENT, 10, 1000, usual=(60, 250))],
    idle_fraction: Annotated[
        float,
        Number(
            "Of that, hot and at idle",
            RATIO,
            0.05,
            1,
            show="%",
            usual=(0.4, 1.0),
            help="A hybrid's or an electric vehicle's converter: 100 %.",
        ),
    ] = 0.5,
    vehicle_load: Annotated[float, Number("Vehicle's own load", CURRENT, 0, 500, usual=(15, 60))] = 35.0,
    system_current: Annotated[
        float,
        Number("System, average", CURRENT, 0, 500, usual=(0, 100), help="At a third of its power."),
    ] = 0.0,
    capacity: Annotated[float, Number("Battery", CHARGE, 1, 1000, usual=(30, 200))] = 70.0,
    usable: Annotated[
        float, Number("Part of it that may go", RATIO, 0.01, 1, show="%", usual=(0.2, 0.6))
    ] = 0.4,
) -> ChargingBudget:
    """Whether the alternator feeds vehicle and system, driving and at a hot idle.

    Plan up to 80 % of what it gives hot and at idle (common practice, no source). What it cannot
    give comes out of the battery. A fast discharge gets less out of it (Peukert's law, exponent 1.2),
    and cold or age take half of the rest (common practice, no source).
    """
    budget = supply.charging_budget(alternator, idle_fraction, vehicle_load, system_current, capacity, usable)
    alone = batteries.time_to_spend(capacity, usable, system_current)
    return ChargingBudget(
        idle_surplus=budget.idle_surplus,
        driving_surplus=budget.driving_surplus,
        idle_share=budget.idle_share,
        idle_endurance=budget.idle_endurance,
        battery_endurance=budget.battery_endurance,
        worn_endurance=_worn(budget.battery_endurance),
        system_endurance=alone,
        worn_system_endurance=_worn(alone),
        advice=_budget_advice(budget, alternator, idle_fraction, vehicle_load, system_current),
    )


def _worn(endurance: float | None) -> float | None:
    return None if endurance is None else endurance * WORN


def _budget_advice(
    budget: supply.ChargingBudget, alternator: float, idle_fraction: float, vehicle: float, system: float
) -> tuple[Advice, ...]:
    """What flattens the battery, and what would not: rounded so that who types it is told no more."""
    planned = supply.IDLE_LOAD_SHARE * idle_fraction
    larger = math.ceil((vehicle + system) / planned - 1e-9)
    spare = math.floor(10 * (alternator * planned - vehicle) + 1e-9) / 10
    less = f"a system of {spare:.1f} A on average or less" if spare > 0 else "no system at all"
    way = f" It takes an alternator of {larger} A or more, or {less}."
    if budget.driving_surplus < 0:
        message = f"Even driving, the alternator cannot feed this: the battery flattens on the road.{way}"
        return (Advice("driving_surplus", message, danger=True),)
    if budget.idle_endurance is not None:
        minutes = budget.idle_endurance * WORN / 60
        message = (
            f"At idle the battery flattens: after {minutes:.0f} minutes the engine may not start again.{way}"
        )
        return (Advice("idle_surplus", message, danger=True),)
    if budget.idle_share > supply.IDLE_LOAD_SHARE * (1 + 1e-9):
        message = f"Over 80 % of what the alternator gives at idle: no room for heat, age and lamps.{way}"
        return (Advice("idle_share", message),)
    return ()
