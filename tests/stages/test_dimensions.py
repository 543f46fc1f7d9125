"""Printed equations have one dimension on both sides: an output in the wrong quantity is found by its units.

A number that stands alone fits what it is added to (the 12/1000 m of a gap). Whether a factor is right,
`test_equations.py` finds.
"""

from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

import pytest

from calculators.declaring import Calculator
from calculators.stages import find_calculator
from tests.stages.test_equations import OVER_ALL_ROWS, WITH_EQUATIONS

type Powers = tuple[Fraction, ...]
type Dimension = Powers | None
"""Powers of metre, kilogram, second, ampere and money; None of a bare number, which fits any."""

NO_DIMENSION = (0, 0, 0, 0, 0)
POWERS = {
    "length": (1, 0, 0, 0, 0),
    "area": (2, 0, 0, 0, 0),
    "volume": (3, 0, 0, 0, 0),
    "time": (0, 0, 1, 0, 0),
    "parked time": (0, 0, 1, 0, 0),
    "working time": (0, 0, 1, 0, 0),
    "working time per area": (-2, 0, 1, 0, 0),
    "money": (0, 0, 0, 0, 1),
    "frequency": (0, 0, -1, 0, 0),
    "pressure": (-1, 1, -2, 0, 0),
    "modulus": (-1, 1, -2, 0, 0),
    "strength": (-1, 1, -2, 0, 0),
    "acceleration": (1, 0, -2, 0, 0),
    "force": (1, 1, -2, 0, 0),
    "speed": (1, 0, -1, 0, 0),
    "mass": (0, 1, 0, 0, 0),
    "mass per area": (-2, 1, 0, 0, 0),
    "density": (-3, 1, 0, 0, 0),
    "voltage": (2, 1, -3, -1, 0),
    "current": (0, 0, 0, 1, 0),
    "power": (2, 1, -3, 0, 0),
    "energy": (2, 1, -2, 0, 0),
    "joule integral": (0, 0, 1, 2, 0),
    "resistance": (2, 1, -3, -2, 0),
    "capacitance": (-2, -1, 4, 2, 0),
    "inductance": (2, 1, -2, -2, 0),
    "compliance": (0, -1, 2, 0, 0),
    "force factor": (1, 1, -2, -1, 0),
    "battery capacity": (0, 0, 1, 1, 0),
    **dict.fromkeys(("level", "sound level", "angle", "ratio", "count", "dose"), NO_DIMENSION),
}
"""Of each quantity that an equation may hold."""
ABOUT_A_NUMBER = {
    "speed = 343.2*sqrt((temperature + 273.15)/293.15)": "speed",  # 343.2 m/s at 20 °C.
    "cancelled = speed/(2*0.686)": "frequency",  # 0.686 m of detour.
    "power = distance**2*10**((peak_level - 10*log(2)/log(10) - per_watt)/10)": "power",  # 1 W at 1 m.
}
"""Equations in which a factor has a dimension, with the quantity that they give."""


class Mixed(Exception):
    """Two dimensions where there can be one."""


def powers_of(quantity: str) -> Powers:
    """The dimension of a quantity."""
    return tuple(map(Fraction, POWERS[quantity]))


def one_of(found: list[Dimension]) -> Dimension:
    """The one dimension of several things that are added up or compared."""
    different = {dimension for dimension in found if dimension is not None}
    if len(different) > 1:
        raise Mixed
    return next(iter(different), None)


def dimension_of(part: Any, names: dict[str, Dimension]) -> Dimension:
    """The dimension of an expression, by those of its names."""
    import sympy  # It takes a second to load.

    if part.is_Symbol:
        return names[str(part)]
    if part.is_number:
        return None
    of_parts = [dimension_of(one, names) for one in part.args]
    if isinstance(part, sympy.Mul):
        powers = [dimension for dimension in of_parts if dimension is not None]
        return tuple(map(sum, zip(*powers, strict=True))) if powers else None
    if isinstance(part, sympy.Pow) and part.args[1].is_number:
        return of_parts[0] and tuple(power * Fraction(str(part.args[1])) for power in of_parts[0])
    if isinstance(part, sympy.Pow):
        one_of([*of_parts, powers_of("ratio")])
    if isinstance(part, sympy.Add | sympy.Max | sympy.Min | sympy.Abs):
        return one_of(of_parts)
    return powers_of("ratio")  # A logarithm is one of a ratio, or of how often 1 V or 1 m.


def quantities_of(calculator: Calculator) -> dict[str, str]:
    """The quantity of each number that a calculator takes or gives, columns too, by its name."""
    fields = (*calculator.inputs, *calculator.outputs)
    every = (*fields, *(column for entry in fields for column in entry.columns))
    return {
        entry.name: quantity.name for entry in every if (quantity := getattr(entry.kind, "quantity", None))
    }


def mixed(equations: Iterable[str], quantities: Mapping[str, str]) -> list[str]:
    """Equations whose sides, or terms, have two dimensions, by the quantities of their names."""
    from calculators.site.equations import parsed

    names: dict[str, Dimension] = dict.fromkeys(OVER_ALL_ROWS)
    names |= {name: powers_of(quantity) for name, quantity in quantities.items() if quantity in POWERS}
    found = []
    for equation in equations:
        name, _, expression = equation.partition(" = ")
        taken = ABOUT_A_NUMBER.get(equation)
        try:
            given = powers_of(taken) if taken else dimension_of(parsed(expression), names)
            names[name] = one_of([given, names.get(name)])
        except Mixed:
            found.append(equation)
    return found


@pytest.mark.parametrize("calculator", WITH_EQUATIONS, ids=lambda entry: entry.slug)
def test_both_sides_of_an_equation_have_one_dimension(calculator: Calculator) -> None:
    assert mixed(calculator.equations, quantities_of(calculator)) == []


@pytest.mark.parametrize(
    ("slug", "name", "quantity"),
    [
        ("cable", "drop", "current"),
        ("cable", "loss", "voltage"),
        ("panel-damping", "added_mass", "mass per area"),
        ("delay", "delay", "frequency"),
    ],
)
def test_an_output_in_another_quantity_is_found(slug: str, name: str, quantity: str) -> None:
    calculator = find_calculator(slug)
    wrong = quantities_of(calculator) | {name: quantity}
    assert any(line.startswith(f"{name} = ") for line in mixed(calculator.equations, wrong))


@pytest.mark.parametrize("wrong", ["b = a*c", "b = a + c", "b = 10**a", "b = max(a, c)", "b = a*log(a + c)"])
def test_an_equation_of_two_dimensions_is_found(wrong: str) -> None:
    quantities = {"a": "voltage", "b": "voltage", "c": "current"}
    assert mixed(["b = a*log(a/c) + 3"], quantities) == []
    assert mixed([wrong], quantities) == [wrong]
