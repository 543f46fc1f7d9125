"""Crossover filters against published tables and scipy.signal."""

import math
from typing import Any, get_args

import numpy as np
import pytest
from scipy import signal

from calculators.declaring import drain
from calculators.physics import filters
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from tests.conftest import SOAK

SIDES: tuple[filters.Side, ...] = get_args(filters.Side)
SAMPLE_RATES = (44100.0, 48000.0, 96000.0, 192000.0)


def stage_qualities(family: filters.Family, order: int) -> list[float]:
    sections = filters.crossover_filter("low-pass", family, order, 1 / (2 * math.pi))
    return [
        math.sqrt(constant * square) / linear for square, linear, constant in sections.denominator if square
    ]


# Stage Q of Butterworth low-passes: Zverev, Handbook of Filter Synthesis; scipy.signal.buttap.
BUTTERWORTH_Q = {
    2: [0.707107], 3: [1.000000], 4: [0.541196, 1.306563], 5: [0.618034, 1.618034],
    6: [0.517638, 0.707107, 1.931852], 7: [0.554958, 0.801938, 2.246980],
    8: [0.509796, 0.601345, 0.899976, 2.562915],
}  # fmt: skip
# Stage Q of Bessel low-passes: Thomson (1949); Zverev; scipy.signal.besselap.
BESSEL_Q = {
    2: [0.5774], 3: [0.6910], 4: [0.5219, 0.8055], 5: [0.5635, 0.9165],
    6: [0.5103, 0.6112, 1.0233], 7: [0.5324, 0.6608, 1.1263],
    8: [0.5060, 0.5596, 0.7109, 1.2257],
}  # fmt: skip
BUTTERWORTH_DELAY = [1.0, 1.414214, 2.0, 2.613126, 3.236068, 3.863703, 4.493959, 5.125831]


@pytest.mark.parametrize("order", range(2, 9))
def test_stage_qualities(order: int) -> None:
    assert stage_qualities("butterworth", order) == pytest.approx(BUTTERWORTH_Q[order], abs=1e-6)
    assert stage_qualities("bessel", order) == pytest.approx(BESSEL_Q[order], abs=1e-4)


@pytest.mark.parametrize("order", range(1, 9))
def test_delay_at_zero_frequency(order: int) -> None:
    # Sum of the poles' delays, Butterworth corner at 1 rad/s.
    low_pass = filters.crossover_filter("low-pass", "butterworth", order, 1 / (2 * math.pi))
    found = float(filters.group_delay(low_pass, 0.0))
    assert found == pytest.approx(BUTTERWORTH_DELAY[order - 1], abs=1e-6)


@pytest.mark.parametrize("order", range(1, 9))
def test_bessel_poles_equal_the_library(order: int) -> None:
    _, expected, _ = signal.besselap(order, norm="mag")
    found = filters.bessel_poles(order)
    np.testing.assert_allclose(np.sort_complex(found), np.sort_complex(expected), rtol=1e-12)


# Low-pass levels, dB, at a multiple of the corner. Butterworth and Linkwitz-Riley by their closed
# forms, Bessel by scipy with norm="mag".
LEVELS: list[tuple[filters.Family, int, float, float]] = [
    ("butterworth", 1, 2, -6.990), ("butterworth", 1, 4, -12.305), ("butterworth", 1, 10, -20.043),
    ("butterworth", 2, 0.5, -0.263), ("butterworth", 2, 2, -12.305),
    ("butterworth", 2, 4, -24.099), ("butterworth", 3, 2, -18.129),
    ("butterworth", 3, 4, -36.125), ("butterworth", 4, 2, -24.099),
    ("butterworth", 4, 4, -48.165), ("butterworth", 8, 2, -48.165),
    ("linkwitz-riley", 2, 0.5, -1.938), ("linkwitz-riley", 2, 1, -6.021),
    ("linkwitz-riley", 2, 2, -13.979), ("linkwitz-riley", 2, 4, -24.609),
    ("linkwitz-riley", 4, 0.5, -0.527), ("linkwitz-riley", 4, 1, -6.021),
    ("linkwitz-riley", 4, 2, -24.609), ("linkwitz-riley", 4, 4, -48.199),
    ("bessel", 1, 2, -6.990), ("bessel", 2, 2, -9.815), ("bessel", 3, 2, -12.000),
    ("bessel", 4, 2, -13.405), ("bessel", 5, 2, -14.063), ("bessel", 6, 2, -14.172),
    ("bessel", 7, 2, -13.978), ("bessel", 8, 2, -13.676), ("bessel", 2, 4, -20.361),
    ("bessel", 4, 4, -34.434), ("bessel", 8, 4, -51.812),
]  # fmt: skip


