"""Numbers as people read them: rounded for display alone, with their unit."""

from decimal import Decimal
from functools import lru_cache

from calculators.declaring.quantities import Unit


@lru_cache(maxsize=4096)  # From key to key most of the numbers in a chart's table stay as they are.
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


def clock(seconds: float) -> str:
    """A time (0 or more) as people say it: ``16 h``, ``2 h 31 min``, ``7 min 53 s``, ``28 s``, ``4.7 s``.

    Seconds are left out from ten minutes, minutes from a hundred hours.
    """
    if seconds < 9.95:
        return f"{plain(seconds, 2)}\u00a0s"
    step = 1 if seconds < 600 else 60 if seconds < 360_000 else 3600
    whole = round(seconds / step) * step
    parts = ((whole // 3600, "h"), (whole // 60 % 60, "min"), (whole % 60, "s"))
    return " ".join(f"{count}\u00a0{unit}" for count, unit in parts if count)
