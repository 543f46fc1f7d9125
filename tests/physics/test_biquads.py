"""Equaliser filters against the Audio EQ Cookbook and scipy.signal."""

import math
from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import signal
from scipy.optimize import brentq

from calculators.physics import biquads, filters
from calculators.physics.decibels import level, phase
from tests.conftest import SOAK

ROOT = math.sqrt(0.5)
KINDS: tuple[biquads.FilterKind, ...] = get_args(biquads.FilterKind)

# R. Bristow-Johnson, Audio EQ Cookbook, W3C Working Group Note, 8 June 2021, worked at 48 kHz:
# kind, frequency, gain, Q, b0, b1, b2, a1, a2 to 10 places.
COOKBOOK: list[tuple[biquads.FilterKind, float, float, float, list[float]]] = [
    ("peak", 1000, 6, 1,
     [1.0439530870, -1.8953207239, 0.8677222848, -1.8953207239, 0.9116753718]),
    ("peak", 1000, -6, 1,
     [0.9578974501, -1.8155228885, 0.8732915139, -1.8155228885, 0.8311889639]),
    ("peak", 100, -3, 4,
     [0.9994331659, -1.9959472828, 0.9966851292, -1.9959472828, 0.9961182951]),
    ("low-pass", 1000, 0, ROOT,
     [0.0039161267, 0.0078322533, 0.0039161267, -1.8153410827, 0.8310055893]),
    ("high-pass", 80, 0, ROOT,
     [0.9926225428, -1.9852450855, 0.9926225428, -1.9851906579, 0.9852995131]),
    ("low-shelf", 100, 6, ROOT,
     [1.0032178957, -1.9843644308, 0.9813866987, -1.9844243291, 0.9845446961]),
    ("high-shelf", 8000, -3, ROOT,
     [0.7975568339, -0.4212841295, 0.1765263483, -0.7091048318, 0.2619038845]),
    ("notch", 1000, 0, 10,
     [0.9935160069, -1.9700326795, 0.9935160069, -1.9700326795, 0.9870320139]),
    ("all-pass", 1000, 0, ROOT,
     [0.8310055893, -1.8153410827, 1.0, -1.8153410827, 0.8310055893]),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "frequency", "gain", "q", "expected"), COOKBOOK)
def test_coefficients_of_the_cookbook(
    kind: biquads.FilterKind, frequency: float, gain: float, q: float, expected: list[float]
) -> None:
    built = biquads.biquad(kind, frequency, gain, q, 48000)
    found = [*built.numerator[0], *built.denominator[0, 1:]]
    assert found == pytest.approx(expected, abs=1e-9)
    assert built.denominator[0, 0] == 1


def test_deep_low_pass_keeps_its_small_coefficients() -> None:
    # Audio EQ Cookbook at 80 Hz and 48 kHz, to six figures.
    built = biquads.biquad("low-pass", 80, 0, ROOT, 48000)
    expected = [2.72138e-5, 5.44276e-5, 2.72138e-5]
    np.testing.assert_allclose(built.numerator[0], expected, rtol=2e-6)


# Spot levels of the same filters, dB.
SPOTS: list[tuple[biquads.FilterKind, float, float, float, float, float]] = [
    ("peak", 1000, 6, 1, 1000, 6.000), ("peak", 1000, 6, 1, 500, 1.879),
    ("peak", 1000, 6, 1, 2000, 1.866), ("peak", 100, -3, 4, 100, -3.000),
    ("peak", 100, -3, 4, 200, -0.083), ("low-pass", 1000, 0, ROOT, 1000, -3.0103),
    ("low-pass", 1000, 0, ROOT, 2000, -12.375), ("high-pass", 80, 0, ROOT, 80, -3.0103),
    ("high-pass", 80, 0, ROOT, 40, -12.305), ("low-shelf", 100, 6, ROOT, 0, 6.000),
    ("low-shelf", 100, 6, ROOT, 100, 3.000), ("low-shelf", 100, 6, ROOT, 200, 0.376),
    ("high-shelf", 8000, -3, ROOT, 8000, -1.500), ("high-shelf", 8000, -3, ROOT, 24000, -3.000),
    ("all-pass", 1000, 0, ROOT, 5000, 0.000),
]  # fmt: skip


