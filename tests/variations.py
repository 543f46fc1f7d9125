"""A calculator's example with one value changed, wherever that value stands."""

from collections.abc import Mapping
from typing import Any

from calculators.declaring import Bands, Calculator, CurveText, InputField, Number, Rows
from calculators.declaring.inputs import BAND_COUNT


def numbers_of(calculator: Calculator) -> list[tuple[str, Number]]:
    """Where a calculator takes numbers: ``temperature``, ``speakers[0].distance``, ``gains[30]``."""
    found: list[tuple[str, Number]] = []
    for entry in calculator.inputs:
        kind = entry.kind
        if isinstance(kind, Number):
            found.append((entry.name, kind))
        elif isinstance(kind, Rows):
            found += [
                (f"{entry.name}[0].{column.name}", column.kind)
                for column in entry.columns
                if isinstance(column.kind, Number)
            ]
        elif isinstance(kind, Bands):
            number = kind.cell
            found += [(f"{entry.name}[0]", number), (f"{entry.name}[30]", number)]
    return found


def middle(kind: Number | Bands) -> float:
    """A value well inside a number's range."""
    if isinstance(kind, Bands):
        return (kind.low + kind.high) / 2
    if kind.options:
        return kind.options[0][1]
    low, high = kind.usual or (kind.low, kind.high)
    value = (low + high) / 2
    return float(round(value)) if kind.whole else value


def with_value(
    calculator: Calculator, place: str, value: Any, among: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """The example, or the inputs `among` which it stands, with one value replaced."""
    inputs = dict(calculator.example if among is None else among)
    name, bracket, rest = place.partition("[")
    if not bracket:
        return inputs | {name: value}
    index, _, column = rest.partition("].")
    entry = calculator.input(name)
    if column:
        rows = list(inputs.get(name) or [plain_row(calculator, entry)] * max(1, entry.kind.at_least))
        rows[0] = {**rows[0], column: value}
        return inputs | {name: rows}
    cells = list(inputs.get(name) or [0.0] * BAND_COUNT)
    cells[int(index.rstrip("]"))] = value
    return inputs | {name: cells}


def plain_row(calculator: Calculator, entry: InputField) -> dict[str, Any]:
    """One row of the example, or one of middling values."""
    rows = calculator.example.get(entry.name)
    if rows:
        return dict(rows[0])
    return {column.name: plain_value(column) for column in entry.columns if column.required}


def plain_value(column: InputField) -> Any:
    """A middling value for a required column."""
    if isinstance(column.kind, Number):
        return middle(column.kind)
    if isinstance(column.kind, CurveText):
        at = [20 * 1000 ** (place / 100) for place in range(101)]
        return {"frequency": at, "level": [0.0] * 101, "phase": [0.0] * 101, "arrival": 0.003}
    options = getattr(column.kind, "options", None)
    return next(iter(options)) if options else "name"
