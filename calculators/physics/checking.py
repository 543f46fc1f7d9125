"""Checks that keep a meaningless number out of the physics.

The forms check ranges in the reader's own words; these are the last guard, so that a division by
zero, a negative length or a NaN ends as a clear ``ValueError`` and never as a wrong answer.
"""

import math


def require_positive(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is not finite and above zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise ValueError(f"{name} must be above zero, not {value}")


def require_not_negative(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is not finite and at least zero."""
    for name, value in values.items():
        if not (math.isfinite(value) and value >= 0.0):
            raise ValueError(f"{name} must be zero or more, not {value}")


def require_fraction(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is not above zero and at most one."""
    for name, value in values.items():
        if not 0.0 < value <= 1.0:
            raise ValueError(f"{name} must be above 0 and at most 1, not {value}")


def require_finite(**values: float) -> None:
    """Raise ``ValueError`` naming the first value that is infinite or not a number."""
    for name, value in values.items():
        if not math.isfinite(value):
            raise ValueError(f"{name} must be a finite number, not {value}")
