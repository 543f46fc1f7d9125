"""Directivity of a flat disc, against scipy's Bessel function."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import j1, jn_zeros

from calculators.physics.directivity import (
    FIRST_NULL,
    disc_directivity,
    off_axis_frequency,
    off_axis_gain,
)


@given(st.floats(1e-3, 400))
def test_the_integral_is_the_bessel_function(x: float) -> None:
    assert float(disc_directivity(x)) == pytest.approx(2 * j1(x) / x, abs=2e-14)


def test_it_is_one_on_the_axis_and_keeps_the_shape_it_is_given() -> None:
    assert float(disc_directivity(0.0)) == pytest.approx(1, abs=1e-15)
    assert disc_directivity(np.ones((2, 3))).shape == (2, 3)


def test_the_first_null_is_that_of_j1() -> None:
    assert pytest.approx(jn_zeros(1, 1)[0], rel=1e-15) == FIRST_NULL


@given(st.floats(0.1, 40), st.floats(0.02, 0.4), st.floats(5, 90), st.floats(300, 360))
def test_the_frequency_of_a_loss_has_that_loss(
    loss: float, diameter: float, angle: float, speed: float
) -> None:
    found = off_axis_frequency(loss, diameter, angle, speed)
    gain = float(off_axis_gain(found, diameter, angle, speed))
    assert -20 * math.log10(gain) == pytest.approx(loss, abs=1e-6)


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_wrong_values_are_refused(wrong: float) -> None:
    with pytest.raises(ValueError, match="0 or more"):
        disc_directivity(wrong)
    with pytest.raises(ValueError, match="above 0"):
        off_axis_gain(100.0, wrong if wrong < 0 else 0.0, 30, 343)
    with pytest.raises(ValueError, match="above 0"):
        off_axis_frequency(3.0, 0.1, 0.0, 343)


def test_an_angle_is_a_right_one_at_most() -> None:
    assert off_axis_gain(100.0, 0.1, 90.0, 343.0) == pytest.approx(1, abs=0.01)
    for angle in (-0.5, 90.5):
        with pytest.raises(ValueError, match="between 0 and 90"):
            off_axis_gain(100.0, 0.1, angle, 343.0)
