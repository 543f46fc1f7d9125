"""Read back: what a processor shows against the sheet, fault by fault."""

import json
import re
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import InputError, Kept, Outcome, run_values
from calculators.stages import find_calculator
from calculators.vocabulary import sheet_file

READ_BACK = find_calculator("read-back")
ROWS = [
    {"name": "left TWEETER ", "high_pass": 3000.0, "delay": 0.0003, "gain": -6.5},
    {"name": "Left woofer", "high_pass": 80.0, "low_pass": 3000.0, "gain": -2.0},
]
PEAKS = [
    {"name": "Left woofer", "frequency": 640.0, "gain": -2.5, "q": 2.0},
    {"name": "Left tweeter", "frequency": 5200.0, "gain": -3.0, "q": 1.4},
    {"name": "Left woofer", "frequency": 160.0, "gain": -5.0, "q": 3.0},
]


READ = {"slope": "24", "polarity": "normal"}


def run(rows: list[dict[str, Any]], peaks: list[dict[str, Any]], **more: Any) -> Outcome:
    return run_values(READ_BACK, {"channels": [READ | row for row in rows], "filters": peaks} | more)


def test_polarity_and_crossovers_that_nobody_looked_at_are_not_read() -> None:
    found = run_values(READ_BACK, {"channels": ROWS, "filters": PEAKS}).result
    assert [(line.name, line.value, line.on_sheet, line.shown) for line in found.differences] == [
        (name, value, on_sheet, "not read")
        for name in ("Left tweeter", "Left woofer")
        for value, on_sheet in (("crossovers", "24 dB per octave"), ("polarity", "normal"))
    ]
    assert (found.verdict, found.different) == (
        "4 values are not read yet: look at the processor's screen", 4.0,
    )  # fmt: skip
    agreed = run(shown(-2, -2, -2), [], sheet=with_trim(0.0)).result.word
    assert agreed != "–"
    for unread in READ:
        rows = [READ | row | {unread: "unread"} for row in shown(-2, -2, -2)]
        assert run(rows, [], sheet=with_trim(0.0)).result.word == "–"


def test_what_differs_is_mended_and_what_is_not_read_is_looked_at() -> None:
    differ = "1 line differs: mend, save, read back again"
    assert run(changed(0, gain=-8.0), PEAKS).result.verdict == differ
    both = run(changed(0, gain=-8.0, polarity="unread"), PEAKS).result
    assert both.verdict == f"{differ}; 1 value is not read yet: look at the processor's screen"
    assert both.different == 2.0


def changed(row: int, **values: Any) -> list[dict[str, Any]]:
    return [each | (values if number == row else {}) for number, each in enumerate(ROWS)]


def test_what_reads_as_the_sheet_says_is_told_in_any_order_and_within_half_a_step() -> None:
    result = run(changed(1, high_pass=80.4, delay=4e-6, gain=-2.04), PEAKS).result
    assert result.differences == ()
    assert result.compared == 2 * 6 + 3 * 3
    assert result.verdict == "all 21 values read as on the sheet"
    assert [entry.danger for entry in result.advice] == [False]
    assert result.word == "–"  # Nobody's processor holds a sheet of our own invention.


@pytest.mark.parametrize(
    ("rows", "words", "danger"),
    [
        (changed(0, high_pass=300.0), ("high-pass", "3000 Hz", "300 Hz", "a decimal point or a zero"), True),
        (changed(0, high_pass=None), ("high-pass", "3000 Hz", "none", "switch it on"), True),
        (changed(0, high_pass=3100.0), ("high-pass", "3000 Hz", "3100 Hz", "too large"), False),
        (changed(0, slope="other"), ("crossovers", "24 dB per octave", "others", "before anything"), True),
        (changed(1, low_pass=None), ("low-pass", "3000 Hz", "none", "switch it on"), False),
        (changed(0, polarity="reversed"), ("polarity", "normal", "reversed", "a hole"), False),
        (changed(0, delay=0.003), ("delay", "0.300 ms", "3.000 ms", "a decimal point or a zero"), False),
        (changed(1, delay=0.0003), ("delay", "0.000 ms", "0.300 ms", "too large"), False),
        (changed(0, gain=6.5), ("gain", "−6.5 dB", "6.5 dB", "its sign is lost"), True),
        (changed(0, gain=-8.0), ("gain", "−6.5 dB", "−8 dB", "1.5 dB too soft"), False),
    ],
)
def test_one_wrong_value_is_one_line(
    rows: list[dict[str, Any]], words: tuple[str, ...], danger: bool
) -> None:
    result = run(rows, PEAKS).result
    (line,) = result.differences
    assert line.name in ("Left tweeter", "Left woofer")
    assert (line.value, line.on_sheet, line.shown) == words[:3]
    assert words[3] in line.means
    assert any(entry.danger for entry in result.advice) is danger


