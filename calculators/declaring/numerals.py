"""Numbers as people write them: digits of any script, minus signs, decimal and thousands marks.

One rule for a field and for a pasted curve. What can be read in two ways is asked back, and what is
proposed instead is read as it was meant.
"""

import re
from collections.abc import Callable
from decimal import Decimal

from calculators.declaring.errors import short

MINUS = str.maketrans({"−": "-", "–": "-", "\u00a0": " ", "\u2009": " ", "\u202f": " ", "\ufeff": ""})
_FULL_WIDTH = {0xFEE0 + code: chr(code) for code in range(0x21, 0x7F)}
_SIGNS = MINUS | _FULL_WIDTH | str.maketrans({"\u3000": " ", "٫": ".", "٬": ",", "،": ","})

LONGEST = 400
"""Signs: what is longer is no number that a person typed."""

_GROUP = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_GROUPS = re.compile(r"[+-]?\d{1,3}([.,])\d{3}(\1\d{3})+")
_BLANK_GROUPS = re.compile(r"[+-]?\d{1,3}( \d{3})+([.,]\d*)?")
_GROUPS_AND_POINT = re.compile(r"([+-]?\d{1,3}([.,])\d{3}(?:\2\d{3})*)(?!\2)[.,](\d+)")


class UnclearNumberError(ValueError):
    """Digits that are no number, or more than one; the message says what to type instead."""


def plain_signs(text: str) -> str:
    """The text with the digits 0 to 9, one minus sign, one blank, and no blanks at its ends."""
    if text.isascii():
        return text.strip()
    return "".join(str(int(sign)) if sign.isdecimal() else sign for sign in text.translate(_SIGNS)).strip()


def is_group(digits: str) -> bool:
    """Whether the one mark in the digits may part thousands: ``1,200`` or ``1.200``."""
    return _GROUP.fullmatch(digits) is not None


def decimal_text(digits: str, thousands_fit: Callable[[str], bool]) -> str:
    """The digits with a decimal point and no other mark between them.

    A comma before exactly three digits is asked back. A point there is the decimal point, unless
    the number without it would do as well, as ``thousands_fit`` says. Raises UnclearNumberError.
    """
    if digits.isdecimal():  # So are most that are typed, and those of a form with a hundred fields.
        return digits
    if "," in digits and "." in digits:
        match = _GROUPS_AND_POINT.fullmatch(digits)
        if match is None:
            raise UnclearNumberError(f"“{short(digits)}” is not one number.")
        plain = f"{re.sub('[.,]', '', match[1])}.{match[3]}"
        raise UnclearNumberError(
            f"“{short(digits)}” can be read in two ways: type it without a thousands mark, like {plain}."
        )
    whole = digits.replace(",", "").replace(".", "")
    if is_group(digits) and ("," in digits or thousands_fit(whole)):
        part = clear_fraction(digits.replace(",", "."))
        raise UnclearNumberError(f"“{short(digits)}” can be read in two ways: type {whole} or {part}.")
    if _GROUPS.fullmatch(digits):
        raise UnclearNumberError(f"“{short(digits)}” can be read in two ways: type {whole}.")
    if " " in digits and not _BLANK_GROUPS.fullmatch(digits):
        raise UnclearNumberError(f"“{short(digits)}” is not one number.")
    return digits.replace(" ", "").replace(",", ".")


def clear_fraction(digits: str) -> str:
    """Digits with a decimal point, so that the point cannot be taken for a thousands mark."""
    shortest = digits.rstrip("0").rstrip(".")
    return f"{shortest}0" if is_group(shortest) else shortest


def typographic(digits: str) -> str:
    """A number's digits, with a true minus sign; of a number alone, for in words a hyphen would turn too."""
    return digits.replace("-", "−")


def figures(value: float, count: int) -> str:
    """So many significant figures of a number, without zeros behind the last, never in exponent form."""
    return f"{Decimal(f'{value:.{count - 1}e}').normalize():f}"
