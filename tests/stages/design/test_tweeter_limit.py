"""A tweeter's high-pass: the words say what the figures do, to the last decimal that decides."""

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator


@pytest.mark.parametrize(
    ("corner", "words"),
    [
        (2190.0, "2.19 kHz is 1.99 × its resonance, and 2 × is the least at 24 dB/oct: take 2.2 kHz at"),
        (2199.0, "2.199 kHz is 1.999 × its resonance, and 2 × is the least at 24 dB/oct: take 2.2 kHz at"),
        (1500.0, "1.5 kHz is 1.4 × its resonance, and 2 × is the least at 24 dB/oct: take 2.2 kHz at"),
        (2200.0, "2.2 kHz is 2.0 × its resonance, and 2 × is the least at 24 dB/oct"),
    ],
)
def test_a_corner_just_under_the_least_is_not_shown_as_the_least(corner: float, words: str) -> None:
    outcome = run_values(
        find_calculator("tweeter-limit"), {"resonance": 1100.0, "corner": corner, "slope": 24.0}
    )
    assert outcome.errors == ()
    assert outcome.result.verdict.startswith(words)
    assert outcome.result.allowed is (corner >= 2200)
