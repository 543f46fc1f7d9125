"""Reading what a person typed, and checking what a program passed.

Two doors, one set of checks: text from a form or the command line (``read_typed``), with units
and decimal commas, and plain values from JSON (``read_values``), in the quantity's own unit.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from math import isfinite
from typing import Any

from calculators.declaring.calculator import Calculator
from calculators.declaring.curve_text import read_curve
from calculators.declaring.curves import Curve, checked_curve
from calculators.declaring.errors import InputError
from calculators.declaring.inputs import (
    Bands,
    Choice,
    CurveText,
    File,
    Flag,
    Input,
    InputField,
    Number,
    Rows,
    Text,
)
from calculators.declaring.kept import Kept
from calculators.declaring.numerals import (
    MINUS,
    UnclearNumberError,
    clear_fraction,
    decimal_text,
    is_group,
    plain_signs,
)
from calculators.declaring.outputs import Advice
from calculators.declaring.quantities import Quantity, Unit

BAND_COUNT = 31
YES = {"yes", "true", "on", "1"}
NO = {"no", "false", "off", "0", ""}
NOTHING_KEPT: Mapping[str, Kept] = {}
NEAREST_TO_ZERO = 1e-15
"""What lies nearer to zero than this is zero, where zero may come at all."""

_NUMBER = re.compile(r"([+-]?[\d][\d ., ]*|[+-]?[.,]\d+)(e[+-]?\d+)?\s*(.*)", re.IGNORECASE)
_FIELD = re.compile(r"^(\w+)(?:\[(\d{1,4})\](?:\.(\w+))?)?$")


@dataclass(frozen=True)
class Reading:
    """Arguments for a calculator's function, or the errors that stand in the way."""

    arguments: dict[str, Any]
    errors: tuple[InputError, ...]
    advice: tuple[Advice, ...]


def read_typed(
    calculator: Calculator, typed: Mapping[str, str], kept: Mapping[str, Kept] = NOTHING_KEPT
) -> Reading:
    """Read a form: field names (``speakers[0].distance``) to the text in each field.

    ``temperature:unit`` holds the unit chosen for ``temperature``, ``speakers[].distance:unit``
    for a column. A field that is absent takes its default; an empty one is an error unless the
    input is optional. The text of a file's field is the handle it is kept under in ``kept``.
    """
    values, errors = _nested(calculator, typed)

    def one(field: str, kind: Input, value: Any) -> Any:
        if isinstance(kind, File):
            return _file(field, kind, kept.get(str(value)))
        return _typed(field, kind, value, typed)

    return _read(calculator, values, errors, one)


def read_values(calculator: Calculator, values: Mapping[str, Any]) -> Reading:
    """Check plain values, as JSON gives them, against a calculator's inputs."""
    return _read(calculator, values, [], _plain)


def _nested(calculator: Calculator, typed: Mapping[str, str]) -> tuple[dict[str, Any], list[InputError]]:
    """Flat field names as the nested values they stand for, and errors for names unknown."""
    kinds = {entry.name: entry.kind for entry in calculator.inputs}
    values: dict[str, Any] = {}
    errors = []
    rows: dict[str, dict[int, Any]] = {}
    for name, text in typed.items():
        if name.endswith(":unit"):
            continue
        match = _FIELD.match(name)
        if match is None or match[1] not in kinds:
            errors.append(InputError(name, "There is no such input."))
        elif match[2] is None:
            values[match[1]] = text
        elif isinstance(kinds[match[1]], Rows):
            rows.setdefault(match[1], {}).setdefault(int(match[2]), {})[match[3] or ""] = text
        else:
            rows.setdefault(match[1], {})[int(match[2])] = text
    for name, numbered in rows.items():
        values[name] = [numbered[index] for index in sorted(numbered)]
    return values, errors


def _read(calculator: Calculator, values: Mapping[str, Any], errors: list[InputError], one: Any) -> Reading:
    arguments: dict[str, Any] = {}
    advice: list[Advice] = []
    known = {entry.name for entry in calculator.inputs}
    errors += [InputError(name, "There is no such input.") for name in values if name not in known]
    for entry in calculator.inputs:
        if entry.name not in values:
            if entry.required:
                errors.append(InputError(entry.name, f"{entry.kind.label} is missing."))
            continue
        value = values[entry.name]
        try:
            if isinstance(entry.kind, Rows):
                arguments[entry.name] = _rows(entry, value, one, errors, advice)
            elif isinstance(entry.kind, Bands):
                arguments[entry.name] = _bands(entry, value, one, errors)
            else:
                arguments[entry.name] = one(entry.name, entry.kind, value)
                advice += _unusual(entry.name, entry.kind, arguments[entry.name])
        except InputError as error:
            errors.append(error)
    return Reading(arguments, tuple(errors), tuple(advice))


