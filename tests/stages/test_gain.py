"""Gain, clip and noise: what is dangerous is said so, and what is right is not."""

from typing import Any

import pytest

from calculators.declaring import Outcome, run_values
from calculators.stages import find_calculator
from tests.asking import dangers, run
from tests.published.test_gain import AMPLIFIER, INPUT, OUTPUT, chain


def notes(outcome: Outcome) -> list[str]:
    return [entry.about for entry in outcome.advice if not entry.danger]


def test_the_tone_outside_the_band_is_a_danger() -> None:
    """1 kHz through a high-pass LR24 of 3 kHz stands 38.3 dB down: that much gain kills a tweeter."""
    outcome = run("gain-voltage", power=70.0, load=4.0, filter_level=-38.3)
    assert list(dangers(outcome)) == ["filter_level"]
    assert "38.3 dB" in outcome.advice[0].message
    assert list(dangers(run("gain-voltage", power=70.0, load=4.0, filter_level=-1.23))) == ["filter_level"]
    assert list(dangers(run("gain-voltage", power=70.0, load=4.0, filter_level=-0.53))) == []


def test_a_tenth_of_the_target_means_stop() -> None:
    assert list(dangers(run("gain-voltage", power=70.0, load=4.0, measured=1.6))) == ["measured"]
    assert list(dangers(run("gain-voltage", power=70.0, load=4.0, measured=1.7))) == []
    assert list(dangers(run("gain-voltage", power=70.0, load=4.0, measured=17.2))) == ["measured"]


@pytest.mark.parametrize(("measured", "about"), [(16.3, ["measured"]), (2.0, ["measured"]), (16.4, [])])
def test_under_the_target_by_more_than_a_pair_may_differ_is_told(measured: float, about: list[str]) -> None:
    # 16.73 V less 0.2 dB is 16.35 V.
    outcome = run("gain-voltage", power=70.0, load=4.0, measured=measured)
    told = [entry for entry in outcome.advice if entry.about == "measured"]
    assert [entry.about for entry in told] == about
    assert all("Too low: outside 0.2 dB" in entry.message and not entry.danger for entry in told)


def test_a_full_scale_tone_after_headroom_is_a_danger() -> None:
    outcome = run("gain-voltage", power=300.0, load=4.0, overlap=5.0)
    assert list(dangers(outcome)) == ["overlap"]
    assert "949 W" in outcome.advice[0].message
    assert list(dangers(run("gain-voltage", power=300.0, load=4.0))) == []


def test_touch_voltage() -> None:
    """50 V AC; bare parts 25 V in the dry and 12 V where it is damp: 625, 156 and 36 W into 4 ohm."""
    assert list(dangers(run("gain-voltage", power=1000.0, load=4.0))) == ["voltage"]
    assert list(dangers(run("gain-voltage", power=625.0, load=4.0))) == []
    assert "voltage" in notes(run("gain-voltage", power=200.0, load=4.0))
    told = {
        power: [
            entry.message
            for entry in run("gain-voltage", power=power, load=4.0).advice
            if entry.about == "voltage"
        ]
        for power in (160.0, 150.0, 37.0, 35.0)
    }
    assert "25 V that bare parts may carry in the dry" in told[160.0][0]
    assert "12 V that bare parts may carry where it is damp" in told[150.0][0]
    assert told[37.0]
    assert not told[35.0]
    assert "voltage" in dangers(run("gain-voltage", power=70.0, load=4.0, measured=60.0))
    assert "S24" in find_calculator("gain-voltage").cautions


def test_the_worked_chain_is_in_order_but_too_noisy() -> None:
    outcome = run("gain-chain", **chain())
    assert list(dangers(outcome)) == ["noise"]
    assert notes(outcome) == ["limiter", "below_full"]
    behind = run("gain-chain", **chain(-5.99, 18.93))
    assert list(dangers(behind)) == []
    # Taken at the amplifier, 6 dB of gain less: under 90 dB before, over it after.
    assert outcome.result.below_full < 90.0 < behind.result.below_full
    assert "below_full" not in notes(behind)


