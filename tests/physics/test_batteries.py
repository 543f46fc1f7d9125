"""Batteries against published and remembered tables."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import batteries as b


# EL-57: Battery Council International service manual, from memory.
@pytest.mark.parametrize(
    ("voltage", "charge"),
    [(12.65, 1.0), (12.45, 0.75), (12.24, 0.5), (12.06, 0.25), (11.89, 0.0)],
)
def test_state_of_charge_flooded(voltage: float, charge: float) -> None:
    assert b.state_of_charge(voltage, "flooded") == pytest.approx(charge, abs=1e-9)


# The rounded rule, read in print, agrees within the 15 % that such a reading is good for.
@pytest.mark.parametrize(
    ("voltage", "charge"), [(12.6, 1.0), (12.4, 0.75), (12.2, 0.5), (12.0, 0.25), (11.6, 0.0)]
)
def test_state_of_charge_against_the_rounded_rule(voltage: float, charge: float) -> None:
    assert b.state_of_charge(voltage, "flooded") == pytest.approx(charge, abs=0.15)


def test_absorbent_glass_mat_rests_higher_when_full() -> None:
    # Common practice, no source: a full one rests at 12.7 to 13.0 V.
    assert b.state_of_charge(12.65, "absorbent-glass-mat") < 0.85
    assert b.state_of_charge(12.9, "absorbent-glass-mat") == 1.0


@given(low=st.floats(10, 14), more=st.floats(0, 2), chemistry=st.sampled_from(list(b.REST_VOLTAGES)))
def test_more_voltage_never_means_less_charge(low: float, more: float, chemistry: b.Chemistry) -> None:
    assert 0.0 <= b.state_of_charge(low, chemistry) <= b.state_of_charge(low + more, chemistry) <= 1.0


def test_peukert() -> None:
    # EL-52: 70 Ah at 20 h, exponent 1.2, 10 A.
    hours = b.discharge_time(70, 20, 1.2, 10)
    assert hours == pytest.approx(5.6743, abs=1e-4)
    assert hours * 10 == pytest.approx(56.7, abs=0.05)
    assert b.discharge_time(70, 20, 1.2, 3.5) == pytest.approx(20.0)
    assert b.discharge_time(70, 20, 1.0, 7.0) == pytest.approx(10.0)
    assert b.discharge_time(70, 20, 2.0, 7.0) == pytest.approx(5.0)


def test_days_to_flat() -> None:
    # EL-58: 70 Ah, 30 mA, half.
    assert b.days_to_flat(70, 0.5, 0.030) == pytest.approx(48.6, abs=0.05)
    # The pocket table: 50 mA, 90 down to 50 %.
    for capacity, days in ((60, 20.0), (80, 26.7), (100, 33.3)):
        assert b.days_to_flat(capacity, 0.4, 0.050) == pytest.approx(days, abs=0.05)
    assert b.days_to_flat(70, 0.5, 0.0) is None


def test_cold_capacity() -> None:
    # Common practice, no source.
    assert b.cold_capacity_factor(30) == 1.0
    assert b.cold_capacity_factor(-5) == pytest.approx(0.7)
    assert b.cold_capacity_factor(-60) == 0.4


def test_resistance_from_cold_crank() -> None:
    # EL-49: EN 50342-1, 7.5 V; SAE J537, 7.2 V. 680 A, computed by hand.
    assert b.resistance_from_cold_crank(680) == pytest.approx(7.5e-3)
    assert b.resistance_from_cold_crank(675, 7.2) == pytest.approx(8e-3)


@pytest.mark.parametrize(
    "call",
    [
        lambda: b.state_of_charge(math.nan),
        lambda: b.state_of_charge(12.5, "lithium"),  # type: ignore[arg-type]
        lambda: b.days_to_flat(0, 0.5, 0.03),
        lambda: b.days_to_flat(70, 1.5, 0.03),
        lambda: b.discharge_time(70, 20, 0.9, 10),
        lambda: b.resistance_from_cold_crank(680, 13.0),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match="must be"):
        call()  # type: ignore[operator]
