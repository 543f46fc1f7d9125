"""What is asked of a lead-acid battery, and what counts as a voltage at rest."""

from calculators.declaring import Advice, Choice, InputError, Number
from calculators.declaring.quantities import CHARGE
from calculators.physics import batteries

KEPT = 0.5
"""Share of its charge under which a battery may not start a cold engine. Common practice, no source."""

HIGHEST_REST = 13.2
"""Volts over which a battery is not at rest. Common practice, no source."""

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
