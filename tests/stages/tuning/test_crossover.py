"""The crossover calculator: levels at a frequency the reader asks for."""

import math

import numpy as np
import pytest
from scipy.signal import butter, freqs

from calculators.declaring import run_values
from calculators.physics import decibels, filters
from calculators.stages import find_calculator
from calculators.vocabulary.crossover_joins import (
    JoinResponse,
    better_polarity,
    lowest_place,
    pair_of,
)

CORNER = 100.0


def crossover(**values: object) -> object:
    outcome = run_values(find_calculator("crossover"), {"low_pass": CORNER, **values})
    assert outcome.errors == ()
    return outcome.result


# Definition: a Linkwitz-Riley side of order 2n lies 20 log10(1 + r^2n) down at r times its corner
# (Linkwitz, J. Audio Eng. Soc. 24 (1976) 2: two Butterworth sides in a row), a Butterworth side of
# order n lies 10 log10(1 + r^2n) down (Butterworth 1930).
@pytest.mark.parametrize("times", [1.0, 1.26, 1.5, 2.0, 4.0])
@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_linkwitz_riley_level_at_a_multiple_of_the_corner(times: float, order: int) -> None:
    result = crossover(family="linkwitz-riley", slope=6.0 * order, at=times * CORNER)
    expected = -20 * math.log10(1 + times**order)
    assert result.low_level_at == pytest.approx(expected, rel=1e-9)  # type: ignore[attr-defined]


@pytest.mark.parametrize("times", [1.0, 1.26, 1.5, 2.0, 4.0])
@pytest.mark.parametrize("order", range(1, 9))
def test_butterworth_level_at_a_fraction_of_the_corner(times: float, order: int) -> None:
    result = crossover(family="butterworth", slope=6.0 * order, at=CORNER / times)
    expected = -10 * math.log10(1 + times ** (2 * order))
    assert result.high_level_at == pytest.approx(expected, rel=1e-9)  # type: ignore[attr-defined]


def test_levels_are_given_an_octave_above_the_low_pass_if_nothing_is_asked() -> None:
    result = crossover(family="linkwitz-riley", slope=24.0)
    assert result.looked_at == 200.0  # type: ignore[attr-defined]
    # -24.609 dB: Linkwitz 1976, order 4 at twice the corner.
    assert result.low_level_at == pytest.approx(-24.609, abs=5e-4)  # type: ignore[attr-defined]
    # A Linkwitz-Riley pair of order 4 adds up level everywhere.
    assert result.sum_level_at == pytest.approx(0, abs=1e-9)  # type: ignore[attr-defined]


def test_a_level_sum_has_its_lowest_point_where_the_sides_meet() -> None:
    """The last digits of a level sum differ between machines: they must not choose the answer."""
    result = crossover(family="linkwitz-riley", slope=24.0)
    assert result.lowest_sum_frequency == CORNER  # type: ignore[attr-defined]


def test_of_two_places_as_low_and_as_near_the_lower_is_told() -> None:
    """Which of them is nearer by a last digit is another one on another machine."""
    below, above = np.array([1.0, 1.1, 1.0]), np.zeros(3)
    for away in (-1e-12, 1e-12):
        pair = JoinResponse(np.array([25.0, CORNER, 400 + away]), below, above)
        assert lowest_place(pair, CORNER) == 0


def test_nothing_is_looked_at_above_the_audible_band() -> None:
    result = crossover(slope=12.0, low_pass=15e3, sample_rate=44100.0)
    assert result.looked_at == 20e3  # type: ignore[attr-defined]


@pytest.mark.parametrize(("family", "slope", "reversed_better"), [
    ("linkwitz-riley", 12, True), ("linkwitz-riley", 24, False),
    ("linkwitz-riley", 36, True), ("linkwitz-riley", 48, False),
    ("butterworth", 12, True), ("butterworth", 24, False),
    ("butterworth", 36, True), ("butterworth", 48, False),
])  # fmt: skip
def test_even_orders_need_the_polarity_that_turns_their_sides_into_step(
    family: str, slope: int, reversed_better: bool
) -> None:
    """The two sides of order n stand n quarter turns apart at every frequency (Linkwitz 1976)."""
    result = crossover(family=family, slope=float(slope), polarity="same")
    expected = "high reversed" if reversed_better else "as wired"
    assert result.better_polarity == expected  # type: ignore[attr-defined]