def test_channels_and_filters_that_are_missing_or_too_many_are_told() -> None:
    extra = {"name": "Left woofer", "frequency": 1000.0, "gain": 3.0, "q": 1.0}
    found = run(ROWS, [*PEAKS, extra]).result.differences
    assert [(line.on_sheet, line.shown) for line in found] == [("missing", "1000 Hz, 3 dB, Q 1")]
    found = run(ROWS, PEAKS[:2]).result.differences
    assert [(line.on_sheet, line.shown) for line in found] == [("160 Hz, −5 dB, Q 3", "missing")]
    swapped = run(ROWS, [*PEAKS[:2], PEAKS[2] | {"frequency": 1600.0}]).result.differences
    assert [line.means for line in swapped] == ["too large: a decimal point or a zero"]
    found = run([*ROWS[:1], ROWS[1] | {"name": "Left wofer"}], PEAKS[1:2]).result.differences
    assert [(line.name, line.value, line.shown) for line in found] == [
        ("Left woofer", "the channel", "missing"),
        ("Left wofer", "the channel", "there"),
    ]
    misnamed = run([ROWS[0] | {"name": "Tweeter left", "high_pass": 300.0}, ROWS[1]], []).result
    assert misnamed.advice[0].danger
    assert "Left tweeter (not compared: its name is not there; nothing plays" in misnamed.advice[0].message
    assert [error.field for error in run([ROWS[0], ROWS[0]], []).errors] == ["channels[1].name"]
    assert [error.field for error in run(ROWS[:1], PEAKS[:1]).errors] == ["filters[0].name"]


def test_a_filter_of_nothing_is_no_difference_and_one_that_lost_its_gain_is() -> None:
    """A peak of 0 dB is 1 at every tone: Audio EQ Cookbook, A = 1. Many screens show every band."""
    idle = [
        {"name": "Left woofer", "frequency": at, "gain": gain, "q": 1.0}
        for at, gain in ((160.0, 0.0), (1000.0, 0.0), (2000.0, 0.04), (3150.0, -0.05))
    ]
    result = run(ROWS, [*idle[:2], *PEAKS, *idle[2:]]).result
    assert (result.differences, result.verdict) == ((), "all 21 values read as on the sheet")
    (line,) = run(ROWS, [*PEAKS, idle[1] | {"gain": 0.06}]).result.differences
    assert line.means == "set it to 0 dB or take it out"
    lost = run(ROWS, [*PEAKS[:2], *idle]).result.differences
    assert [(line.on_sheet, line.shown, line.means) for line in lost] == [
        ("160 Hz, −5 dB, Q 3", "160 Hz, 0 dB, Q 1", "5.0 dB too loud")
    ]
    flat = {"name": "Left woofer", "high_pass": 80.0, "low_pass": None, "polarity": "normal", "delay": 0.0,
            "gain": 0.0, "filters": [{"frequency": 52.0, "gain": 0.0, "q": 5.1}]}  # fmt: skip
    sheet = kept(json.dumps({"format": "tuning-sheet", "version": 1, "channels": [flat]}).encode())
    assert run([ROWS[1] | {"low_pass": None, "gain": 0.0}], [], sheet=sheet).result.differences == ()


@pytest.mark.parametrize(
    ("screen", "told"),
    [
        (
            [(640.0, 0.0), (160.0, -4.0)],
            [("160 Hz, −5 dB, Q 3", "160 Hz, −4 dB, Q 3", "1.0 dB too loud"),
             ("640 Hz, −2.5 dB, Q 2", "640 Hz, 0 dB, Q 2", "2.5 dB too loud")],
        ),
        (
            [(160.0, -4.0), (640.0, 0.0)],
            [("160 Hz, −5 dB, Q 3", "160 Hz, −4 dB, Q 3", "1.0 dB too loud"),
             ("640 Hz, −2.5 dB, Q 2", "640 Hz, 0 dB, Q 2", "2.5 dB too loud")],
        ),
        # What has no partner of its frequency is held against what is left.
        (
            [(1600.0, -5.0), (640.0, -1.0)],
            [("640 Hz, −2.5 dB, Q 2", "640 Hz, −1 dB, Q 2", "1.5 dB too loud"),
             ("160 Hz, −5 dB, Q 3", "1600 Hz, −5 dB, Q 3", "too large: a decimal point or a zero")],
        ),
        # Of two bands of one frequency the nearer in gain.
        (
            [(640.0, -2.5), (160.0, 0.0), (160.0, -4.0)],
            [("160 Hz, −5 dB, Q 3", "160 Hz, −4 dB, Q 3", "1.0 dB too loud")],
        ),
    ],
)  # fmt: skip
def test_filters_that_differ_are_held_against_those_of_their_frequency(
    screen: list[tuple[float, float]], told: list[tuple[str, str, str]]
) -> None:
    """In whatever order the screen shows them, for else a frequency that is right is told as a slip."""
    bands = [
        {"name": "Left woofer", "frequency": at, "gain": gain, "q": 2.0 if at == 640 else 3.0}
        for at, gain in screen
    ]
    lines = run(ROWS, [PEAKS[1], *bands]).result.differences
    assert [(line.on_sheet, line.shown, line.means) for line in lines] == told


