"""Filling a capacitor without a spark, and emptying it without one."""

import math
from dataclasses import dataclass
from typing import Annotated

from calculators.declaring import Advice, Number, Output, calculator
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import (
    CAPACITANCE,
    CURRENT,
    ENERGY,
    POWER,
    RATIO,
    RESISTANCE,
    TIME,
    VOLTAGE,
)
from calculators.physics import hold_up as holding
from calculators.physics.fuses import CAR_SUPPLY
from calculators.vocabulary.capacitor_leg import VOLTAGE_RATING
from calculators.vocabulary.capacitor_leg_advice import MOST_WATTS, rating_advice

LONG_WAIT, LONG_BLEED = 1800.0, 600.0
"""Seconds over which nobody waits for a capacitor to fill or to empty. Common practice, no source."""

GAP_LEFT = 0.2
"""Volts across the pre-charge resistor under which its fuse may go in. Common practice, no source."""

PATIENCE = 2.0
"""Times that a healthy capacitor takes, after which one that is not full counts as failed: room for a
resistor and a capacitance off their labels. Common practice, no source."""

SMALL_ENERGY, LARGE_ENERGY = 10.0, 1000.0
"""Joule under which a short only marks a tool, and over which it sprays molten metal. Common
practice, no source."""


@dataclass(frozen=True, kw_only=True)
class PreCharge:
    """Filling a capacitor without a spark, and emptying it without one."""

    charge_time: Annotated[float, Output("Wait before the fuse goes in", TIME, clock=True, main=True)]
    failed_after: Annotated[float, Output("Failed, if 0.2 V or more stand after", TIME, clock=True)]
    time_constant: Annotated[float, Output("Time constant", TIME, figures=3)]
    peak_current: Annotated[float, Output("First current", CURRENT, figures=3)]
    peak_power: Annotated[float, Output("First heat in the resistor", POWER, figures=3)]
    gap: Annotated[float, Output("Then still missing", VOLTAGE, decimals=2)]
    closing_current: Annotated[float, Output("Current as the fuse goes in", CURRENT, figures=3)]
    bleed_time: Annotated[float, Output("Bleeds to 1 V in", TIME, clock=True)]
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
        "failed_after = 2*max(charge_time, time_constant*log(5*max(supply, charging_voltage)))",
        "peak_current = supply/resistance",
        "peak_power = supply**2/resistance",
        "gap = supply*(1 - fraction)",
        "closing_current = gap/path_resistance",
        "bleed_time = bleed_resistance*capacitance*log(max(supply, charging_voltage))",
        "bleed_power = max(supply, charging_voltage)**2/bleed_resistance",
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
    path_resistance: Annotated[
        float,
        Number(
            "Path once the fuse is in, charge resistor and all",
            RESISTANCE,
            1e-3,
            100,
            show="mΩ",
            usual=(0.01, 10),
            units=("Ω",),
            seldom=True,
        ),
    ] = 0.07,
    voltage_rating: Annotated[float | None, VOLTAGE_RATING] = None,
    charging_voltage: Annotated[
        float,
        Number(
            "Highest charging voltage",
            VOLTAGE,
            2,
            70,
            usual=(13.8, 15.5),
            seldom=True,
            help="A managed alternator goes to 15.2 V.",
        ),
    ] = 15.2,
) -> PreCharge:
    """How long a capacitor takes to fill and to empty through a resistor.

    Put the resistor in the place of the fuse, wait, then fit the fuse. A capacitor that leaves 0.2 V
    or more across the resistor after twice the time that a healthy one takes to get there, or to fill
    as far as you said, is short or leaks: its fuse stays out. Before any work on the
    capacitor bleed it through a resistor and prove with a meter that it is under 1 V. After a drive it
    holds the charging voltage: bleed and heat of the resistors are judged by that.
    """
    highest = max(supply, charging_voltage)
    current, power = holding.resistor_peak(supply, resistance)
    bleed_power = holding.resistor_peak(highest, bleed_resistance)[1]
    bleed = holding.bleed_time(capacitance, bleed_resistance, highest)
    wait = holding.charge_time(capacitance, resistance, fraction)
    healthy = max(wait, holding.charge_time(capacitance, resistance, 1 - GAP_LEFT / highest))
    gap = supply * (1 - fraction)
    energy = holding.stored_energy(capacitance, supply)
    hottest = holding.resistor_peak(highest, resistance)[1]
    return PreCharge(
        charge_time=wait,
        failed_after=PATIENCE * healthy,
        time_constant=resistance * capacitance,
        peak_current=current,
        peak_power=power,
        gap=gap,
        closing_current=gap / path_resistance,
        bleed_time=bleed,
        bleed_power=bleed_power,
        bleed_current=supply / bleed_resistance,
        energy=energy,
        advice=(
            *rating_advice(voltage_rating, highest),
            *_too_hot({"resistance": hottest, "bleed_resistance": bleed_power}, resistor_rating, highest),
            *_spark_left(gap, path_resistance),
            *_slow_to_fill(wait, resistance, highest),
            *_slow_to_empty(bleed, bleed_resistance, highest),
            _energy_advice(energy),
        ),
    )


