"""One value as text, where a path leads to, and a calculator's description as plain data."""

import re
from collections.abc import Callable, Iterable
from math import ceil
from typing import Any

from calculators.declaring import (
    Calculator,
    InputField,
    Made,
    Money,
    Outcome,
    Output,
    OutputBrief,
    OutputField,
    OutputFile,
    OutputFlag,
    OutputList,
    OutputMoney,
    OutputText,
)
from calculators.declaring.numerals import typographic
from calculators.declaring.outputs import OutputKind
from calculators.presenting.numbers import clock, plain, with_unit

_STEP = re.compile(r"(\w+)(?:\[(\d+)\])?")


def shown(output: OutputField, value: Any) -> str:
    """One output value as text: digits, a true minus sign, and the unit."""
    return WORDS[type(output.kind)](output.kind, value)


def shown_number(
    kind: Output, value: float | None, unit: str | None = None, decimals: int | None = None
) -> str:
    """A number in its display unit, or in the unit asked for."""
    if value is None:
        return kind.none
    if kind.clock and unit is None:
        return clock(value)
    shown_in = kind.quantity.unit(unit or kind.show)
    if kind.lowest is not None and value < kind.lowest:
        return "below " + with_unit(typographic(plain(shown_in.to_shown(kind.lowest), 2)), shown_in)
    places = kind.decimals if decimals is None and unit is None else decimals
    digits = plain(shown_in.to_shown(value), kind.figures, places)
    if kind.trim and "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return with_unit(typographic(digits), shown_in)


def shown_list(kind: OutputList, numbers: tuple[float, ...]) -> str:
    """A list of numbers in one unit, cut where the declaration says."""
    if not numbers:
        return kind.none
    unit = kind.quantity.unit(kind.show)
    digits = [typographic(plain(unit.to_shown(number), kind.figures, kind.decimals)) for number in numbers]
    rest = len(digits) - kind.shown
    tail = f" and {rest} more" if rest > 0 else ""
    return with_unit(", ".join(digits[: kind.shown]), unit) + tail


def shown_text(kind: OutputText, value: Any) -> str:
    """A word or a sentence as it is."""
    return str(value)


def shown_money(kind: OutputMoney, value: Money | None) -> str:
    """An amount in the words of its currency."""
    return kind.none if value is None else value.words


def shown_flag(kind: OutputFlag, value: bool) -> str:
    """Yes or no in the declaration's words."""
    return kind.yes if value else kind.no


def shown_file(kind: OutputFile, made: Made | None) -> str:
    """A file's name and size."""
    return "none" if made is None else f"{made.name}, {ceil(made.size / 1000)} kB"


WORDS: dict[type[OutputKind], Callable[[Any, Any], str]] = {
    Output: shown_number,
    OutputText: shown_text,
    OutputBrief: shown_text,
    OutputMoney: shown_money,
    OutputFlag: shown_flag,
    OutputList: shown_list,
    OutputFile: shown_file,
}
"""How a value of each kind that fits into a line is written."""


def find_value(outcome: Outcome, path: str) -> tuple[OutputField, Any]:
    """The output that a path such as ``speakers[1].delay`` leads to, and its value.

    Raises KeyError for a name that does not exist, with those that do, IndexError for a row that does not.
    """
    outputs, record = outcome.calculator.outputs, outcome.result
    output = None
    value: Any = None
    for name, index in _steps(path):
        output = named(name, outputs)
        value = getattr(record, name)
        if index is not None:
            value = value[index]
            outputs, record = output.columns, value
    if output is None:
        raise KeyError(path)
    return output, value


def find_input(outcome: Outcome, path: str) -> tuple[InputField, Any]:
    """The input that a path leads to, and the value it had in this run. Raises as `find_value` does."""
    entries = outcome.calculator.inputs
    entry = None
    value: Any = outcome.arguments
    for name, index in _steps(path):
        entry = named(name, entries)
        value = value[name] if isinstance(value, dict) else getattr(value, name)
        if index is not None:
            value, entries = value[index], entry.columns
    if entry is None:
        raise KeyError(path)
    return entry, value


def named[Field: (InputField, OutputField)](name: str, fields: Iterable[Field]) -> Field:
    """The field of that name. Raises KeyError with the names that there are."""
    known = {field.name: field for field in fields}
    if name not in known:
        raise KeyError(f"there is no {name!r}; there are: {', '.join(known) or 'none'}")
    return known[name]


def _steps(path: str) -> list[tuple[str, int | None]]:
    steps = []
    for part in path.split("."):
        match = _STEP.fullmatch(part)
        if match is None:
            raise KeyError(f"{path!r} is no path: write one as name.field or name[0].field")
        steps.append((match[1], None if match[2] is None else int(match[2])))
    return steps


def description(calculator: Calculator) -> dict[str, Any]:
    """A calculator's inputs, outputs, units and ranges as plain data."""
    return {
        "slug": calculator.slug,
        "title": calculator.title,
        "help": calculator.help,
        "stage": calculator.stage,
        "sources": list(calculator.sources),
        "cautions": list(calculator.cautions),
        "equations": list(calculator.equations),
        "example": dict(calculator.example),
        "inputs": [entry.describe() for entry in calculator.inputs],
        "outputs": [entry.describe() for entry in calculator.outputs],
    }
