"""Delays, phase and recordings: what is said when arrivals cannot be right."""

from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.recordings import played, with_noise
from tests.stages.tuning.test_response import DOOR, RATE, kept, run, signal_of


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


@pytest.mark.parametrize(
    ("start", "plays", "more", "said"),
    [
        (0.01, 1, {}, ""),
        (-0.25, 1, {}, "“Arrival in the recording” is negative, and no distance."),
        (-0.25, 2, {}, "and no distance; “Later than the first” counts."),
        (-0.25, 1, {"tie": "clock"}, "so player and recorder were not started together, as"),
        (-0.25, 1, {"loop_channel": 2.0}, "read “After the loop”."),
    ],
)
def test_an_arrival_before_the_file_began_is_said_in_words(
    start: float, plays: int, more: dict[str, Any], said: str
) -> None:
    """The recorder is turned on 0.25 s into the file's 0.7 s of silence: nobody hears a sound so early."""
    signal, sound = signal_of(DOOR, plays), np.zeros(1)
    for play in range(plays):
        sound = sound + 0.3 * played(signal, RATE, start, start + signal.length + 0.3, play=play)
    sound = with_noise(sound, signal, start, RATE, 60.0, np.random.default_rng(1))
    outcome = run(kept(np.stack([sound, sound], axis=1), RATE), DOOR, plays_in_file=float(plays), **more)
    assert outcome.errors == ()
    assert outcome.result.plays[0].arrival == pytest.approx(start, abs=1e-4)
    told = [each.message for each in outcome.advice if "negative" in each.message]
    assert len(told) == (1 if said else 0)
    if said:
        assert told[0].startswith("The recorder began 0.25 s after the file: ")
        assert said in told[0]
