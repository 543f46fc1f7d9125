"""Responses: levels, and perhaps phases, over frequency."""

from dataclasses import dataclass
from math import isfinite

from calculators.declaring.errors import InputError

FEWEST_POINTS = 5
LATEST_ARRIVAL = 10.0
"""s."""


@dataclass(frozen=True)
class Curve:
    """Level in dB, and perhaps phase in degrees, at strictly rising frequencies in Hz.

    ``arrival``: s, the flight time that the phase has had taken out; None where nothing is said of it.
    """

    frequency: tuple[float, ...]
    level: tuple[float, ...]
    phase: tuple[float, ...] | None = None
    arrival: float | None = None


def checked_curve(curve: Curve, field: str) -> Curve:
    """The same curve, if it can be used as an input.

    Raises InputError for fewer than 5 points, for columns of different lengths, for a number
    that is not finite, for frequencies that are not positive and strictly rising, and for an arrival
    beyond 10 s.
    """
    columns = [curve.frequency, curve.level, *([curve.phase] if curve.phase is not None else [])]
    if len({len(column) for column in columns}) > 1:
        raise InputError(field, "Every point needs a frequency and a level.")
    if len(curve.frequency) < FEWEST_POINTS:
        raise InputError(field, f"A curve needs at least {FEWEST_POINTS} points.")
    if not all(isfinite(number) for column in columns for number in column):
        raise InputError(field, "Every number of the curve must be finite.")
    rising = all(a < b for a, b in zip(curve.frequency, curve.frequency[1:], strict=False))
    if curve.frequency[0] <= 0 or not rising:
        raise InputError(field, "The frequencies must rise from point to point.")
    if curve.arrival is not None and not abs(curve.arrival) <= LATEST_ARRIVAL:
        raise InputError(field, f"An arrival lies within {LATEST_ARRIVAL:g} s.")
    return curve
