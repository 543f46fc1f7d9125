"""Numbers as people read them: rounded for display alone, with their unit."""

from decimal import Decimal

from calculators.declaring.quantities import Unit


def plain(value: float, figures: int = 4, decimals: int | None = None) -> str:
    """Digits of a number, with an ASCII minus, never in exponent form.

    ``decimals`` places behind the point, or ``figures`` significant figures. Zero has no sign.
    """
    number = Decimal(repr(float(value)))
    if decimals is None:
        # Rounding may add a place (9.9996 becomes 10.00), so the place is taken after it.
        first = Decimal(f"{number:.{figures - 1}e}").adjusted()
        decimals = figures - 1 - first if number else 0
    rounded = round(number, decimals) if decimals < 0 else number
    text = f"{rounded:.{max(decimals, 0)}f}"
    return text if text.strip("-0.") else text.lstrip("-")


def typographic(text: str) -> str:
    """The same digits with a true minus sign."""
    return text.replace("-", "−")


def with_unit(digits: str, unit: Unit) -> str:
    """Digits and unit, kept on one line."""
    if not unit.symbol:
        return digits
    space = "" if unit.symbol in {"°", "%"} else "\u00a0"
    return f"{digits}{space}{unit.symbol}"
