"""Levels at the ear against textbook values."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import speaker_output as e


# SP-47: 2.83 V into 8, 4, 2 ohm: 0, +3.01, +6.02 dB over 1 W.
@pytest.mark.parametrize(("load", "less"), [(8, 0.0), (4, 3.0103), (2, 6.0206)])
def test_sensitivity_per_watt(load: float, less: float) -> None:
    assert e.sensitivity_per_watt(91.0, load) == pytest.approx(91.0 - less, abs=6e-3)


def test_noise_at_ear() -> None:
    # 0.5 mV, 4 ohm, 91 dB/W, 1 m: 19.0 dB, computed.
    assert e.noise_at_ear(0.5e-3, 4.0, 91.0, 1.0) == pytest.approx(19.0, abs=0.05)


# SP-58: 88 dB, 300 W, no heating counted.
@pytest.mark.parametrize(("distance", "level"), [(1, 112.77), (2, 106.75)])
def test_level_from_power(distance: float, level: float) -> None:
    assert e.level_from_power(88.0, 300.0, distance) == pytest.approx(level, abs=1e-2)
    assert e.power_for_level(level, 88.0, distance) == pytest.approx(300.0, rel=2e-3)


# SP-48 to SP-51: Beranek and Mellow; Small 1972. rho = 1.204.
@pytest.mark.parametrize(
    ("area", "excursion", "frequency", "level"),
    [
        (0.0330, 0.010, 30, 98.00),
        (0.0330, 0.010, 60, 110.04),
        (0.0137, 0.004, 80, 99.44),
        (0.1, 0.01, 20, 100.59),
    ],
)
def test_level_from_excursion(area: float, excursion: float, frequency: float, level: float) -> None:
    assert e.level_from_excursion(area, excursion, frequency, 1.0) == pytest.approx(level, abs=5e-3)


def test_pressure_and_power_of_a_piston() -> None:
    # SP-48: 1.5887 Pa; SP-54: 0.03838 W = 2 pi r2 p2/(rho c) = (4 pi3 rho/c) f4 Vd2 with the peak
    # volume (Small 1972).
    pressure = 20e-6 * 10 ** (e.level_from_excursion(0.033, 0.01, 30, 1.0) / 20)
    assert pressure == pytest.approx(1.5887, abs=1e-4)
    power = 2 * math.pi * pressure**2 / (1.204 * 343.2)
    assert power == pytest.approx(0.03838, abs=1e-5)
    small = 4 * math.pi**3 * 1.204 / 343.2 * 30**4 * (0.033 * 0.01) ** 2
    assert power == pytest.approx(small, rel=1e-9)


def test_maximum_level_says_which_limit_acts() -> None:
    low = e.maximum_level(88.0, 300.0, 0.033, 0.010, 30.0, 1.0)
    assert low.limit == "excursion"
    assert low.level == pytest.approx(98.00, abs=5e-3)
    high = e.maximum_level(88.0, 300.0, 0.033, 0.010, 120.0, 1.0)
    assert high.limit == "power"
    assert high.level == pytest.approx(112.77, abs=1e-2)


def test_level_budget_by_hand() -> None:
    # 85 dB, 12 dB crest, 6 dB headroom: 103 dB peak; 88 dB/W at 1 m: 10^((103-3.01-88)/10) W.
    budget = e.level_budget(85.0, 12.0, 6.0, 88.0, 1.0, amplifier_power=31.6228)
    assert budget.peak_level == 103.0
    assert budget.power == pytest.approx(15.811, abs=1e-3)
    assert budget.headroom == pytest.approx(9.0103, abs=1e-3)
    assert budget.spare == pytest.approx(3.0103, abs=1e-3)


@given(
    usual=st.floats(60, 100),
    crest=st.floats(3, 20),
    headroom=st.floats(0, 12),
    sensitivity=st.floats(80, 100),
    distance=st.floats(0.2, 4),
)
def test_the_power_of_a_budget_leaves_nothing_spare(
    usual: float, crest: float, headroom: float, sensitivity: float, distance: float
) -> None:
    power = e.level_budget(usual, crest, headroom, sensitivity, distance, 1.0).power
    again = e.level_budget(usual, crest, headroom, sensitivity, distance, power)
    assert again.spare == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize(
    "call",
    [
        lambda: e.noise_at_ear(0.0, 4, 91, 1),
        lambda: e.level_from_power(math.nan, 1, 1),
        lambda: e.level_from_power(88, 1, 0),
        lambda: e.level_from_excursion(0.03, 0.0, 30, 1),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match="must be"):
        call()  # type: ignore[operator]
