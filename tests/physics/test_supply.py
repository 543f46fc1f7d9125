"""Amplifier current, heat and the charging budget against published and textbook values."""

import math

import pytest

from calculators.physics import supply as s


# Current is power over efficiency and volts: definition.
@pytest.mark.parametrize(
    ("power", "efficiency", "current"), [(500, 0.85, 42.63), (500, 0.5, 72.46), (1000, 0.8, 90.58)]
)
def test_amplifier_current(power: float, efficiency: float, current: float) -> None:
    assert s.amplifier_current(power, efficiency, 13.8) == pytest.approx(current, abs=1e-2)


def test_current_at_parts_of_the_power() -> None:
    # EL-67: an eighth and a third of 1000 W.
    assert s.amplifier_current(1000 / 8, 0.8, 13.8) == pytest.approx(11.32, abs=1e-2)
    assert s.amplifier_current(1000 / 3, 0.8, 13.8) == pytest.approx(30.19, abs=1e-2)
    # The running example: 580 W, 0.8, 13.5 V.
    assert s.amplifier_current(580, 0.8, 13.5) == pytest.approx(53.70, abs=5e-3)


def test_average_power_by_crest() -> None:
    # A sine is its own rating; 12.04 dB of crest is an eighth, by definition.
    assert s.average_power_fraction(10 * math.log10(2)) == pytest.approx(1.0)
    assert s.average_power_fraction(10 * math.log10(16)) == pytest.approx(1 / 8)
    # EL-84: a square wave (0 dB) carries twice, a triangle (4.7712 dB) two thirds.
    assert s.average_power_fraction(0.0) == pytest.approx(2.0)
    assert s.average_power_fraction(4.7712) == pytest.approx(2 / 3, rel=1e-4)


def test_heat_of_class_d() -> None:
    # EL-73.
    assert s.heat_loss(1000, 0.9) == pytest.approx(111.1, abs=0.1)
    assert s.heat_loss(1000, 1.0) == 0.0


def test_charging_budget() -> None:
    # 150 A alternator, half at idle, 40 A vehicle, 45 A music: 10 A short; computed by hand.
    budget = s.charging_budget(150, 0.5, 40, 45, capacity=70, usable=0.5)
    assert budget.driving_surplus == pytest.approx(65)
    assert budget.idle_surplus == pytest.approx(-10)
    assert budget.idle_share == pytest.approx(85 / 75)
    # EL-52: 70 Ah at 10 A last 5.6743 h by Peukert's law, half of them half as long.
    assert budget.idle_endurance == pytest.approx(5.6743 / 2 * 3600, rel=1e-4)
    assert budget.battery_endurance == pytest.approx(10 * (70 / (85 * 20)) ** 1.2 * 3600)


def test_charging_budget_without_deficit_or_load() -> None:
    assert s.charging_budget(150, 0.5, 20, 10).idle_endurance is None
    assert s.charging_budget(150, 0.5, 0, 0).battery_endurance is None


@pytest.mark.parametrize(
    "call",
    [
        lambda: s.amplifier_current(100, 0.0, 13.8),
        lambda: s.amplifier_current(100, 1.1, 13.8),
        lambda: s.amplifier_current(math.nan, 0.8, 13.8),
        lambda: s.average_power_fraction(-1.0),
        lambda: s.charging_budget(0, 0.5, 1, 1),
    ],
)
def test_refusals(call: object) -> None:
    with pytest.raises(ValueError, match="must be"):
        call()  # type: ignore[operator]