def dangers(rows: list[dict[str, Any]], peaks: list[dict[str, Any]]) -> list[str]:
    return [entry.message for entry in run(rows, peaks).result.advice if entry.danger]


@pytest.mark.parametrize(
    ("gain", "lost", "q", "words"),
    [
        (-2.0, 12.0, 1.4, "Left tweeter by 15 dB at 5200 Hz"),  # Its own filter cut 3 dB there.
        (-2.0, 12.0, 100.0, "Left tweeter by 15 dB at 5200 Hz"),  # Between any two tones of a coarse grid.
        (5.0, -3.0, 1.4, "Left woofer by 7 dB."),  # By gain alone it is all tones.
    ],
)
def test_what_gain_and_filters_lift_is_a_danger(gain: float, lost: float, q: float, words: str) -> None:
    (told,) = dangers(changed(1, gain=gain), [*PEAKS[::2], PEAKS[1] | {"gain": lost, "q": q}])
    assert words in told
    assert dangers(ROWS, [*PEAKS[::2], PEAKS[1] | {"gain": 2.9}]) == []


def test_two_filters_that_add_up_are_a_danger_and_a_cut_that_makes_up_for_a_gain_is_none() -> None:
    """Two of 4 dB at one tone are 8."""
    twice = [{"name": "Left woofer", "frequency": 1000.0, "gain": 4.0, "q": 2.0}] * 2
    (told,) = dangers(ROWS, [*PEAKS, *twice])
    assert "Left woofer by 8 dB at 1000 Hz" in told
    assert dangers(changed(1, gain=3.9), PEAKS) == []
    (told,) = dangers(ROWS, [*PEAKS, *[twice[0] | {"gain": 40.0}] * 290])  # Over any number as a ratio.
    assert "Left woofer by 11600 dB at 1000 Hz" in told


def test_a_channel_that_the_sheet_has_not_is_a_danger_without_a_high_pass() -> None:
    (told,) = dangers([*ROWS, {"name": "Right tweeter"}], PEAKS)
    assert "Not on the sheet, and without a high-pass: Right tweeter." in told
    assert dangers([*ROWS, {"name": "Right tweeter", "high_pass": 3000.0}], PEAKS) == []


@pytest.mark.parametrize("worth", [{"q": 0.0}, {"frequency": -50.0}, {"gain": 2e4}])
def test_a_sheet_whose_filter_cannot_be_is_refused(worth: dict[str, float]) -> None:
    channel = {"name": "Left woofer", "high_pass": 80.0, "low_pass": None, "polarity": "normal", "delay": 0.0,
               "gain": 0.0, "filters": [{"frequency": 52.0, "gain": -4.5, "q": 5.1} | worth]}  # fmt: skip
    sheet = json.dumps({"format": "tuning-sheet", "version": 1, "channels": [channel]})
    assert [error.field for error in run(ROWS, PEAKS, sheet=kept(sheet.encode())).errors] == ["sheet"]


def kept(contents: bytes) -> Kept:
    return Kept("s", "sheet.json", len(contents), lambda start, count: contents[start : start + count])


