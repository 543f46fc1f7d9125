"""The battery: how long it lasts parked, and what its voltage at rest says."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    InputError,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import (
    CHARGE,
    CURRENT,
    DAYS,
    RATIO,
    TEMPERATURE,
    VOLTAGE,
)
from calculators.physics import batteries

DRAIN_TO_FIND, DRAIN_GOOD, SHORT_STAY = 0.080, 0.050, 7.0
CHARGE_DOUBT = 0.15

KEPT = 0.5
"""Share of its charge under which a battery may not start a cold engine. Common practice, no source."""

FULL_TODAY = 0.9
"""Share of its charge that a battery in daily use has. Common practice, no source."""

TO_CHARGE, WELL_CHARGED = 0.75, 0.85
"""Shares at which a battery is charged before any test, and over which every test may be made."""

HIGHEST_REST = 13.2
"""Volts over which a battery is not at rest. Common practice, no source."""


@dataclass(frozen=True)
class Drain:
    """Something that draws current while the vehicle is parked."""

    name: Annotated[str, Text("What draws it")]
    current: Annotated[float, Number("Current", CURRENT, 1e-6, 20, show="mA", usual=(0, 0.1), units=("A",))]


@dataclass(frozen=True)
class DrainShare:
    """What one drain takes."""

    name: Annotated[str, OutputText("What draws it")]
    current: Annotated[float, Output("Current", CURRENT, show="mA", figures=3, trim=True)]
    share: Annotated[float, Output("Part of it all", RATIO, show="%", figures=3, trim=True)]
    days_alone: Annotated[float | None, Output("Alone, lasts", DAYS, figures=3, none="no end")]


@dataclass(frozen=True)
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


CAPACITY = Number("Battery", CHARGE, 1, 1000, usual=(30, 200))
REST_VOLTAGE = (8.0, 16.0)
CHEMISTRY = Choice(
    "Battery type",
    {
        "absorbent-glass-mat": "absorbent glass mat (AGM)",
        "flooded": "flooded or enhanced flooded (EFB)",
    },
)


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
    part = _usable(state_of_charge, rest_voltage, chemistry, usable)
    rows = tuple(
        DrainShare(
            drain.name,
            drain.current,
            drain.current / total,
            _days(capacity, part, drain.current),
        )
        for drain in drains
    )
    days = _days(capacity, part, total)
    return BatteryDrain(days, total, part, capacity * part, rows, _drain_advice(total, part, days))


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
        _refuse_charging(rest_voltage)
        state_of_charge = batteries.state_of_charge(rest_voltage, chemistry)
    return max(0.0, (FULL_TODAY if state_of_charge is None else state_of_charge) - KEPT)


def _days(capacity: float, part: float, current: float) -> float | None:
    return batteries.days_to_flat(capacity, part, current) if part > 0 else 0.0


def _refuse_charging(rest_voltage: float) -> None:
    """A voltage that no battery has at rest stops the answer."""
    if rest_voltage > HIGHEST_REST:
        raise InputError(
            "rest_voltage",
            f"Over {HIGHEST_REST:g} V is no voltage at rest: a charger or the engine is on, or was a minute "
            "ago. Nothing on for 4 hours, then measure.",
        )


def _drain_advice(total: float, part: float, days: float | None) -> tuple[Advice, ...]:
    if part == 0:
        message = "It is at half its charge or under: it may not start the engine today. Charge it first."
        return (Advice("usable_today", message, danger=True),)
    if days is None:
        return ()
    if total > DRAIN_TO_FIND:
        message = (
            f"This drain flattens the battery in {days:.3g} days. Find what draws more than it should before "
            "you add anything: over 80 mA is a fault (common practice, no source)."
        )
        return (Advice("days", message, danger=True),)
    if days < SHORT_STAY:
        message = f"It may not start after {days:.3g} days: charge it, and measure again what it draws."
        return (Advice("days", message, danger=True),)
    if total > DRAIN_GOOD:
        return (Advice("current", "Over 50 mA: look for what stays awake. 30 mA is typical."),)
    return ()


@dataclass(frozen=True)
class BatteryState:
    """What the voltage at rest says."""

    state_of_charge: Annotated[float, Output("State of charge, about", RATIO, show="%", figures=2, main=True)]
    lowest_charge: Annotated[float, Output("It may be as low as", RATIO, show="%", figures=2)]
    highest_charge: Annotated[float, Output("Or as high as", RATIO, show="%", figures=2)]
    verdict: Annotated[str, OutputText("Verdict")]
    capacity_factor: Annotated[
        float, Output("Of its capacity it gives at this cold", RATIO, show="%", figures=2)
    ]
    charge_left: Annotated[float, Output("Left to use, down to half, about", CHARGE, figures=2)]
    freezing_point: Annotated[float, Output("Its acid may freeze at", TEMPERATURE, decimals=0)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Battery state from the voltage at rest",
    example={"rest_voltage": 12.74, "chemistry": "absorbent-glass-mat", "temperature": 24.0},
    sources=("bci-manual", "acid-freezing", "common-practice"),
    cautions=("S02", "S03"),
    equations=("charge_left = capacity*max(0, state_of_charge - 0.5)*capacity_factor",),
)
def battery_state(
    rest_voltage: Annotated[
        float, Number("Voltage at rest", VOLTAGE, *REST_VOLTAGE, usual=(11.5, HIGHEST_REST))
    ],
    chemistry: Annotated[batteries.Chemistry, CHEMISTRY] = "absorbent-glass-mat",
    temperature: Annotated[
        float, Number("Battery temperature", TEMPERATURE, -40, 70, usual=(-20, 50), units=("°F",))
    ] = 20.0,
    capacity: Annotated[float, CAPACITY] = 70.0,
) -> BatteryState:
    """State of charge of a 12 V lead-acid battery from its voltage at rest.

    Rest means four hours with nothing on, or headlamps for two minutes and then five minutes of
    nothing. Good to about 15 % of charge, no better. A lithium battery cannot be read this way.
    """
    _refuse_charging(rest_voltage)
    charge = batteries.state_of_charge(rest_voltage, chemistry)
    lowest = max(0.0, charge - CHARGE_DOUBT)
    factor = batteries.cold_capacity_factor(temperature)
    freezing = batteries.freezing_point(rest_voltage, lowest)
    frozen = temperature <= freezing
    return BatteryState(
        state_of_charge=charge,
        lowest_charge=lowest,
        highest_charge=min(1.0, charge + CHARGE_DOUBT),
        verdict=_battery_verdict(rest_voltage, charge, frozen),
        capacity_factor=factor,
        charge_left=capacity * max(0.0, charge - KEPT) * factor,
        freezing_point=freezing,
        advice=_battery_advice(rest_voltage, charge, frozen, freezing, chemistry),
    )


def _battery_verdict(rest_voltage: float, charge: float, frozen: bool) -> str:
    if frozen:
        return "it may be frozen: do not charge it, do not jump it"
    if rest_voltage < batteries.SHORTED_VOLTAGE:
        return "replace it: do not charge it in the vehicle"
    if charge > WELL_CHARGED:
        return "well charged: go on with the tests"
    # 12.6 V is three quarters of a glass-mat battery, whatever binary makes of it.
    if charge > TO_CHARGE + 1e-9:
        return "fair: charge it before a load test, go on with the others"
    return "charge it and test it again, before any other test"


def _battery_advice(
    rest_voltage: float, charge: float, frozen: bool, freezing: float, chemistry: batteries.Chemistry
) -> tuple[Advice, ...]:
    source = (
        "Flooded: a battery council's service manual, from memory"
        if chemistry == "flooded"
        else "Absorbent glass mat: common practice, no source"
    )
    advice = []
    if frozen:
        advice.append(
            Advice(
                "freezing_point",
                f"As flat as this its acid may freeze at {freezing:.0f} °C, and it is no warmer: charged, "
                "jumped or tested while frozen it can burst and throw acid. Thaw it in a room for a day; a "
                "swollen or cracked case goes to recycling.",
                danger=True,
            )
        )
    if rest_voltage < batteries.SHORTED_VOLTAGE:
        advice.append(
            Advice(
                "rest_voltage",
                f"Under {batteries.SHORTED_VOLTAGE:g} V at rest a cell is probably shorted: charging only "
                "heats it and drives gas off, and a jump start does the same. Do not charge it in the "
                "vehicle: replace it, like for like.",
                danger=True,
            )
        )
    elif charge < KEPT:
        advice.append(
            Advice(
                "state_of_charge",
                "Half empty or worse: it may not start the engine, and left so it is spoilt.",
                danger=True,
            )
        )
    advice.append(Advice("state_of_charge", f"{source}. The battery maker's figures stand above these."))
    return tuple(advice)
