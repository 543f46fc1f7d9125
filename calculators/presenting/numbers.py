"""Numbers as people read them: rounded for display alone, with their unit."""

from collections.abc import Sequence
from decimal import Decimal
from functools import lru_cache

from calculators.declaring.quantities import Unit

SURE = 1e-6
"""Of the last figure: what is no nearer to half-way is rounded alike, be it the float or as it is written."""
MOST_UNITS = 1e9
"""Of the last figure, up to which a float is true to a tenth of that."""


@lru_cache(maxsize=4096)  # From key to key most of the numbers in a chart's table stay as they are.
def plain(value: float, figures: int = 4, decimals: int | None = None) -> str:
    """Digits of a finite number, with an ASCII minus, never in exponent form.

    ``decimals`` places behind the point, or ``figures`` significant figures. Zero has no sign. What is
    rounded is the number as it is written: 1.005, in binary 1.00499…, lies half-way.
    """
    number = float(value)
    places = _places(number, figures) if decimals is None else decimals
    units = abs(number) * 10.0 ** min(places, 99)
    if 0 <= places < 99 and units < MOST_UNITS and abs(units % 1 - 0.5) > SURE:
        text = f"{number:.{places}f}"
    else:
        text = _rounded_as_written(number, figures, decimals)
    return text if text.strip("-0.") else text.lstrip("-")


def all_plain(values: Sequence[float], decimals: int) -> list[str]:
    """Of many numbers what ``plain`` gives, with 0 or more places behind the point."""
    times = 10.0**decimals
    return [
        f"{value:.{decimals}f}"
        if 0.5 + SURE < (units := abs(value) * times) < MOST_UNITS and abs(units % 1 - 0.5) > SURE
        else plain(value, decimals=decimals)
        for value in values
    ]


def _places(number: float | Decimal, figures: int) -> int:
    """Places behind the point; rounding may add one before it (9.9996 becomes 10.00), so after it."""
    return figures - 1 - int(f"{number:.{figures - 1}e}".partition("e")[2]) if number else 0


def _rounded_as_written(number: float, figures: int, decimals: int | None) -> str:
    written = Decimal(repr(number))
    places = _places(written, figures) if decimals is None else decimals
    return f"{round(written, places) if places < 0 else written:.{max(places, 0)}f}"


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
