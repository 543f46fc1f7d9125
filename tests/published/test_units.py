"""Units of published values: an output declared in another one than its sources print is found."""

from dataclasses import replace

import pytest

from calculators.declaring import Output
from calculators.declaring.quantities import CURRENT
from calculators.stages import every_calculator, find_calculator
from tests.published.rows import check_unit
from tests.published.units import UNIT_OF, UNITS


def test_each_name_stands_once_and_is_one_of_an_output() -> None:
    outputs = [output for entry in every_calculator() for output in entry.outputs]
    names = {entry.name for output in outputs for entry in (output, *output.columns)}
    assert set(UNIT_OF) <= names
    assert len(UNIT_OF) == sum(len(of_unit.split()) for of_unit in UNITS.values())


def test_an_output_in_another_unit_is_found() -> None:
    drop = next(entry for entry in find_calculator("cable").outputs if entry.name == "drop")
    check_unit(drop)
    assert isinstance(drop.kind, Output)
    with pytest.raises(AssertionError, match="declared in 'A', and sources print it in 'V'"):
        check_unit(replace(drop, kind=replace(drop.kind, quantity=CURRENT)))
    with pytest.raises(AssertionError, match="in which unit sources print reaching"):
        check_unit(replace(drop, name="reaching"))