@pytest.mark.parametrize("slope", [6, 18, 30, 42])
@pytest.mark.parametrize("polarity", ["same", "reversed"])
def test_odd_butterworth_orders_add_level_either_way(slope: int, polarity: str) -> None:
    result = crossover(family="butterworth", slope=float(slope), polarity=polarity)
    assert result.lowest_sum == pytest.approx(0, abs=1e-9)  # type: ignore[attr-defined]
    assert result.highest_sum == pytest.approx(0, abs=1e-9)  # type: ignore[attr-defined]


# Group delay of the sum of odd Butterworth pairs, as wired and with the high reversed: for a corner at
# 80 Hz the longest from 20 to 320 Hz, computed apart from the project by unwrapping the phase of
# scipy.signal.butter(n, 1, analog=True) pairs.
@pytest.mark.parametrize(
    ("slope", "better"), [(6, "as wired"), (18, "high reversed"), (30, "as wired"), (42, "high reversed")]
)
def test_odd_butterworth_orders_differ_in_group_delay(slope: int, better: str) -> None:
    order = slope // 6
    omega = 2 * np.pi * np.geomspace(20, 320, 40001)
    low, high = (
        freqs(*butter(order, 2 * np.pi * 80, kind, analog=True), worN=omega)[1] for kind in ("low", "high")
    )
    expected = [np.max(-np.gradient(np.unwrap(np.angle(low + sign * high)), omega)[2:-2]) for sign in (1, -1)]
    result = run_values(
        find_calculator("crossover"), {"family": "butterworth", "slope": float(slope), "low_pass": 80.0}
    ).result
    assert result.sum_group_delay == pytest.approx(expected[0], rel=1e-3, abs=1e-9)  # type: ignore[union-attr]
    assert result.turned_group_delay == pytest.approx(expected[1], rel=1e-3, abs=1e-9)  # type: ignore[union-attr]
    assert (expected[0] < expected[1]) == (better == "as wired")
    assert result.better_polarity == better  # type: ignore[union-attr]
    less = float(result.polarity_reason.partition("up to ")[2].partition(" ms")[0])  # type: ignore[union-attr]
    assert less == pytest.approx(1e3 * abs(expected[0] - expected[1]), rel=5e-3)


def test_bessel_is_kind_in_time_on_the_low_side_alone() -> None:
    """24 dB/oct at 80 Hz: the high is at most 10.08 ms late, more than the low and than its rivals'."""
    of = {
        family: crossover(family=family, slope=24.0, low_pass=80.0)
        for family in ("bessel", "butterworth", "linkwitz-riley")
    }
    assert of["bessel"].high_group_delay == pytest.approx(10.08e-3, abs=5e-6)  # type: ignore[attr-defined]
    assert of["butterworth"].high_group_delay == pytest.approx(7.78e-3, abs=1e-5)  # type: ignore[attr-defined]
    assert of["linkwitz-riley"].high_group_delay == pytest.approx(6.79e-3, abs=1e-5)  # type: ignore[attr-defined]
    assert of["bessel"].group_delay < of["linkwitz-riley"].group_delay  # type: ignore[attr-defined]


# Butterworth pole angles: Q = 1/(2 cos(angle)); Linkwitz-Riley is two of half the order in a row.
@pytest.mark.parametrize(("family", "slope", "asked"), [
    ("linkwitz-riley", 12, "0.50"), ("linkwitz-riley", 24, "0.71 + 0.71"),
    ("linkwitz-riley", 36, "0.50 + 1.00 + 1.00"), ("linkwitz-riley", 48, "0.54 + 1.31 + 0.54 + 1.31"),
    ("butterworth", 6, "6 dB/oct"), ("butterworth", 12, "0.71"), ("butterworth", 18, "6 dB/oct + 1.00"),
    ("butterworth", 24, "0.54 + 1.31"), ("bessel", 24, "0.52 at 1.43× + 0.81 at 1.60×"),
])  # fmt: skip
def test_q_of_each_section_for_a_processor_that_asks_for_it(family: str, slope: int, asked: str) -> None:
    assert crossover(family=family, slope=float(slope)).section_qs == asked  # type: ignore[attr-defined]


