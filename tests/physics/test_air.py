"""Sound in air against ISO 9613-1, Cramer (1993) and an independent library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import air

# ISO 9613-1:1993 Formula A.5, printed to 0.001 m/s; same from pyfar's speed_of_sound_simple.
ISO_9613_1 = [(20, 343.2, 1e-9), (0, 331.286, 1e-3), (25, 346.115, 1e-3)]


@pytest.mark.parametrize(("temperature", "speed", "tolerance"), ISO_9613_1)
def test_dry_air_of_iso_9613_1(temperature: float, speed: float, tolerance: float) -> None:
    assert air.speed_of_sound(temperature) == pytest.approx(speed, abs=tolerance)


# Cramer, JASA 93 (1993), by pyfar's speed_of_sound_cramer: humidity, carbon dioxide, speed.
CRAMER_1993 = [
    (20, 0.5, 400e-6, 343.987),
    (20, 1.0, 400e-6, 344.613),
    # The CRC Handbook prints 331.45 m/s (value from memory).
    (0, 0.0, 314e-6, 331.455),
]


@pytest.mark.parametrize(("temperature", "humidity", "carbon_dioxide", "speed"), CRAMER_1993)
def test_moist_air_of_cramer(
    temperature: float, humidity: float, carbon_dioxide: float, speed: float
) -> None:
    found = air.humid_speed_of_sound(temperature, humidity, carbon_dioxide=carbon_dioxide)
    assert found == pytest.approx(speed, abs=0.01)


def test_humidity_at_20_degrees_adds_1_25_metres_per_second() -> None:
    # Difference of two values by Cramer (1993).
    added = air.humid_speed_of_sound(20, 1) - air.humid_speed_of_sound(20, 0)
    assert added == pytest.approx(1.25, abs=0.02)


def test_wavelengths_of_the_definition() -> None:
    found = air.wavelength(np.array([20.0, 1000.0, 20000.0]), 343.2)
    np.testing.assert_allclose(found, [17.16, 0.3432, 0.01716], rtol=1e-9)


@pytest.mark.parametrize("pressure", [0.0, -1.0])
def test_air_has_a_pressure(pressure: float) -> None:
    with pytest.raises(ValueError, match="physical range"):
        air.humid_speed_of_sound(20, 0.5, pressure)


@pytest.mark.parametrize("temperature", [-273.15, -300, math.nan])
def test_no_air_is_colder_than_absolute_zero(temperature: float) -> None:
    with pytest.raises(ValueError, match="absolute zero"):
        air.speed_of_sound(temperature)


@pytest.mark.parametrize("humidity", [-0.1, 1.1, math.nan])
def test_humidity_is_a_fraction(humidity: float) -> None:
    with pytest.raises(ValueError, match="physical range"):
        air.humid_speed_of_sound(20, humidity)


def test_cramer_holds_where_he_fitted() -> None:
    assert air.cramer_holds(20, 1, 101325)
    assert not air.cramer_holds(60, 1, 101325)
    assert not air.cramer_holds(-1, 0, 101325)
    assert air.cramer_holds(20, 0, 75e3)
    assert not air.cramer_holds(20, 0, 74.9e3)
    assert air.cramer_holds(30, 0, 102e3)
    assert not air.cramer_holds(30.1, 0, 102e3)


# Everest and Pohlmann, Master Handbook of Acoustics: first notch c/2d, first peak c/d, 343.2 m/s.
@pytest.mark.parametrize(
    ("difference", "notch", "peak"), [(0.1716, 1000, 2000), (0.5, 343.2, 686.4), (0.1, 1716, 3432)]
)
def test_first_notch_and_peak(difference: float, notch: float, peak: float) -> None:
    assert air.notch_frequencies(difference, 343.2)[0] == pytest.approx(notch, rel=1e-6)
    assert air.peak_frequencies(difference, 343.2)[0] == pytest.approx(peak, rel=1e-6)


def test_notches_and_peaks_up_to_20_kilohertz() -> None:
    # c/d = 2 kHz: odd thousands cancel, even ones add, 20 kHz itself included.
    np.testing.assert_allclose(air.notch_frequencies(0.1716, 343.2), range(1000, 20000, 2000))
    np.testing.assert_allclose(air.peak_frequencies(0.1716, 343.2), range(2000, 20001, 2000))
    assert air.peak_frequencies(0.01, 343.2).size == 0
    assert air.notch_frequencies(0.005, 343.2).size == 0


@given(st.floats(0.02, 10), st.floats(300, 380))
def test_the_comb_is_lowest_at_notches_and_highest_at_peaks(difference: float, speed: float) -> None:
    notches = air.notch_frequencies(difference, speed)
    peaks = air.peak_frequencies(difference, speed)
    assert notches.size == 0 or notches[-1] <= 20000.001
    assert peaks.size == 0 or peaks[-1] <= 20000.001
    assert notches.size - peaks.size in (0, 1)
    np.testing.assert_allclose(abs(air.comb_response(notches, difference, -6, speed)), 0.498813, rtol=1e-5)
    np.testing.assert_allclose(abs(air.comb_response(peaks, difference, -6, speed)), 1.501187, rtol=1e-5)


def test_opposed_bands() -> None:
    # Geometry: 0.40 m at 343.2 m/s is opposed at 429 Hz, from half of it to half as much again.
    lowest, next_one = air.opposed_band(0.4, 343.2), air.opposed_band(0.4, 343.2, 1)
    assert (lowest.low, lowest.centre, lowest.high) == pytest.approx((214.5, 429, 643.5), rel=1e-9)
    assert (next_one.low, next_one.high) == pytest.approx((1072.5, 1501.5), rel=1e-9)


@given(st.floats(0.1, 1.2), st.integers(0, 5))
def test_at_the_edges_of_an_opposed_band_two_sounds_add_like_noise(difference: float, number: int) -> None:
    band = air.opposed_band(difference, 343.2, number)
    edges = np.array([band.low, band.high])
    gain = np.abs(air.comb_response(edges, difference, 0.0, 343.2))
    np.testing.assert_allclose(gain, math.sqrt(2), rtol=1e-9)
    at_centre = air.comb_response(np.array([band.centre]), difference, 0.0, 343.2)
    assert abs(at_centre[0]) < 1e-9


@pytest.mark.parametrize("difference", [0, -1, math.nan])
def test_paths_of_one_length_make_no_comb(difference: float) -> None:
    for function in (air.notch_frequencies, air.peak_frequencies, air.opposed_band):
        with pytest.raises(ValueError, match="path difference"):
            function(difference, 343.2)
    with pytest.raises(ValueError, match="counted from 0"):
        air.opposed_band(0.4, 343.2, -1)
