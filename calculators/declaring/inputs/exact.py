"""A decimal number that keeps every figure typed, as money wants it."""

import re
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from calculators.declaring.errors import InputError, short
from calculators.declaring.inputs.kind import Form, Found, Kind, in_sentence
from calculators.declaring.numerals import (
    UnclearNumberError,
    clear_fraction,
    decimal_text,
    is_group,
    plain_signs,
    typographic,
)

_DIGITS = re.compile(r"[+-]?(\d[\d ., ]*|[.,]\d+)")
_PLAIN = re.compile(r"-?\d+(\.\d+)?")
LONGEST = 24
"""Signs: no amount, count or rate is longer, and decimal arithmetic stays exact below it."""


@dataclass(frozen=True)
class Exact(Kind):
    """An amount of money, a count or a rate, never a float: its value is its digits as text, ``"12.50"``.

    ``low`` and ``high`` are the hard range, ``places`` the most decimals of the value. A ``percent`` is
    typed as 20 and held as ``"0.2"``; what is typed below 1 without a sign of its own is asked back.
    ``optional`` ones may be left empty (None); ``empty`` says what that means.
    """

    label: str
    low: str
    high: str
    places: int = 2
    unit: str = ""
    percent: bool = False
    optional: bool = False
    empty: str = ""
    help: str = ""
    seldom: bool = False

    @cached_property
    def sign(self) -> str:
        """What stands behind its field; nothing for a bare number."""
        return "%" if self.percent else self.unit

    @cached_property
    def ends(self) -> tuple[Decimal, Decimal]:
        """The range as numbers."""
        return Decimal(self.low), Decimal(self.high)

    def units_offered(self) -> tuple[str, ...]:
        """The sign behind its field."""
        return (self.sign,) if self.sign else ()

    def meaning(self) -> str:
        """That it is exact, and its sign."""
        return f"exact {self.sign}".strip()

    def fault(self) -> str | None:
        """A range that is none."""
        low, high = self.ends
        if not low <= high:
            return f"its range ends at {self.high}, below {self.low}: give the lower end first"
        return None

    def read_text(self, name: str, given: Any, form: Form, found: Found) -> str | None:
        """The digits of what was typed, with a decimal point; no thousands mark, no exponent."""
        text = plain_signs(str(given))
        bare = text.removesuffix(self.sign).strip()
        if not text:
            if self.optional:
                return None
            raise InputError(name, f"Type a number for {in_sentence(self.label)}.")
        if len(bare) > LONGEST or not _DIGITS.fullmatch(bare):
            raise InputError(name, f"“{short(text)}” is not a number written out in digits.")
        try:
            shown = Decimal(decimal_text(bare, self._fits))
        except UnclearNumberError as error:
            raise InputError(name, str(error)) from None
        except ArithmeticError:
            raise InputError(name, f"“{short(text)}” is not a number.") from None
        if self.percent and 0 < abs(shown) < 1 and bare == text:
            ratio = f"{(shown * 100).normalize():f}"
            raise InputError(name, f"Is {bare} meant as {ratio} %? Type {ratio}, or {bare} % with its sign.")
        return self._checked(name, shown.scaleb(-2) if self.percent else shown)

    def read_value(self, name: str, value: Any, found: Found) -> str | None:
        """Decimal text; a plain number of JSON counts as it is written."""
        if value is None and self.optional:
            return None
        text = repr(value) if isinstance(value, int | float) and not isinstance(value, bool) else value
        if not isinstance(text, str) or len(text) > LONGEST or not _PLAIN.fullmatch(text):
            raise InputError(name, f"{self.label} must be a decimal number as text, like “12.50”.")
        return self._checked(name, Decimal(text))

    def write_text(self, name: str, value: Any) -> dict[str, str]:
        """The digits as a person would type them, so that they read back as they are."""
        if value is None:
            return {name: ""}
        shown = self.digits_shown(value)
        return {name: f"{shown} %" if self.percent and 0 < abs(Decimal(shown)) < 1 else shown}

    def digits_shown(self, value: str) -> str:
        """The digits before the sign: never such that their point may be taken for a thousands mark."""
        shown = plain_digits(Decimal(value).scaleb(2) if self.percent else Decimal(value))
        unclear = is_group(shown) and self._fits(shown.replace(".", ""))
        return clear_fraction(shown) if unclear else shown

    def describe(self) -> dict[str, Any]:
        """Range, decimals, and whether it may be left empty."""
        return {
            "minimum": self.low,
            "maximum": self.high,
            "decimals": self.places,
            "unit": "" if self.percent else self.unit,
            "optional": self.optional,
        }

    def _fits(self, digits: str) -> bool:
        shown, (low, high) = Decimal(digits), self.ends
        return low <= (shown.scaleb(-2) if self.percent else shown) <= high

    def _checked(self, name: str, value: Decimal) -> str:
        low, high = self.ends
        if not low <= value <= high:
            sign = f" {self.sign}".rstrip()
            words = " and ".join(
                f"{typographic(self.digits_shown(end))}{sign}" for end in (self.low, self.high)
            )
            raise InputError(name, f"{self.label} must be between {words}.")
        digits = plain_digits(value)
        places = self.places - 2 if self.percent else self.places
        if len(digits.partition(".")[2]) > self.places:
            raise InputError(name, f"{self.label} can have {places} decimals at most.")
        return digits


def plain_digits(value: Decimal) -> str:
    """The shortest digits of a decimal: no exponent, no zeros behind the last figure, no sign of zero."""
    digits = f"{value:f}"
    if "." in digits:
        digits = digits.rstrip("0").rstrip(".")
    return "0" if digits in {"-0", ""} else digits
