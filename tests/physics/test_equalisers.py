"""The graphic equaliser against scipy.optimize; headroom and target curves."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize, signal

from calculators.declaring import drain
from calculators.physics import equalisers, filters
from calculators.physics.bands import THIRD_OCTAVE_Q, exact_third_octaves
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import FloatArray

CENTRES = exact_third_octaves()


def levels_of(gains: FloatArray, q: float, rate: float | None) -> FloatArray:
    built = equalisers.graphic_equaliser(gains, q, rate)
    return level(filters.response(built, CENTRES))


def test_q_of_a_third_octave() -> None:
    # IEC 61260-1, base ten: 1/(G^(1/6) - G^(-1/6)).
    assert pytest.approx(4.3334, abs=1e-4) == THIRD_OCTAVE_Q


POINTS = equalisers.solved_points()


def at_points(gains: FloatArray, q: float, rate: float | None) -> FloatArray:
    return level(filters.response(equalisers.graphic_equaliser(gains, q, rate), POINTS))


def between(wanted: FloatArray) -> FloatArray:
    """Straight lines over the logarithm of frequency, by the library: half-way is the mean."""
    return np.interp(np.arange(61), np.arange(0, 61, 2), wanted)


def one_by_one(q: float, rate: float | None) -> FloatArray:
    """What each slider does to each point for a decibel, by differences of the response itself."""
    small = 1e-4
    return np.array([at_points(small * row, q, rate) for row in np.eye(31)]).T / small


@pytest.mark.parametrize("rate", [None, 48_000.0])
def test_the_most_within_is_that_after_any_filter(rate: float | None) -> None:
    """A lift that a cut takes back: 6 dB in between; the cut first: nothing. A shelf's own overshoot."""
    lift, cut = (biquad("peak", 1000.0, gain, 1.0, rate) for gain in (6.0, -6.0))
    assert equalisers.most_within(filters.cascade(lift, cut)) == pytest.approx(6.0, abs=1e-6)
    assert equalisers.most_within(filters.cascade(cut, lift)) == pytest.approx(0.0, abs=1e-6)
    shelf = biquad("low-shelf", 300.0, -6.0, 1.0, rate)
    own = np.max(level(filters.response(shelf, np.geomspace(10, 20e3, 20_000))))
    assert own > 0.1
    assert equalisers.most_within(filters.cascade(shelf, cut)) == pytest.approx(own, abs=1e-4)


def random_target(random: np.random.Generator, number: int) -> FloatArray:
    """Smooth, ragged, zigzag, spiked and wandering curves in turn."""
    return (
        random.uniform(-12, 12, 31),
        np.convolve(random.uniform(-12, 12, 37), np.ones(7) / 7, "valid"),
        np.where(np.arange(31) % 2, 1, -1) * random.uniform(3, 12),
        np.where(random.random(31) < 0.2, random.uniform(-15, 15, 31), 0.0),
        np.cumsum(random.normal(0, 2, 31)),
    )[number % 5]


def exact_slopes(gains: FloatArray, q: float, rate: float | None) -> FloatArray:
    """Jacobian of the levels: a peak's |H|² is (d + g)/(d + 1/g), differentiated by hand."""
    warp = (lambda f: f) if rate is None else (lambda f: np.tan(np.pi * f / rate))
    ratio = warp(POINTS)[:, np.newaxis] / warp(CENTRES)
    distance, growth = (q * (ratio - 1 / ratio)) ** 2, 10 ** (gains / 20)
    return (growth / (distance + growth) + 1 / (distance * growth + 1)) / 2


def test_it_is_solved_at_61_points() -> None:
    assert POINTS.shape == (61,)
    np.testing.assert_allclose(POINTS[::2], CENTRES, rtol=1e-14)
    np.testing.assert_allclose(POINTS[1::2] ** 2, CENTRES[1:] * CENTRES[:-1], rtol=1e-14)


@pytest.mark.parametrize("number", range(30))
def test_30_random_targets_are_met_as_well_as_by_the_library(number: int) -> None:
    """scipy.optimize.least_squares: TRF, exact Jacobian, the same bounds, the best of four starts."""
    random = np.random.default_rng(number)
    wanted = random_target(random, number)
    q, rate, limit = 4.33, (48000.0, 44100.0, 96000.0, None)[number % 4], (24.0, 12.0, 6.0)[number % 3]
    goal = between(wanted)
    found = equalisers.solve_graphic_equaliser(wanted, q, rate, limit)
    linear = optimize.lsq_linear(one_by_one(q, rate), goal, (-limit, limit)).x
    costs = []
    for start in (np.zeros(31), wanted, linear, random.uniform(-limit, limit, 31)):
        best = optimize.least_squares(
            lambda gains: at_points(gains, q, rate) - goal,
            np.clip(start, -0.99 * limit, 0.99 * limit),
            jac=lambda gains: exact_slopes(gains, q, rate),
            bounds=(-limit, limit),
        )
        costs.append(2 * best.cost)
    cost = float(np.sum((at_points(found.gains, q, rate) - goal) ** 2))
    assert cost <= min(costs) * (1 + 1e-9)
    assert np.max(np.abs(found.gains)) <= limit
    assert found.miss == pytest.approx(np.sqrt(cost / 61), rel=1e-9)
    np.testing.assert_allclose(found.levels, at_points(found.gains, q, rate), atol=1e-9)


