"""The supply: parked drain, battery state, pre-charge and bleed."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import (
    Advice,
    Choice,
    Number,
    Output,
    OutputRows,
    OutputText,
    Rows,
    Text,
    calculator,
)
from calculators.declaring.quantities import (
    CAPACITANCE,
    CHARGE,
    CURRENT,
    DAYS,
    ENERGY,
    POWER,
    RATIO,
    RESISTANCE,
    TEMPERATURE,
    TIME,
    VOLTAGE,
)
from calculators.physics import batteries
from calculators.physics import hold_up as holding

DRAIN_TO_FIND, DRAIN_GOOD, SHORT_STAY = 0.080, 0.050, 7.0
CHARGE_DOUBT = 0.15


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
    charge: Annotated[float, Output("Charge that may go", CHARGE, figures=3)]
    drains: Annotated[tuple[DrainShare, ...], OutputRows("What takes it")]
    advice: tuple[Advice, ...] = ()


CAPACITY = Number("Battery", CHARGE, 1, 1000, usual=(30, 200))


@calculator(
    title="Parked days",
    example={
        "drains": [{"name": "Vehicle", "current": 0.022}, {"name": "Sound system", "current": 0.004}],
        "capacity": 70.0,
    },
    sources=("arithmetic", "common-practice"),
    cautions=("S02", "S03"),
    equations=("charge = capacity*usable", "days = capacity*usable/current/24"),
)
def battery_drain(
    drains: Annotated[
        tuple[Drain, ...],
        Rows("Drains while parked", "drain", at_most=12, help="Locked and asleep: wait up to an hour."),
    ],
    capacity: Annotated[float, CAPACITY] = 70.0,
    usable: Annotated[
        float,
        Number(
            "Part of it that may go",
            RATIO,
            0.01,
            1,
            show="%",
            usual=(0.2, 0.6),
            help="40 %: from 90 % of charge down to 50 %.",
        ),
    ] = 0.4,
) -> BatteryDrain:
    """Days a parked vehicle lasts before it may not start.

    Measure the drain locked and asleep, an hour after locking. A battery below half its charge may
    not start a cold engine, so do not count on more than 40 % of it. Its own discharge is left out:
    it takes a few percent a month, more in heat.
    """
    total = math.fsum(drain.current for drain in drains)
    rows = tuple(
        DrainShare(
            drain.name,
            drain.current,
            drain.current / total,
            batteries.days_to_flat(capacity, usable, drain.current),
        )
        for drain in drains
    )
    days = batteries.days_to_flat(capacity, usable, total)
    return BatteryDrain(days, total, capacity * usable, rows, _drain_advice(total, days))


def _drain_advice(total: float, days: float | None) -> tuple[Advice, ...]:
    if days is None:
        return ()
    if days < SHORT_STAY or total > DRAIN_TO_FIND:
        return (
            Advice(
                "days",
                f"This drain flattens the battery in {days:.3g} days. Find what draws more than it should "
                "before you add anything: over 80 mA is a fault (common practice, no source).",
                danger=True,
            ),
        )
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
    charge_left: Annotated[float, Output("Charge left to use, about", CHARGE, figures=2)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Battery state from the voltage at rest",
    example={"rest_voltage": 12.74, "chemistry": "absorbent-glass-mat", "temperature": 24.0},
    sources=("bci-manual", "common-practice"),
    cautions=("S02", "S03"),
    equations=("charge_left = capacity*state_of_charge*capacity_factor",),
)
def battery_state(
    rest_voltage: Annotated[float, Number("Voltage at rest", VOLTAGE, 8, 16, usual=(11.5, 13.2))],
    chemistry: Annotated[
        batteries.Chemistry,
        Choice(
            "Battery type",
            {
                "absorbent-glass-mat": "absorbent glass mat (AGM)",
                "flooded": "flooded or enhanced flooded (EFB)",
            },
        ),
    ] = "absorbent-glass-mat",
    temperature: Annotated[
        float, Number("Battery temperature", TEMPERATURE, -40, 70, usual=(-20, 50), units=("°F",))
    ] = 20.0,
    capacity: Annotated[float, CAPACITY] = 70.0,
) -> BatteryState:
    """State of charge of a 12 V lead-acid battery from its voltage at rest.

    Rest means four hours with nothing on, or headlamps for two minutes and then five minutes of
    nothing. Good to about 15 % of charge, no better. A lithium battery cannot be read this way.
    """
    charge = batteries.state_of_charge(rest_voltage, chemistry)
    factor = batteries.cold_capacity_factor(temperature)
    source = (
        "Flooded: a battery council's service manual, from memory"
        if chemistry == "flooded"
        else "Absorbent glass mat: common practice, no source"
    )
    advice = [Advice("state_of_charge", f"{source}. The battery maker's figures stand above these.")]
    if charge < 0.5:
        advice.insert(
            0,
            Advice(
                "state_of_charge",
                "Half empty or worse: charge it and test it again before any other test. It may not start "
                "the engine, and left so it is spoilt.",
                danger=True,
            ),
        )
    if rest_voltage > 13.2:
        advice.append(Advice("rest_voltage", "This is no voltage at rest: a charger or the engine is on."))
    return BatteryState(
        charge,
        max(0.0, charge - CHARGE_DOUBT),
        min(1.0, charge + CHARGE_DOUBT),
        _battery_verdict(charge),
        factor,
        capacity * charge * factor,
        tuple(advice),
    )


def _battery_verdict(charge: float) -> str:
    if charge >= 0.85:
        return "well charged: go on with the tests"
    return "charge it and test again" if charge < 0.75 else "fair: charge it before you judge it"


@dataclass(frozen=True)
class PreCharge:
    """Filling a capacitor without a spark, and emptying it without one."""

    charge_time: Annotated[float, Output("Wait before the fuse goes in", TIME, figures=3, main=True)]
    time_constant: Annotated[float, Output("Time constant", TIME, figures=3)]
    peak_current: Annotated[float, Output("First current", CURRENT, figures=3)]
    peak_power: Annotated[float, Output("First heat in the resistor", POWER, figures=3)]
    bleed_time: Annotated[float, Output("Bleeds to 1 V in", TIME, figures=3)]
    bleed_power: Annotated[float, Output("First heat in the bleed resistor", POWER, figures=3)]
    bleed_current: Annotated[
        float, Output("Drain, if the bleed resistor stays on", CURRENT, show="mA", figures=3)
    ]
    energy: Annotated[float, Output("Stored when full", ENERGY, figures=3)]
    advice: tuple[Advice, ...] = ()


@calculator(
    title="Pre-charge and bleed",
    example={"capacitance": 1.0, "resistance": 47.0, "bleed_resistance": 220.0},
    sources=("capacitor", "common-practice"),
    cautions=("S02",),
    equations=(
        "time_constant = resistance*capacitance",
        "charge_time = -time_constant*log(1 - fraction)",
        "peak_current = supply/resistance",
        "peak_power = supply**2/resistance",
        "bleed_time = bleed_resistance*capacitance*log(supply)",
        "bleed_power = supply**2/bleed_resistance",
        "bleed_current = supply/bleed_resistance",
        "energy = capacitance*supply**2/2",
    ),
)
def pre_charge(
    capacitance: Annotated[
        float, Number("Capacitor", CAPACITANCE, 0.001, 1000, usual=(0.01, 100), units=("mF",))
    ],
    resistance: Annotated[
        float, Number("Pre-charge resistor", RESISTANCE, 0.1, 10e3, usual=(33, 68), units=("kΩ",))
    ] = 47.0,
    supply: Annotated[float, Number("Supply", VOLTAGE, 2, 60, usual=(6, 16))] = 12.6,
    bleed_resistance: Annotated[
        float, Number("Bleed resistor", RESISTANCE, 0.1, 100e3, usual=(10, 1000), units=("kΩ",))
    ] = 220.0,
    fraction: Annotated[
        float, Number("Charged means", RATIO, 0.5, 0.9999, show="%", usual=(0.95, 0.999))
    ] = 0.99,
    resistor_rating: Annotated[
        float, Number("Rating of the resistors", POWER, 0.1, 500, usual=(0.5, 50))
    ] = 10.0,
) -> PreCharge:
    """How long a capacitor takes to fill and to empty through a resistor.

    Put the resistor in the place of the fuse, wait, then fit the fuse. Before any work on the
    capacitor bleed it through a resistor and prove with a meter that it is under 1 V.
    """
    current, power = holding.resistor_peak(supply, resistance)
    bleed_current, bleed_power = holding.resistor_peak(supply, bleed_resistance)
    bleed = holding.bleed_time(capacitance, bleed_resistance, supply)
    advice = []
    for name, heat in (("resistance", power), ("bleed_resistance", bleed_power)):
        if heat > resistor_rating:
            advice.append(
                Advice(
                    name,
                    f"{heat:.3g} W in a resistor made for {resistor_rating:g} W: it can burn. Use more ohm "
                    "or a larger resistor.",
                    danger=True,
                )
            )
    if bleed > 600:
        advice.append(Advice("bleed_time", "Under 1 V within 10 minutes is wanted: use fewer ohm."))
    advice.append(
        Advice("energy", "The capacitor stays charged when the battery is off. Never short it with a tool.")
    )
    return PreCharge(
        charge_time=holding.charge_time(capacitance, resistance, fraction),
        time_constant=resistance * capacitance,
        peak_current=current,
        peak_power=power,
        bleed_time=bleed,
        bleed_power=bleed_power,
        bleed_current=bleed_current,
        energy=holding.stored_energy(capacitance, supply),
        advice=tuple(advice),
    )
