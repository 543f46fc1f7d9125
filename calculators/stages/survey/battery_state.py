"""The battery: what its voltage at rest says."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, OutputText, calculator
from calculators.declaring.quantities import CHARGE, RATIO, TEMPERATURE, VOLTAGE
from calculators.physics import batteries
from calculators.vocabulary.batteries import (
    CAPACITY,
    CHEMISTRY,
    HIGHEST_REST,
    KEPT,
    REST_VOLTAGE,
    is_over_full,
    over_full_advice,
    refuse_charging,
    shorted_advice,
)

CHARGE_DOUBT = 0.15
TO_CHARGE, WELL_CHARGED = 0.75, 0.85
"""Shares at which a battery is charged before any test, and over which every test may be made."""

HAIR = 1e-9
"""12.6 V is three quarters of a glass-mat battery, whatever binary makes of it."""

TENTHS = tuple(tenths / 10 for tenths in range(110, 133))
"""Volts at rest to the tenth that a page prints."""


@dataclass(frozen=True, kw_only=True)
class BatteryState:
    """What the voltage at rest says."""

    state_of_charge: Annotated[float, Output("State of charge, about", RATIO, show="%", figures=2, main=True)]
    lowest_charge: Annotated[float, Output("It may be as low as", RATIO, show="%", figures=2)]
    highest_charge: Annotated[float, Output("Or as high as", RATIO, show="%", figures=2)]
    verdict: Annotated[str, OutputText("Verdict")]
    tests_from: Annotated[float, Output("This kind: every test from", VOLTAGE, decimals=1)]
    charge_first: Annotated[float, Output("Charged first, at or under", VOLTAGE, decimals=1)]
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
    refuse_charging(rest_voltage)
    charge = batteries.state_of_charge(rest_voltage, chemistry)
    lowest = max(0.0, charge - CHARGE_DOUBT)
    factor = batteries.cold_capacity_factor(temperature)
    freezing = batteries.freezing_point(rest_voltage, lowest)
    frozen = temperature <= freezing
    return BatteryState(
        state_of_charge=charge,
        lowest_charge=lowest,
        highest_charge=min(1.0, charge + CHARGE_DOUBT),
        verdict=(
            "no test yet: a full one rests lower"
            if is_over_full(rest_voltage, chemistry) and not frozen
            else _battery_verdict(rest_voltage, charge, frozen)
        ),
        tests_from=min(volts for volts in TENTHS if _ready(batteries.state_of_charge(volts, chemistry))),
        charge_first=max(volts for volts in TENTHS if _flat(batteries.state_of_charge(volts, chemistry))),
        capacity_factor=factor,
        charge_left=capacity * max(0.0, charge - KEPT) * factor,
        freezing_point=freezing,
        advice=_battery_advice(rest_voltage, charge, frozen, freezing, chemistry),
    )


def _ready(charge: float) -> bool:
    """Whether every test may be made, a load test with them."""
    return charge > WELL_CHARGED + HAIR


def _flat(charge: float) -> bool:
    """Whether it is charged before any other test."""
    return charge <= TO_CHARGE + HAIR


def _battery_verdict(rest_voltage: float, charge: float, frozen: bool) -> str:
    if frozen:
        return "it may be frozen: do not charge it, do not jump it"
    if rest_voltage < batteries.SHORTED_VOLTAGE:
        return "replace it: do not charge it in the vehicle"
    if _flat(charge):
        return "charge it and test it again, before any other test"
    if _ready(charge):
        return "well charged: go on with the tests"
    return "fair: charge it before a load test, go on with the others"


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
    shorted = shorted_advice(rest_voltage)
    advice.extend(shorted)
    if not shorted and charge < KEPT:
        advice.append(
            Advice(
                "state_of_charge",
                "Half empty or worse: it may not start the engine, and left so it is spoilt.",
                danger=True,
            )
        )
    advice.extend(over_full_advice(rest_voltage, chemistry))
    advice.append(Advice("state_of_charge", f"{source}. The battery maker's figures stand above these."))
    return tuple(advice)
