"""Runs of the guided tune under another speaker's name, in simulated cabins: doubted, never refused."""

from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from calculators.declaring import Curve, run_values
from calculators.physics import simulated_cabin
from calculators.physics.air import SPEED_OF_SOUND
from calculators.physics.simulated_cabin import Heard
from calculators.physics.speaker_system import chains, grid
from calculators.stages import find_calculator
from calculators.vocabulary.doubtful_runs import doubts_of
from calculators.vocabulary.tune_channels import TunedChannel
from calculators.vocabulary.tune_measurements import Measured, point_file
from tests.stages.tuning.test_guided_tune import CHANNELS, kept

GUIDED = find_calculator("guided-tune")
SAMPLE = range(0, 30, 5)
Runs = dict[tuple[int, int], tuple[float, Curve]]


def channels_of(heard: Heard) -> list[TunedChannel]:
    return [
        TunedChannel(
            name=speaker.name,
            part=speaker.kind,
            side="left",
            high_pass=speaker.crossed().high_pass,
            low_pass=speaker.crossed().low_pass,
        )
        for speaker in heard.cabin.speakers
    ]


def runs_of(heard: Heard, points: tuple[int, ...]) -> Runs:
    """Arrival after the first speaker, and curve, by speaker and point from 0 on.

    What is 45 dB down is noise.
    """
    speakers = heard.cabin.speakers
    through = chains(tuple(speaker.crossed() for speaker in speakers), grid())
    runs = {}
    for point in points:
        place = heard.cabin.heads[0] + heard.cabin.points[point]
        away = [float(np.linalg.norm(speaker.place - place)) for speaker in speakers]
        for number, gain in enumerate(heard.measured[0][point] * through):
            level = 20 * np.log10(np.abs(gain))
            first, last = np.flatnonzero(level > np.max(level) - 45)[[0, -1]]
            inside = slice(first, last + 1)
            curve = Curve(
                tuple(map(float, grid()[inside])),
                tuple(map(float, level[inside])),
                tuple(map(float, np.degrees(np.angle(gain[inside])))),
            )
            runs[number, point] = (away[number] - away[0]) / SPEED_OF_SOUND, curve
    return runs


def doubted(
    channels: list[TunedChannel], runs: Runs, instead: Mapping[tuple[int, int], tuple[int, int]]
) -> dict[tuple[str, float], str]:
    """Why runs are in doubt, by speaker and point from 1 on, where others were recorded instead of some."""
    found = []
    for place in runs:
        arrival, curve = runs[instead.get(place, place)]
        if place in instead:  # Recorded anew, and so not quite alike.
            curve = replace(curve, level=tuple(level + 0.01 for level in curve.level))
        found.append(Measured(channels[place[0]].name, 0, place[1], arrival, None, curve))
    return {(each.speaker, each.point): each.why for each in doubts_of(found, channels)}


def swap(one: int, other: int, point: int) -> dict[tuple[int, int], tuple[int, int]]:
    return {(one, point): (other, point), (other, point): (one, point)}


def test_no_run_of_a_cabin_is_doubted_without_cause() -> None:
    """At five points and at nine, after the first point, after two and after all."""
    for seed in SAMPLE:
        heard = simulated_cabin.cabin(seed)
        channels = channels_of(heard)
        for points in (heard.fitted, tuple(range(9))):
            runs = runs_of(heard, points)
            for count in (1, 2, len(points)):
                some = {place: run for place, run in runs.items() if place[1] in points[:count]}
                assert doubted(channels, some, {}) == {}


@pytest.mark.parametrize("count", [1, 2, 5], ids=["first point", "two points", "all points"])
def test_nine_of_ten_swaps_of_kinds_are_doubted_on_both_sides(count: int) -> None:
    swaps, hits = 0, 0
    for seed in SAMPLE[:3]:
        heard = simulated_cabin.cabin(seed)
        channels = channels_of(heard)
        runs = runs_of(heard, heard.fitted[:count])
        for one, other in combinations(range(len(channels)), 2):
            if channels[one].part == channels[other].part:
                continue
            for point in heard.fitted[:count]:
                why = doubted(channels, runs, swap(one, other, point))
                swaps += 1
                hits += {(channels[each].name, point + 1) for each in (one, other)} <= set(why)
    assert hits >= 0.9 * swaps
    assert swaps == 36 * count


def test_the_speaker_that_played_is_named() -> None:
    heard = simulated_cabin.cabin(0)
    why = doubted(channels_of(heard), runs_of(heard, heard.fitted), swap(0, 1, 0))
    assert why == {
        ("Left tweeter", 1): "This sounds like Left woofer, not like Left tweeter.",
        ("Left woofer", 1): "This sounds like Left tweeter, not like Left woofer.",
    }


def test_left_for_right_is_told_by_arrival_and_only_with_other_points() -> None:
    heard = simulated_cabin.cabin(0)
    channels = channels_of(heard)
    instead = {(2, 0): (0, 0)}  # The left tweeter is recorded once more in place of the right one.
    assert doubted(channels, runs_of(heard, (0,)), instead) == {}
    why = doubted(channels, runs_of(heard, heard.fitted), instead)
    assert why == {("Right tweeter", 1): "This arrives when Left tweeter does, not as Right tweeter."}
    some = {place: (0.0, run[1]) for place, run in runs_of(heard, heard.fitted).items()}
    assert doubted(channels, some, instead) == {}


def test_one_recording_kept_twice_is_told() -> None:
    heard = simulated_cabin.cabin(0)
    channels = channels_of(heard)
    runs = runs_of(heard, (0, 5))
    assert doubted(channels, runs | {(1, 5): runs[1, 0]}, {}) == {
        (
            channels[1].name,
            6,
        ): f"The same curve as {channels[1].name} at point 1: was one recording kept twice?"
    }


def test_a_doubt_is_said_and_nothing_is_refused() -> None:
    heard = simulated_cabin.cabin(0)
    runs = runs_of(heard, heard.fitted)
    names = [speaker.name for speaker in heard.cabin.speakers[:4]]
    instead = swap(0, 1, 6)
    text = b"".join(
        point_file(
            names[number], 1, point + 1, *_of(runs[instead.get((number, point), (number, point))])
        ).contents
        for number, point in runs
        if number < 4
    )
    outcome = run_values(GUIDED, {"channels": CHANNELS, "measurements": kept(text)})
    assert outcome.errors == ()
    assert [(row.speaker, row.point) for row in outcome.result.doubts] == [
        ("Left tweeter", 7),
        ("Left woofer", 7),
    ]
    (note,) = [
        each for each in outcome.advice if each.about == "measurements" and "sounds like" in each.message
    ]
    assert not note.danger
    assert note.message == (
        "Left tweeter at point 7: This sounds like Left woofer, not like Left tweeter. Check what plays, "
        "then record it again, or keep it. All 2 stand under “Runs in doubt”."
    )
    by_tape = run_values(GUIDED, {"channels": CHANNELS, "measurements": kept(text), "microphone": "phone"})
    assert by_tape.result.doubts == ()


def _of(run: tuple[float, Curve]) -> tuple[float, None, Curve]:
    return run[0], None, run[1]
