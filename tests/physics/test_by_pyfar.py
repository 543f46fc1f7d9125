"""Moist air and nominal bands by the library pyfar: seconds to load, which `./run check` does without."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import air, bands


def test_nominal_frequencies() -> None:
    from pyfar.constants import fractional_octave_frequencies_nominal

    library = fractional_octave_frequencies_nominal(3, (20, 20000))
    np.testing.assert_allclose(bands.NOMINAL_THIRD_OCTAVES, library)


@given(st.floats(0, 30), st.floats(0, 1), st.floats(75e3, 102e3), st.floats(0, 0.01))
def test_moist_air(temperature: float, humidity: float, pressure: float, carbon_dioxide: float) -> None:
    from pyfar.constants import speed_of_sound_cramer

    if not air.cramer_holds(temperature, humidity, pressure):
        return
    expected = speed_of_sound_cramer(temperature, humidity, carbon_dioxide * 1e6, pressure)
    found = air.humid_speed_of_sound(temperature, humidity, pressure, carbon_dioxide)
    assert found == pytest.approx(float(expected), rel=1e-12)