def _rows(
    entry: InputField, value: Any, one: Any, errors: list[InputError], advice: list[Advice]
) -> tuple[Any, ...]:
    assert isinstance(entry.kind, Rows)
    assert entry.record is not None
    kind = entry.kind
    if not isinstance(value, list | tuple) or not all(isinstance(row, Mapping) for row in value):
        raise InputError(entry.name, f"{kind.label} must be a list of records.")
    if not kind.at_least <= len(value) <= kind.at_most:
        raise InputError(entry.name, f"{kind.label}: give {kind.at_least} to {kind.at_most}.")
    records = []
    before = len(errors)
    for index, row in enumerate(value):
        place = f"{entry.name}[{index}]"
        known = {column.name for column in entry.columns}
        errors += [
            InputError(f"{place}.{name}".rstrip("."), "There is no such input.")
            for name in row
            if name not in known
        ]
        cells = {}
        for column in entry.columns:
            field = f"{place}.{column.name}"
            if column.name not in row:
                if column.required:
                    errors.append(InputError(field, f"{column.kind.label} is missing."))
                continue
            try:
                cells[column.name] = one(field, column.kind, row[column.name])
                advice += _unusual(field, column.kind, cells[column.name])
            except InputError as error:
                errors.append(error)
        if len(errors) == before:
            records.append(entry.record(**cells))
    return tuple(records)


def _bands(entry: InputField, value: Any, one: Any, errors: list[InputError]) -> tuple[float, ...]:
    assert isinstance(entry.kind, Bands)
    kind = entry.kind
    if not isinstance(value, list | tuple) or len(value) != BAND_COUNT:
        raise InputError(
            entry.name, f"{kind.label}: give {BAND_COUNT} numbers, one for each third-octave band."
        )
    number = Number(kind.label, kind.quantity, kind.low, kind.high)
    numbers = []
    for index, cell in enumerate(value):
        try:
            numbers.append(one(f"{entry.name}[{index}]", number, cell))
        except InputError as error:
            errors.append(error)
    return tuple(numbers)


def _unusual(field: str, kind: Input, value: Any) -> list[Advice]:
    """A note beside a number that is possible but seldom right."""
    if not isinstance(kind, Number) or kind.usual is None or value is None:
        return []
    low, high = kind.usual
    if low <= value <= high:
        return []
    unit = kind.quantity.unit(kind.show)
    return [
        Advice(
            field,
            f"{kind.label} is usually between {_with_unit(unit, low)} and {_with_unit(unit, high)}. "
            "Is this right?",
        )
    ]


def _plain(field: str, kind: Input, value: Any) -> Any:
    """One value as JSON gives it."""
    if isinstance(kind, Number):
        if value is None and kind.optional:
            return None
        if not _is_number(value):
            raise InputError(field, f"{kind.label} must be a number.")
        return _in_range(field, kind, _as_float(field, kind, value), kind.quantity.unit(kind.show))
    if isinstance(kind, Flag):
        if not isinstance(value, bool):
            raise InputError(field, f"{kind.label} must be true or false.")
        return value
    if isinstance(kind, CurveText):
        return _curve(field, kind, value)
    if isinstance(kind, File):
        return _file(field, kind, value)
    if not isinstance(value, str):
        raise InputError(field, f"{kind.label} must be text.")
    return _worded(field, kind, value)


def _typed(field: str, kind: Input, value: Any, typed: Mapping[str, str]) -> Any:
    """One value as a person typed it; ``typed`` knows the unit chosen for the field."""
    text = str(value).translate(MINUS).strip()
    if isinstance(kind, Number):
        chosen = typed.get(f"{re.sub(r'\[\d+\]', '[]', field)}:unit")
        return read_number(field, kind, text, chosen)
    if isinstance(kind, Flag):
        if text.casefold() not in YES | NO:
            raise InputError(field, f"{kind.label}: type yes or no.")
        return text.casefold() in YES
    if isinstance(kind, CurveText):
        if not text and kind.optional:
            return None
        return checked_curve(read_curve(field, text), field)
    return _worded(field, kind, text)


def _file(field: str, kind: File, value: Any) -> Kept:
    if not isinstance(value, Kept):
        raise InputError(field, f"Choose a file for {_lower(kind.label)}.")
    if value.size > kind.most:
        raise InputError(field, f"{kind.label} may have {kind.most / 1e6:.0f} MB at most.")
    return value


def _worded(field: str, kind: Input, text: str) -> str:
    if isinstance(kind, Choice):
        if text not in kind.options:
            raise InputError(field, f"{kind.label} must be one of: {', '.join(kind.options)}.")
        return text
    assert isinstance(kind, Text)
    if len(text) > kind.longest:
        raise InputError(field, f"{kind.label} can have {kind.longest} letters at most.")
    return text


