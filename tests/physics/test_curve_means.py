"""Means of curves: over bands against a dense sum, and over points against the sum of phasors."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import bands, curve_means, decibels
from calculators.physics.arrays import FloatArray

EDGES = bands.third_octave_edges()
FREQUENCY = np.geomspace(10, 40e3, 61)


def dense_levels(level: FloatArray, low: float, high: float) -> float:
    """Mean power by the trapezium rule on 20,000 places, every octave weighing alike."""
    at = np.linspace(np.log(low), np.log(high), 20_001)
    power = 10 ** (np.interp(at, np.log(FREQUENCY), level) / 10)
    return float(10 * np.log10(np.mean((power[1:] + power[:-1]) / 2)))


def test_a_band_is_its_mean_power() -> None:
    level = np.random.default_rng(4).uniform(-60, 60, FREQUENCY.size)
    found = curve_means.band_levels(FREQUENCY, level, *EDGES.T)
    wanted = [dense_levels(level, low, high) for low, high in EDGES.tolist()]
    np.testing.assert_allclose(found, wanted, atol=2e-6)


def test_white_noise_rises_by_a_decibel_from_band_to_band() -> None:
    """Power that grows with frequency, 3.01 dB an octave: 1.000 dB a third octave, base ten."""
    found = curve_means.band_levels(FREQUENCY, 10 * np.log10(FREQUENCY), *EDGES.T)
    np.testing.assert_allclose(np.diff(found), 1.0, atol=1e-9)


@given(st.lists(st.floats(-150, 150), min_size=61, max_size=61), st.floats(0.02, 3))
def test_a_mean_lies_between_the_least_and_the_most(levels: list[float], octaves: float) -> None:
    low, high = curve_means.octave_edges(np.array([50.0, 1000.0, 9000.0]), octaves)
    found = curve_means.band_levels(FREQUENCY, levels, low, high)
    assert np.all(found >= min(levels) - 1e-9)
    assert np.all(found <= max(levels) + 1e-9)


def test_a_soft_band_behind_a_loud_one_keeps_its_level() -> None:
    level = np.where(FREQUENCY < 500, 150.0, -120.0)
    found = curve_means.band_levels(FREQUENCY, level, np.array([2000.0]), np.array([2500.0]))
    assert found[0] == pytest.approx(-120, abs=1e-9)


@pytest.mark.parametrize(
    ("part", "low", "high"),
    [(3, 890.90, 1122.46), (6, 943.87, 1059.46), (12, 971.53, 1029.30), (24, 985.66, 1014.55)],
)
def test_edges_of_a_part_of_an_octave(part: int, low: float, high: float) -> None:
    """f·2^(±1/2n) at 1 kHz, computed from the definition."""
    found = curve_means.octave_edges(np.array([1000.0]), 1 / part)
    assert [float(edge[0]) for edge in found] == pytest.approx([low, high], abs=0.01)


def test_octaves_are_those_of_the_standard() -> None:
    """IEC 61260-1, base ten: 31.623 Hz to 15.849 kHz, edges 10^(±0.15)."""
    centres, edges = bands.octaves_and_edges()
    assert centres[[0, 5, 9]] == pytest.approx([31.623, 1000, 15848.93], rel=1e-5)
    assert edges[5] == pytest.approx([707.95, 1412.54], rel=1e-5)
    np.testing.assert_allclose(edges[1:, 0], edges[:-1, 1], rtol=1e-12)


@pytest.mark.parametrize(
    ("apart", "wanted"), [(0.0, 0.0), (90.0, -3.0103), (120.0, -6.0206), (180.0, -200.0)]
)
def test_two_equal_sounds_add_up_by_their_phase(apart: float, wanted: float) -> None:
    """Mean of two phasors: 20·log10(cos(half of the angle))."""
    found = curve_means.mean_response([[0.0], [0.0]], [[10.0], [10.0 + apart]])
    assert decibels.level(found)[0] == pytest.approx(wanted, abs=2e-4)
