"""A number typed by a person."""

import re
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from math import isclose, isfinite
from typing import Any

from calculators.declaring.errors import InputError, short
from calculators.declaring.inputs.kind import Form, Found, Kind, in_sentence
from calculators.declaring.numerals import (
    LONGEST,
    UnclearNumberError,
    clear_fraction,
    decimal_text,
    is_group,
    plain_signs,
    typographic,
)
from calculators.declaring.outputs import Advice
from calculators.declaring.quantities import LENGTH, Quantity, Unit

NEAREST_TO_ZERO = 1e-15
"""What lies nearer to zero than this is zero, where zero may come at all."""

SAME_SIZE = 0.003
"""A size written to three figures, as the names of gauges have it, is that size; others are far off."""

MOST_TOLD, NEAREST_TOLD = 12, 3
"""So many sizes are all told to whoever gives none of them; of more, those that are nearest."""

END_FIGURES = 4
"""Figures that an end of a range is told in, where it is no round number in the unit typed."""

_NUMBER = re.compile(r"([+-]?[\d][\d ., ]*|[+-]?[.,]\d+)(e[+-]?\d+)?\s*(.*)", re.IGNORECASE)

_PARTS = r"(\d{1,6})/(\d{1,6})"
_TAPE = re.compile(
    rf"""(?:(\d{{1,6}})\s*['′]\s*)?(?:(\d{{1,6}})(?:[ -]+{_PARTS})?|{_PARTS})\s*(["″]|in|inch|inches)?"""
)
"""Inches as a tape prints them: ``41 1/2"``, ``5/8 in``, ``2' 10 1/2"``."""