@pytest.mark.parametrize("limit", [24.0, 6e-4])
@pytest.mark.parametrize("rate", [None, 44100.0, 48000.0])
def test_where_only_the_linear_step_matters_it_is_that_of_the_library(
    rate: float | None, limit: float
) -> None:
    """A thousandth of a decibel is too little for the curves to bend: scipy.optimize.lsq_linear."""
    wanted = 1e-4 * np.random.default_rng(3).uniform(-12, 12, 31)
    slopes = exact_slopes(np.zeros(31), 4.33, rate)
    linear = optimize.lsq_linear(slopes, between(wanted), (-limit, limit), method="bvls", tol=1e-15).x
    found = equalisers.solve_graphic_equaliser(wanted, 4.33, rate, limit).gains
    np.testing.assert_allclose(found, linear, atol=1e-7)
    assert np.any(np.abs(found) == limit) == (limit < 1)


def test_a_level_curve_asks_for_nothing() -> None:
    found = equalisers.solve_graphic_equaliser(np.zeros(31), sample_rate=48000)
    assert found.miss == 0
    assert not np.any(found.gains)


@given(st.lists(st.floats(-9, 9), min_size=31, max_size=31), st.floats(2, 8))
@settings(max_examples=30, deadline=None)
def test_no_small_change_of_one_slider_betters_it(wanted: list[float], q: float) -> None:
    found = equalisers.solve_graphic_equaliser(wanted, q, 48000, 12)
    goal = between(np.array(wanted))
    for band in range(31):
        for change in (-1e-3, 1e-3):
            moved = found.gains.copy()
            moved[band] = np.clip(moved[band] + change, -12, 12)
            worse = np.sum((at_points(moved, q, 48000) - goal) ** 2)
            assert worse >= 61 * found.miss**2 - 1e-9


def test_neighbours_add_up() -> None:
    """All sliders at 6 dB lift the middle of the range by more than 6 dB; solved gains do not."""
    plain = levels_of(np.full(31, 6.0), THIRD_OCTAVE_Q, 48000)
    assert plain[15] > 9
    solved = equalisers.solve_graphic_equaliser(np.full(31, 6.0), sample_rate=48000)
    # Under 8 kHz no point is out by more than a ripple; solved at the centres alone it was 1.8 dB.
    assert np.max(np.abs(solved.levels[:53] - 6)) < 1.25


def test_equaliser_refusals() -> None:
    with pytest.raises(ValueError, match="31 gains"):
        equalisers.graphic_equaliser(np.zeros(30))
    with pytest.raises(ValueError, match="31 bands"):
        equalisers.solve_graphic_equaliser(np.zeros(30))
    for q, limit in ((0, 12), (1, 0), (1, math.nan), (1, 61)):
        with pytest.raises(ValueError, match="above 0"):
            equalisers.solve_graphic_equaliser(np.zeros(31), q, None, limit)
    with pytest.raises(ValueError, match="half the sample rate"):
        equalisers.solve_graphic_equaliser(np.zeros(31), sample_rate=32000)


def test_headroom_of_one_peak() -> None:
    found = equalisers.headroom(biquad("peak", 1234.5, 6, 12, 48000))
    assert found.boost == pytest.approx(6, abs=1e-6)
    assert found.frequency == pytest.approx(1234.5, rel=1e-3)
    assert found.cut == -found.boost
    # 6 dB asks 10^0.6 times the power (IEC 60027-3).
    assert found.power_ratio == pytest.approx(3.9811, abs=1e-3)
    # From 10 Hz to 20 kHz, both among them.
    for edge in (10.0, 20_000.0):
        assert equalisers.headroom(biquad("peak", edge, 6, 12, 96_000)).boost == pytest.approx(6, abs=1e-6)


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
    assert equalisers.headroom(biquad("peak", 100, 3, 1, 48000), 0.5, 200).boost == pytest.approx(3)


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
    assert equalisers.levels_through_points([0.5], [0.25, 1.0], [0, 2]) == pytest.approx([1.0])
    for points, heights in (([80, 20], [0, 1]), ([20, 20], [0, 1]), ([0, 20], [0, 1])):
        with pytest.raises(ValueError, match="must rise"):
            equalisers.levels_through_points([100], points, heights)
    with pytest.raises(ValueError, match="finite"):
        equalisers.levels_through_points([100], [20], [math.nan])
    for points, heights in (([], []), ([20], [0, 1])):
        with pytest.raises(ValueError, match="a frequency and a level"):
            equalisers.levels_through_points([100], points, heights)


def test_worst_peak_of_a_digital_filter_alone() -> None:
    with pytest.raises(ValueError, match="digital"):
        drain(equalisers.worst_peak(biquad("peak", 100, 3)))
    # A filter that does nothing lets everything come out as high as it went in.
    assert drain(equalisers.worst_peak(biquad("peak", 100, 0, 1, 48000))) == pytest.approx(0, abs=1e-9)


def test_a_filter_that_rings_for_long_is_followed_for_2_to_the_19_samples_at_most() -> None:
    """The bound that its docstring gives; each is the sum of the library's own impulse response, so cut."""
    built = biquad("peak", 20.0, 24.0, 8.0, 192_000)
    rows = np.hstack([built.numerator, built.denominator])
    radius = np.sqrt(built.denominator[0, 2])
    assert 7 / (1 - radius) > 2**19
    impulse = signal.sosfilt(rows, np.eye(1, 2**21)[0])
    folded = impulse.reshape(4, 2**19).sum(axis=0)
    expected = 20 * np.log10(np.sum(np.abs(folded)))
    assert drain(equalisers.worst_peak(built)) == pytest.approx(expected, abs=0.01)
