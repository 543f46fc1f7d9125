"""The guided tune: what comes next from what there is, and before and after against sums of its own."""

import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Kept, Outcome, run_values
from calculators.physics.arrays import ComplexArray
from calculators.physics.equalisers import TargetShape, target_levels
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, band_centres, chains, grid
from calculators.stages import find_calculator
from calculators.vocabulary import guided_way, sheet_file, tune_channels, tune_measurements
from calculators.vocabulary.tune_channels import TunedChannel
from calculators.vocabulary.tune_measurements import measurement_file

GUIDED = find_calculator("guided-tune")
NAMES = ["Left tweeter", "Left woofer", "Right tweeter", "Right woofer"]
CHANNELS = GUIDED.example["channels"]
BASS: dict[str, Any] = {"name": "Subwoofer", "part": "subwoofer", "side": "both", "low_pass": 80.0}
POINTS = guided_way.POINT_SETS["5"]
DRAWN = np.random.default_rng(4)
CROSSED = chains((Setting(3000.0), Setting(80.0, 3000.0)) * 2, grid())
GAINS = (DRAWN.normal(size=(9, 4, 216)) + 1j * DRAWN.normal(size=(9, 4, 216))).astype(complex) * CROSSED
"""Four speakers at nine points through their crossovers: noise, so that nothing comes out right by chance."""
SHEET: dict[str, Any] = {
    "format": "tuning-sheet",
    "version": 1,
    "channels": [
        {
            "name": name,
            "high_pass": 3000.0 if "tw" in name else 80.0,
            "low_pass": None if "tw" in name else 3000.0,
            "polarity": "reversed" if name == "Left woofer" else "normal",
            "delay": 1e-4 * place,
            "gain": -2.0 * place,
            "filters": [],
        }
        for place, name in enumerate(NAMES)
    ],
}


def kept(contents: bytes) -> Kept:
    return Kept("a", "a.txt", len(contents), lambda start, count: contents[start : start + count])


@cache
def measured(points: str = "5") -> bytes:
    arrivals, signs = np.full((1, 4), 0.002), np.ones(4)
    whole = measurement_file(NAMES, (GAINS,), arrivals, signs).contents
    return (
        whole
        if points == "9"
        else without(whole, *(f"{n}; seat 1; point {p}" for n in NAMES for p in (2, 3, 4, 5)))
    )


def without(text: bytes, *runs: str) -> bytes:
    """The measurements but for some runs, named by the beginning of their first line."""
    blocks = [block for block in text.decode().split("\n") if block]
    found, skipping = [], False
    for line in blocks:
        if ";" in line:
            skipping = line.startswith(runs)
        if not skipping:
            found.append(line)
    return "\n".join(found).encode()


def run(**values: Any) -> Outcome:
    return run_values(GUIDED, {"channels": CHANNELS, "level_checked": True} | values)


def test_every_speaker_at_a_point_before_the_microphone_moves() -> None:
    rows = run().result.runs
    assert [(row.speaker, row.point) for row in rows[:20]] == [(n, p) for p in POINTS for n in NAMES]
    assert [(row.speaker, row.point) for row in rows[20:]] == [
        ("Left side", 1), ("Right side", 1), *(("Whole", p) for p in POINTS),
    ]  # fmt: skip


def test_what_is_missing_comes_next_and_time_left_shrinks() -> None:
    """A run that was thrown away comes before those that were never made."""
    text = without(measured(), *(f"{name}; seat 1; point {p}" for name in NAMES for p in (8, 9)))
    rest = run(measurements=kept(text)).result
    assert (rest.stage, rest.speaker, rest.point, rest.done) == ("measure", "Left tweeter", 8, 12)
    bad = run(measurements=kept(without(text, "Right tweeter; seat 1; point 6"))).result
    assert (bad.speaker, bad.point, bad.done) == ("Right tweeter", 6, 11)
    assert bad.time_left > rest.time_left
    # 3 s, and for each play four markers of half a second with their pauses and two sweeps of 6 s.
    assert guided_way.run_length(20.0, 2) == pytest.approx(3 + 2 * (2 + 2 * 6), abs=1.5)
    assert guided_way.run_length(20.0, 1) == pytest.approx(3 + 2 + 2 * 6, abs=1.5)
    assert guided_way.run_length(5.0, 1) > 20, "from 5 Hz a marker takes 1.7 s"