@pytest.mark.parametrize("delay", [-0.00017, 0.00017, 0.0005, -0.01])
@pytest.mark.parametrize("polarity", ["same", "reversed"])
@pytest.mark.parametrize("slope", [12.0, 18.0, 24.0])
def test_no_reversal_is_advised_while_a_delay_stands(delay: float, polarity: str, slope: float) -> None:
    """LR24 at 3 kHz, the high 0.17 ms early: a null the right way round, and the tweeter was blamed."""
    family = "butterworth" if slope == 18 else "linkwitz-riley"
    result = crossover(family=family, slope=slope, low_pass=3000.0, delay=delay, polarity=polarity)
    (advice,) = result.advice  # type: ignore[attr-defined]
    assert advice.about == "delay"
    assert "First take the delay out" in advice.message
    right = crossover(family=family, slope=slope, low_pass=3000.0)
    assert result.better_polarity == right.better_polarity  # type: ignore[attr-defined]


def test_the_running_jobs_right_pair_before_its_delays() -> None:
    """The right tweeter is 9 cm nearer than its woofer: 281 degrees at 3 kHz (24 °C, by hand).

    Neither polarity is full and neither makes a null: -2.23 and -3.96 dB.
    """
    early = -0.09 / (343.2 * math.sqrt((24 + 273.15) / 293.15))
    wired = crossover(low_pass=3000.0, slope=24.0, delay=early, polarity="same")
    turned = crossover(low_pass=3000.0, slope=24.0, delay=early, polarity="reversed")
    assert wired.sum_level == pytest.approx(-2.23, abs=0.02)  # type: ignore[attr-defined]
    assert turned.sum_level == pytest.approx(-3.96, abs=0.02)  # type: ignore[attr-defined]
    assert "281°" in wired.advice[0].message  # type: ignore[attr-defined]


def test_a_side_is_low_or_high_and_never_left_or_right() -> None:
    """ "Reverse one side" had an apprentice reverse the left door."""
    for entry in find_calculator("crossover").outputs:
        for field in (entry, *entry.columns):
            assert " side" not in field.kind.label.replace("either side", "")
    hole = crossover(family="linkwitz-riley", slope=12.0)
    assert hole.better_polarity == "high reversed"  # type: ignore[attr-defined]
    # "Reverse the high" at a subwoofer's join turned both doors over.
    to_turn = "Reverse the subwoofer at the subwoofer's join, both tweeters at theirs"
    assert hole.advice[0].message.startswith(to_turn)  # type: ignore[attr-defined]
    assert "it is level" in hole.advice[0].message  # type: ignore[attr-defined]


@pytest.mark.parametrize(("low_pass", "high_pass"), [(80.0, 80.0), (3000.0, 3500.0), (100.0, 80.0)])
def test_the_chart_of_a_join_spans_two_octaves_either_side(low_pass: float, high_pass: float) -> None:
    result = crossover(low_pass=low_pass, high_pass=high_pass)
    for chart in (result.chart, result.delay_chart):  # type: ignore[attr-defined]
        assert chart.x.low == pytest.approx(min(low_pass, high_pass) / 4)
        assert chart.x.high == pytest.approx(max(low_pass, high_pass) * 4)
        assert chart.read_at == pytest.approx(math.sqrt(low_pass * high_pass))


@pytest.mark.parametrize(
    ("delay", "polarity"), [(0.0, "same"), (0.0, "reversed"), (0.003, "same"), (0.03, "same")]
)
def test_highest_and_lowest_of_the_sum_are_found(delay: float, polarity: str) -> None:
    """Against 400,001 places; the grid of old was up to 0.13 dB off."""
    result = crossover(
        family="bessel", slope=18.0, low_pass=200.0, high_pass=260.0, delay=delay, polarity=polarity
    )
    f = np.geomspace(50, 1040, 400001)
    low = filters.response(filters.crossover_filter("low-pass", "bessel", 3, 200.0), f)
    high = filters.response(filters.crossover_filter("high-pass", "bessel", 3, 260.0), f)
    sign = -1 if polarity == "reversed" else 1
    level = decibels.level(low + sign * high * np.exp(-2j * np.pi * f * delay))
    assert result.highest_sum == pytest.approx(np.max(level), abs=1e-3)  # type: ignore[attr-defined]
    assert result.lowest_sum == pytest.approx(np.min(level), abs=2e-3)  # type: ignore[attr-defined]


