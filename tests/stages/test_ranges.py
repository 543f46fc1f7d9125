"""Where a range ends, a reader is told: at a round number, or at one that the trade knows, with its reason.

An end that is neither is a slip: a unit mixed up, a digit too many.
"""

import math

import pytest

from calculators.declaring import Calculator, Number
from calculators.stages import every_calculator
from tests.variations import numbers_of

ROUND = {1.0, 1.2, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0}
"""The first figures of a round number."""
DAY = 86400.0
KNOWN: dict[str, dict[str, tuple[float, ...]]] = {
    "voltage": {
        "a silicon junction in its forward direction": (0.7,),
        "a lead-acid battery flat, full and charged; steps of its usual charging voltages": (
            *(11.0, 11.5, 13.2, 13.8, 14.8, 15.2, 15.5, 16.0),
        ),
        "one volt under the highest supply charged here": (59.0,),
        "ten volts over it": (70.0,),
    },
    "temperature": {
        "a workshop that is heated": (18.0,),
        "a cabin in the sun; sheaths: PVC, cross-linked, thin-wall; an engine bay": (
            *(45.0, 70.0, 90.0, 105.0, 125.0),
        ),
    },
    "ratio": {
        "Poisson's ratio: metals, and what no solid reaches (0.5)": (0.35, 0.49),
        "efficiency of class AB and class D at their rated power": (0.45, 0.92),
        "1/√2, in a filter's Q and a blade fuse's lasting load": (0.7,),
        "√2, the Q of a one-octave band; full stuffing makes a box that much larger at most": (1.4, 1.25),
        "what remains of a charge after three, seven and nine time constants, about": (0.95, 0.999, 0.9999),
        "coils without loss come close": (0.9,),
    },
    "level": {
        "steps of 6 dB": (-90.0, -24.0, 24.0, 90.0),
        "a number of decibels in fives": (45.0, 55.0, 65.0, 85.0, 95.0, 110.0, 115.0),
        "24 bits, about": (140.0,),
        "one step above 8": (9.0,),
    },
    "resistance": {
        "loads in steps of two, from two ohms": (16.0, 32.0, 64.0),
        "IEC 60063, E6": (33.0, 47.0, 68.0, 470.0, 47_000.0),
        "the limit for a return by the body, 3.3 mΩ, and what a meter adds": (0.0034,),
    },
    "area": {"the cone of a driver of 18 inches": (0.13,)},
    "frequency": {
        "half of a usual sample rate, and sample rates": (
            *(22_000.0, 24_000.0, 44_100.0, 192_000.0, 384_000.0),
        ),
        "a resonance with mass added and a lower side frequency, under 150 Hz": (130.0, 140.0),
        "three times the highest lower side frequency": (9000.0,),
    },
    "length": {
        "boards as sold and as they measure": (0.009, 0.026, 0.045),
        "a tweeter's dome of three quarters of an inch": (0.019,),
        "the screws of the smallest tweeter": (0.07,),
        "wheelbases of the smallest car and the longest van": (2.2, 4.5),
    },
    "count": {
        "days of a week": (7.0,),
        "powers of two": (16.0, 32.0, 128.0, 256.0, 512.0, 8192.0, 16_384.0),
        "IEC 61260: thirds of an octave from 20 Hz to 20 kHz": (31.0,),
        "two dozen": (24.0,),
        "four figures": (9999.0,),
    },
    "speed": {"a twentieth of the speed of sound": (17.0,)},
    "working time": {
        "hours of a day and three days of waiting": (24.0, 72.0),
        "a meal in the middle of the day": (11.0, 14.0),
        "two days of work": (16.0,),
    },
    "time": {
        "a day, three, a week, thirty days": (DAY, 3 * DAY, 7 * DAY, 30 * DAY),
    },
    "mass": {"the heaviest spare wheel of a car": (35.0,), "a person": (75.0,)},
    "angle": {"parts of a turn, one turn, ten": (75.0, 90.0, -360.0, 360.0, -3600.0, 3600.0)},
    "pressure": {"air at 1500 m and under the highest pressure measured": (85e3, 106e3, 110e3)},
    "sound level": {"where seconds are the dose of a day, and a shot": (115.0, 160.0)},
}


def is_round(value: float) -> bool:
    """Whether it is nothing, or a round number."""
    if not value:
        return True
    size = abs(value)
    return round(size / 10 ** math.floor(math.log10(size) + 1e-12), 6) in ROUND


def ends_of(kind: Number) -> tuple[float, ...]:
    """Where its ranges end; a selection of sizes has its own."""
    return () if kind.options else (kind.low, kind.high, *(kind.usual or ()))


def in_units(kind: Number, value: float) -> list[float]:
    """A value as a reader meets it: in SI, and in every unit that the form offers."""
    units = (kind.quantity.unit(symbol) for symbol in kind.shown_units())
    return [value, *(float(unit.to_typed(value)) for unit in units)]


@pytest.mark.parametrize("calculator", every_calculator(), ids=lambda entry: entry.slug)
def test_a_range_ends_at_a_round_number_or_one_that_the_trade_knows(calculator: Calculator) -> None:
    for place, kind in numbers_of(calculator):
        known = {value for values in KNOWN.get(kind.quantity.name, {}).values() for value in values}
        for end in ends_of(kind):
            assert end in known or any(map(is_round, in_units(kind, end))), (
                f"{place} ends at {end}, which is round in none of its units: "
                "end it at a round number, or name who knows that one in KNOWN"
            )


def test_what_the_trade_knows_is_an_end_somewhere() -> None:
    ends = {
        (kind.quantity.name, float(end))
        for calculator in every_calculator()
        for _, kind in numbers_of(calculator)
        for end in ends_of(kind)
    }
    known = {
        (name, value) for name, reasons in KNOWN.items() for values in reasons.values() for value in values
    }
    assert known <= ends, known - ends
