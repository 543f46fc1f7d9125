"""A recording that was chosen and is not read: nobody takes a model's sum for what was measured."""

from calculators.declaring import Kept, run_values
from calculators.stages import find_calculator

FEED_SUM = find_calculator("feed-sum")
RUBBISH = Kept("h", "my-car.wav", 7, lambda start, count: b"rubbish"[start : start + count])


def test_a_recording_that_is_not_read_is_named() -> None:
    model = dict(FEED_SUM.example) | {"given": "model"}
    without, beside = (run_values(FEED_SUM, model | more) for more in ({}, {"recording": RUBBISH}))
    assert beside.errors == ()
    (told,) = set(beside.advice) - set(without.advice)
    assert told.message.startswith("my-car.wav is not read: nothing here was measured in it.")


def test_a_recording_that_is_asked_for_is_read() -> None:
    outcome = run_values(FEED_SUM, dict(FEED_SUM.example) | {"given": "recorded", "recording": RUBBISH})
    assert [error.field for error in outcome.errors] == ["recording"]