def test_a_typed_gain_is_held_against_the_headroom() -> None:
    """By hand: the gain found is 24.93 dB, so 40 is 15.1 too much, and 18.93 6.0 too little."""
    told = {}
    for gain in (40.0, 31.0, 30.8, 25.5, 25.3, 24.93, 24.5, 24.4, 18.93):
        outcome = run("gain-chain", **chain(-5.99, gain))
        found = [entry for entry in outcome.advice if entry.about == "headroom"]
        told[gain] = [(entry.danger, entry.message) for entry in found]
    assert [gain for gain, found in told.items() if found] == [40.0, 31.0, 30.8, 25.5, 24.4, 18.93]
    assert [gain for gain, found in told.items() if found and found[0][0]] == [40.0, 31.0]
    assert "15.1 dB more than the headroom of 5 dB" in told[40.0][0][1]
    assert "24.9 dB would do" in told[40.0][0][1]
    assert "6.0 dB less than the headroom of 5 dB" in told[18.93][0][1]
    assert "the headroom is −1.0 dB" in told[18.93][0][1]
    meant = run("gain-chain", **chain(-5.99, 18.93) | {"headroom": -1.0})
    assert "headroom" not in notes(meant)


def test_a_boost_that_eats_the_margin_is_a_danger() -> None:
    """Full scale in as full scale out leaves no room for a boost, though the amplifier clips first."""
    outcome = run("gain-chain", **chain(1.51, 17.43))
    assert outcome.result.first_to_clip == "Amplifier"
    assert outcome.result.chain[3].clips_at == pytest.approx(-4.5, abs=0.01)
    assert "chain" in dangers(outcome)
    assert any("Boosts of 4.5 dB" in entry.message for entry in outcome.advice)


def test_the_first_stage_to_clip_must_be_the_amplifier() -> None:
    loud = run("gain-chain", **chain(1.51, 10.0))
    assert loud.result.first_to_clip == "Processor output"
    assert "first_to_clip" in dangers(loud)
    quiet = run("gain-chain", **chain(-5.99, 10.0))
    assert quiet.result.first_to_clip == "Source"
    assert "first_to_clip" in dangers(quiet)


def test_a_processor_input_that_clips_is_a_danger() -> None:
    inputs = chain()
    inputs["stages"][1] = INPUT | {"input_max": 4.0}
    outcome = run("gain-chain", **inputs)
    assert outcome.result.chain[2].clip_margin == pytest.approx(-6.44, abs=0.01)
    assert "chain" in dangers(outcome)
    inputs["stages"][1] = INPUT | {"input_max": 8.8}
    assert "chain" in notes(run("gain-chain", **inputs))


def test_a_reserve_that_is_eaten_into_is_said() -> None:
    assert "chain" in notes(run("gain-chain", **chain(-4.0, 24.93)))
    assert "chain" not in notes(run("gain-chain", **chain()))


@pytest.mark.parametrize(
    ("stage", "place"),
    [
        ({**AMPLIFIER, "output_max": None}, 1),
        ({**OUTPUT, "output_max": None, "unity": None}, 0),
        ({**OUTPUT, "output_max": None, "gain": 0.0}, 0),
    ],
)
def test_a_stage_that_cannot_be_followed_is_refused_at_its_field(stage: dict[str, Any], place: int) -> None:
    stages = [OUTPUT, AMPLIFIER]
    stages[place] = stage
    outcome = run_values(find_calculator("gain-chain"), {"source": 8.4, "stages": stages})
    assert [error.field for error in outcome.errors] == [f"stages[{place}].output_max"]


def test_a_feed_that_hisses_too_much_is_said() -> None:
    """1 mV at the feed becomes 3.5 mV at the tweeter, seven times the limit."""
    outcome = run("gain-chain", **chain() | {"source_noise": 1e-3})
    assert outcome.result.chain[0].noise == pytest.approx(3.54e-3, abs=5e-6)
    assert "source_noise" in notes(outcome)
    assert "source_noise" not in notes(run("gain-chain", **chain()))


def test_limiters_that_never_work_are_named() -> None:
    door = {"full_output": 4.0, "gain": 24.93, "clip_voltage": 17.72, "load": 4.0}
    assert notes(run("limiter", **door)) == ["driver_power"]
    assert notes(run("limiter", **door, driver_power=20.0)) == []
    assert notes(run("limiter", **door, driver_power=500.0)) == ["thermal_threshold"]
    assert notes(run("limiter", **door, driver_power=20.0, stroke_voltage=20.0)) == ["stroke_threshold"]
    assert "peak_threshold" in notes(run("limiter", **door | {"gain": 5.0}, driver_power=20.0))
