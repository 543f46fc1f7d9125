"""What a measurement may be used for: the clocks' table row by row, the phone's, what alters the sound."""

from dataclasses import replace

import pytest

from calculators.vocabulary.measuring_uses import Facts, uses_of, verdict_of, why_no_tune

GOOD = Facts(
    microphone="calibrated",
    functions="off",
    tie="nothing",
    moved=False,
    edge=None,
    lossy=False,
    loop=False,
    clocks=True,
    noise=True,
    certain=True,
    rings=False,
    plays=1,
    bass_alone=False,
    rising=True,
    calibrated=True,
    lowest=28.2,
)
TIMES = ("Arrival between speakers", "Phase at a join")
TRUE = ("True curve, and an equaliser by it", "Subwoofer against the doors", "Absolute level")
POLARITY = "Wiring polarity"
DIFFERENCES, PEAK = "Left against right, before against after", "Frequency of a peak"


def told(facts: Facts) -> dict[str, str]:
    return {row.use: row.may for row in uses_of(facts)}


def good_for(facts: Facts) -> set[str]:
    return {use for use, may in told(facts).items() if may.startswith("yes")}


EVERYTHING = set(told(GOOD))


@pytest.mark.parametrize(
    ("facts", "times"),
    [
        (replace(GOOD, tie="clock"), set(TIMES)),
        (replace(GOOD, plays=2), set(TIMES)),
        (replace(GOOD, plays=2, tie="reference"), set(TIMES)),
        (GOOD, set()),
        (replace(GOOD, plays=2, clocks=False), set()),
        (replace(GOOD, plays=2, bass_alone=True, certain=False), {"Phase at a join"}),
    ],
    ids=["one clock", "one file", "reference", "nothing", "clocks not found", "subwoofer"],
)
def test_what_ties_two_runs_decides_what_their_times_say(facts: Facts, times: set[str]) -> None:
    assert good_for(facts) - {POLARITY} == EVERYTHING - {POLARITY, *TIMES} | times
    assert (POLARITY in good_for(facts)) != facts.bass_alone


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (GOOD, "levels, phase and polarity"),
        (replace(GOOD, plays=2), "levels, phase, arrivals and polarity"),
        (replace(GOOD, plays=2, certain=False), "levels, phase and arrivals"),
        (replace(GOOD, microphone="phone"), "comparisons, 200 Hz to 8 kHz"),
        (replace(GOOD, microphone="phone", clocks=False), "comparisons, 200 Hz to 8 kHz"),
        (
            replace(GOOD, microphone="phone", plays=2),
            "comparisons, 200 Hz to 8 kHz, and arrivals within this recording",
        ),
    ],
)
def test_the_verdict_promises_arrivals_only_where_there_are_two_to_compare(facts: Facts, words: str) -> None:
    assert verdict_of(facts) == words


def test_one_clock_without_a_loop_needs_a_common_start() -> None:
    assert told(replace(GOOD, tie="clock"))[TIMES[0]] == "yes, between runs started together"
    assert told(replace(GOOD, tie="clock", loop=True))[TIMES[0]] == "yes, between all runs of this sitting"


def test_the_tape_stands_in_where_no_arrival_is_known() -> None:
    assert told(GOOD)["Arrival between speakers"] == "not known: use the tape"


def test_a_phone_that_was_not_compared_is_good_for_differences_alone() -> None:
    phone = replace(GOOD, microphone="phone", plays=2)
    assert good_for(phone) == {DIFFERENCES, PEAK, POLARITY, *TIMES}
    assert "200 Hz to 8 kHz within 1 dB" in told(phone)[DIFFERENCES]


@pytest.mark.parametrize("facts", [replace(GOOD, moved=True), replace(GOOD, functions="on")])
def test_what_alters_the_sound_leaves_polarity_and_time(facts: Facts) -> None:
    assert good_for(replace(facts, tie="clock")) == {POLARITY, *TIMES}


@pytest.mark.parametrize(
    ("facts", "lost"),
    [
        (replace(GOOD, edge=16_000.0, lossy=True), {"Distortion", "Noise", *TIMES}),
        (replace(GOOD, lossy=True), {"Distortion", "Noise", *TIMES}),
        (replace(GOOD, lossy=True, loop=True), {"Distortion", "Noise"}),
        (replace(GOOD, noise=False), {"Distortion", "Noise", *TRUE, *TIMES}),
        (replace(GOOD, rising=False), {"Distortion"}),
        (replace(GOOD, certain=False), {POLARITY}),
        (replace(GOOD, calibrated=False), {"Absolute level"}),
        (replace(GOOD, functions="unknown"), {TRUE[0], TRUE[2], "Distortion", "Noise"}),
        (replace(GOOD, rings=True), {TIMES[0]}),
        (replace(GOOD, lowest=708.0), {TRUE[1]}),
    ],
    ids=[
        "coder's edge",
        "lossy",
        "lossy with a loop",
        "noise",
        "falling",
        "polarity",
        "level",
        "functions",
        "rings",
        "a tweeter",
    ],
)
def test_what_is_missing_takes_its_own_uses_away(facts: Facts, lost: set[str]) -> None:
    assert good_for(replace(facts, tie="clock")) == EVERYTHING - lost


def test_where_no_bass_is_shown_the_doors_are_not_held_against_the_subwoofer() -> None:
    """The usual join is 80 Hz, and the tune sets subwoofers from 50 Hz up."""
    for lowest, may in (
        (44.7, "yes"), (50.0, "yes"), (56.2, "yes, from 56 Hz"), (63.0, "yes, from 63 Hz"),
        (70.8, "no: nothing is shown under 71 Hz"), (80.0, "no: nothing is shown under 80 Hz"),
        (112.2, "no: nothing is shown under 112 Hz"), (124.0, "no: nothing is shown under 124 Hz"),
    ):  # fmt: skip
        assert told(replace(GOOD, lowest=lowest))[TRUE[1]] == may
    assert told(replace(GOOD, lowest=56.2, noise=False))[TRUE[1]] == "no: the noise is not known"
    for microphone in ("calibrated", "phone"):
        said = told(replace(GOOD, microphone=microphone, lowest=708.0))[TRUE[1]]
        assert said == "no: nothing is shown under 708 Hz"


def test_under_a_coders_edge_the_curve_is_told_to_there() -> None:
    assert told(replace(GOOD, edge=16_000.0))[TRUE[0]] == "yes, under 16.0 kHz"


def test_the_driver_s_fixed_point_gets_no_file_for_the_tune_without_its_polarity() -> None:
    """The tune takes polarity from there alone; a subwoofer's is proven at its cone."""
    unsure = replace(GOOD, tie="clock", certain=False)
    assert why_no_tune(unsure, True) == "its polarity is not certain"
    assert [why_no_tune(unsure, False), why_no_tune(replace(unsure, bass_alone=True), True)] == ["", ""]
