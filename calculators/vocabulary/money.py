"""Money to the smallest unit of its currency: rounding, sharing out, reading and writing.

Decimal and whole-number arithmetic throughout; half a unit is rounded away from zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property
from typing import Literal

from calculators.declaring import InputError, Money, Text
from calculators.declaring.inputs import Exact, Form, Found

Style = Literal["plain", "comma", "point", "blank", "apostrophe"]

STYLES = {
    "plain": "1234.50",
    "comma": "1,234.50",
    "point": "1.234,50",
    "blank": "1 234,50",
    "apostrophe": "1'234.50",
}
"""How numbers are printed, each shown by itself."""

_MARKS = {
    "plain": ("", "."),
    "comma": (",", "."),
    "point": (".", ","),
    "blank": ("\u202f", ","),
    "apostrophe": ("'", "."),
}

_NO_DECIMALS = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
_THREE_DECIMALS = "BHD IQD JOD KWD LYD OMR TND"
DECIMALS = dict.fromkeys(_NO_DECIMALS.split(), 0) | dict.fromkeys(_THREE_DECIMALS.split(), 3)
"""Currencies whose decimals are not 2, by their code of ISO 4217 (from memory)."""

_UNITS = {places: Decimal(1).scaleb(-places) for places in (0, 2, 3)}
"""The smallest unit of a currency, by its decimals."""


@dataclass(frozen=True)
class Currency:
    """A currency by its code, and how its amounts are printed."""

    code: str
    sign: str = ""
    style: Style = "plain"
    sign_first: bool = False

    @cached_property  # A quote of a dozen lines asks some hundred times.
    def places(self) -> int:
        """Decimals of its smallest unit."""
        return DECIMALS.get(self.code, 2)

    def rounded(self, amount: Decimal) -> Decimal:
        """An amount to the smallest unit, half away from zero; zero has no sign."""
        return amount.quantize(_UNITS[self.places], ROUND_HALF_UP) + 0

    def money(self, amount: Decimal) -> Money:
        """An amount that is whole in its smallest unit, as digits and as words."""
        digits = f"{self.rounded(amount):.{self.places}f}"
        return Money(digits, self.words(digits))

    def words(self, digits: str) -> str:
        """Plain digits in the style chosen, with sign or code; one from right to left stands by itself."""
        whole, _, part = digits.removeprefix("-").partition(".")
        thousands, point = _MARKS[self.style]
        if thousands:
            head = len(whole) % 3
            groups = [whole[:head]] * bool(head) + [whole[at : at + 3] for at in range(head, len(whole), 3)]
            whole = thousands.join(groups)
        number = f"{'−' if digits.startswith('-') else ''}{whole}{point if part else ''}{part}"
        sign = f"\u2068{self.sign}\u2069" if self.sign and not self.sign.isascii() else self.sign or self.code
        return f"{sign}\u00a0{number}" if self.sign_first else f"{number}\u00a0{sign}"


def shared_out(amount: Decimal, weights: Sequence[Decimal], currency: Currency) -> tuple[Decimal, ...]:
    """An amount in parts by weight, each whole in the smallest unit; together they are the amount.

    By largest remainder: every part is rounded down, and what is left goes, a unit each, to those that
    lost most; of two that lost alike the larger weight first. Raises ValueError where the weights
    together are nothing.
    """
    unit = 10**currency.places
    whole = int(amount * unit)
    scale = 10 ** max(0, -_exponent(sum(weights, Decimal(0))))  # A sum has the decimals of its finest part.
    parts = [int(weight * scale) for weight in weights]
    total = sum(parts)
    if total == 0:
        raise ValueError("nothing to share it out over")
    if total < 0:
        total, parts = -total, [-part for part in parts]
    floors, lost = zip(*(divmod(whole * part, total) for part in parts), strict=True)
    order = sorted(range(len(parts)), key=lambda place: (-lost[place], -parts[place], place))
    more = set(order[: whole - sum(floors)])
    return tuple(Decimal(floor + (place in more)) / unit for place, floor in enumerate(floors))


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    assert isinstance(exponent, int)
    return exponent


_PART = Exact("Share", "0", "1", places=6, percent=True)
_AMOUNT = Exact("Amount", "0", "1000000000", places=4)


def share_of(label: str) -> Text:
    """An input for a share or an amount."""
    return Text(
        label, longest=20, help="5 % or 50.00.",
        pattern=r"\d{1,10}([.,]\d{1,4})? ?%?", wanted="type a share, like 5 %, or an amount, like 50.00",
    )  # fmt: skip


def share_or_amount(name: str, text: str, of: Decimal, currency: Currency) -> Decimal:
    """What a text such as ``5 %`` or ``50.00`` takes of an amount; nothing for an empty one.

    Raises InputError for what is neither, and for a share above the whole.
    """
    text = text.strip()
    if not text:
        return Decimal(0)
    if text.endswith("%"):
        return currency.rounded(of * Decimal(_PART.read_text(name, text, Form({}, {}), Found()) or 0))
    digits = _AMOUNT.read_text(name, text, Form({}, {}), Found()) or "0"
    return checked(name, digits, currency)


def to_coins(total: Decimal, step: Decimal) -> Decimal:
    """The total to the nearest coin; tax is not worked out again."""
    return (total / step).quantize(Decimal(1), ROUND_HALF_UP) * step if step else total


def checked(name: str, digits: str, currency: Currency) -> Decimal:
    """An amount that was typed. Raises InputError for one finer than the currency's smallest unit."""
    amount = Decimal(digits)
    if currency.rounded(amount) != amount:
        raise InputError(
            name,
            f"{currency.code} has no decimals: type a whole number."
            if currency.places == 0
            else f"{currency.code} has {currency.places} decimals: type no more.",
        )
    return amount


def currency_of(
    name: str, code: str, sign: str = "", style: Style = "plain", sign_first: bool = False
) -> Currency:
    """The currency of a code typed. Raises InputError for one that is no code of ISO 4217 by its form."""
    upper = code.strip().upper()
    if len(upper) != 3 or not (upper.isascii() and upper.isalpha()):
        raise InputError(name, "Type the three letters of the currency, like XTS.")
    return Currency(upper, sign.strip(), style, sign_first)
