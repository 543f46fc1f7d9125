"""Numbers as people read them: rounded for display alone, with their unit."""

from decimal import ROUND_HALF_EVEN, Decimal

from calculators.declaring.quantities import Unit


def plain(value: float, figures: int = 4, decimals: int | None = None) -> str:
    """Digits of a number, with an ASCII minus, never in exponent form.

    ``decimals`` places behind the point, or ``figures`` significant figures. Zero has no sign.
    """
    number = Decimal(repr(float(value)))
    if decimals is None:
        decimals = figures - 1 - number.adjusted() if number else 0
    rounded = number.quantize(Decimal(1).scaleb(-max(decimals, 0)), ROUND_HALF_EVEN)
    if decimals < 0:
        rounded = round(number, decimals).quantize(Decimal(1))
    text = f"{rounded:f}"
    return text.lstrip("-") if not rounded else text


def typographic(text: str) -> str:
    """The same digits with a true minus sign."""
    return text.replace("-", "−")


def with_unit(digits: str, unit: Unit) -> str:
    """Digits and unit, kept on one line."""
    if not unit.symbol:
        return digits
    space = "" if unit.symbol in {"°", "%"} else "\u00a0"
    return f"{digits}{space}{unit.symbol}"