def read_number(field: str, kind: Number, text: str, chosen: str | None = None) -> float | None:
    """Value, in the quantity's own unit, of a number as a person types it.

    Reads ``12,5``, ``12.5``, ``−3``, ``12mm`` and ``1 200``; ``chosen`` is the unit that stands
    beside the field. Raises InputError for an empty field, for words, for a unit of another
    quantity, for what can be read two ways (``1,200``; ``1.200`` where 1200 lies in the range as
    well), and outside the range.
    """
    text = plain_signs(text)
    if not text:
        if kind.optional:
            return None
        raise InputError(field, f"Type a number for {_lower(kind.label)}.")
    for label, size in kind.options:
        if text == plain_signs(label):
            return size
    match = _NUMBER.fullmatch(text)
    if match is None:
        raise InputError(field, f"“{_short(text)}” is not a number.")
    digits, exponent, suffix = match[1].strip(), match[2] or "", match[3].strip()
    unit = _unit(field, kind.quantity, suffix, chosen or kind.show)
    try:
        plain = decimal_text(digits, lambda whole: fits(kind, unit, whole + exponent))
        value = unit.to_value(Decimal(plain + exponent))
    except UnclearNumberError as error:
        raise InputError(field, str(error)) from None
    except ArithmeticError:  # No decimal, or one beyond all use, like 1e1000000.
        raise InputError(field, f"“{_short(text)}” is not a number.") from None
    return _in_range(field, kind, value, unit)


def fits(kind: Number | Bands, unit: Unit, digits: str) -> bool:
    """Whether a number in that unit lies in the range of an input."""
    try:
        return kind.low <= unit.to_value(Decimal(digits)) <= kind.high
    except ArithmeticError:
        return False


def write_number(kind: Number | Bands, value: float) -> str:
    """A value as a person would type it in the unit first shown, so that it reads back as it is."""
    unit = kind.quantity.unit(getattr(kind, "show", None))
    text = unit.to_typed(value)
    unclear = is_group(text) and fits(kind, unit, text.replace(".", ""))
    return clear_fraction(text) if unclear else text


def _unit(field: str, quantity: Quantity, suffix: str, chosen: str | None) -> Unit:
    if suffix:
        unit = quantity.named(suffix)
        if unit is None:
            known = ", ".join(u.symbol for u in quantity.units if u.symbol)
            wanted = f"use {known}" if known else "type the number alone"
            raise InputError(field, f"“{_short(suffix)}” is no unit of {quantity.name}: {wanted}.")
        return unit
    try:
        return quantity.unit(chosen)
    except KeyError:
        raise InputError(field, f"“{_short(str(chosen))}” is no unit of {quantity.name}.") from None


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _as_float(field: str, kind: Number | CurveText, value: float) -> float:
    try:
        return float(value)
    except OverflowError:
        raise InputError(field, f"{kind.label} is too large a number.") from None


def _in_range(field: str, kind: Number, value: float, unit: Unit) -> float:
    if not isfinite(value) or not kind.low <= value <= kind.high:
        raise InputError(
            field,
            f"{kind.label} must be between {_with_unit(unit, kind.low)} and {_with_unit(unit, kind.high)}.",
        )
    if kind.whole and value != int(value):
        raise InputError(field, f"{kind.label} must be a whole number.")
    return 0.0 if abs(value) < NEAREST_TO_ZERO and kind.low <= 0 else value


def _curve(field: str, kind: CurveText, value: Any) -> Curve | None:
    if value is None and kind.optional:
        return None
    if not isinstance(value, Mapping) or value.get("frequency") is None or value.get("level") is None:
        raise InputError(field, f"{kind.label} must hold frequency and level.")
    columns: dict[str, tuple[float, ...]] = {}
    for name in ("frequency", "level", "phase"):
        numbers = value.get(name)
        if numbers is None:
            continue
        if not isinstance(numbers, list | tuple) or not all(_is_number(number) for number in numbers):
            raise InputError(field, f"{kind.label} must hold lists of numbers.")
        columns[name] = tuple(_as_float(field, kind, number) for number in numbers)
    return checked_curve(Curve(columns["frequency"], columns["level"], columns.get("phase")), field)


def _with_unit(unit: Unit, value: float) -> str:
    space = "" if unit.symbol in {"°", ""} else " "
    return f"{unit.to_typed(value)}{space}{unit.symbol}".replace("-", "−")


def _lower(label: str) -> str:
    """A label inside a sentence: its first letter small, unless it is an abbreviation."""
    return label if label[1:2].isupper() else label[:1].lower() + label[1:]


def _short(text: str) -> str:
    return text if len(text) <= 20 else f"{text[:20]}…"