@pytest.mark.parametrize(("kind", "frequency", "gain", "q", "at", "expected"), SPOTS)
def test_spot_levels(
    kind: biquads.FilterKind, frequency: float, gain: float, q: float, at: float, expected: float
) -> None:
    built = biquads.biquad(kind, frequency, gain, q, 48000)
    assert float(level(filters.response(built, at))) == pytest.approx(expected, abs=1e-3)


def test_notch_and_all_pass_at_their_centre() -> None:
    notch = biquads.biquad("notch", 1000, 0, 10, 48000)
    assert abs(filters.response(notch, 1000)) < 1e-9
    turned = filters.response(biquads.biquad("all-pass", 1000, 0, ROOT, 48000), 1000)
    assert complex(turned) == pytest.approx(-1, abs=1e-9)


@pytest.mark.parametrize("rate", [None, 44100.0, 48000.0, 96000.0, 192000.0])
def test_a_notch_lets_nothing_through_at_its_centre_and_has_no_phase_there(rate: float | None) -> None:
    cut = biquads.biquad("peak", 3000, -6, 2, rate)
    for frequency in np.geomspace(10, 20000, 400).tolist():
        notch = biquads.biquad("notch", frequency, 0, 40, rate)
        gain = filters.response(filters.cascade(notch, cut), frequency)
        assert gain == 0
        assert phase(gain) == 0
        # A millionth beside it is no null any more, and its phase is true: a quarter turn behind or ahead.
        beside = filters.response(notch, [frequency * (1 - 1e-6), frequency * (1 + 1e-6)])
        np.testing.assert_allclose(phase(beside), [-90, 90], atol=0.1)


def test_a_cut_undoes_a_boost() -> None:
    frequency = np.geomspace(10, 20000, 50)
    for kind in biquads.KINDS_WITH_GAIN:
        boost = filters.response(biquads.biquad(kind, 1000, 6, 1, 48000), frequency)
        cut = filters.response(biquads.biquad(kind, 1000, -6, 1, 48000), frequency)
        np.testing.assert_allclose(boost * cut, 1, atol=1e-9)