@pytest.mark.parametrize(("family", "order", "ratio", "expected"), LEVELS)
def test_levels_either_side(family: filters.Family, order: int, ratio: float, expected: float) -> None:
    low = filters.crossover_filter("low-pass", family, order, 1000)
    high = filters.crossover_filter("high-pass", family, order, 1000)
    assert float(level(filters.response(low, 1000 * ratio))) == pytest.approx(expected, abs=1e-3)
    assert float(level(filters.response(high, 1000 / ratio))) == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize("family", ["butterworth", "bessel"])
@pytest.mark.parametrize("order", range(1, 9))
@pytest.mark.parametrize("rate", [None, 48000.0])
def test_corner_is_at_half_power(family: filters.Family, order: int, rate: float | None) -> None:
    for side in ("low-pass", "high-pass"):
        built = filters.crossover_filter(side, family, order, 3000, rate)
        assert float(level(filters.response(built, 3000))) == pytest.approx(-3.0103, abs=1e-4)


def together(
    family: filters.Family, order: int, sign: int, frequency: float, rate: float | None = None
) -> complex:
    parts = [
        filters.response(filters.crossover_filter(side, family, order, 80, rate), frequency) for side in SIDES
    ]
    return complex(parts[0] + sign * parts[1])


# Linkwitz, JAES 24 (1976): orders 2 and 6 need one side turned over, 4 and 8 must not have it.
@pytest.mark.parametrize(("order", "sign"), [(2, -1), (4, 1), (6, -1), (8, 1)])
@pytest.mark.parametrize("rate", [None, 48000.0])
def test_linkwitz_riley_sums_flat(order: int, sign: int, rate: float | None) -> None:
    for frequency in (10, 40, 79, 80, 200, 5000):
        flat = together("linkwitz-riley", order, sign, frequency, rate)
        assert 20 * math.log10(abs(flat)) == pytest.approx(0, abs=1e-9)
    assert abs(together("linkwitz-riley", order, -sign, 80, rate)) < 1e-5


# Butterworth: odd orders sum flat in either polarity; even ones stand 3.01 dB up at the corner.
def test_butterworth_sums() -> None:
    for order in (1, 3):
        for sign in (1, -1):
            assert abs(together("butterworth", order, sign, 80)) == pytest.approx(1, abs=1e-12)
    assert 20 * math.log10(abs(together("butterworth", 2, -1, 80))) == pytest.approx(3.0103, abs=1e-4)
    assert 20 * math.log10(abs(together("butterworth", 4, 1, 80))) == pytest.approx(3.0103, abs=1e-4)


def test_phases_of_second_order_linkwitz_riley() -> None:
    low = filters.crossover_filter("low-pass", "linkwitz-riley", 2, 80)
    high = filters.crossover_filter("high-pass", "linkwitz-riley", 2, 80)
    assert np.degrees(np.angle(filters.response(low, 80))) == pytest.approx(-90, abs=1e-9)
    assert np.degrees(np.angle(filters.response(high, 80))) == pytest.approx(90, abs=1e-9)


# Digital fourth-order Linkwitz-Riley at 80 Hz and 48 kHz: scipy's sosfreqz.
@pytest.mark.parametrize(("frequency", "expected"), [(40, -0.52656), (80, -6.02060), (160, -24.60987)])
def test_digital_linkwitz_riley(frequency: float, expected: float) -> None:
    low = filters.crossover_filter("low-pass", "linkwitz-riley", 4, 80, 48000)
    assert float(level(filters.response(low, frequency))) == pytest.approx(expected, abs=1e-4)


