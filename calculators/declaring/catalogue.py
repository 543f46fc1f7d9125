"""All calculators, by slug. A stage file adds its own when it is imported."""

from collections.abc import Callable, Mapping
from typing import Any

from calculators.declaring.calculator import Calculator

_CATALOGUE: dict[str, Calculator] = {}


def calculator(
    title: str,
    example: Mapping[str, Any],
    sources: tuple[str, ...],
    cautions: tuple[str, ...] = (),
    equations: tuple[str, ...] = (),
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Declare that a function is a calculator; the function itself stays as it was.

    ``sources`` and ``cautions`` are keys of ``calculators.sources`` and ``calculators.cautions``. Raises
    DeclarationError for an input or an output that is declared wrongly.
    """

    def declare[Function: Callable[..., Any]](function: Function) -> Function:
        entry = Calculator(function, title, sources, cautions, equations, example).checked()
        _CATALOGUE[entry.slug] = entry
        return function

    return declare


def registered() -> dict[str, Calculator]:
    """The calculators of every stage file imported so far, by slug."""
    return dict(_CATALOGUE)