@pytest.mark.parametrize(("box", "door", "degrees", "late", "lost"), [
    ((45.0, 0.8), (70.0, 0.8), 32, 1.1, 0.3), ((40.0, 0.7), (90.0, 0.7), 56, 1.9, 1.0),
])  # fmt: skip
def test_what_the_page_says_of_the_drivers_own_roll_off(
    box: tuple[float, float], door: tuple[float, float], degrees: int, late: float, lost: float
) -> None:
    """Closed boxes fall as second-order high-passes (Small 1972), here behind LR24 at 80 Hz, by scipy."""
    omega = [2 * np.pi * 80]
    join = 2 * np.pi * 80

    def through(kind: str, corner: float, q: float) -> complex:
        side = freqs(*butter(2, join, kind, analog=True), worN=omega)[1][0] ** 2
        own = 2 * np.pi * corner
        return side * freqs([1, 0, 0], [1, own / q, own**2], worN=omega)[1][0]

    low, high = through("low", *box), through("high", *door)
    apart = float(np.angle(high / low))
    assert np.degrees(apart) == pytest.approx(degrees, abs=0.5)
    assert 1e3 * apart / omega[0] == pytest.approx(late, abs=0.05)
    assert 20 * np.log10((abs(low) + abs(high)) / abs(low + high)) == pytest.approx(lost, abs=0.05)


# Corners that differ: family, slope, low-pass, high-pass, and whether the sum strays by more than
# 3 dB with either polarity. Butterworth 24 at 80 and 63 Hz reversed, as it once advised, nulls once the
# drivers have brought both acoustic corners to one place: the even table says "as wired".
@pytest.mark.parametrize(("family", "slope", "low", "high", "cure"), [
    ("butterworth", 24.0, 80.0, 63.0, "take the overlap out"),
    ("linkwitz-riley", 24.0, 60.0, 110.0, "close the gap"),
    ("linkwitz-riley", 48.0, 63.0, 100.0, "close the gap"),
    ("linkwitz-riley", 24.0, 63.0, 100.0, "close the gap"),
    ("linkwitz-riley", 24.0, 80.0, 100.0, None), ("linkwitz-riley", 24.0, 100.0, 80.0, None),
    ("butterworth", 18.0, 100.0, 80.0, None),
])  # fmt: skip
@pytest.mark.parametrize("polarity", ["same", "reversed"])
@pytest.mark.parametrize("delay", [0.0, 0.002])
def test_no_polarity_is_read_off_corners_that_differ(
    family: str, slope: float, low: float, high: float, cure: str | None, polarity: str, delay: float
) -> None:
    result = crossover(
        family=family, slope=slope, low_pass=low, high_pass=high, polarity=polarity, delay=delay
    )
    assert result.better_polarity == "that of family and slope at the acoustic corner (table)"  # type: ignore[attr-defined]
    assert "corners differ" in result.polarity_reason  # type: ignore[attr-defined]
    said = [entry.message for entry in result.advice if entry.about != "delay"]  # type: ignore[attr-defined]
    assert said[0].startswith("Corners differ")
    assert not any("then it" in text or text.startswith("Reverse") for text in said)
    assert [cure in text for text in said[1:]] == ([True] if cure else [])  # type: ignore[operator]


def test_a_null_does_not_hide_the_longest_delay_beside_it() -> None:
    """Butterworth 48 reversed at 80 Hz: 18.51 ms at 77.3 Hz, where the grid alone saw 18.32.

    By symmetry it is that of the sum as wired: the two all-pass sums differ by a real factor.
    """
    result = crossover(family="butterworth", slope=48.0, low_pass=80.0)
    assert result.turned_group_delay == pytest.approx(result.sum_group_delay, rel=1e-6)  # type: ignore[attr-defined]
    assert 1e3 * result.turned_group_delay == pytest.approx(18.508, abs=5e-4)  # type: ignore[attr-defined]


def test_a_high_corner_is_written_out() -> None:
    (first, *_) = crossover(low_pass=12_500.0, delay=0.0001).advice  # type: ignore[attr-defined]
    assert "at 12500 Hz" in first.message


@pytest.mark.parametrize("corner", [10.0, 39.0, 80.0, 3000.0, 19999.0])
@pytest.mark.parametrize("family", filters.ORDERS)
def test_an_analogue_pair_has_its_better_polarity_at_every_corner(
    family: filters.Family, corner: float
) -> None:
    """Looked for at this corner, and at another: two octaves either side do not always fit in the band."""
    for order in filters.ORDERS[family]:
        pair = pair_of(family, order, corner, None)
        found, _ = better_polarity(pair.in_step(1.0), corner, corner)
        assert (pair.sign < 0) is (found == "high reversed")
    assert pair_of(family, 2, corner, None).sign == -1.0
