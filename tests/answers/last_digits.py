"""What would change on a machine whose mathematics ends in other last digits.

    python -m tests.answers.last_digits                 all calculators, some minutes
    python -m tests.answers.last_digits up filter fuse

A stand-in, harsher than any library of mathematics: what `math` and NumPy give of a sine, a power or a
logarithm is moved by one last digit: always `up`, always `down`, or either or not, by a rule of its own. No
answer may hang on that.
"""

import math
import sys
from collections.abc import Callable
from typing import Any

import numpy as np

OF_MATH = "sin cos tan exp log log10 log2 sinh cosh tanh atan atan2 asin acos pow hypot"
OF_NUMPY = "sin cos tan exp log log10 log2 sinh cosh tanh arctan arctan2"


UP, DOWN = "up", "down"


def moved(function: Callable[..., Any], way: str) -> Callable[..., Any]:
    """A function that gives numbers, a last digit off where it is no whole number."""

    def other(*values: Any, **options: Any) -> Any:
        found = function(*values, **options)
        if np.iscomplexobj(found) or np.asarray(found).dtype != np.float64:
            return found
        exact = np.asarray(found)
        still = (exact == np.round(exact)) | ~np.isfinite(exact)
        ways = np.full(exact.shape, np.inf if way == UP else -np.inf)
        if way not in (UP, DOWN):
            ways = np.where(exact.view(np.int64) % 3 == 0, np.inf, -np.inf)
            still |= exact.view(np.int64) % 3 == 1
        last = np.where(still, exact, np.nextafter(exact, ways))
        return float(last) if isinstance(found, float) else last

    return other


def main() -> int:
    """Move the last digits, then ask; return the exit status."""
    way = sys.argv.pop(1) if sys.argv[1:2] in ([UP], [DOWN]) else ""
    for module, names in ((math, OF_MATH), (np, OF_NUMPY)):
        for name in names.split():
            setattr(module, name, moved(getattr(module, name), way))
    # After that, for a module keeps what it imported.
    from calculators.stages import every_calculator, find_calculator
    from tests.answers import pins, steps

    calculators = [find_calculator(name) for name in sys.argv[1:]] or every_calculator()
    changed = [f"{one.slug}: {line}" for one in calculators for line in pins.changes(one)]
    if not sys.argv[1:]:
        changed += [line for way in steps.WAYS for line in steps.changes(way)]
    print("\n".join(changed) or "as they were")
    return 1 if changed else 0


if __name__ == "__main__":
    raise SystemExit(main())
