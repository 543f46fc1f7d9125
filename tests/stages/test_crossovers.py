"""The crossover calculator: levels at a frequency the reader asks for."""

import math

import pytest

from calculators.declaring import run_values
from calculators.stages import find

CORNER = 100.0


def crossover(**values: object) -> object:
    outcome = run_values(find("crossover"), {"low_pass": CORNER, **values})
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
    expected = "one side reversed" if reversed_better else "as wired"
    assert result.better_polarity == expected  # type: ignore[attr-defined]


@pytest.mark.parametrize("slope", [6, 18, 30, 42])
@pytest.mark.parametrize("polarity", ["same", "reversed"])
def test_odd_butterworth_orders_add_level_either_way(slope: int, polarity: str) -> None:
    result = crossover(family="butterworth", slope=float(slope), polarity=polarity)
    assert result.lowest_sum == pytest.approx(0, abs=1e-9)  # type: ignore[attr-defined]
    assert result.highest_sum == pytest.approx(0, abs=1e-9)  # type: ignore[attr-defined]
