"""Cure against the rule of thumb as printed, and by what must hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import curing


@pytest.mark.parametrize(("temperature", "expected"), [(23, 1.0), (15, 1.7), (10, 2.5), (5, 3.5), (33, 0.5)])
def test_twice_as_long_for_ten_degrees_less(temperature: float, expected: float) -> None:
    """2^((23 - t)/10), common practice."""
    assert curing.slowness(temperature) == pytest.approx(expected, abs=0.05)


def test_a_bead_twice_as_deep_takes_four_times_as_long() -> None:
    """3 mm a day: 6 mm 4 days, 10 mm 11 days, worked out."""
    assert curing.depth_time(6e-3, 3e-3, 1) == pytest.approx(4)
    assert curing.depth_time(10e-3, 3e-3, 1) == pytest.approx(11, abs=0.2)


@given(st.floats(1e-4, 0.05), st.floats(1e-3, 0.01), st.floats(3600, 1e6))
def test_depth_and_time_undo_each_other(depth: float, known: float, time: float) -> None:
    assert curing.cured_depth(curing.depth_time(depth, known, time), known, time) == pytest.approx(depth)


def test_dry_air_is_slow() -> None:
    assert curing.dryness(0.5) == 1
    assert curing.dryness(0.25) == 2


def test_what_has_no_meaning_is_refused() -> None:
    with pytest.raises(ValueError, match="temperature"):
        curing.slowness(math.nan)
    with pytest.raises(ValueError, match="depth"):
        curing.depth_time(0, 3e-3, 1)
    with pytest.raises(ValueError, match="humidity"):
        curing.dryness(0)
    with pytest.raises(ValueError, match="time"):
        curing.cured_depth(0, 3e-3, 1)