def test_the_tunes_own_sheet_typed_in_reads_back_whole() -> None:
    tune = find_calculator("tune")
    made = run_values(tune, tune.example).result
    sheet = json.loads(made.data.contents)
    sheet["channels"][4]["filters"] = [{"kind": "peak", "frequency": 52.0, "gain": -4.5, "q": 5.1}]
    names = ("name", "high_pass", "low_pass", "polarity", "delay", "gain")
    rows = [{name: getattr(row, name) for name in names} for row in made.channels]
    peaks = [{"name": "Subwoofer", "frequency": 52.0, "gain": -4.5, "q": 5.1}]
    result = run(rows, peaks, sheet=kept(json.dumps(sheet).encode()), trim_in_front=-3.0).result
    assert result.differences == ()
    assert result.advice == ()
    assert re.fullmatch("[0-9A-F]{4}", result.word)
    unlike = run(rows, [], sheet=kept(json.dumps(sheet).encode())).result
    assert [line.name for line in unlike.differences] == ["Subwoofer"]
    assert unlike.word == "–"
    sheet["channels"][0]["all_pass"] = "second order, 200 Hz, Q 1"
    turned = run(rows, peaks, sheet=kept(json.dumps(sheet).encode()), trim_in_front=-3.0).result
    assert turned.verdict.endswith("values read as on the sheet; 1 all-pass is still to be looked at")
    assert turned.word != result.word
    (note,) = turned.advice
    assert "Left tweeter has an all-pass on the sheet, second order, 200 Hz, Q 1" in note.message


def with_trim(trim: float | None) -> Kept:
    """Two channels, both at −2 dB; without a trim as an older tune wrote it."""
    channels = [
        {"name": name, "high_pass": 80.0, "low_pass": None, "polarity": "normal", "delay": 0.0, "gain": -2.0,
         "filters": []}
        for name in ("Left", "Right", "Centre")
    ]  # fmt: skip
    front = {} if trim is None else {"trim_in_front": trim}
    sheet = {"format": "tuning-sheet", "version": 1, **front, "channels": channels}
    return kept(json.dumps(sheet).encode())


def shown(*gains: float) -> list[dict[str, Any]]:
    names = ("Left", "Right", "Centre")
    return [{"name": name, "high_pass": 80.0, "gain": gain} for name, gain in zip(names, gains, strict=True)]


def test_a_trim_in_front_is_read_back_as_the_channels_are() -> None:
    sheet = with_trim(-5.1)
    agreed = run(shown(-2, -2, -2), [], sheet=sheet, trim_in_front=-5.1).result
    assert (agreed.verdict, agreed.trim_as_read) == (
        "all 19 values read as on the sheet",
        "−5.1 dB, as on the sheet",
    )
    assert re.fullmatch("[0-9A-F]{4}", agreed.word)
    assert agreed.advice == ()
    outcome = run(shown(-2, -2, -2), [], sheet=sheet, trim_in_front=5.1)
    (line,) = outcome.result.differences
    assert (line.value, line.on_sheet, line.shown) == ("trim in front", "−5.1 dB", "5.1 dB")
    assert line.means == "its sign is lost"
    assert any(note.danger and "Left by 10 dB, Right by 10 dB" in note.message for note in outcome.advice)
    assert outcome.result.word == "–"


def test_a_trim_in_front_that_nobody_read_is_told_and_gives_no_word() -> None:
    outcome = run(shown(-2, -2, -2), [], sheet=with_trim(-5.1))
    assert outcome.result.differences == ()
    assert outcome.result.verdict.endswith("; the trim in front, −5.1 dB, is still to be read")
    assert (outcome.result.word, outcome.result.trim_as_read) == ("–", "−5.1 dB on the sheet, not read back")
    assert [note.about for note in outcome.advice] == ["trim_in_front"]
    assert run(shown(-2, -2, -2), [], sheet=with_trim(0.0)).result.word != "–"  # Nothing is to be cut.


def test_a_trim_that_stands_in_every_channels_gain_agrees() -> None:
    sheet = with_trim(-5.1)
    agreed = run(shown(-7.1, -7.1, -7.1), [], sheet=sheet).result
    assert agreed.trim_as_read == "−5.1 dB, in the gain of every channel: as on the sheet"
    assert (agreed.different, agreed.word) == (
        0.0,
        run(shown(-2, -2, -2), [], sheet=sheet, trim_in_front=-5.1).result.word,
    )
    (line,) = run(shown(-7.1, -2.0, -7.1), [], sheet=sheet).result.differences
    assert (line.name, line.value, line.means) == ("Right", "gain", "5.1 dB too loud")
    twice = run(shown(-7.1, -7.1, -7.1), [], sheet=sheet, trim_in_front=-5.1).result
    assert twice.different == 3.0