# Delay at 0 Hz of the summed pair at 80 Hz: the all-passes of orders 1 and 2 by their closed
# forms, order 8 by numbers. The sum has the poles of one half and the mirrored ones as zeros, so
# its delay there is that of the low-pass alone, which has those poles twice.
@pytest.mark.parametrize(("order", "milliseconds"), [(2, 3.9789), (4, 5.6270), (8, 10.397)])
def test_delay_of_linkwitz_riley_at_80_hertz(order: int, milliseconds: float) -> None:
    low = filters.crossover_filter("low-pass", "linkwitz-riley", order, 80)
    assert 1000 * float(filters.group_delay(low, 0.0)) == pytest.approx(milliseconds, abs=1e-3)


def test_delay_of_fourth_order_butterworth() -> None:
    low = filters.crossover_filter("low-pass", "butterworth", 4, 80)
    assert 1000 * float(filters.group_delay(low, 0.0)) == pytest.approx(5.1986, abs=1e-4)


def library_zeros_and_poles(
    side: filters.Side, family: filters.Family, order: int, frequency: float, rate: float | None
) -> tuple[np.ndarray, np.ndarray, float]:
    settings = {"btype": side.replace("-", ""), "output": "zpk", "analog": rate is None}
    settings["fs"] = rate
    corner = frequency if rate else 2 * math.pi * frequency
    if family == "bessel":
        return signal.bessel(order, corner, norm="mag", **settings)
    if family == "butterworth":
        return signal.butter(order, corner, **settings)
    zeros, poles, gain = signal.butter(order // 2, corner, **settings)
    return np.tile(zeros, 2), np.tile(poles, 2), gain**2


@pytest.mark.parametrize("family", filters.ORDERS)
@pytest.mark.parametrize("side", SIDES)
def test_random_filters_equal_the_library(side: filters.Side, family: filters.Family) -> None:
    random = np.random.default_rng(1)
    for _ in range(500 if SOAK else 80):
        order = int(random.choice(filters.ORDERS[family]))
        rate = float(random.choice(SAMPLE_RATES))
        corner = math.exp(random.uniform(math.log(20), math.log(min(20000, 0.45 * rate))))
        frequency = np.geomspace(10, 0.45 * rate, 20)
        for used in (rate, None):
            built = filters.crossover_filter(side, family, order, corner, used)
            found = filters.response(built, frequency)
            zpk = library_zeros_and_poles(side, family, order, corner, used)
            if used:
                _, expected = signal.freqz_zpk(*zpk, worN=frequency, fs=used)
            else:
                _, expected = signal.freqs_zpk(*zpk, worN=2 * math.pi * frequency)
            np.testing.assert_allclose(found, expected, rtol=0, atol=1e-9)
            np.testing.assert_allclose(
                filters.magnitude(built, frequency), np.abs(expected), rtol=0, atol=1e-9
            )


@pytest.mark.parametrize("family", filters.ORDERS)
@pytest.mark.parametrize("side", SIDES)
@pytest.mark.parametrize("rate", [None, 48000.0])
def test_group_delay_is_the_slope_of_the_phase(
    side: filters.Side, family: filters.Family, rate: float | None
) -> None:
    frequency = np.geomspace(20, 20000, 50)
    for order in filters.ORDERS[family]:
        built = filters.crossover_filter(side, family, order, 500, rate)
        step = 1e-5 * frequency
        turn = filters.response(built, frequency + step) / filters.response(built, frequency - step)
        expected = -np.angle(turn) / (4 * math.pi * step)
        np.testing.assert_allclose(filters.group_delay(built, frequency), expected, rtol=1e-5, atol=1e-9)


def test_digital_delay_equals_the_library() -> None:
    built = filters.crossover_filter("low-pass", "bessel", 5, 1000, 48000)
    frequency = np.linspace(50, 15000, 30)
    numerator, denominator = np.array([1.0]), np.array([1.0])
    for top, bottom in zip(built.numerator, built.denominator, strict=True):
        numerator, denominator = np.convolve(numerator, top), np.convolve(denominator, bottom)
    _, expected = signal.group_delay((numerator, denominator), w=frequency, fs=48000)
    found = filters.group_delay(built, frequency)
    np.testing.assert_allclose(found, expected / 48000, rtol=0, atol=1e-9)


def test_delay_at_zero_frequency_of_a_digital_high_pass_is_finite_and_smooth() -> None:
    for order in range(1, 9):
        built = filters.crossover_filter("high-pass", "butterworth", order, 100, 48000)
        at_zero, near = filters.group_delay(built, [0.0, 0.01])
        assert at_zero == pytest.approx(near, abs=1e-8)


@pytest.mark.parametrize("family", filters.ORDERS)
def test_poles_lie_inside_the_unit_circle(family: filters.Family) -> None:
    for order in filters.ORDERS[family]:
        for corner in (10, 1000, 21000):
            built = filters.crossover_filter("low-pass", family, order, corner, 44100)
            poles = [np.roots(row) for row in built.denominator]
            assert max(np.max(np.abs(pair)) for pair in poles) < 1
            np.testing.assert_array_equal(built.denominator[:, 0], 1)


def test_shapes_follow_the_frequency() -> None:
    built = filters.crossover_filter("low-pass", "butterworth", 3, 80, 48000)
    for shape in ((), (4,), (2, 3)):
        frequency = np.full(shape, 100.0)
        assert filters.response(built, frequency).shape == shape
        assert filters.magnitude(built, frequency).shape == shape
        assert filters.group_delay(built, frequency).shape == shape


def test_a_row_of_filters_multiplies() -> None:
    low = filters.crossover_filter("low-pass", "bessel", 3, 2000)
    high = filters.crossover_filter("high-pass", "butterworth", 1, 100)
    frequency = np.geomspace(10, 20000, 20)
    both = filters.response(filters.cascade(low, high), frequency)
    expected = filters.response(low, frequency) * filters.response(high, frequency)
    np.testing.assert_allclose(both, expected, rtol=1e-12)
    with pytest.raises(ValueError, match="sample rate"):
        filters.cascade(low, filters.crossover_filter("low-pass", "bessel", 1, 50, 48000))
    with pytest.raises(ValueError, match="sample rate"):
        filters.cascade()


def test_a_long_response_listens_between_its_parts() -> None:
    """2^18 values are worked out in one part, so that a page answers within 40 ms."""
    row = filters.cascade(*[biquad("peak", 1000, 3, 2, 48000)] * 4)
    assert list(filters.impulse_response(row, 2**18)) == [0.5, 1.0]


def test_refusals() -> None:
    with pytest.raises(ValueError, match="order 3"):
        filters.crossover_filter("low-pass", "linkwitz-riley", 3, 80)
    with pytest.raises(ValueError, match="order 9"):
        filters.crossover_filter("low-pass", "butterworth", 9, 80)
    for frequency in (0, -0.5, -1, math.nan, math.inf):
        with pytest.raises(ValueError, match="above 0"):
            filters.crossover_filter("low-pass", "butterworth", 2, frequency)
    with pytest.raises(ValueError, match="half the sample rate"):
        filters.crossover_filter("low-pass", "butterworth", 2, 24000, 48000)
    digital = filters.crossover_filter("low-pass", "butterworth", 2, 100, 48000)
    with pytest.raises(ValueError, match="digital already"):
        filters.to_digital(digital, 48000, 100)
    two = filters.crossover_filter("low-pass", "butterworth", 4, 100)
    for matches in ([100, 24000], [24000, 100], [100, 0], [0, 100]):
        with pytest.raises(ValueError, match="half the sample rate"):
            filters.to_digital(two, 48000, matches)


# The delay of a summed Linkwitz-Riley pair is at every frequency that of its low-pass; by numbers
# from the poles: 6.79 ms at 51.5 Hz for order 4, 7.8186/(2 pi 80) at 0.888 of 80 Hz for order 8.
@pytest.mark.parametrize(("order", "milliseconds", "at"), [(4, 6.79, 51.5), (8, 15.555, 71.03)])
def test_highest_delay_of_linkwitz_riley(order: int, milliseconds: float, at: float) -> None:
    frequency = np.linspace(10, 200, 19001)
    low = filters.crossover_filter("low-pass", "linkwitz-riley", order, 80)
    delay = 1000 * filters.group_delay(low, frequency)
    assert np.max(delay) == pytest.approx(milliseconds, abs=5e-3)
    assert frequency[np.argmax(delay)] == pytest.approx(at, abs=0.05)


# Bilinear transform left unmatched, 48 kHz: (fs/pi)·atan(pi·f/fs).
@pytest.mark.parametrize(("corner", "lands"), [(10000, 8854.58), (20000, 14032.59)])
def test_an_unmatched_corner_lands_low(corner: float, lands: float) -> None:
    analogue = filters.crossover_filter("low-pass", "butterworth", 2, corner)
    digital = filters.to_digital(analogue, 48000, 0.1)
    assert float(level(filters.response(digital, lands))) == pytest.approx(-3.0103, abs=1e-5)


def test_impulse_response_is_that_of_the_library() -> None:
    parts = (
        biquad("low-shelf", 80, 6, 0.7, 48000),
        biquad("peak", 1000, -4, 3, 48000),
        filters.crossover_filter("high-pass", "butterworth", 3, 60, 48000),
    )
    built = filters.cascade(*parts)
    impulse = signal.sosfilt(np.hstack([built.numerator, built.denominator]), np.eye(1, 2**14)[0])
    np.testing.assert_allclose(drain(filters.impulse_response(built, 2**14)), impulse, atol=1e-12)
    with pytest.raises(ValueError, match="digital"):
        drain(filters.impulse_response(biquad("peak", 100, 3), 1024))


@pytest.mark.parametrize(("family", "order", "sign"), [
    ("linkwitz-riley", 4, -1), ("butterworth", 4, 1), ("butterworth", 3, -1), ("bessel", 4, 1),
])  # fmt: skip
@pytest.mark.parametrize("sample_rate", [None, 48e3])
def test_group_delay_of_a_sum_is_the_slope_of_its_phase(
    family: filters.Family, order: int, sign: int, sample_rate: float | None
) -> None:
    low, high = (filters.crossover_filter(side, family, order, 300.0, sample_rate) for side in SIDES)
    frequency = np.array([60.0, 150.0, 299.0, 700.0, 1200.0])
    step = 1e-4

    def phase(at: Any) -> Any:
        late = sign * np.exp(-2j * np.pi * at * 2e-4)
        return np.angle(filters.response(low, at) + filters.response(high, at) * late)

    turned = (phase(frequency + step) - phase(frequency - step) + np.pi) % (2 * np.pi) - np.pi
    expected = -turned / (4 * np.pi * step)
    found = filters.group_delay_of_sum(low, high, frequency, sign, 2e-4)
    assert found == pytest.approx(expected, rel=1e-5)


def test_group_delay_of_a_sum_passes_a_null_without_a_jump() -> None:
    """Linkwitz-Riley of 12 dB/oct: (1 + s²)/(1 + s)² as wired, late by 1/w at its null (Linkwitz 1976)."""
    low, high = (filters.crossover_filter(side, "linkwitz-riley", 2, 80.0) for side in SIDES)
    late = float(filters.group_delay_of_sum(low, high, 80.0))
    assert late == pytest.approx(1 / (2 * math.pi * 80), rel=2e-4)


@pytest.mark.parametrize(("side", "single", "pair"), [("low-pass", 132.3, 144.8), ("high-pass", 75.6, 69.1)])
def test_stages_of_a_bessel_filter_have_corners_of_their_own(
    side: filters.Side, single: float, pair: float
) -> None:
    """Third order with its -3 dB at 100 Hz: poles -1.3227 and -1.0474 +- 0.9993i (Zverev; from memory)."""
    first, second = filters.crossover_stages(side, "bessel", 3, 100.0)
    assert (first.order, first.q, second.order) == (1, None, 2)
    assert (first.frequency, second.frequency) == pytest.approx((single, pair), abs=0.05)
    assert second.q == pytest.approx(0.691, abs=5e-4)


@pytest.mark.parametrize("order", [2, 4, 6, 8])
@pytest.mark.parametrize("family", ["butterworth", "linkwitz-riley"])
def test_over_its_corner_a_high_pass_has_the_gain_that_was_asked_for(
    family: filters.Family, order: int
) -> None:
    """SciPy's Butterworth, or two of half its order in a row, there."""
    gain = np.array([1e-6, 0.02, 0.5, 0.999])
    at = filters.over_corner(family, order, gain)
    single = order if family == "butterworth" else order // 2
    _, heard = signal.freqs(*signal.butter(single, 1.0, "high", analog=True), worN=at)
    assert np.abs(heard) ** (order // single) == pytest.approx(gain, rel=1e-9)
    with pytest.raises(ValueError, match="Bessel"):
        filters.over_corner("bessel", order, gain)
