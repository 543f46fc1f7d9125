"""The battery: how long it lasts parked."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import CHARGE, CURRENT, DAYS, RATIO, VOLTAGE
from calculators.physics import batteries
from calculators.vocabulary.batteries import (
    CAPACITY,
    CHEMISTRY,
    HIGHEST_REST,
    KEPT,
    REST_VOLTAGE,
    over_full_advice,
    refuse_charging,
    shorted_advice,
)

DRAIN_TO_FIND, DRAIN_GOOD, SHORT_STAY = 0.080, 0.050, 7.0
LEAST_DRAWN = 0.010
"""Ampere that lock, alarm and clock want at least. Common practice, no source."""
FULL_TODAY = 0.9
"""Share of its charge that a battery in daily use has. Common practice, no source."""

NOTHING_DRAWN = (
    "No vehicle draws nothing: lock, alarm and clock want 10 to 30 mA. At 0 the clamp was not zeroed, or "
    "a fuse was out. Measure again, an hour after locking."
)

MOST_USABLE = 1 - KEPT
"""Share that may go of a battery that is full to the brim."""


@dataclass(frozen=True)
class Drain:
    """Something that draws current while the vehicle is parked."""

    name: Annotated[str, Text("What draws it")]
    current: Annotated[float, Number("Current", CURRENT, 0, 20, show="mA", usual=(0, 0.1), units=("A",))]


@dataclass(frozen=True, kw_only=True)
class DrainShare:
    """What one drain takes."""

    name: Annotated[str, OutputText("What draws it")]
    current: Annotated[float, Output("Current", CURRENT, show="mA", figures=3, trim=True)]
    share: Annotated[float, Output("Part of it all", RATIO, show="%", figures=3, trim=True)]
    days_alone: Annotated[float | None, Output("Alone, lasts", DAYS, figures=3, none="no end")]


@dataclass(frozen=True, kw_only=True)
class BatteryDrain:
    """How long a parked vehicle still starts."""

    days: Annotated[
        float | None,
        Output("Parked until it may not start", DAYS, decimals=1, main=True),
    ]
    current: Annotated[float, Output("Drain in all", CURRENT, show="mA", figures=3, trim=True)]
    usable_today: Annotated[float, Output("Part of it that may go", RATIO, show="%", figures=3, trim=True)]
    charge: Annotated[float, Output("Charge that may go", CHARGE, figures=3)]
    drains: Annotated[tuple[DrainShare, ...], OutputRows("What takes it")]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Parked days",
    example={
        "drains": [{"name": "Vehicle", "current": 0.022}, {"name": "Sound system", "current": 0.004}],
        "capacity": 70.0,
    },
    sources=("arithmetic", "common-practice"),
    cautions=("S02", "S03"),
    equations=("charge = capacity*usable_today", "days = charge/current/24"),
)
def battery_drain(
    drains: Annotated[
        tuple[Drain, ...],
        Rows("Drains while parked", "drain", at_most=12, help="Locked and asleep: wait up to an hour."),
    ],
    capacity: Annotated[float, CAPACITY] = 70.0,
    state_of_charge: Annotated[
        float | None,
        Number(
            "Charge today",
            RATIO,
            0,
            1,
            show="%",
            usual=(0.5, 1),
            optional=True,
            empty="full today: 90 %",
            help="What is left down to 50 % may go.",
        ),
    ] = None,
    rest_voltage: Annotated[
        float | None,
        Number(
            "Or its voltage at rest today",
            VOLTAGE,
            *REST_VOLTAGE,
            usual=(11.5, HIGHEST_REST),
            optional=True,
            empty="not measured",
        ),
    ] = None,
    chemistry: Annotated[batteries.Chemistry, CHEMISTRY] = "absorbent-glass-mat",
    usable: Annotated[
        float | None,
        Number(
            "Or the part of it that may go",
            RATIO,
            0.01,
            1,
            show="%",
            usual=(0.2, 0.6),
            optional=True,
            empty="down to 50 %",
            seldom=True,
        ),
    ] = None,
) -> BatteryDrain:
    """Days a parked vehicle lasts before it may not start.

    Measure the drain locked and asleep, an hour after locking. A battery below half its charge may
    not start a cold engine, so only what is over 50 % counts: 40 % of a battery that is full today
    (90 %), 13 % of one at 63 %. Its own discharge is left out: it takes a few percent a month, more
    in heat.
    """
    total = math.fsum(drain.current for drain in drains)
    if total == 0.0:
        raise InputError("drains[0].current", NOTHING_DRAWN)
    part = _usable(state_of_charge, rest_voltage, chemistry, usable)
    rows = tuple(
        DrainShare(
            name=drain.name,
            current=drain.current,
            share=drain.current / total,
            days_alone=_days(capacity, part, drain.current),
        )
        for drain in drains
    )
    days = _days(capacity, part, total)
    full = max(part, FULL_TODAY - KEPT) if usable is None else part
    return BatteryDrain(
        days=days,
        current=total,
        usable_today=part,
        charge=capacity * part,
        drains=rows,
        advice=(
            shorted_advice(rest_voltage)
            or (*over_full_advice(rest_voltage, chemistry), *_drain_advice(total, part, days, full))
        ),
    )


def _usable(
    state_of_charge: float | None,
    rest_voltage: float | None,
    chemistry: batteries.Chemistry,
    usable: float | None,
) -> float:
    """Share of the capacity that may go, by the one of three that was typed."""
    typed = {"state_of_charge": state_of_charge, "rest_voltage": rest_voltage, "usable": usable}
    named = [name for name, value in typed.items() if value is not None]
    if len(named) > 1:
        raise InputError(
            named[-1], "Type one of the three: charge today, voltage at rest, or the part that may go."
        )
    if usable is not None:
        return usable
    if rest_voltage is not None:
        refuse_charging(rest_voltage)
        state_of_charge = batteries.state_of_charge(rest_voltage, chemistry)
    return max(0.0, (FULL_TODAY if state_of_charge is None else state_of_charge) - KEPT)


def _days(capacity: float, part: float, current: float) -> float | None:
    return batteries.days_to_flat(capacity, part, current) if part > 0 else 0.0


def _for_a_week(total: float, part: float, days: float, full: float) -> str:
    """What makes it last a week: its charge alone, or less drawn. ``full``: what may go, once charged."""
    if part < full and days * full / part >= SHORT_STAY:
        return "charge it, and it lasts a week"
    # Rounded down to a tenth of a milliampere: who types it is told no more.
    most = math.floor(1e4 * total * days / SHORT_STAY * max(1.0, full / part) + 1e-9) / 10
    charge = "charge it, and " if part < full else ""
    other = "a larger battery, or a charger while parked"
    if most < 1e3 * LEAST_DRAWN:
        return f"{charge}fit {other}"
    return f"{charge}measure again what it draws: for a week that may be {most:.1f} mA. Else {other}"


def _drain_advice(total: float, part: float, days: float | None, full: float) -> tuple[Advice, ...]:
    if part == 0:
        message = "It is at half its charge or under: it may not start the engine today. Charge it first."
        return (Advice("usable_today", message, danger=True),)
    if days is None:
        return ()
    if part > MOST_USABLE:
        message = (
            f"Taking {part:.0%} of it leaves less than half, even of one that was full: it may not start the "
            "engine long before these days are over, and left so it is spoilt."
        )
        return (Advice("usable", message, danger=True),)
    if total > DRAIN_TO_FIND:
        message = (
            f"This drain flattens the battery in {days:.3g} days. Find what draws more than it should before "
            "you add anything: over 80 mA is a fault (common practice, no source)."
        )
        return (Advice("days", message, danger=True),)
    if days < SHORT_STAY:
        message = f"It may not start after {days:.3g} days: {_for_a_week(total, part, days, full)}."
        return (Advice("days", message, danger=True),)
    if total > DRAIN_GOOD:
        return (Advice("current", "Over 50 mA: look for what stays awake. 30 mA is typical."),)
    return ()