def sheet(*changes: dict[str, Any], **first: Any) -> Kept:
    """The sheet, its first channel changed, and channels put behind."""
    head, *rest = SHEET["channels"]
    return kept(json.dumps(SHEET | {"channels": [head | first, *rest, *changes]}).encode())


def word_of(chosen: Kept, **front: float) -> str:
    """What the read-back of a processor that shows just what a sheet says gives."""
    given = json.loads(chosen.read(0, chosen.size))["channels"]
    names = ("name", "high_pass", "low_pass", "polarity", "delay", "gain")
    rows = [{"slope": "24"} | {name: channel[name] for name in names} for channel in given]
    result = run_values(find_calculator("read-back"), {"channels": rows, "sheet": chosen} | front).result
    assert result.different == 0
    return str(result.word)


def curve(frequency: Any, level: Any) -> dict[str, list[float]]:
    return {"frequency": list(map(float, frequency)), "level": list(map(float, level))}


def flat(more: float = 0.0) -> dict[str, list[float]]:
    return curve((40, 100, 1000, 9000, 16_000), (more, 0, 0, 0, 0))


def off(sums: ComplexArray) -> Any:
    """Third octaves over the target, written out once more: mean power of five points and eight places.

    The first three, 40 to 63 Hz, lie under every high-pass and are left out.
    """
    level = 10 * np.log10(np.mean(np.abs(sums) ** 2, axis=0).reshape(27, 8).mean(axis=1))
    apart = (level - target_levels(band_centres(), TargetShape(8.0, 80.0, -0.5, 200.0)))[3:]
    return apart - apart.mean()


def summed(turned: Any = 1.0) -> tuple[ComplexArray, ComplexArray]:
    """Everything together at the five points, untuned and by the sheet; its first channel turned by more."""
    plays = GAINS[[point - 1 for point in POINTS]]
    through = np.exp(-2j * np.pi * grid()[np.newaxis] * 1e-4 * np.arange(4)[:, np.newaxis])
    through *= (10 ** (-2.0 * np.arange(4) / 20) * [1, -1, 1, 1])[:, np.newaxis]
    through[0] *= turned
    return np.sum(plays, axis=1), np.sum(plays * through, axis=1)


def told(more: Any = 0.0) -> list[dict[str, Any]]:
    """What is measured again at each point: just what the sheet makes of it, and dB more (of 5, of 216)."""
    levels = 20 * np.log10(np.abs(summed()[1])) + more
    points = [
        {"name": f"Point {point}", "curve": curve(grid(), level)}
        for point, level in zip(POINTS, levels, strict=True)
    ]
    return [*points, *alone()]


def alone(*changed: Any) -> list[dict[str, Any]]:
    """Each side at the fixed point by the sheet, its first two channels left; factors of channels changed."""
    turns = np.exp(-2j * np.pi * grid()[np.newaxis] * 1e-4 * np.arange(4)[:, np.newaxis])
    plays = GAINS[0] * turns * (10 ** (-2.0 * np.arange(4) / 20) * [1, -1, 1, 1])[:, np.newaxis]
    for place, factor in enumerate(changed):
        plays[place] *= factor
    return [
        {"name": name, "curve": curve(grid(), 20 * np.log10(np.abs(np.sum(plays[own], axis=0))))}
        for name, own in (("Left side", slice(2)), ("right side, alone", slice(2, 4)))
    ]


