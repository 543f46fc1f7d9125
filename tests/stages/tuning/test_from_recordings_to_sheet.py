"""From recordings to the tune's sheet: what `response` writes of each speaker is what `tune` reads."""

from typing import Any

import numpy as np
import pytest
from numpy.random import default_rng

from calculators.declaring import Kept, run_values
from calculators.physics.speaker_system import Setting, chain
from calculators.stages import find_calculator
from tests.recordings import Cabin, played, speaker, through, with_noise
from tests.stages.tuning.test_response import DOOR, RATE, TWEETER, kept, run, signal_of

START = 0.3137
TIED = {"tie": "clock", "microphone": "calibrated", "functions": "off"}
DRIVERS = {
    "Left tweeter": (speaker(900.0, 22e3, reversed_=True), Setting(high_pass=3000.0), TWEETER, 0.0021),
    "Left woofer": (speaker(60.0, 8e3), Setting(low_pass=3000.0), DOOR, 0.0027),
}
"""Driver, crossover, sweep, and how long its sound is under way to the fixed point, s."""
CHANNELS = [
    {"name": "Left tweeter", "part": "tweeter", "side": "left", "high_pass": 3000.0},
    {"name": "Left woofer", "part": "woofer", "side": "left", "low_pass": 3000.0},
]


def recorded(name: str, settings: dict[str, Any], later: float) -> Kept:
    """A speaker, its crossover in and one reflection, by one clock."""
    driver, crossed, _, away = DRIVERS[name]
    signal, cabin = signal_of(settings), Cabin(away + later, (0.004,), (0.3,))
    sound = 0.3 * played(signal, RATE, START, START + signal.length + 0.3)
    heard = through(sound, lambda f: driver(f) * chain(crossed, f) * cabin(f), RATE)
    return kept(with_noise(heard, signal, START, RATE, 60.0, default_rng(1)), RATE)


def written(name: str, point: int) -> str:
    settings = DRIVERS[name][2]
    outcome = run(
        recorded(name, settings, 2e-5 * (point - 1)), settings, **TIED, speaker=name, point=float(point)
    )
    assert outcome.errors == ()
    called = f"{name.lower().replace(' ', '-')}-seat-1-point-{point}"
    assert (outcome.result.for_tune.name, outcome.result.csv.name) == (f"{called}.txt", f"{called}.csv")
    return str(outcome.result.for_tune.contents.decode())


def test_recordings_become_a_sheet_without_retyping() -> None:
    text = "\n".join(written(name, point) for point in (1, 2) for name in DRIVERS).encode()
    sheet = run_values(
        find_calculator("tune"),
        {
            "begin_with": "measurements",
            "channels": CHANNELS,
            "measurements": Kept("m", "4 files", len(text), lambda start, count: text[start : start + count]),
            "filters": 1.0,
        },
    )
    assert sheet.errors == ()
    tweeter, woofer = sheet.result.channels
    # Simulated here: the tweeter's sound is 0.6 ms sooner, and it is wired the wrong way round. The drivers'
    # own ends turn the phase at the join by some of the 167 us that are half a cycle there.
    assert tweeter.delay - woofer.delay == pytest.approx(0.6e-3, abs=0.1e-3)
    assert (tweeter.polarity, woofer.polarity) == ("reversed", "normal")
    assert "Left tweeter" in sheet.result.advice[0].message
    (join,) = sheet.result.joins
    assert abs(join.phase) < 30
    assert join.lost > join.best - 0.3


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"microphone": "phone"}, "a phone, not compared"),
        ({"functions": "unknown"}, "alters the sound"),
        ({"functions": "on"}, "alters the sound"),
        ({"tie": "nothing"}, "ties it to the other runs"),
        ({"declared_lossy": True}, "lossy"),
    ],
)
def test_a_measurement_that_the_tune_must_not_have_gets_no_file(more: dict[str, Any], words: str) -> None:
    settings = DOOR | {"sweep_length": 1.0}
    result = run(
        recorded("Left woofer", settings, 0.0), settings, **(TIED | more), speaker="Left woofer"
    ).result
    assert result.for_tune is None
    assert [entry.message for entry in result.advice if entry.about == "speaker" and words in entry.message]


def test_an_arrival_by_a_loop_is_counted_from_the_loop() -> None:
    """The cable hears the sweep as it leaves the player, the microphone 6.5 ms later."""
    signal = signal_of(DOOR)
    one = played(signal, RATE, START, START + signal.length + 0.3)
    heard = through(0.3 * one, lambda f: speaker(60.0, 8e3)(f) * Cabin(0.0065, (), ())(f), RATE)
    heard, cable = (
        with_noise(each, signal, START, RATE, 60.0, default_rng(1)) for each in (heard, 0.1 * one)
    )
    by_loop = TIED | {"loop_channel": 2.0, "speaker": "Left woofer"}
    outcome = run(kept(np.stack([heard, cable], axis=1), RATE), DOOR, **by_loop)
    assert outcome.errors == ()
    told = outcome.result.for_tune.contents.decode().split("; ")[3]
    assert float(told.removeprefix("arrival ").removesuffix(" ms")) == pytest.approx(6.5, abs=0.06)


def test_a_name_that_would_end_its_line_early_is_refused() -> None:
    (error,) = run(recorded("Left woofer", DOOR, 0.0), DOOR, **TIED, speaker="Left; woofer").errors
    assert error.field == "speaker"