@pytest.mark.parametrize(
    ("gains", "words", "different"),
    [
        ((-7.1, -2.0, -7.1), "−5.1 dB, in the gain of 2 of 3 channels: every channel takes it, or none", 1.0),
        (
            (-7.1, -2.0, -2.0),
            "−5.1 dB on the sheet, not read back; in the gain of 1 of 3 channels: every channel takes it, "
            "or none",
            1.0,
        ),
    ],
)
def test_a_trim_that_some_channels_have_in_their_gain_is_not_called_as_on_the_sheet(
    gains: tuple[float, ...], words: str, different: float
) -> None:
    result = run(shown(*gains), [], sheet=with_trim(-5.1)).result
    assert (result.trim_as_read, result.different, result.word) == (words, different, "–")


@pytest.mark.parametrize(
    ("typed", "means", "dangers"),
    [(20.0, "20.0 dB too loud", ["trim_in_front", "channels"]), (2.0, "2.0 dB too loud", ["trim_in_front"]),
     (-6.0, "6.0 dB too soft", [])],
)  # fmt: skip
def test_a_trim_that_an_older_sheet_has_not_differs(typed: float, means: str, dangers: list[str]) -> None:
    outcome = run(shown(-2, -2, -2), [], sheet=with_trim(None), trim_in_front=typed)
    (line,) = outcome.result.differences
    assert (line.value, line.on_sheet) == ("trim in front", "none")
    assert line.means == f"{means}: set it to 0 dB, or make the sheet anew"
    assert (outcome.result.word, outcome.result.compared) == ("–", 18.0)
    assert [note.about for note in outcome.advice if note.danger] == dangers
    level = run(shown(-2, -2, -2), [], sheet=with_trim(None), trim_in_front=0.0).result
    assert (level.different, level.word) == (0.0, "D4B0")


def test_a_sheet_from_before_there_was_a_trim_reads_and_keeps_its_word() -> None:
    old = run(shown(-2, -2, -2), [], sheet=with_trim(None)).result
    assert (old.different, old.trim_as_read, old.compared) == (0.0, "not on this sheet", 18.0)
    assert old.word == "D4B0"  # As it was told before sheets had a trim.
    assert run(shown(-2, -2, -2), [], sheet=with_trim(0.0), trim_in_front=0.0).result.word != old.word
    (error,) = run(shown(-2, -2, -2), [], sheet=with_trim(3.0)).errors
    assert error.field == "sheet"


@given(st.one_of(st.binary(max_size=40), st.recursive(
    st.none() | st.booleans() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(
        st.sampled_from(["format", "version", "channels", "name", "gain"]), inner, max_size=4
    ),
    max_leaves=8,
).map(lambda data: json.dumps(data).encode())))  # fmt: skip
def test_what_is_no_sheet_is_refused_in_words(contents: bytes) -> None:
    (error,) = run(ROWS, PEAKS, sheet=kept(contents)).errors
    assert (error.field, "Sheet as data" in error.message) == ("sheet", True)


@pytest.mark.parametrize(
    ("was", "becomes", "words"),
    [
        ('"gain": -2.0', '"gain": -2.0, "gain": -20.0', "“gain” stands in it twice"),
        ('"version": 1', '"version": true', "This is no sheet of the tune."),
        ('"version": 1', '"version": 2', "A newer release of this handbook made this sheet"),
        ('"delay": "s"', '"delay": "ms"', "“units” of this sheet is not what the tune writes there"),
        ("24 dB per octave", "12 dB per octave", "“crossovers” of this sheet"),
        ('"kind": "peak"', '"kind": "low shelf"', "“kind” of this sheet"),
        ('"sample_rate": 48000', '"sample_rate": "fast"', "This is no sheet of the tune."),
    ],
)
def test_a_sheet_that_says_of_itself_what_it_is_not_is_refused(was: str, becomes: str, words: str) -> None:
    channel = {
        "name": "Left woofer", "polarity": "normal", "delay": 0.001, "gain": -2.0,
        "high_pass": 80, "low_pass": None,
        "filters": [{"kind": "peak", "frequency": 300.0, "gain": -1.0, "q": 1.0}],
    }  # fmt: skip
    sheet = {
        "format": "tuning-sheet", "version": 1, "trim_in_front": 0, "channels": [channel],
        "sample_rate": 48000,
        "units": {"frequency": "Hz", "delay": "s", "gain": "dB"},
        "crossovers": "Linkwitz-Riley, 24 dB per octave",
    }  # fmt: skip
    text = json.dumps(sheet)

    def read(contents: bytes) -> sheet_file.Sheet:
        return sheet_file.read_sheet(
            Kept("h", "s.json", len(contents), lambda start, count: contents[start : start + count])
        )

    assert read(text.encode()).lines[0].name == "Left woofer"
    assert was in text
    with pytest.raises(InputError) as refused:
        read(text.replace(was, becomes).encode())
    assert refused.value.message.startswith(words)
