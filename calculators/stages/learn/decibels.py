"""Decibels and what they stand for."""

from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Choice, InputError, Number, Output, calculator
from calculators.declaring.quantities import LEVEL, POWER, RATIO, RESISTANCE, VOLTAGE
from calculators.physics.decibels import (
    POWER_AT_0_DBM,
    VOLTAGE_AT_0_DBU,
    VOLTAGE_AT_0_DBV,
    decibels_from_power_ratio,
    decibels_from_voltage_ratio,
    voltage_at_0_dbm,
)
from calculators.physics.decibels import power_ratio as power_ratio_of
from calculators.physics.decibels import voltage_ratio as voltage_ratio_of


@dataclass(frozen=True, kw_only=True)
class Decibels:
    """One ratio, written in every way it is written."""

    decibels: Annotated[float, Output("Level", LEVEL, decimals=2, main=True)]
    voltage_ratio: Annotated[float, Output("Voltage ratio", RATIO)]
    power_ratio: Annotated[float, Output("Power ratio", RATIO)]
    voltage: Annotated[float | None, Output("Voltage", VOLTAGE, none="needs a reference")]
    power: Annotated[float | None, Output("Power", POWER, show="mW", none="needs dBm")]


@calculator(
    title="Decibels, voltage and power",
    example={"decibels": 3.0},
    sources=("iec-60027-3", "itu-r-bs-645"),
    equations=("voltage_ratio = 10**(decibels/20)", "power_ratio = 10**(decibels/10)"),
)
def decibels(
    decibels: Annotated[float | None, Number("Level", LEVEL, -300, 300, optional=True)] = None,
    voltage_ratio: Annotated[float | None, Number("Voltage ratio", RATIO, 1e-15, 1e15, optional=True)] = None,
    power_ratio: Annotated[float | None, Number("Power ratio", RATIO, 1e-30, 1e30, optional=True)] = None,
    voltage: Annotated[
        float | None,
        Number("Voltage", VOLTAGE, 1e-9, 1e6, optional=True, units=("mV",), help="Needs a reference."),
    ] = None,
    reference: Annotated[
        str,
        Choice(
            "Reference",
            {
                "none": "none: a plain ratio",
                "dbv": "dBV: 1 V",
                "dbu": "dBu: 0.7746 V",
                "dbm": "dBm: 1 mW into the resistance",
            },
        ),
    ] = "none",
    resistance: Annotated[float, Number("Resistance for dBm", RESISTANCE, 0.1, 1e6)] = 600.0,
) -> Decibels:
    """Decibels as a ratio of voltages and of powers, and as volts against a reference.

    Fill in one of the four; the others follow. Twice the power is 3 dB, twice the voltage is
    6 dB.
    """
    ways = {
        "decibels": decibels,
        "voltage_ratio": voltage_ratio,
        "power_ratio": power_ratio,
        "voltage": voltage,
    }
    given = [name for name, value in ways.items() if value is not None]
    if len(given) != 1:
        raise InputError(
            given[1] if given else "decibels", "Fill in just one of the four, and leave the others empty."
        )
    unit_voltage = {
        "none": None,
        "dbv": VOLTAGE_AT_0_DBV,
        "dbu": VOLTAGE_AT_0_DBU,
        "dbm": voltage_at_0_dbm(resistance),
    }[reference]
    if voltage is not None:
        if unit_voltage is None:
            raise InputError("reference", "A voltage is a level only against a reference: choose one.")
        voltage_ratio = voltage / unit_voltage
    if voltage_ratio is not None:
        decibels = decibels_from_voltage_ratio(voltage_ratio)
    elif power_ratio is not None:
        decibels = decibels_from_power_ratio(power_ratio)
    assert decibels is not None
    power = power_ratio_of(decibels) * POWER_AT_0_DBM if reference == "dbm" else None
    return Decibels(
        decibels=decibels,
        voltage_ratio=voltage_ratio_of(decibels),
        power_ratio=power_ratio_of(decibels),
        voltage=None if unit_voltage is None else unit_voltage * voltage_ratio_of(decibels),
        power=power,
    )
