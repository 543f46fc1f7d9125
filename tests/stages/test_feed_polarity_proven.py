"""A polarity that the pulse has proven is taken, and the form no longer sends whoever proved it back."""

from typing import Any

import numpy as np
import pytest

from calculators.physics.decibels import level
from calculators.physics.filters import crossover_filter, response
from tests.asking import run

ODD: dict[str, Any] = {"given": "model", "family": "butterworth", "slope": 18.0, "corner": 3000.0}


def test_an_odd_slope_is_level_as_found_and_cannot_be_told_until_the_pulse_has_proven_it() -> None:
    at = np.geomspace(300, 20e3, 60)
    low, high = (
        response(crossover_filter(side, "butterworth", 3, 3000.0), at) for side in ("low-pass", "high-pass")
    )
    assert np.max(np.abs(level(low + high))) < 0.01
    searched = run("feed-sum", **ODD)
    assert searched.result.verdict == "cannot tell"
    assert searched.result.found_loss == pytest.approx(-3.01, abs=0.01)
    assert any("a quarter turn apart" in each.message for each in searched.advice)


@pytest.mark.parametrize(("proven", "word"), [("as-found", "leave it"), ("turned", "invert it")])
def test_a_proven_polarity_is_taken_and_the_delay_alone_searched(proven: str, word: str) -> None:
    outcome = run("feed-sum", **ODD, proven=proven)
    assert outcome.result.verdict == "yes, and note the loss"
    assert (outcome.result.polarity_word, outcome.result.certainty) == (word, "certain")
    assert abs(outcome.result.delay_found) == pytest.approx(0.077e-3, abs=0.005e-3)
    assert not any("Prove the polarity" in each.message for each in outcome.advice)


def test_a_polarity_proven_wrong_for_an_even_slope_loses_what_it_loses() -> None:
    even = ODD | {"family": "linkwitz-riley", "slope": 24.0}
    assert run("feed-sum", **even).result.polarity_word == "leave it"
    turned = run("feed-sum", **even, proven="turned").result
    assert turned.polarity_word == "invert it"
    assert turned.polarity_margin < 0
