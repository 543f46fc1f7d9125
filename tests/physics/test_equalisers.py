"""The graphic equaliser against scipy.optimize; headroom and target curves."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from calculators.physics import equalisers, filters
from calculators.physics.bands import exact_third_octaves
from calculators.physics.biquads import biquad
from calculators.physics.filters import FloatArray
from calculators.physics.levels import level

CENTRES = exact_third_octaves()


def levels_of(gains: FloatArray, q: float, rate: float | None) -> FloatArray:
    built = equalisers.graphic_equaliser(gains, q, rate)
    return level(filters.response(built, CENTRES))


def one_by_one(q: float, rate: float | None) -> FloatArray:
    """Level at each centre for each filter alone with a gain of 1 dB."""
    return np.array([levels_of(row, q, rate) for row in np.eye(31)]).T


def root_mean_square(values: FloatArray) -> float:
    return float(np.sqrt(np.mean(values**2)))


def test_q_of_a_third_octave() -> None:
    # IEC 61260-1, base ten: 1/(G^(1/6) - G^(-1/6)).
    assert pytest.approx(4.3334, abs=1e-4) == equalisers.THIRD_OCTAVE_Q


@pytest.mark.parametrize("rate", [None, 44100.0, 48000.0])
@pytest.mark.parametrize("limit", [24.0, 12.0])
def test_100_random_targets(rate: float | None, limit: float) -> None:
    """Gains of up to ±24 dB meet every target. Up to ±12 dB cannot, but still beat the linear ones."""
    random = np.random.default_rng(31)
    q = equalisers.THIRD_OCTAVE_Q
    small_gains = one_by_one(q, rate)
    for _ in range(100):
        wanted = random.uniform(-12, 12, 31)
        found = equalisers.solve_graphic_equaliser(wanted, q, rate, limit)
        linear = optimize.lsq_linear(small_gains, wanted, (-limit, limit)).x
        miss = root_mean_square(wanted - levels_of(found.gains, q, rate))
        assert found.miss == pytest.approx(miss, abs=1e-8)
        assert miss <= root_mean_square(wanted - levels_of(linear, q, rate))
        assert np.max(np.abs(found.gains)) <= limit
        if limit == 24:
            assert miss < 1e-6


def test_bounded_answers_are_as_good_as_the_library() -> None:
    random = np.random.default_rng(5)
    for _ in range(5):
        wanted = random.uniform(-12, 12, 31)
        found = equalisers.solve_graphic_equaliser(wanted, 3.0, 48000, 12)
        best = optimize.least_squares(
            lambda gains, wanted=wanted: wanted - levels_of(gains, 3.0, 48000),
            np.zeros(31),
            bounds=(-12, 12),
            xtol=1e-10,
        )
        assert found.miss <= root_mean_square(best.fun) + 1e-4


@given(st.lists(st.floats(-9, 9), min_size=31, max_size=31))
@settings(max_examples=30, deadline=None)
def test_gains_come_back_from_their_own_levels(gains: list[float]) -> None:
    wanted = levels_of(np.array(gains), 4.33, 48000)
    found = equalisers.solve_graphic_equaliser(wanted, 4.33, 48000)
    np.testing.assert_allclose(found.gains, gains, atol=1e-5)
    np.testing.assert_allclose(found.levels, wanted, atol=1e-6)


def test_neighbours_add_up() -> None:
    """All sliders at 6 dB lift the middle of the range by more than 6 dB; solved gains do not."""
    plain = levels_of(np.full(31, 6.0), equalisers.THIRD_OCTAVE_Q, 48000)
    assert plain[15] > 9
    solved = equalisers.solve_graphic_equaliser(np.full(31, 6.0), sample_rate=48000)
    np.testing.assert_allclose(solved.levels, 6, atol=1e-5)


@given(st.integers(0, 10**6))
@settings(max_examples=60, deadline=None)
def test_bounded_least_squares_equals_the_library(seed: int) -> None:
    random = np.random.default_rng(seed)
    columns = int(random.integers(1, 12))
    matrix = random.normal(size=(columns + int(random.integers(0, 6)), columns))
    target = random.normal(size=len(matrix)) * 3
    lower = random.uniform(-2, 0.5, columns)
    upper = lower + random.uniform(0, 2, columns)
    upper[0] = lower[0]  # a variable without room
    found = equalisers.bounded_least_squares(matrix, target, lower, upper)
    assert np.all((found >= lower) & (found <= upper))
    expected = optimize.lsq_linear(matrix, target, (lower, upper + 1e-9), method="bvls", tol=1e-14)
    mine = np.sum((matrix @ found - target) ** 2)
    assert mine <= 2 * expected.cost * (1 + 1e-6) + 1e-6


def test_equaliser_refusals() -> None:
    with pytest.raises(ValueError, match="31 gains"):
        equalisers.graphic_equaliser(np.zeros(30))
    with pytest.raises(ValueError, match="31 bands"):
        equalisers.solve_graphic_equaliser(np.zeros(30))
    for q, limit in ((0, 12), (1, 0), (1, math.nan)):
        with pytest.raises(ValueError, match="above 0"):
            equalisers.solve_graphic_equaliser(np.zeros(31), q, None, limit)
    with pytest.raises(ValueError, match="half the sample rate"):
        equalisers.solve_graphic_equaliser(np.zeros(31), sample_rate=32000)
    one = np.ones(1)
    for lower, upper, target in ((one, -one, one), (-one, one, one * math.nan)):
        with pytest.raises(ValueError, match="finite"):
            equalisers.bounded_least_squares(np.ones((1, 1)), target, lower, upper)


def test_headroom_of_one_peak() -> None:
    found = equalisers.headroom(biquad("peak", 1234.5, 6, 12, 48000))
    assert found.boost == pytest.approx(6, abs=1e-6)
    assert found.frequency == pytest.approx(1234.5, rel=1e-3)
    assert found.cut == -found.boost
    # 6 dB asks 10^0.6 times the power (IEC 60027-3).
    assert found.power_ratio == pytest.approx(3.9811, abs=1e-3)


def test_headroom_of_cuts_is_nothing() -> None:
    found = equalisers.headroom(biquad("peak", [100, 1000], [-3, -6], 2, 48000))
    assert found.boost == pytest.approx(0, abs=0.01)
    assert equalisers.headroom(biquad("low-pass", 100, 0, 0.5), 5000, 20000).boost == 0


@given(st.lists(st.floats(-12, 12), min_size=31, max_size=31))
@settings(max_examples=20, deadline=None)
def test_headroom_is_the_most_of_a_finer_search(gains: list[float]) -> None:
    built = equalisers.graphic_equaliser(np.array(gains), sample_rate=48000)
    finer = level(filters.response(built, np.geomspace(10, 20000, 20001)))
    assert equalisers.headroom(built).boost >= max(float(np.max(finer)), 0) - 1e-4


def test_headroom_needs_a_range() -> None:
    for low, high in ((0, 100), (100, 100), (30000, 40000)):
        with pytest.raises(ValueError, match="below high"):
            equalisers.headroom(biquad("peak", 100, 3, 1, 48000), low, high)


def test_target_shape() -> None:
    shape = equalisers.TargetShape(
        bass_gain=8, bass_frequency=60, tilt=-0.5, hinge=1000, treble_gain=-2, treble_frequency=8000
    )
    found = equalisers.target_levels([1.0, 60.0, 1000.0, 2000.0], shape)
    # Audio EQ Cookbook: a shelf has half its gain at its middle.
    assert found[0] == pytest.approx(8, abs=1e-3)
    assert found[1] == pytest.approx(4, abs=1e-3)
    assert found[2] == pytest.approx(0, abs=0.01)
    assert found[3] - found[2] == pytest.approx(-0.5, abs=0.02)
    far = equalisers.target_levels([1e6, 2e6], shape)
    assert far[1] - far[0] == pytest.approx(-0.5, abs=1e-3)
    assert far[0] == pytest.approx(-2 - 0.5 * math.log2(1000), abs=1e-3)
    with pytest.raises(ValueError, match="above 0"):
        equalisers.target_levels([0.0], shape)


def test_levels_through_points() -> None:
    found = equalisers.levels_through_points([10, 20, 40, 80, 160], [20, 80], [6, 0])
    np.testing.assert_allclose(found, [6, 6, 3, 0, 0], atol=1e-12)
    for points, heights in (([80, 20], [0, 1]), ([20, 20], [0, 1]), ([0, 20], [0, 1])):
        with pytest.raises(ValueError, match="must rise"):
            equalisers.levels_through_points([100], points, heights)
    with pytest.raises(ValueError, match="finite"):
        equalisers.levels_through_points([100], [20], [math.nan])
    for points, heights in (([], []), ([20], [0, 1])):
        with pytest.raises(ValueError, match="a frequency and a level"):
            equalisers.levels_through_points([100], points, heights)
