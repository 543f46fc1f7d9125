"""A number with sizes is one of them, whoever gives it."""

import pytest

from calculators.declaring import InputError, Number
from calculators.declaring.inputs import Found
from calculators.declaring.quantities import LENGTH

SIZE = Number("Size", LENGTH, 1, 4, options=(("small", 1.0), ("4 m²", 4.0)))
MANY = Number("Cable", LENGTH, 0, 99, options=tuple((f"no. {size}", float(size)) for size in range(1, 31)))


def test_what_lies_between_two_sizes_is_refused_with_the_sizes() -> None:
    words = r"^size: Size must be one of: small, 4 m²\.$"
    with pytest.raises(InputError, match=words):
        SIZE.read_number("size", "2.5")
    with pytest.raises(InputError, match=words):
        SIZE.read_value("size", 2.5, Found())
    with pytest.raises(InputError, match=r"near it: no\. 6, no\. 7, no\. 8\.$"):
        MANY.read_number("cable", "7.1")


def test_a_size_written_to_three_figures_is_that_size() -> None:
    assert SIZE.read_value("size", 4.008, Found()) == SIZE.read_number("size", "3.99") == 4.0
    with pytest.raises(InputError):
        SIZE.read_value("size", 4.02, Found())
