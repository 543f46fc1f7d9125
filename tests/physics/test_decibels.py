"""Levels against IEC 60027-3, ISO 1996-1 and textbook values."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import decibels


def test_reference_voltages() -> None:
    # ITU-R BS.645: 1 mW in 600 ohm.
    assert pytest.approx(0.774597, abs=1e-6) == decibels.VOLTAGE_AT_0_DBU
    assert decibels.voltage_at_0_dbm(600) == pytest.approx(decibels.VOLTAGE_AT_0_DBU, rel=1e-12)


# 2, 4 and 8 V in dBu, by the definition.
@pytest.mark.parametrize(("volts", "dbu"), [(2, 8.239), (4, 14.260), (8, 20.280)])
def test_volts_in_dbu(volts: float, dbu: float) -> None:
    found = decibels.decibels_from_voltage_ratio(volts / decibels.VOLTAGE_AT_0_DBU)
    assert found == pytest.approx(dbu, abs=1e-3)


@pytest.mark.parametrize(("before", "after", "change"), [(500, 1000, 3.0103), (75, 100, 1.249)])
def test_powers_in_decibels(before: float, after: float, change: float) -> None:
    assert decibels.decibels_from_power_ratio(after / before) == pytest.approx(change, abs=1e-3)


@given(st.floats(-150, 150))
def test_ratios_and_decibels_are_inverse(height: float) -> None:
    power, voltage = decibels.power_ratio(height), decibels.voltage_ratio(height)
    assert decibels.decibels_from_power_ratio(power) == pytest.approx(height, abs=1e-9)
    assert decibels.decibels_from_voltage_ratio(voltage) == pytest.approx(height, abs=1e-9)
    assert float(decibels.level(voltage)) == pytest.approx(height, abs=1e-9)
    assert float(decibels.level(decibels.amplitude(height))) == pytest.approx(height, abs=1e-9)


@pytest.mark.parametrize("ratio", [0, -1, math.inf, math.nan])
def test_a_ratio_is_above_nothing(ratio: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        decibels.decibels_from_power_ratio(ratio)
    with pytest.raises(ValueError, match="above 0"):
        decibels.decibels_from_voltage_ratio(ratio)


def test_silence_has_a_level() -> None:
    np.testing.assert_allclose(decibels.level([0, 0j, 1e-30, 1]), [-200, -200, -200, 0], atol=1e-9)


# Energy sum of ISO 1996-1.
POWER_SUMS = [
    ([90, 90], 93.010), ([90, 87], 91.764), ([90, 80], 90.414), ([70] * 10, 80.000),
    ([60, 60, 60], 64.771),
]  # fmt: skip


@pytest.mark.parametrize(("parts", "total"), POWER_SUMS)
def test_power_sums(parts: list[float], total: float) -> None:
    assert decibels.power_sum(parts) == pytest.approx(total, abs=1e-3)


# Increment over the louder of two, from the addition chart printed in textbooks.
CHART = [(0, 3.010), (1, 2.539), (2, 2.124), (3, 1.764), (4, 1.455), (6, 0.973), (10, 0.414)]


@pytest.mark.parametrize(("difference", "increment"), CHART)
def test_addition_chart(difference: float, increment: float) -> None:
    assert decibels.power_sum([0, -difference]) == pytest.approx(increment, abs=1e-3)


# 20 log |1 + exp(j phase)|.
PHASOR_SUMS = [(0, 6.021), (60, 4.771), (90, 3.010), (120, 0.000), (150, -5.719)]


@pytest.mark.parametrize(("phase", "total"), PHASOR_SUMS)
def test_phasor_sums(phase: float, total: float) -> None:
    assert decibels.phasor_sum([0, 0], [0, phase]) == pytest.approx(total, abs=1e-3)


def test_full_cancellation_is_finite() -> None:
    assert decibels.phasor_sum([80, 80], [0, 180]) == pytest.approx(-120, abs=1e-6)


@given(st.lists(st.floats(-200, 200), min_size=1, max_size=8))
def test_a_power_sum_lies_between_the_loudest_and_all_as_loud(parts: list[float]) -> None:
    total = decibels.power_sum(parts)
    assert max(parts) - 1e-9 <= total <= max(parts) + 10 * math.log10(len(parts)) + 1e-9


def test_sums_need_their_parts() -> None:
    with pytest.raises(ValueError, match="at least one"):
        decibels.power_sum([])
    with pytest.raises(ValueError, match="at least one"):
        decibels.phasor_sum([], [])
    for wrong in (math.nan, math.inf):
        with pytest.raises(ValueError, match="finite"):
            decibels.power_sum([90, wrong])
        with pytest.raises(ValueError, match="finite"):
            decibels.phasor_sum([90, 90], [0, wrong])
    with pytest.raises(ValueError, match="one phase"):
        decibels.phasor_sum([1, 2], [0])


def test_pressure_of_one_pascal() -> None:
    # IEC 60942: a calibrator of nominally 94 dB gives about 1 Pa, one of 114 dB about 10 Pa.
    found = decibels.decibels_from_voltage_ratio(1 / decibels.REFERENCE_PRESSURE)
    assert found == pytest.approx(93.979, abs=1e-3)
    pressure = decibels.REFERENCE_PRESSURE * decibels.voltage_ratio(114)
    assert pressure == pytest.approx(10.0237, rel=1e-5)


def test_phase_of_one_sample_at_48_kilohertz() -> None:
    # By the definition, 360·f/fs.
    found = [decibels.phase_of_delay(frequency, 1 / 48000) for frequency in (80, 1000, 10000)]
    assert found == pytest.approx([0.6, 7.5, 75], rel=1e-12)


@given(st.floats(20, 20000), st.floats(-720, 720))
def test_phase_and_delay_are_inverse(frequency: float, phase: float) -> None:
    delay = decibels.delay_of_phase(frequency, phase)
    assert decibels.phase_of_delay(frequency, delay) == pytest.approx(phase, abs=1e-9)


def test_no_phase_at_no_frequency() -> None:
    with pytest.raises(ValueError, match="above 0"):
        decibels.delay_of_phase(0, 90)


# 20·log10(1 ± 10^(dB/20)).
@pytest.mark.parametrize(
    ("other", "height", "depth"),
    [(0, 6.0206, -200), (-6, 3.5287, -6.0412), (-10, 2.3866, -3.3018), (-20, 0.8279, -0.9151)],
)
def test_height_of_peaks_and_depth_of_notches(other: float, height: float, depth: float) -> None:
    assert decibels.peak_height(other) == pytest.approx(height, abs=1e-4)
    assert decibels.notch_depth(other) == pytest.approx(depth, abs=1e-4)


def test_a_weighted_sum_of_octaves() -> None:
    # IEC 61672-1 Table 3: A weighting of 63, 125 and 250 Hz.
    weighted = [90 - 26.2, 85 - 16.1, 80 - 8.6]
    assert decibels.power_sum(weighted) == pytest.approx(73.796, abs=1e-3)


def test_half_a_turn_has_one_sign() -> None:
    """Rounding gave -180 in one Python and 180 in the other for the same sum."""
    turned = np.array([complex(-1.0, 0.0), complex(-1.0, -0.0), complex(-1.0, -1e-16), 1j, -1j, 1.0])
    assert decibels.phase(turned).tolist() == [180.0, 180.0, 180.0, 90.0, -90.0, 0.0]


@given(st.floats(-179.999, 180))
def test_phase_is_that_of_the_turn(angle: float) -> None:
    assert float(decibels.phase(2 * np.exp(1j * np.radians(angle)))) == pytest.approx(angle, abs=1e-9)