@pytest.mark.parametrize("kind", KINDS)
def test_random_filters_equal_the_library(kind: biquads.FilterKind) -> None:
    """The library works the cookbook's analogue form at the frequency the bilinear transform maps.

    Its digital coefficients, rounded, are themselves some 1e-9 away for a narrow filter at 20 Hz
    and 192 kHz, so they stand here as coefficients and not as the measure of the response.
    """
    random = np.random.default_rng(7)
    for _ in range(500 if SOAK else 80):
        rate = float(random.choice([44100, 48000, 96000, 192000]))
        corner = math.exp(random.uniform(math.log(20), math.log(19000)))
        gain, q = random.uniform(-18, 18), math.exp(random.uniform(math.log(0.3), math.log(12)))
        frequency = np.geomspace(10, 0.45 * rate, 30)
        warped = np.tan(math.pi * frequency / rate) / math.tan(math.pi * corner / rate)
        _, expected = signal.freqs(*cookbook_analogue(kind, gain, q), worN=warped)
        built = biquads.biquad(kind, corner, gain, q, rate)
        found = filters.response(built, frequency)
        np.testing.assert_allclose(found, expected, rtol=0, atol=1e-9)
        numerator, denominator = cookbook(kind, corner, gain, q, rate)
        np.testing.assert_allclose(built.numerator[0], numerator, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(built.denominator[0], denominator, rtol=0, atol=1e-12)
        _, of_coefficients = signal.sosfreqz([[*numerator, *denominator]], frequency, fs=rate)
        np.testing.assert_allclose(found, of_coefficients, rtol=1e-8, atol=1e-8)


def cookbook_analogue(kind: biquads.FilterKind, gain: float, q: float) -> tuple[list[float], list[float]]:
    """The cookbook's analogue prototypes, coefficients of s², s and 1."""
    root = 10 ** (gain / 40)
    slope = math.sqrt(root) / q
    plain = [1, 1 / q, 1]
    both = {
        "peak": ([1, root / q, 1], [1, 1 / (root * q), 1]),
        "low-shelf": ([root, root * slope, root**2], [root, slope, 1]),
        "high-shelf": ([root**2, root * slope, root], [1, slope, root]),
        "low-pass": ([1], plain),
        "high-pass": ([1, 0, 0], plain),
        "notch": ([1, 0, 1], plain),
        "all-pass": ([1, -1 / q, 1], plain),
        "low-shelf-1": ([1, root], [1, 1 / root]),
        "high-shelf-1": ([root, 1], [1 / root, 1]),
        "low-pass-1": ([1], [1, 1]),
        "high-pass-1": ([1, 0], [1, 1]),
        "all-pass-1": ([-1, 1], [1, 1]),
    }
    return both[kind]


def first_order(root: float, half: float) -> dict[str, tuple[list[float], list[float]]]:
    """One-pole filters by the bilinear transform; half: tangent of half the angle of the corner."""
    plain = [half + 1, half - 1, 0]
    return {
        "low-shelf-1": ([half * root + 1, half * root - 1, 0], [half / root + 1, half / root - 1, 0]),
        "high-shelf-1": ([half + root, half - root, 0], [half + 1 / root, half - 1 / root, 0]),
        "low-pass-1": ([half, half, 0], plain),
        "high-pass-1": ([1, -1, 0], plain),
        "all-pass-1": ([half - 1, half + 1, 0], plain),
    }


def cookbook(
    kind: biquads.FilterKind, corner: float, gain: float, q: float, rate: float
) -> tuple[list[float], list[float]]:
    """The cookbook's own formulas, written in its cosines, normalised to a0 = 1."""
    root, angle = 10 ** (gain / 40), 2 * math.pi * corner / rate
    cosine, alpha = math.cos(angle), math.sin(angle) / (2 * q)
    up, down, slope = root + 1, root - 1, 2 * math.sqrt(root) * alpha
    plain = [1 + alpha, -2 * cosine, 1 - alpha]
    both = {
        "peak": (
            [1 + alpha * root, -2 * cosine, 1 - alpha * root],
            [1 + alpha / root, -2 * cosine, 1 - alpha / root],
        ),
        "low-shelf": (
            [root * (up - down * cosine + slope), 2 * root * (down - up * cosine),
             root * (up - down * cosine - slope)],
            [up + down * cosine + slope, -2 * (down + up * cosine), up + down * cosine - slope],
        ),
        "high-shelf": (
            [root * (up + down * cosine + slope), -2 * root * (down + up * cosine),
             root * (up + down * cosine - slope)],
            [up - down * cosine + slope, 2 * (down - up * cosine), up - down * cosine - slope],
        ),
        "low-pass": ([(1 - cosine) / 2, 1 - cosine, (1 - cosine) / 2], plain),
        "high-pass": ([(1 + cosine) / 2, -1 - cosine, (1 + cosine) / 2], plain),
        "notch": ([1, -2 * cosine, 1], plain),
        "all-pass": ([1 - alpha, -2 * cosine, 1 + alpha], plain),
        **first_order(root, math.tan(angle / 2)),
    }  # fmt: skip
    numerator, denominator = both[kind]
    return [each / denominator[0] for each in numerator], [each / denominator[0] for each in denominator]


@pytest.mark.parametrize("kind", KINDS)
def test_analogue_and_digital_agree_far_below_the_sample_rate(kind: biquads.FilterKind) -> None:
    frequency = np.geomspace(20, 500, 20)
    analogue = filters.response(biquads.biquad(kind, 150, 5, 1.5), frequency)
    digital = filters.response(biquads.biquad(kind, 150, 5, 1.5, 1e6), frequency)
    np.testing.assert_allclose(digital, analogue, atol=1e-5)


@given(
    st.sampled_from(KINDS), st.floats(10, 20000), st.floats(-24, 24), st.floats(0.1, 30),
    st.sampled_from([None, 44100.0, 192000.0]),
)  # fmt: skip
def test_every_filter_is_stable(
    kind: biquads.FilterKind, frequency: float, gain: float, q: float, rate: float | None
) -> None:
    (denominator,) = biquads.biquad(kind, frequency, gain, q, rate).denominator
    poles = np.roots(denominator)
    assert np.all(poles.real < 0 if rate is None else np.abs(poles) < 1)


def test_a_row_of_filters_is_each_in_turn() -> None:
    frequency = np.geomspace(20, 15000, 9)
    row = biquads.biquad("peak", [100, 1000, 9000], [3, -4, 5], [1, 2, 3], 48000)
    alone = [
        filters.response(biquads.biquad("peak", *settings, 48000), frequency)
        for settings in ((100, 3, 1), (1000, -4, 2), (9000, 5, 3))
    ]
    np.testing.assert_allclose(filters.section_responses(row, frequency), alone, rtol=1e-12)
    np.testing.assert_allclose(filters.response(row, frequency), np.prod(alone, axis=0), rtol=1e-12)


# Third octaves: Q = 4.3185 by base two. The cookbook's formula gives the same.
def test_third_octave_bandwidth() -> None:
    assert biquads.q_of_bandwidth(1 / 3) == pytest.approx(4.3185, abs=1e-4)
    assert biquads.q_of_bandwidth(1) == pytest.approx(math.sqrt(2), rel=1e-12)


@given(st.floats(0.02, 4))
def test_bandwidth_and_q_are_inverse(octaves: float) -> None:
    assert biquads.bandwidth_of_q(biquads.q_of_bandwidth(octaves)) == pytest.approx(octaves, rel=1e-9)


@pytest.mark.parametrize(
    ("frequency", "q", "rate"),
    [(10e3, 1.41, 48e3), (16e3, 0.7, 44.1e3), (19.9e3, 0.5, 44.1e3), (100, 3, 96e3)],
)
def test_the_digital_width_lies_between_the_digital_half_gain_points(
    frequency: float, q: float, rate: float
) -> None:
    """Found on the response itself; the cookbook's rule gives 0.740 for 0.735 octaves in the first case."""
    built = biquads.biquad("peak", frequency, 6.0, q, rate)

    def over(where: float) -> float:
        return float(level(filters.response(built, where))) - 3.0

    edges = brentq(over, 5, frequency), brentq(over, frequency, rate / 2 * 0.999999)
    assert biquads.bandwidth_of_q(q, frequency, rate) == pytest.approx(
        math.log2(edges[1] / edges[0]), rel=1e-6
    )


@given(st.floats(0.3, 20), st.floats(3.2, 24), st.sampled_from([-1, 1]))
def test_the_three_db_q_is_the_width_3_db_off_the_top_or_foot(q: float, size: float, sign: int) -> None:
    stated = biquads.stated_q(q, sign * size, "three-db")
    half = 0.5 / stated
    edges = [1000 * (half + math.sqrt(1 + half**2)), 1000 * (-half + math.sqrt(1 + half**2))]
    at_edges = level(filters.response(biquads.biquad("peak", 1000, sign * size, q), edges))
    assert at_edges == pytest.approx([sign * (size - 10 * math.log10(2))] * 2, abs=1e-6)


@given(st.floats(0.3, 20), st.floats(-24, 24))
def test_the_constant_q_is_that_of_the_poles_or_zeros(q: float, gain: float) -> None:
    """Q of s² + a·s + b is √b/a; a cut is the boost turned over."""
    built = biquads.biquad("peak", 1000, gain, q)
    square, linear, last = (built.denominator if gain >= 0 else built.numerator)[0]
    assert biquads.stated_q(q, gain, "constant") == pytest.approx(math.sqrt(last * square) / linear, rel=1e-9)


@given(st.floats(0.1, 40), st.floats(4, 24), st.sampled_from(["half-gain", "three-db", "constant"]))
def test_a_q_stated_another_way_comes_back(q: float, gain: float, meaning: biquads.Meaning) -> None:
    assert biquads.own_q(biquads.stated_q(q, gain, meaning), gain, meaning) == pytest.approx(q, rel=1e-12)


def test_a_cut_of_12_db_with_the_wrong_q_is_twice_too_wide() -> None:
    assert biquads.stated_q(4, -12, "constant") == pytest.approx(8, rel=5e-3)


# One pole: half the gain in dB, -3.01 dB or a quarter turn at the frequency, and full at its end.
@pytest.mark.parametrize(("kind", "below", "at", "above"), [
    ("low-shelf-1", 6, 3, 0), ("high-shelf-1", 0, 3, 6), ("low-pass-1", 0, -3.0103, -60),
    ("high-pass-1", -60, -3.0103, 0), ("all-pass-1", 0, 0, 0),
])  # fmt: skip
def test_first_order_kinds(kind: biquads.FilterKind, below: float, at: float, above: float) -> None:
    built = biquads.biquad(kind, 1000, 6)
    assert level(filters.response(built, [1.0, 1000.0, 1e6])) == pytest.approx([below, at, above], abs=1e-4)
    digital = biquads.biquad(kind, 1000, 6, sample_rate=48000)
    assert level(filters.response(digital, 1000.0)) == pytest.approx(at, abs=1e-4)
    if kind == "all-pass-1":
        phase = np.degrees(np.angle(filters.response(digital, [1.0, 1000.0, 23e3])))
        assert phase == pytest.approx([-0.11, -90, -179.5], abs=0.1)


def test_a_peak_is_as_wide_as_said() -> None:
    # The cookbook: bandwidth lies between the points of half the gain in dB.
    for octaves in (1 / 3, 1.0, 2.0):
        built = biquads.biquad("peak", 1000, 8, biquads.q_of_bandwidth(octaves))
        edges = 1000 * 2 ** np.array([-octaves / 2, octaves / 2])
        np.testing.assert_allclose(level(filters.response(built, edges)), 4, atol=1e-9)


def test_a_peak_far_under_the_sample_rate_is_as_wide_as_the_analogue_one() -> None:
    """Down to half a hertz: the bilinear transform bends nothing there."""
    assert biquads.bandwidth_of_q(1.41, 0.5, 48_000) == pytest.approx(biquads.bandwidth_of_q(1.41), rel=1e-6)


def test_refusals() -> None:
    for frequency, q in ((0, 1), (-5, 1), (math.nan, 1), (100, 0), (100, -1), (100, math.nan)):
        with pytest.raises(ValueError, match="above 0"):
            biquads.biquad("peak", frequency, 3, q)
    with pytest.raises(ValueError, match="half the sample rate"):
        biquads.biquad("peak", 24000, 3, 1, 48000)
    with pytest.raises(ValueError, match="gain"):
        biquads.biquad("peak", 100, math.nan, 1)
    with pytest.raises(ValueError, match="bandwidth"):
        biquads.q_of_bandwidth(0)
    with pytest.raises(ValueError, match="Q must"):
        biquads.bandwidth_of_q(0)
    with pytest.raises(ValueError, match="half the sample rate"):
        biquads.bandwidth_of_q(1, 30000, 48000)
    with pytest.raises(ValueError, match="3 dB off"):
        biquads.stated_q(1, 3, "three-db")
    with pytest.raises(ValueError, match="Q must"):
        biquads.stated_q(0, 6, "constant")
    with pytest.raises(ValueError, match="Q must"):
        biquads.own_q(0, 6, "constant")
    for q in (0, -0.5):
        with pytest.raises(ValueError, match="Q must be above 0"):
            biquads.half_gain_at(q, 100)