def finished(**values: Any) -> Outcome:
    """The whole way but for what is given."""
    return run(
        **{"measurements": kept(measured()), "sheet": sheet(), "read_back": word_of(sheet()), "again": told()}
        | values
    )


def test_the_stages_follow_one_another() -> None:
    first = run(level_checked=False).result
    assert (first.stage, first.point, first.done) == ("level check", None, 0)
    assert ["right for a sweep" in row.act for row in first.acts][-1]
    assert run().result.stage == "measure"
    files: dict[str, Any] = {"measurements": kept(measured()), "level_checked": False}
    assert run(**files).result.stage == "tune"
    files["sheet"] = sheet()
    assert run(**files).result.stage == "read back"
    files["read_back"] = word_of(sheet()).lower()
    once = run(**files).result
    assert (once.stage, once.point, once.rms[0].after) == ("measure again", 1, None)
    assert "one channel at a time, from no volume up" in once.acts[0].act
    some = run(**files, again=told()[1:]).result
    assert (some.stage, some.point) == ("measure again", 1)
    assert "one channel at a time" not in some.acts[0].act
    end = finished().result
    assert (end.stage, end.done, end.of, end.time_left) == ("finished", 27, 27, 0)
    assert [line.polarity for line in end.settings] == ["normal", "reversed", "normal", "normal"]


def test_before_expected_and_after_are_sums_of_what_was_measured() -> None:
    before, expected = map(off, summed())
    result = finished().result
    assert [row.before for row in result.bands] == pytest.approx(before.tolist(), abs=0.05)
    assert [row.expected for row in result.bands] == pytest.approx(expected.tolist(), abs=0.05)
    assert [row.after for row in result.bands] == pytest.approx(expected.tolist(), abs=0.05)
    assert result.rms[0].before == pytest.approx(np.sqrt(np.mean(before**2)), abs=0.02)
    assert result.advice == ()


def test_an_all_pass_of_the_sheet_is_in_what_is_expected_and_on_the_sheet() -> None:
    """An all-pass of second order at 48 kHz by the bilinear transform, written out once more."""
    chosen = sheet(all_pass="second order, 200 Hz, Q 0.7")
    x = np.tan(np.pi * grid() / 48e3) / np.tan(np.pi * 200 / 48e3)
    turned = (1 - x**2 - 1j * x / 0.7) / (1 - x**2 + 1j * x / 0.7)
    result = run(measurements=kept(measured()), sheet=chosen).result
    assert [row.expected for row in result.bands] == pytest.approx(off(summed(turned)[1]).tolist(), abs=0.05)
    assert [line.all_pass for line in result.settings] == ["second order, 200 Hz, Q 0.7", *["none"] * 3]


def band(frequency: float, more: float) -> Any:
    """dB more in one third octave."""
    return more * (np.abs(np.log10(grid() / frequency)) < 0.05)


@pytest.mark.parametrize(
    ("more", "words", "act"),
    [
        (band(8000, -3.0), "at 8000 Hz 2.9 dB under what was expected", "Only 8000 Hz is out"),
        (band(500, 1.5), "at 500 Hz 1.4 dB over what was expected", "Read the sheet back again"),
        (band(8000, 3.0) + band(250, 9.0), "at 250 Hz 8.5 dB over", "Read the sheet back again"),
        (12 * np.eye(5)[:, [1]], "point 6 is 12.0 dB louder than expected", "Player at its measuring volume"),
    ],
)  # fmt: skip
def test_what_is_not_as_expected_is_not_finished(more: Any, words: str, act: str) -> None:
    result = finished(again=told(more)).result
    assert result.stage == "measure again"
    assert result.next_step.startswith(f"not finished: {words}")
    assert act in result.acts[0].act
    (note,) = result.advice
    assert (note.danger, note.about, words in note.message) == (True, "again", True)


def test_what_is_within_the_limit_and_louder_as_a_whole_is_finished() -> None:
    result = finished(again=told(band(8000, 1.5) + band(500, 0.9) + 40.0)).result
    assert (result.stage, result.advice) == ("finished", ())