def _too_hot(heats: dict[str, float], made_for: float, highest: float) -> list[Advice]:
    """Of resistors that take more watts than they are made for, by field."""
    return [
        Advice(
            name,
            f"{figures(heat, 3)} W at {highest:g} V in a resistor made for {made_for:g} W: it "
            f"can burn. Use {_stronger(heat, highest)}.",
            danger=True,
        )
        for name, heat in heats.items()
        if heat > made_for
    ]


def _spark_left(gap: float, path: float) -> list[Advice]:
    """Of volts that are missing as the fuse goes in, over the path's ohms."""
    if gap <= GAP_LEFT:
        return []
    words = (
        f"{gap:.3g} V are still missing then: {figures(gap / path, 3)} A as the fuse goes "
        f"in. Wait until the meter shows under {GAP_LEFT:g} V across the resistor."
    )
    return [Advice("gap", words)]


def _slow_to_fill(wait: float, ohm: float, highest: float) -> list[Advice]:
    """Of seconds that nobody waits, with what is quicker."""
    if wait <= LONG_WAIT:
        return []
    quicker = _resistor(ohm * LONG_WAIT / wait, highest)
    lamps = "12 V 21 W lamps side by side in its place (when they are dark, measure)"
    ways = (quicker, lamps if highest <= CAR_SUPPLY else None, "a supply that limits its current")
    words = f"Nobody waits {wait / 3600:.3g} hours: use {', or '.join(filter(None, ways))}."
    return [Advice("charge_time", words)]


def _slow_to_empty(bleed: float, ohm: float, highest: float) -> list[Advice]:
    """The same of emptying."""
    if bleed <= LONG_BLEED:
        return []
    quicker = _resistor(ohm * LONG_BLEED / bleed, highest)
    words = (
        "Under 1 V within 10 minutes is wanted, and no resistor takes that heat. Cover its "
        "terminals until a meter shows it."
        if quicker is None
        else f"Under 1 V within 10 minutes is wanted: use {quicker}."
    )
    return [Advice("bleed_time", words)]


def _resistor(ohm: float, volts: float) -> str | None:
    """A resistor of so many ohm or a little fewer, and its first watts; None if nobody has such a one."""
    step = 10.0 ** (math.floor(math.log10(ohm)) - 1)
    fewer = math.floor(ohm / step * (1 + 1e-9)) * step
    watts = holding.resistor_peak(volts, fewer)[1]
    return None if watts > MOST_WATTS else f"a resistor of {figures(fewer, 2)} Ω made for {_watts(watts)}"


def _stronger(watts: float, volts: float) -> str:
    """What stands the watts: a resistor made for them, or more ohm where nobody has such a one."""
    if watts <= MOST_WATTS:
        return f"one made for {_watts(watts)}"
    least = volts**2 / MOST_WATTS
    step = 10.0 ** (math.floor(math.log10(least)) - 1)
    return f"a resistor of {figures(math.ceil(least / step) * step, 2)} Ω made for {_watts(MOST_WATTS)}"


def _watts(watts: float) -> str:
    """Watts of a resistor, in words."""
    return f"{figures(watts, 3)} W or more"


def _energy_advice(energy: float) -> Advice:
    """What is stored, said by its size."""
    if energy > LARGE_ENERGY:
        return Advice(
            "energy",
            f"{energy / 1000:.3g} kJ: through a spanner it throws molten metal and burns for seconds. "
            "Goggles, covers on both terminals, bleed it and prove it under 1 V before a hand goes near.",
            danger=True,
        )
    stays = "It stays charged when the battery is off. Never short it with a tool"
    if energy < SMALL_ENERGY:
        return Advice("energy", f"{stays}: {energy:.2g} J is a spark.")
    return Advice("energy", f"{stays}: {energy:.3g} J in one flash burns skin and welds a ring to it.")
