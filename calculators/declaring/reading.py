"""Reading what a person typed, and checking what a program passed.

Two doors, one set of checks: text from a form or the command line (``read_typed``), with units
and decimal commas, and plain values from JSON (``read_values``), in the quantity's own unit. What
there is to read and to check, each kind of input knows for itself.
"""

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

from calculators.declaring.calculator import Calculator
from calculators.declaring.errors import InputError, unknown_inputs
from calculators.declaring.inputs import Form, Found, InputField, Number
from calculators.declaring.kept import Kept
from calculators.declaring.outputs import Advice

NOTHING_KEPT: Mapping[str, Kept] = {}

_FIELD = re.compile(r"(\w+)(?:\[(0|[1-9][0-9]{0,3})\](?:\.(\w+))?)?")


@dataclass(frozen=True)
class Reading:
    """Arguments for a calculator's function, or the errors that stand in the way.

    ``units`` are those the reader chose, by input (``air``) or column (``speakers[].distance``).
    """

    arguments: dict[str, Any]
    errors: tuple[InputError, ...]
    advice: tuple[Advice, ...]
    units: Mapping[str, str] = field(default_factory=dict)


def read_typed(
    calculator: Calculator, typed: Mapping[str, str], kept: Mapping[str, Kept] = NOTHING_KEPT
) -> Reading:
    """Read a form: field names (``speakers[0].distance``) to the text in each field.

    ``temperature:unit`` holds the unit chosen for ``temperature``, ``speakers[].distance:unit``
    for a column. A field that is absent takes its default; an empty one is an error unless the
    input is optional. The text of a file's field is the handle it is kept under in ``kept``.
    """
    found, form = Found(), Form(typed, kept)
    with_units = _with_units(calculator)
    values = _nested(calculator, typed, {f"{name}:unit" for name in with_units}, found)
    reading = _read(
        calculator, values, found, lambda entry, text: entry.kind.read_text(entry.name, text, form, found)
    )
    chosen = {
        name: typed[f"{name}:unit"]
        for name, kind in with_units.items()
        if f"{name}:unit" in typed and kind.quantity.fault_of(typed[f"{name}:unit"]) is None
    }
    return replace(reading, units=chosen)


def read_values(calculator: Calculator, values: Mapping[str, Any]) -> Reading:
    """Check plain values, as JSON gives them, against a calculator's inputs."""
    found = Found()
    return _read(
        calculator, values, found, lambda entry, value: entry.kind.read_value(entry.name, value, found)
    )


@lru_cache(4096)  # From key to key a form's names stay, and a long one has some two hundred.
def _place(name: str) -> tuple[str, int | None, str]:
    """Input, row and column that a field's name leads to; no input for what is no such name."""
    match = _FIELD.fullmatch(name)
    if match is None:
        return "", None, ""
    return match[1], None if match[2] is None else int(match[2]), match[3] or ""


def _nested(
    calculator: Calculator, typed: Mapping[str, str], units: Collection[str], found: Found
) -> dict[str, Any]:
    """Flat field names as the nested values they stand for; names unknown are errors, and rows left out.

    ``units`` are the names of the fields that hold a unit.
    """
    kinds = {entry.name: entry.kind for entry in calculator.inputs}
    values: dict[str, Any] = {}
    numbered: dict[str, dict[int, dict[str, str]]] = {}
    unknown: list[str] = []
    for name, text in typed.items():
        if name in units:
            continue
        of_input, row, column = _place(name)
        if of_input not in kinds:
            unknown.append(name)
        elif row is None:
            values[of_input] = text
        else:
            numbered.setdefault(of_input, {}).setdefault(row, {})[column] = text
    found.errors.extend(unknown_inputs(unknown, kinds))
    for name, cells in numbered.items():
        missing = next((index for index in range(len(cells)) if index not in cells), None)
        if missing is not None:  # Closed up, the numbers behind a gap would belong to another row.
            found.errors.append(InputError(name, f"{kinds[name].label}: number {missing + 1} is missing."))
        values[name] = kinds[name].gathered([cells[index] for index in sorted(cells)])
    return values


def _with_units(calculator: Calculator) -> dict[str, Number]:
    """The inputs and columns beside which a unit may be chosen."""
    fields = {entry.name: entry.kind for entry in calculator.inputs}
    for entry in calculator.inputs:
        fields |= {f"{entry.name}[].{column.name}": column.kind for column in entry.columns}
    return {name: kind for name, kind in fields.items() if isinstance(kind, Number)}


def _read(
    calculator: Calculator,
    values: Mapping[str, Any],
    found: Found,
    one: Callable[[InputField, Any], Any],
) -> Reading:
    arguments: dict[str, Any] = {}
    known = {entry.name for entry in calculator.inputs}
    found.errors.extend(unknown_inputs((name for name in values if name not in known), known))
    for entry in calculator.inputs:
        if entry.name in values:
            try:
                arguments[entry.name] = one(entry, values[entry.name])
            except InputError as error:
                found.errors.append(error)
        elif entry.required:
            found.errors.append(InputError(entry.name, f"{entry.kind.label} is missing."))
    return Reading(arguments, tuple(found.errors), tuple(found.advice))