def test_a_danger_of_the_sheet_is_told_before_it_is_typed_in() -> None:
    chosen = kept(json.dumps(SHEET | {"dangers": ["Load nothing."]}).encode())
    result = run(sheet=chosen, measurements=kept(measured())).result
    assert ("sheet", True) in [(note.about, note.danger) for note in result.advice]
    assert result.next_step == "mend what is told as a danger, and make another sheet"


EXTRA = SHEET["channels"][0] | {"name": "Extra", "high_pass": None}


@pytest.mark.parametrize("microphone", ["calibrated", "phone"])
@pytest.mark.parametrize(
    ("chosen", "words"),
    [
        (sheet(high_pass=None), "Left tweeter: high-pass none on the sheet, 3000 Hz in the channels"),
        (sheet(high_pass=300.0), "Left tweeter: high-pass 300 Hz on the sheet, 3000 Hz in the channels"),
        (sheet(high_pass=1500.0), "Left tweeter: high-pass 1500 Hz on the sheet"),
        (sheet(low_pass=15e3), "Left tweeter: low-pass 15000 Hz on the sheet, none in the channels"),
        (sheet(EXTRA), "Extra is on the sheet, and no channel is called so"),
        (sheet(name="Tweeter left"), "Left tweeter is not on this sheet"),
    ],
)
def test_another_vehicles_sheet_is_refused_at_once(chosen: Kept, words: str, microphone: str) -> None:
    """Before anything is measured, too, and with its own word: names alone say nothing of a vehicle."""
    (error,) = run(microphone=microphone, sheet=chosen, read_back=word_of(chosen)).errors
    assert error.field == "sheet"
    assert words in error.message
    assert "another vehicle's sheet" in error.message


@pytest.mark.parametrize(
    "worth",
    [
        {"gain": 90.0}, {"delay": -5.0}, {"delay": 5.0}, {"high_pass": 0}, {"high_pass": -5.0},
        {"low_pass": 900_000}, {"low_pass": 24_000}, {"all_pass": {"x": 1}}, {"all_pass": "40 kHz"},
        {"all_pass": "30000 Hz, Q 1"}, {"all_pass": "200 Hz, Q 0"},
        {"filters": [{"frequency": 30_000, "gain": -10, "q": 1}]},
    ],
)  # fmt: skip
def test_a_sheet_with_a_value_that_no_processor_has_is_no_sheet(worth: dict[str, Any]) -> None:
    (error,) = run(sheet=sheet(**worth)).errors
    assert (error.field, error.message) == ("sheet", sheet_file.NOT_A_SHEET)
    assert Limits().sample_rate == 2 * sheet_file.HALF_RATE


