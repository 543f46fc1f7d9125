"""Runs of a wiring schedule are known by their names: lists, labels and words go by them."""

from tests.asking import run
from tests.stages.wiring.test_wiring_schedule import feed


def test_runs_that_lists_cannot_tell_apart_are_told_beside_their_names() -> None:
    """One without a name, and a second of one name, however it is spaced or written large."""
    named = run("wiring-schedule", runs=[feed("Battery", "Left"), feed("Battery", "Right")])
    assert not any(entry.about.endswith(".name") for entry in named.advice)
    runs = [
        feed("Battery", "Left", name="Main feed"),
        feed("Battery", "Right", name="main  Feed"),
        feed("Battery", "Rear", name=" "),
    ]
    outcome = run("wiring-schedule", runs=runs)
    told = {entry.about: entry.message for entry in outcome.advice if entry.about.endswith(".name")}
    assert told.keys() == {"runs[1].name", "runs[2].name"}
    assert "Two runs are called Main feed" in told["runs[1].name"]
    assert "Run 3 has no name" in told["runs[2].name"]
