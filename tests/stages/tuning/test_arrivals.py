"""Delays and phase: what is said when arrivals cannot be right."""

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator


@pytest.mark.parametrize(("frequency", "delay", "by_accident"), [
    (80.0, 0.0125, True), (3000.0, 0.00033, True), (80.0, 0.00625, True), (80.0, 0.03, True),
    (80.0, 0.0062, False), (3000.0, 0.0, False),
])  # fmt: skip
def test_in_step_by_accident_is_not_passed(frequency: float, delay: float, by_accident: bool) -> None:
    """80 Hz and 12.5 ms: 360 x 80 x 0.0125 = 360 degrees, full by level and a whole beat behind."""
    outcome = run_values(find_calculator("phase-and-join"), {"frequency": frequency, "delay": delay})
    assert any("by accident" in entry.message for entry in outcome.advice) == by_accident


def test_a_step_too_coarse_for_a_tweeter_and_its_woofer_is_said() -> None:
    """Steps of 0.1 ms: 0.86 and 0.98 m at 20 °C are 0.350 ms apart; rounding leaves them 50 µs out."""
    rows = [{"name": "tweeter", "distance": 0.86}, {"name": "woofer", "distance": 0.98}]
    coarse = run_values(find_calculator("delay"), {"speakers": rows, "step": 1e-4})
    (advice,) = coarse.advice
    assert advice.about == "step"
    assert "50 µs apart" in advice.message
    assert run_values(find_calculator("delay"), {"speakers": rows, "step": 1e-5}).advice == ()
