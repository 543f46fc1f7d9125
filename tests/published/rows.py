"""Published values as rows: what goes into a calculator, what must come out, and who says so.

Marks: lib (a reference library gave it), calc (worked out from the source's own formula), page
(read in the source), memory (remembered, not seen).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

import pytest

from calculators.declaring import OutputField, run_values
from calculators.presenting.values import find_value
from calculators.stages import find_calculator
from tests.published.units import UNIT_OF

type Expected = float | str | tuple[float, ...] | None


@dataclass(frozen=True)
class Row:
    """One value. ``tolerance`` is absolute, in the output's own unit.

    ``identity`` tells it from others in a report: a word (`chain`), or its number in our first list of checks
    (`AC-34`), which is not kept. A new row takes a word.
    """

    identity: str
    slug: str
    inputs: Mapping[str, Any]
    path: str
    expected: Expected
    tolerance: float
    source: str
    mark: Literal["lib", "calc", "page", "memory"]


def check(row: Row) -> None:
    """Run the calculator and hold its answer against the row; an answer of zero must fail."""
    outcome = run_values(find_calculator(row.slug), row.inputs)
    assert outcome.errors == ()
    declared, found = find_value(outcome, row.path)
    if isinstance(row.expected, str) or row.expected is None:
        assert found == row.expected
        return
    check_unit(declared)
    if isinstance(row.expected, float | int) and row.expected != 0:
        assert row.tolerance < abs(row.expected), "a tolerance that lets zero through proves nothing"
    assert found == pytest.approx(row.expected, rel=0, abs=row.tolerance)


def check_unit(declared: OutputField) -> None:
    """Hold the unit that an output is declared in against the one that sources print it in."""
    quantity = getattr(declared.kind, "quantity", None)
    unit = quantity.unit().symbol if quantity else ""
    printed = UNIT_OF.get(declared.name)
    assert printed is not None, f"say in tests/published/units.py in which unit sources print {declared.name}"
    assert unit == printed, f"{declared.name} is declared in {unit!r}, and sources print it in {printed!r}"


def every(rows: list[Row]) -> Any:
    """Parametrise a test with rows. Each is named after its calculator: by that `./run check` finds it."""
    names = [f"{row.slug}-{row.identity}-{row.path}-{number}" for number, row in enumerate(rows)]
    return pytest.mark.parametrize("row", rows, ids=names)
