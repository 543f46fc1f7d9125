"""Pads in two legs, against the divider worked out by hand."""

import math

import pytest

from calculators.physics import pick_up


def test_isolating_tap() -> None:
    """10 kΩ in each leg and 2.2 kΩ across, unloaded: 2.2/22.2, and Johnson noise of 1.98 kΩ."""
    ratio = pick_up.pad_ratio(10e3, 2200.0, 1e12)
    assert 20 * math.log10(ratio) == pytest.approx(-20.08, abs=0.005)
    assert pick_up.pad_noise(10e3, 2200.0) == pytest.approx(0.80e-6, abs=0.005e-6)
    assert pick_up.parallel(2200.0, 20e3) == pytest.approx(1981.98, abs=0.01)


@pytest.mark.parametrize("ratio", [0.05, 0.3, 0.9])
def test_leg_gives_the_ratio_asked_for(ratio: float) -> None:
    leg = pick_up.pad_leg(ratio, 2200.0, 10e3)
    assert pick_up.pad_ratio(leg, 2200.0, 10e3) == pytest.approx(ratio, rel=1e-12)


@pytest.mark.parametrize("ratio", [0.0, 1.0, -0.1, 2.0])
def test_no_leg_for_a_ratio_out_of_range(ratio: float) -> None:
    with pytest.raises(ValueError, match="between 0 and 1"):
        pick_up.pad_leg(ratio, 2200.0, 10e3)


@pytest.mark.parametrize(("leg", "across"), [(0.0, 1.0), (1.0, 0.0), (-1.0, 1.0)])
def test_resistances_are_above_0(leg: float, across: float) -> None:
    with pytest.raises(ValueError, match="above 0"):
        pick_up.pad_ratio(leg, across, 10e3)


def test_a_small_leg_is_one_too() -> None:
    """0.5 Ω in each leg and 3 Ω across, unloaded: 3/4."""
    assert pick_up.pad_ratio(0.5, 3.0, 1e15) == pytest.approx(0.75)
