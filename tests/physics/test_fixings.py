"""Fixings and axles: printed values, a second way to the same figure, and what must hold."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import fixings
from calculators.physics.axles import axle_changes
from calculators.physics.fixings import BOLT_AREAS, Strength


@pytest.mark.parametrize(
    ("diameter", "load"), [(0.006, 16_100), (0.008, 29_200), (0.010, 46_400), (0.012, 67_400)]
)
def test_bolts_break_where_the_standard_prints_it(diameter: float, load: float) -> None:
    """ISO 898-1, minimum ultimate tensile loads of class 8.8, coarse threads (from memory)."""
    counted = fixings.bolt_strength(BOLT_AREAS[diameter], 800e6, 0.6, 1.0).pull
    assert counted == pytest.approx(0.9 * load, rel=3e-3)


@pytest.mark.parametrize("diameter", BOLT_AREAS)
def test_stress_area_is_that_of_the_thread(diameter: float) -> None:
    """ISO 898-1: π/4·(d - 0.9382·P)², pitches of ISO 261."""
    pitch = {4: 0.7, 5: 0.8, 6: 1.0, 8: 1.25, 10: 1.5, 12: 1.75}[round(1e3 * diameter)]
    area = math.pi / 4 * (1e3 * diameter - 0.9382 * pitch) ** 2
    assert 1e6 * BOLT_AREAS[diameter] == pytest.approx(area, rel=3e-3)


def test_body_sheet_under_a_plain_washer() -> None:
    """0.7 mm of DC04 under 16 mm: 3.0 kN, 2.4 with 1.25; beside an M8 2.5 kN (worked out by hand)."""
    bare = fixings.sheet_strength(0.008, 0.016, 0.0007, 270e6, 0.1, 1.0)
    held = fixings.sheet_strength(0.008, 0.016, 0.0007, 270e6, 0.1, 1.25)
    assert bare.pull == pytest.approx(3024)
    assert held.pull == pytest.approx(2419.2)
    assert held.shear == pytest.approx(2.5 * (0.8 * 0.7 + 1.5) / 2.5 * 270 * 8 * 0.7 / 1.25)
    near = fixings.sheet_strength(0.008, 0.016, 0.0007, 270e6, 0.012, 1.25)
    assert near.shear == pytest.approx(held.shear / 2)


def test_the_box_of_13_kg() -> None:
    """20 g: 2549.7 N, 1.27 kN on each of two; 61 mm over rows 300 mm apart lift 518 N on one of two."""
    force = 13 * 20 * fixings.GRAVITY
    assert force == pytest.approx(2549.7, abs=0.05)
    assert force / fixings.counted(4) == pytest.approx(1275, abs=0.5)
    in_row = fixings.counted_in_row(4)
    assert fixings.overturning_pull(force, 0.061, 0.3, in_row) == pytest.approx(518.4, abs=0.05)


def test_a_stop_from_50_km_h_at_20_g() -> None:
    distance, time = fixings.stopping(50 / 3.6, 20 * fixings.GRAVITY)
    assert distance == pytest.approx(0.49, abs=0.005)
    assert time == pytest.approx(0.071, abs=0.0005)
    assert distance == pytest.approx(50 / 3.6 * time / 2)


@given(st.floats(0, 1e4), st.floats(0, 1e4), st.floats(1, 3))
def test_both_loads_use_a_part_up_together(pull: float, shear: float, times: float) -> None:
    part = Strength(2419.0, 2492.0)
    used = part.used(pull, shear)
    assert used >= max(pull / part.pull, shear / part.shear)
    assert part.used(times * pull, times * shear) == pytest.approx(times * used)
    assert part.used(part.pull, 0) == part.used(0, part.shear) == 1


@pytest.mark.parametrize(("fixings_used", "half"), [(2, 1), (3, 1), (4, 2), (5, 2), (8, 4)])
def test_half_of_them_count(fixings_used: int, half: int) -> None:
    assert fixings.counted(fixings_used) == half


@pytest.mark.parametrize(("fixings_used", "half"), [(2, 1), (3, 1), (4, 1), (5, 1), (7, 1), (8, 2), (12, 3)])
def test_half_of_the_row_that_is_lifted_counts(fixings_used: int, half: int) -> None:
    """Of 7 in two rows the shorter has 3, and 1 is counted."""
    assert fixings.counted_in_row(fixings_used) == half


@given(st.floats(-50, 500), st.floats(-2, 8), st.floats(1, 8))
def test_axles_carry_what_is_added_and_balance(mass: float, station: float, wheelbase: float) -> None:
    front, rear = axle_changes(mass, station, wheelbase)
    assert front + rear == pytest.approx(mass, abs=1e-9)
    assert rear * wheelbase == pytest.approx(mass * station, abs=1e-9)


def test_behind_the_rear_axle_the_front_gets_lighter() -> None:
    """19 kg 0.45 m behind the rear axle, wheelbase 2.70 m: rear 22.2 kg more, front 3.2 kg less."""
    front, rear = axle_changes(19, 2.70 + 0.45, 2.70)
    assert (front, rear) == (pytest.approx(-3.17, abs=0.005), pytest.approx(22.17, abs=0.005))


def test_what_has_no_meaning_is_refused() -> None:
    for refused in (
        lambda: fixings.counted(1),
        lambda: fixings.counted_in_row(1),
        lambda: fixings.overturning_pull(1, 1, 0, 1),
        lambda: fixings.overturning_pull(-1, 1, 1, 1),
        lambda: fixings.bolt_strength(0, 1, 1, 1),
        lambda: fixings.bolt_strength(1, 1, 0, 1),
        lambda: fixings.sheet_strength(0.008, 0.016, math.nan, 270e6, 0.03, 1.25),
        lambda: fixings.stopping(10, 0),
        lambda: Strength(1, 1).used(-1, 0),
        lambda: axle_changes(1, 1, 0),
    ):
        with pytest.raises(ValueError, match="must"):
            refused()
