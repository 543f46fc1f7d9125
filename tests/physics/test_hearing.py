"""Noise dose against NIOSH 98-126 and Directive 2003/10/EC."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import hearing
from calculators.physics.hearing import Exposure

MINUTE, HOUR = 60.0, 3600.0

# NIOSH 98-126 (1998), section 1.1, Table 1-1: level dBA, minutes.
NIOSH_TABLE_1_1 = [
    (85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (103, 7.5), (106, 3.75),
    (109, 1.875),
]  # fmt: skip


@pytest.mark.parametrize(("level", "minutes"), NIOSH_TABLE_1_1)
def test_times_of_niosh_table_1_1(level: float, minutes: float) -> None:
    assert hearing.allowed_time(level) == pytest.approx(minutes * MINUTE, rel=1e-12)


def test_times_between_the_steps() -> None:
    # Same table, printed 2 h 31 min and 28 s.
    assert hearing.allowed_time(90) / MINUTE == pytest.approx(151.19, abs=0.5)
    assert hearing.allowed_time(115) == pytest.approx(28.1, abs=0.05)


# Worked from the formula of NIOSH 98-126: sum of time spent over time allowed.
@pytest.mark.parametrize(
    ("exposures", "dose"),
    [
        ([Exposure(88, 4 * HOUR), Exposure(91, 2 * HOUR)], 2.0),
        ([Exposure(94, HOUR), Exposure(97, HOUR / 2)], 2.0),
        ([Exposure(85, 8 * HOUR)], 1.0),
        ([], 0.0),
    ],
)
def test_doses(exposures: list[Exposure], dose: float) -> None:
    assert hearing.niosh_dose(exposures) == pytest.approx(dose, abs=1e-12)


def test_time_weighted_average() -> None:
    # NIOSH 98-126: 10·log10(D/100) + 85, for 200 %.
    assert hearing.time_weighted_average(2.0) == pytest.approx(88.01, abs=0.01)
    with pytest.raises(ValueError, match="above 0"):
        hearing.time_weighted_average(0)


def test_daily_level() -> None:
    # Directive 2003/10/EC, article 2: level + 10·log10(t / 8 h).
    assert hearing.daily_level([Exposure(95, HOUR / 2)]) == pytest.approx(82.959, abs=1e-3)
    # ISO 1996-1, equivalent level over 8 h: 1 h at 90 dB and 7 h at 80 dB.
    day = [Exposure(90, HOUR), Exposure(80, 7 * HOUR)]
    assert hearing.daily_level(day) == pytest.approx(83.274, abs=1e-3)


# SCENIHR 2008, Table 3: as much as 85 dBA for 8 h, with the table's rounding.
@pytest.mark.parametrize(
    ("level", "minutes"), [(88, 240), (91, 120), (94, 60), (97, 30), (100, 15), (105, 5)]
)
def test_eu_equivalents(level: float, minutes: float) -> None:
    found = hearing.daily_level([Exposure(level, minutes * MINUTE)])
    assert found == pytest.approx(85, abs=0.25)


# Directive 2003/10/EC, article 3(1), and its footnotes 135, 137 and 140 dB(C) of the peaks
# (the first two from memory).
def test_eu_action_values() -> None:
    found = [(each.daily_level, each.peak_pressure) for each in hearing.EU_ACTION_VALUES]
    assert found == [(80, 112), (85, 140), (87, 200)]
    peaks = [20 * math.log10(pressure / 20e-6) for _, pressure in found]
    assert peaks == pytest.approx([134.96, 136.90, 140.00], abs=0.05)


@pytest.mark.parametrize(("daily", "count"), [(79.9, 0), (80, 1), (84.9, 1), (85, 2), (87, 3)])
def test_values_reached(daily: float, count: int) -> None:
    assert hearing.reached_action_values(daily) == hearing.EU_ACTION_VALUES[:count]


@given(st.lists(st.builds(Exposure, st.floats(40, 130), st.floats(1, 24 * HOUR)), min_size=1, max_size=6))
def test_order_and_splitting_do_not_matter(exposures: list[Exposure]) -> None:
    halves = [Exposure(each.level, each.duration / 2) for each in exposures] * 2
    for function in (hearing.niosh_dose, hearing.daily_level):
        whole = function(exposures)
        assert function(list(reversed(exposures))) == pytest.approx(whole, rel=1e-9)
        assert function(halves) == pytest.approx(whole, rel=1e-9)


def test_no_time_and_negative_time() -> None:
    with pytest.raises(ValueError, match="needs a duration"):
        hearing.daily_level([Exposure(90, 0)])
    for function in (hearing.niosh_dose, hearing.daily_level):
        with pytest.raises(ValueError, match="below 0"):
            function([Exposure(90, -1)])
        with pytest.raises(ValueError, match="finite"):
            function([Exposure(math.nan, 60)])
