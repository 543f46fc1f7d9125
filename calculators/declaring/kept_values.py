"""Values that a reader keeps in a small JSON file of ours, and their way back into a form.

A file says what it holds (``doorcard``), in which form (``version``), and ``values`` in SI by the names of
inputs. Back in the fields they are text, and go through the same reader as typing.
"""

import json
from collections.abc import Mapping
from typing import Any

from calculators.declaring.calculator import Calculator
from calculators.declaring.errors import InputError
from calculators.declaring.inputs.number import is_number
from calculators.declaring.kept import Made
from calculators.declaring.outputs import OutputFile

VERSION = 1
FIGURES = 9
"""Significant figures that are kept: more than anything here is measured with."""
MOST_LETTERS = 10_000
FARTHEST = 1e12


def values_file(name: str, what: str, values: Mapping[str, float | None]) -> Made:
    """A file of values by the names of inputs; None for what is not known."""
    rounded = {key: None if value is None else float(f"{value:.{FIGURES}g}") for key, value in values.items()}
    data = {"doorcard": what, "version": VERSION, "values": rounded}
    return Made.whole(name, "application/json", (json.dumps(data, indent=1) + "\n").encode())


def opens(calculator: Calculator) -> str:
    """What a calculator's form can take from a file that was kept: a driver; nothing for most."""
    kinds = (output.kind for output in calculator.outputs)
    return next((kind.opens for kind in kinds if isinstance(kind, OutputFile) and kind.opens), "")


def opened_fields(calculator: Calculator, contents: str) -> dict[str, str]:
    """The text of the fields that a file fills; what it says is not known is emptied.

    Units are those first shown. Raises InputError, in words, for what is no such file.
    """
    what = opens(calculator)
    values = _values(what, contents)
    fields: dict[str, str] = {}
    for entry in calculator.inputs:
        if entry.name not in values:
            continue
        value = values[entry.name]
        known = is_number(value) and -FARTHEST < value < FARTHEST  # A NaN is in no range.
        if not known and (value is not None or entry.required):
            raise InputError("file", f"This {what} is damaged: “{entry.name}” is no number.")
        fields |= entry.kind.write_text(entry.name, value)
        if len(units := entry.kind.units_offered()) > 1:
            fields[f"{entry.name}:unit"] = units[0]
    if not fields:
        raise InputError("file", f"This {what} holds nothing that this form asks for.")
    return fields


def _values(what: str, contents: str) -> dict[str, Any]:
    try:
        data = json.loads(contents) if len(contents) <= MOST_LETTERS else None
    except (ValueError, RecursionError):
        data = None
    if not isinstance(data, dict) or data.get("doorcard") != what or not isinstance(data.get("values"), dict):
        raise InputError("file", f"This is no {what} that was kept here.")
    if data.get("version") != VERSION:
        raise InputError("file", f"This {what} is of another release: load this page anew, with signal.")
    values: dict[str, Any] = data["values"]
    return values