@dataclass(frozen=True)
class Number(Kind):
    """A number typed by a person.

    ``low`` and ``high`` are the hard range, ``usual`` the range outside which the reader is asked
    to look again; all in the quantity's own unit. ``show`` is the unit it is typed in unless
    another is chosen. ``optional`` numbers may be left empty (None); ``empty`` says what that
    means. ``options`` lists standard sizes, shown as one selection instead of a field; no other is taken.
    ``seldom`` marks what few readers change: a form folds it away. ``unless`` names the input that sets this
    one aside once it holds a value: an answer then is not told to be for this one.
    """

    label: str
    quantity: Quantity
    low: float
    high: float
    show: str | None = None
    usual: tuple[float, float] | None = None
    optional: bool = False
    empty: str = ""
    whole: bool = False
    help: str = ""
    options: tuple[tuple[str, float], ...] = ()
    units: tuple[str, ...] = ()
    seldom: bool = False
    unless: str = ""

    @property
    def unit(self) -> Unit:
        """The unit it is first shown in."""
        return self.quantity.unit(self.show)

    def shown_units(self) -> tuple[str, ...]:
        """Symbols of the units it can be typed in, the one typed in by default first."""
        first = self.unit.symbol
        return (first, *(symbol for symbol in self.units if symbol != first))

    def units_offered(self) -> tuple[str, ...]:
        """The units it can be typed in; a selection of sizes has none."""
        return () if self.options else self.shown_units()

    def meaning(self) -> str:
        """Its quantity; the unit is the form's affair."""
        return self.quantity.name

    def fault(self) -> str | None:
        """A wrong quantity, unit, range or size."""
        if not isinstance(self.quantity, Quantity):
            return f"{self.quantity!r} is no quantity: name one of calculators/declaring/quantities.py"
        for symbol in (self.show, *self.units):
            fault = None if symbol is None else self.quantity.fault_of(symbol)
            if fault:
                return fault
        if not self.low <= self.high:
            return f"its range ends at {self.high:g}, below {self.low:g}: give the lower end first"
        if self.usual and not self.usual[0] <= self.usual[1]:
            return f"its usual range {self.usual} is turned round: give the lower end first"
        if self.usual and (self.usual[1] < self.low or self.high < self.usual[0]):
            return f"its usual range {self.usual} lies outside {self.low:g} to {self.high:g}"
        outside = [name for name, size in self.options if not self.low <= size <= self.high]
        if outside:
            return f"its option {outside[0]!r} lies outside {self.low:g} to {self.high:g}"
        return None

    def _without_unit(self, value: Any) -> str:
        """What a text in place of a number is told: the unit that numbers are in, and that it stays away."""
        if not isinstance(value, str):
            return ""
        symbol = self.quantity.units[0].symbol
        return f" in {symbol}, without the unit or quotes" if symbol else ", without a unit or quotes"

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> float | None:
        """As `read_number` does, in the unit chosen on the form; what was typed in another is noted."""
        box = self._unit(name, "", form.unit_of(name))
        value, unit = self._read(name, str(given), box)
        if value is not None and unit is not box:
            typed = short(plain_signs(str(given)))
            found.advice.append(
                Advice(name, f"{self.label}: “{typed}” is read as {_with_unit(box, box.to_typed(value))}.")
            )
        return self._noted(name, value, found, box)

    def read_number(self, name: str, text: str, chosen: str | None = None) -> float | None:
        """Value, in the quantity's own unit, of a number as a person types it.

        Reads ``12,5``, ``12.5``, ``−3``, ``12mm``, ``1 200`` and, of a length, ``41 1/2"``; ``chosen``
        is the unit that stands beside the field. Raises InputError for an empty field, for words,
        for a unit of another quantity, for what can be read two ways (``1,200``; ``1.200`` where 1200
        lies in the range as well), and outside the range.
        """
        return self._read(name, text, self._unit(name, "", chosen))[0]

    def read_value(self, name: str, value: Any, found: Found) -> float | None:
        """A number in the quantity's own unit; None where it may be left empty."""
        if value is None and self.optional:
            return None
        if not is_number(value):
            raise InputError(name, f"{self.label} must be a number{self._without_unit(value)}.")
        number = self._in_range(name, as_float(name, self.label, value), self.unit)
        return self._noted(name, number, found, self.unit)

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The size's own name, or the number in the unit first shown."""
        if value is None:
            return {name: ""}
        for label, size in self.options:
            if isclose(size, value):
                return {name: label}
        return {name: self.write_number(value)}

    def write_number(self, value: float) -> str:
        """A value as a person would type it in the unit first shown, so that it reads back as it is."""
        text = self.unit.to_typed(value)
        unclear = is_group(text) and self._fits(self.unit, text.replace(".", ""))
        return clear_fraction(text) if unclear else text

    def describe(self) -> dict[str, Any]:
        """Unit, range, the units it is shown in, and its sizes."""
        data: dict[str, Any] = {
            "unit": self.quantity.units[0].symbol,
            "minimum": self.low,
            "maximum": self.high,
            "shown_in": list(self.shown_units()),
            "optional": self.optional,
        }
        return data | ({"options": [size for _, size in self.options]} if self.options else {})

    def _read(self, name: str, text: str, box: Unit) -> tuple[float | None, Unit]:
        """The value of what was typed, and the unit it was typed in: that of the box, unless it names one."""
        text = plain_signs(text)
        if not text:
            if self.optional:
                return None, box
            raise InputError(name, f"Type a number for {in_sentence(self.label)}.")
        for label, size in self.options:
            if text == plain_signs(label):
                return size, box
        if len(text) > LONGEST:
            raise InputError(name, f"“{short(text)}” is not a number.")
        inches = self._inches(text, box)
        if inches is not None:
            unit = self.quantity.unit("in")
            return self._in_range(name, unit.to_value(inches), unit), unit
        match = _NUMBER.fullmatch(text)
        if match is None:
            raise InputError(name, f"“{short(text)}” is not a number.")
        digits, exponent, suffix = match[1].strip(), match[2] or "", match[3].strip()
        unit = self._unit(name, suffix, None) if suffix else box
        try:
            plain = decimal_text(digits, lambda whole: self._fits(unit, whole + exponent))
            value = unit.to_value(Decimal(plain + exponent))
        except UnclearNumberError as error:
            raise InputError(name, str(error)) from None
        except ArithmeticError:  # No decimal, or one beyond all use, like 1e1000000.
            raise InputError(name, f"“{short(text)}” is not a number.") from None
        return self._in_range(name, value, unit), unit

    def _inches(self, text: str, box: Unit) -> Decimal | None:
        """What a tape says in feet, inches and parts of an inch; None where it is not written so."""
        match = _TAPE.fullmatch(text) if self.quantity is LENGTH else None
        if match is None:
            return None
        feet, whole, part, parts, part_alone, parts_alone, mark = match.groups()
        over, under = part or part_alone, parts or parts_alone
        if not (feet or over) or not (feet or mark or box.symbol == "in"):
            return None
        if under and not int(under):
            return None
        fraction = Decimal(int(over)) / int(under) if over and under else Decimal(0)
        return Decimal(12 * int(feet or 0) + int(whole or 0)) + fraction

    def _unit(self, name: str, typed: str, chosen: str | None) -> Unit:
        """The unit typed behind a number, or else the one chosen beside its field."""
        if typed:
            unit = self.quantity.named(typed)
            if unit is None:
                known = ", ".join(u.symbol for u in self.quantity.units if u.symbol)
                wanted = f"use {known}" if known else "type the number alone"
                raise InputError(name, f"“{short(typed)}” is no unit of {self.quantity.name}: {wanted}.")
            return unit
        try:
            return self.quantity.unit(chosen or self.show)
        except KeyError:
            raise InputError(name, f"“{short(str(chosen))}” is no unit of {self.quantity.name}.") from None

    def _fits(self, unit: Unit, digits: str) -> bool:
        """Whether a number in that unit lies in the range."""
        try:
            return self.low <= unit.to_value(Decimal(digits)) <= self.high
        except ArithmeticError:
            return False

    def _in_range(self, name: str, value: float, unit: Unit) -> float:
        if self.options:
            return self._size(name, value)
        if not isfinite(value) or not self.low <= value <= self.high:
            raise InputError(name, f"{self.label} must be between {_ends(unit, self.low, self.high)}.")
        if self.whole and value != int(value):
            raise InputError(name, f"{self.label} must be a whole number.")
        return 0.0 if abs(value) < NEAREST_TO_ZERO and self.low <= 0 else value

    def _size(self, name: str, value: float) -> float:
        """The size that a number stands for: what lies between two of them, a calculator has no answer to."""
        for _, size in self.options:
            if isclose(size, value, rel_tol=SAME_SIZE):
                return size
        words = [label for label, _ in self.options]
        if len(words) > MOST_TOLD:
            nearest = sorted(self.options, key=lambda option: abs(option[1] - value))[:NEAREST_TOLD]
            words = [label for label, _ in sorted(nearest, key=lambda option: option[1])]
            raise InputError(
                name, f"{self.label} must be a size that is offered; near it: {', '.join(words)}."
            )
        raise InputError(name, f"{self.label} must be one of: {', '.join(words)}.")

    def _noted(self, name: str, value: float | None, found: Found, unit: Unit) -> float | None:
        """The value; where it is possible but seldom right, with a note beside it in that unit."""
        if self.usual is not None and value is not None and not self.usual[0] <= value <= self.usual[1]:
            ends = _ends(unit, *self.usual)
            found.advice.append(Advice(name, f"{self.label} is usually between {ends}. Is this right?"))
        return value


def is_number(value: Any) -> bool:
    """Whether a value of JSON is a number; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def as_float(name: str, label: str, value: float) -> float:
    """A number as the calculators hold it. Raises InputError for a whole number beyond all use."""
    try:
        return float(value)
    except OverflowError:
        raise InputError(name, f"{label} is too large a number.") from None


def _ends(unit: Unit, low: float, high: float) -> str:
    """The ends of a range; in a unit that makes long numbers of them, four figures that lie inside."""
    inside = (_short_end(unit.to_typed(low), ROUND_CEILING), _short_end(unit.to_typed(high), ROUND_FLOOR))
    return " and ".join(_with_unit(unit, end) for end in inside)


def _short_end(end: str, rounding: str) -> str:
    number = Decimal(end)
    places = END_FIGURES - 1 - number.adjusted()
    if len(number.normalize().as_tuple().digits) <= END_FIGURES or places < 0:
        return end
    return f"{number.quantize(Decimal(1).scaleb(-places), rounding):f}"


def _with_unit(unit: Unit, digits: str) -> str:
    space = "" if unit.symbol in {"°", ""} else " "
    return f"{typographic(digits)}{space}{unit.symbol}"