def test_the_word_and_the_curves_of_an_older_sheet_do_not_pass_for_a_newer_one() -> None:
    newer = sheet(gain=-1.0)
    assert word_of(newer) != word_of(sheet())
    unread = run(measurements=kept(measured()), sheet=newer, read_back=word_of(sheet())).result
    assert unread.stage == "read back"
    assert [(note.about, note.danger) for note in unread.advice] == [("read_back", True)]
    (error,) = finished(sheet=newer).errors
    assert (error.field, "before this sheet was read back" in error.message) == ("again", True)


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"measurements": kept(measured().replace(b"Left tweeter", b"Centre"))},
         "measurements", "no channel is called so"),
        ({"measurements": kept(measured() + b"\n" + measured())}, "measurements", "choose the better one"),
        ({"again": [{"name": "Point", "curve": flat()}]}, "again[0].name", "1, 6, 7, 8 or 9; or “Left side”"),
        ({"again": [{"name": "Right side", "curve": flat()}, {"name": "right side 1", "curve": flat(1)}]},
         "again[1].name", "Right side stands in a row above"),
        ({"again": [{"name": "Point 2", "curve": flat()}]}, "again[0].name", "1, 6, 7, 8 or 9"),
        ({"again": [{"name": "6", "curve": flat()}, {"name": "p 6", "curve": flat(1)}]},
         "again[1].name", "in a row above"),
        ({"again": [{"name": "6", "curve": flat()}, {"name": "7", "curve": flat()}]},
         "again[1].curve", "This is the curve of “6” too: was one file chosen twice?"),
        ({"channels": [{"name": "T", "part": "tweeter", "side": "left"}]}, "channels[0].high_pass", "dead"),
        ({"channels": [*CHANNELS[:3], CHANNELS[3] | {"name": "whole"}]}, "channels[3].name", "otherwise"),
        ({"channels": [CHANNELS[0] | {"name": "left side"}]}, "channels[0].name", "otherwise"),
        ({"sheet": kept(b"{}")}, "sheet", "no sheet of the tune"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_at_its_field(values: dict[str, Any], field: str, words: str) -> None:
    (error,) = run(**values).errors
    assert error.field == field
    assert words in error.message


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        (
            curve((100, 200, 1000, 5000, 9000), (0, 0, 0, 0, 0)),
            "Everything together must be heard from 101 Hz to 12.5 kHz",
        ),
        (curve((40, 200, 1000, 5000, 16_000), (5000, 0, 0, 0, 0)), "none of a measurement"),
    ],
)
def test_a_curve_that_is_none_of_everything_together_is_refused(bad: dict[str, Any], words: str) -> None:
    (error,) = finished(again=[*told()[:4], {"name": "Point 9", "curve": bad}, *alone()]).errors
    assert error.field == "again[4].curve"
    assert words in error.message


def test_nine_points_begun_and_five_wanted_go_on() -> None:
    """Measured again are those alone that judge levels."""
    whole = run(points="9", measurements=kept(measured("9"))).result
    assert (whole.stage, whole.of) == ("tune", 9 * 4 + 2 + 5)
    some = without(measured("9"), *(f"{n}; seat 1; point {p}" for n in NAMES[1:] for p in (2, 3, 4, 5)))
    turned = run(measurements=kept(some.replace(b"ms; positive", b"ms; negative", 1))).result
    assert (turned.stage, [note.danger for note in turned.advice]) == ("tune", [True])


def test_with_a_subwoofer_the_sweep_begins_far_under_its_band() -> None:
    assert run().result.swept_from == 20
    assert run_values(GUIDED, {"channels": [*CHANNELS, BASS]}).result.swept_from == 5


@pytest.mark.parametrize("bass", [False, True])
def test_the_burst_is_played_before_a_sheet_with_a_subwoofer_is_measured(bass: bool) -> None:
    """No figure of it tells a whole cycle, and half of one and a turned polarity look alike."""
    rows = [TunedChannel(**each) for each in CHANNELS]
    rows += [TunedChannel(**BASS)] * bass
    again = guided_way.acts_to_measure_again(guided_way.Run(guided_way.EVERYTHING, 1), rows, True)
    told = [each.act for each in again if each.act.startswith("Play the burst")]
    assert ["“Turned by the burst”" in each for each in told] == [True] * bass


def test_a_phone_that_was_not_compared_goes_by_tape() -> None:
    result = run(microphone="phone").result
    assert (result.stage, result.of) == ("tune", 0)
    assert "delays by tape" in result.advice[0].message
    end = run(microphone="phone", sheet=sheet(), read_back=word_of(sheet())).result
    assert end.stage == "finished"
    assert not any("before, expected" in row.act for row in end.acts)


