"""The chance of guessing against SciPy's binomial distribution and figures that are often printed."""

import pytest
from scipy import stats

from calculators.physics.guessing import chance_of_guessing


@pytest.mark.parametrize(
    ("right", "rounds", "chance"), [(9, 10, 0.0107), (12, 16, 0.0384), (15, 20, 0.0207), (18, 24, 0.0113)]
)
def test_printed_figures(right: int, rounds: int, chance: float) -> None:
    """Tables of blind tests: at least so many right by chance."""
    assert chance_of_guessing(right, rounds) == pytest.approx(chance, abs=5e-5)


def test_every_score_of_a_library() -> None:
    for rounds in (1, 10, 57, 200):
        for right in range(rounds + 1):
            wanted = stats.binom.sf(right - 1, rounds, 0.5)
            assert chance_of_guessing(right, rounds) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize(("right", "rounds"), [(1, 0), (-1, 5), (6, 5)])
def test_scores_that_cannot_be_are_refused(right: int, rounds: int) -> None:
    with pytest.raises(ValueError, match="right must be"):
        chance_of_guessing(right, rounds)
