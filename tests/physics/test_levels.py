"""Levels against IEC 60027-3, ISO 1996-1 and textbook values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import levels


def test_reference_voltages() -> None:
    # ITU-R BS.645: 1 mW in 600 ohm.
    assert levels.VOLTAGE_AT_0_DBU == pytest.approx(0.774597, abs=1e-6)
    assert levels.voltage_at_0_dbm(600) == pytest.approx(levels.VOLTAGE_AT_0_DBU, rel=1e-12)


# 2, 4 and 8 V in dBu, by the definition.
@pytest.mark.parametrize(("volts", "dbu"), [(2, 8.239), (4, 14.260), (8, 20.280)])
def test_volts_in_dbu(volts: float, dbu: float) -> None:
    found = levels.decibels_from_voltage_ratio(volts / levels.VOLTAGE_AT_0_DBU)
    assert found == pytest.approx(dbu, abs=1e-3)


@pytest.mark.parametrize(("before", "after", "change"), [(500, 1000, 3.0103), (75, 100, 1.249)])
def test_powers_in_decibels(before: float, after: float, change: float) -> None:
    assert levels.decibels_from_power_ratio(after / before) == pytest.approx(change, abs=1e-3)


@given(st.floats(-150, 150))
def test_ratios_and_decibels_are_inverse(decibels: float) -> None:
    power, voltage = levels.power_ratio(decibels), levels.voltage_ratio(decibels)
    assert levels.decibels_from_power_ratio(power) == pytest.approx(decibels, abs=1e-9)
    assert levels.decibels_from_voltage_ratio(voltage) == pytest.approx(decibels, abs=1e-9)
    assert float(levels.level(voltage)) == pytest.approx(decibels, abs=1e-9)
    assert float(levels.level(levels.amplitude(decibels))) == pytest.approx(decibels, abs=1e-9)


@pytest.mark.parametrize("ratio", [0, -1, math.inf, math.nan])
def test_a_ratio_is_above_nothing(ratio: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        levels.decibels_from_power_ratio(ratio)
    with pytest.raises(ValueError, match="above 0"):
        levels.decibels_from_voltage_ratio(ratio)


def test_silence_has_a_level() -> None:
    np.testing.assert_allclose(levels.level([0, 0j, 1e-30, 1]), [-200, -200, -200, 0], atol=1e-9)
    np.testing.assert_allclose(levels.power_level([0, 1e-30, 100]), [-200, -200, 20], atol=1e-9)


# Energy sum of ISO 1996-1.
POWER_SUMS = [
    ([90, 90], 93.010), ([90, 87], 91.764), ([90, 80], 90.414), ([70] * 10, 80.000),
    ([60, 60, 60], 64.771),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "total"), POWER_SUMS)
def test_power_sums(parts: list[float], total: float) -> None:
    assert levels.power_sum(parts) == pytest.approx(total, abs=1e-3)


# Increment over the louder of two, from the addition chart printed in textbooks.
CHART = [(0, 3.010), (1, 2.539), (2, 2.124), (3, 1.764), (4, 1.455), (6, 0.973), (10, 0.414)]


@pytest.mark.parametrize(("difference", "increment"), CHART)
def test_addition_chart(difference: float, increment: float) -> None:
    assert levels.power_sum([0, -difference]) == pytest.approx(increment, abs=1e-3)


# 20 log |1 + exp(j phase)|.
PHASOR_SUMS = [(0, 6.021), (60, 4.771), (90, 3.010), (120, 0.000), (150, -5.719)]


@pytest.mark.parametrize(("phase", "total"), PHASOR_SUMS)
def test_phasor_sums(phase: float, total: float) -> None:
    assert levels.phasor_sum([0, 0], [0, phase]) == pytest.approx(total, abs=1e-3)


def test_full_cancellation_is_finite() -> None:
    assert levels.phasor_sum([80, 80], [0, 180]) == pytest.approx(-120, abs=1e-6)


@given(st.lists(st.floats(-200, 200), min_size=1, max_size=8))
def test_a_power_sum_lies_between_the_loudest_and_all_as_loud(parts: list[float]) -> None:
    total = levels.power_sum(parts)
    assert max(parts) - 1e-9 <= total <= max(parts) + 10 * math.log10(len(parts)) + 1e-9


def test_sums_need_their_parts() -> None:
    with pytest.raises(ValueError, match="at least one"):
        levels.power_sum([])
    with pytest.raises(ValueError, match="at least one"):
        levels.phasor_sum([], [])
    with pytest.raises(ValueError, match="one phase"):
        levels.phasor_sum([1, 2], [0])


def test_inverse_square() -> None:
    # Kinsler et al., Fundamentals of Acoustics.
    assert levels.change_with_distance(1, 2) == pytest.approx(-6.0206, abs=1e-4)
    assert levels.change_with_distance(1, 10) == pytest.approx(-20, abs=1e-9)
    with pytest.raises(ValueError, match="above 0"):
        levels.change_with_distance(0, 1)


def test_pressure_of_one_pascal() -> None:
    # IEC 60942: a calibrator of nominally 94 dB gives about 1 Pa, one of 114 dB about 10 Pa.
    found = levels.decibels_from_voltage_ratio(1 / levels.REFERENCE_PRESSURE)
    assert found == pytest.approx(93.979, abs=1e-3)
    pressure = levels.REFERENCE_PRESSURE * levels.voltage_ratio(114)
    assert pressure == pytest.approx(10.0237, rel=1e-5)