def test_a_sheet_with_a_trim_is_read_back_once_that_is() -> None:
    trimmed = kept(json.dumps(SHEET | {"trim_in_front": -3.0}).encode())
    assert word_of(trimmed) == "–"
    word = word_of(trimmed, trim_in_front=-3.0)
    assert run(microphone="phone", sheet=trimmed, read_back=word_of(sheet())).result.stage == "read back"
    end = run(microphone="phone", sheet=trimmed, read_back=word).result
    assert (end.stage, {line.trim_in_front for line in end.settings}) == ("finished", {-3.0})
    tweeter = TunedChannel(name="L", part="tweeter", side="left")
    bass = TunedChannel(name="S", part="subwoofer", side="both")
    alone, both = (guided_way.acts_to_read_back(each)[0].act for each in ([tweeter], [tweeter, bass]))
    assert "the gain of every channel. Save" in alone
    assert "the gain of every channel. A subwoofer fed left and right gets each at −6 dB" in both


def test_the_reference_is_a_tweeter_on_the_left() -> None:
    acts = [row.act for row in run().result.acts]
    assert any("left and right input to Left tweeter alone" in act for act in acts)
    second = run(measurements=kept(without(measured(), *(f"{n}; seat" for n in NAMES[1:])))).result
    assert any(
        "left input to Left tweeter alone, right input to Left woofer" in row.act for row in second.acts
    )


SCRIPTS = Path(__file__).resolve().parents[3] / "docs" / "assets" / "doorcard"


def test_the_soft_beginning_is_heard_before_doors_and_ears_are_shut() -> None:
    """Behind a shut door nobody hears whether a tweeter is silent."""
    after = {"measurements": kept(measured()), "sheet": sheet(), "read_back": word_of(sheet())}
    for values in ({"level_checked": False}, {}, after):
        acts = [row.act for row in run(**values).result.acts]
        (soft,) = [at for at, act in enumerate(acts) if "Player well down" in act]
        (shut,) = [at for at, act in enumerate(acts) if "doors and windows shut" in act]
        assert acts[soft].startswith("Engine off, fan off, driver's door open, nobody inside")
        assert "protection round the neck" in acts[soft]
        assert soft < shut
        assert not any("doors and windows" in act or "protection on" in act for act in acts[:soft])
        assert acts[shut].startswith("Hearing protection on")
        assert "measuring volume (the step set by meter)" in acts[shut]


def test_the_screens_have_what_the_acts_ask_the_hand_to_press() -> None:
    scripts = "".join((SCRIPTS / f"guided-{name}.js").read_text("utf-8") for name in ("words", "screens"))
    loud = finished(again=told(12 * np.eye(5)[:, 1:3].sum(axis=1, keepdims=True))).result
    wrong = finished(again=told(band(500, 1.5))).result
    again = guided_way.acts_to_measure_again(guided_way.Run("", 1), [TunedChannel(**BASS)], True)
    acts = "".join(
        row.act for row in (*loud.acts, *wrong.acts, *again, *run(level_checked=False).result.acts)
    )
    assert "“Measure again” beside “Everything at point 6” and “Everything at point 7”" in acts
    asked = set(re.findall("“([^”]+)”", acts))
    fields = {"right for a sweep", "Silence before", "Measured again", "left, then right", "the same on both"}
    fields |= {tune_channels.TURN_BASS.label, tune_channels.TURNED_BY_BURST.label}
    points = {"Everything at point 6", "Everything at point 7"}
    for words in asked - fields - points:
        assert f'"{words}"' in scripts, words
    assert len(asked) > len(fields | points) + 2


def test_another_day_is_held_against_a_file_that_was_kept() -> None:
    """The last run of a point says to keep its file, the first of another day what to do with it."""
    begun = [f"{n}; seat 1; point {p}" for n in NAMES for p in (7, 8, 9)]
    last = acts_of(measurements=kept(without(measured(), *begun, "Right woofer; seat 1; point 6")))
    assert "The point is finished with this run" in last
    following = acts_of(measurements=kept(without(measured(), *begun)))
    assert "more than 0.5 dB apart, begin again at point 1" in following
    assert "finished with this run" not in following


