"""What is asked of a lead-acid battery, and what counts as a voltage at rest."""

from calculators.declaring import Advice, Choice, InputError, Number
from calculators.declaring.quantities import CHARGE
from calculators.physics import batteries

KEPT = 0.5
"""Share of its charge under which a battery may not start a cold engine. Common practice, no source."""

HIGHEST_REST = 13.2
"""Volts over which a battery is not at rest. Common practice, no source."""

OVER_FULL = 0.1
"""Volts over a full one's rest that no rested lead-acid battery has. Common practice, no source."""

CAPACITY = Number("Battery", CHARGE, 1, 1000, usual=(30, 200))
REST_VOLTAGE = (8.0, 16.0)

CHEMISTRY = Choice(
    "Battery type",
    {
        "absorbent-glass-mat": "absorbent glass mat (AGM)",
        "flooded": "flooded or enhanced flooded (EFB)",
    },
    help="Printed on it: AGM, EFB, or neither, which is flooded.",
)


def refuse_charging(rest_voltage: float) -> None:
    """A voltage that no battery has at rest stops the answer."""
    if rest_voltage > HIGHEST_REST:
        raise InputError(
            "rest_voltage",
            f"Over {HIGHEST_REST:g} V is no voltage at rest: a charger or the engine is on, or was a minute "
            "ago. Nothing on for 4 hours, then measure.",
        )


def is_over_full(rest_voltage: float, chemistry: batteries.Chemistry) -> bool:
    """Whether a voltage is more than a full battery of this kind rests at."""
    return rest_voltage > batteries.REST_VOLTAGES[chemistry][-1] + OVER_FULL + 1e-9


def over_full_advice(rest_voltage: float | None, chemistry: batteries.Chemistry) -> tuple[Advice, ...]:
    """What a voltage over a full battery's means: it tells no charge."""
    if rest_voltage is None or not is_over_full(rest_voltage, chemistry):
        return ()
    return (
        Advice(
            "rest_voltage",
            f"A full one of this kind rests at {batteries.REST_VOLTAGES[chemistry][-1]:g} V. More is a "
            "charger's last hour, another type than typed, or a lithium battery, which rests at some 13 V "
            "full or half empty and cannot be read so (from memory). Read what is printed on it. Lead-acid: "
            "headlamps for 2 minutes, then 4 hours with nothing on. Lithium: its maker's way, no load test.",
        ),
    )


def shorted_advice(rest_voltage: float | None) -> tuple[Advice, ...]:
    """A danger where a cell is probably shorted: nobody is sent to a charger with it."""
    if rest_voltage is None or rest_voltage >= batteries.SHORTED_VOLTAGE:
        return ()
    return (
        Advice(
            "rest_voltage",
            f"Under {batteries.SHORTED_VOLTAGE:g} V at rest a cell is probably shorted: charging only "
            "heats it and drives gas off, and a jump start does the same. Do not charge it in the "
            "vehicle: replace it, like for like.",
            danger=True,
        ),
    )
