"""Places at which a curve is looked at: against closed forms of tops, dips and edges."""

from math import sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import biquads, decibels, filters
from calculators.physics.curve_places import around_filters, turning_points

EVEN = 1000 * 10 ** (np.arange(-68, 53) / 40)


@given(st.floats(30, 15e3), st.floats(0.5, 40), st.sampled_from([-24.0, -6.0, 3.0, 12.0]))
def test_the_one_turn_of_a_peak_is_its_centre(frequency: float, q: float, gain: float) -> None:
    built = biquads.biquad("peak", frequency, gain, q)
    places = np.unique(np.concatenate([EVEN, around_filters(frequency, q)]))
    turns = turning_points(lambda f: [decibels.level(filters.response(built, f))], [(0, places)])[0]
    (turn,) = [each for each in turns if places[0] * 1.001 < each < places[-1] / 1.001]
    assert turn == pytest.approx(frequency, rel=1e-4)


def test_a_comb_turns_at_every_quarter_of_its_spacing() -> None:
    """1 + exp(-jwt) has its dips at odd multiples of 1/2t and its tops between them (closed form)."""
    places = np.linspace(20, 4990, 3000)
    turns = turning_points(
        lambda f: [decibels.level(1 + 0.5 * np.exp(-2j * np.pi * f / 1000))], [(0, places)]
    )[0]
    turns = turns[(turns > 21) & (turns < 4980)]
    assert turns == pytest.approx([500, 1000, 1500, 2000, 2500, 3000, 3500, 4000, 4500], rel=2e-5)


@pytest.mark.parametrize("level", [0.0, -3.0103, 6.25])
def test_a_level_line_does_not_turn_whatever_its_last_digits(level: float) -> None:
    noise = np.random.default_rng(1).uniform(-1e-12, 1e-12, EVEN.size)
    assert turning_points(lambda f: [level + np.resize(noise, f.shape)], [(0, EVEN)])[0].size == 0


def test_a_filter_is_looked_at_where_its_half_gain_lies() -> None:
    """The points of half the gain in dB are centre * (±1/2Q + sqrt(1 + 1/4Q²)) (Audio EQ Cookbook)."""
    places = around_filters(1000.0, 2.0)
    low, high = (1000 * (step / 4 + sqrt(1 + 1 / 16)) for step in (-1, 1))
    assert {round(low, 6), 1000.0, round(high, 6)} <= set(np.round(places, 6))
    built = biquads.biquad("peak", 1000.0, -12.0, 2.0)
    assert decibels.level(filters.response(built, [low, high])) == pytest.approx([-6, -6], abs=1e-9)


def test_wrong_filters_are_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        around_filters([1000.0, 0.0], 1.0)


def test_a_top_in_the_last_gap_is_found() -> None:
    """Highest at 19.98 kHz, between the last two places: the last one alone hides it."""
    places = np.array([19000.0, 19950.0, 20000.0])
    turns = turning_points(lambda f: [-(((f - 19981) / 10) ** 2)], [(0, places)])[0]
    assert any(turn == pytest.approx(19981, rel=3e-5) for turn in turns)