def test_the_scripts_name_inputs_that_there_are() -> None:
    screens = (SCRIPTS / "guided-screens.js").read_text("utf-8")
    plan = re.search('PLAN = "([^"]+)"', screens)
    assert plan is not None
    shown = re.findall(r"form: ([\w\"-]+),[^}]*?fields: (\[[^\]]*\])", screens)
    assert len(shown) > 4
    names = ("response", "tune", "read-back", plan[1])
    inputs = {name: {one.name for one in find_calculator(name).inputs} for name in names}
    for form, fields in shown:
        assert set(json.loads(fields)) <= inputs[plan[1] if form == "PLAN" else form.strip('"')]
    filled = re.search(r"FILLED = (\[[^\]]*\])", (SCRIPTS / "guided-forms.js").read_text("utf-8"))
    assert filled is not None
    assert set(json.loads(filled[1])) <= set().union(*inputs.values())


@pytest.mark.parametrize("name", ["Left tweeter", "É’s (1+2): a/b°", "L" * 60, "L" * 61])
def test_the_page_knows_whose_curve_follows_as_the_tune_does(name: str) -> None:
    head = re.search(r"HEAD = /(.+)/i;", (SCRIPTS / "guided-kept.js").read_text("utf-8"))
    assert head is not None
    whole = measurement_file([name], (GAINS[:1, :1],), np.full((1, 1), 0.002), np.ones(1)).contents.decode()
    line = whole.split("\n")[1]  # Under the file's own first line.
    known = tune_measurements.HEAD.fullmatch(line) is not None
    assert (re.match(head[1], line, re.IGNORECASE) is not None) == known == (len(name) <= 60)
    for other in ("# A remark; seat 1; point one", "20.0 -3.1 12.0", f"{line} and more", f"#{line}"):
        found = re.match(head[1], other, re.IGNORECASE) is not None
        assert found == (tune_measurements.HEAD.fullmatch(other) is not None), other


def acts_of(**values: Any) -> str:
    return "\n".join(row.act for row in run(**values).result.acts)


def test_a_tweeter_must_be_silent_until_two_octaves_under_its_high_pass() -> None:
    """5 s over so many octaves: 750 Hz comes 2.6 s after 20 Hz, and 3.0 s after 5 Hz (sums by hand)."""
    assert "first 2 s of its sweeps of 5 s, of a shorter one as much of it, Left tweeter" in acts_of()
    assert "for the first 3 s of its sweeps of 5 s" in acts_of(channels=[*CHANNELS, BASS])
    right = kept(without(measured(), *(f"{n}; seat" for n in NAMES[2:])))
    assert "Left tweeter and Right tweeter must be silent" in acts_of(measurements=right)


def test_the_microphone_moves_with_the_point_and_not_with_the_reference() -> None:
    """The reference speaker stands second in the list: the first run of a point is another's."""
    channels = [CHANNELS[1], CHANNELS[0], *CHANNELS[2:]]
    assert "Microphone to point 1:" in acts_of(channels=channels)
    done = kept(without(measured(), *(f"{n}; seat 1; point {p}" for n in NAMES for p in (6, 7, 8, 9))))
    assert "Microphone to point 6: 100 mm forward" in acts_of(channels=channels, measurements=done)
    begun = [f"{n}; seat 1; point {p}" for n in NAMES for p in (7, 8, 9)]
    begun += [f"{n}; seat 1; point 6" for n in NAMES if n != "Left woofer"]
    text = acts_of(channels=channels, measurements=kept(without(measured(), *begun)))
    assert "Check: microphone still at point 6" in text
    assert "Read the crossovers back" in text


def test_time_left_counts_every_move_and_every_play() -> None:
    """27 runs, ten moves; 20 files of two plays and 7 of one, each softly first, written out once more."""
    lengths = 2 * (20 * guided_way.run_length(20.0, 2) + 7 * guided_way.run_length(20.0, 1))
    assert run().result.time_left == pytest.approx(lengths + 27 * guided_way.HAND + 10 * guided_way.MOVE)
