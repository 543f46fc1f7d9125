"""Every calculator answers as it did: a net under changes, not a proof that the answers are right."""

import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from itertools import count
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Calculator, Made, Number, run_values
from calculators.declaring.quantities import CURRENT
from calculators.stages import every_calculator, find_calculator
from tests import check
from tests.answers import __main__ as answers
from tests.answers import limits, pins, steps
from tests.answers.__main__ import main
from tests.conftest import SOAK

PINNED = pins.PINNED


@pytest.mark.parametrize("calculator", every_calculator(), ids=lambda entry: entry.slug)
def test_answers_are_as_they_were(calculator: Calculator) -> None:
    assert pins.path_of(calculator.slug).is_file(), f"pin its answers: ./run answers {calculator.slug}"
    unfit = [
        name
        for case in pins.read(calculator.slug)["cases"]
        for name in pins.misfits(calculator, case["inputs"])
    ]
    assert not unfit, f"draw its inputs anew: ./run answers --draw {calculator.slug}"
    if changed := pins.changes(calculator):
        pytest.fail(told(calculator.slug, changed), pytrace=False)


@pytest.mark.parametrize("way", steps.WAYS, ids=lambda way: way.__name__)
def test_steps_on_the_way_are_as_they_were(way: Callable[[], Any]) -> None:
    assert steps.changes(way) == [], "if that is meant: python -m tests.answers.steps"


def test_a_caution_taken_out_is_told() -> None:
    fuse = find_calculator("fuse")
    assert "S02" in fuse.cautions
    without = replace(fuse, cautions=tuple(key for key in fuse.cautions if key != "S02"))
    kept, now = ({"declared": pins.declared(one)} for one in (fuse, without))
    assert [line.split(":")[0] for line in pins.differences("fuse", kept, now)] == ["declared[0].cautions"]


def test_nothing_is_kept_of_a_calculator_that_is_gone() -> None:
    assert {path.stem for path in pins.PINNED.iterdir()} == {one.slug for one in every_calculator()}


def test_another_value_is_told_with_before_and_after() -> None:
    before = {"cases": [{"values": {"drop": 0.25, "fuse": "no"}}, {"values": {"drop": 1e-14, "fuse": None}}]}
    after = {"cases": [{"values": {"drop": 0.26, "fuse": "yes"}}, {"values": {"drop": -1e-14, "fuse": None}}]}
    assert pins.differences("", before, after) == [
        "cases[0].values.drop: 0.25 before, 0.26 now",
        'cases[0].values.fuse: "no" before, "yes" now',
    ]


def test_a_long_list_changed_anywhere_is_told() -> None:
    steady = [float(number % 7) for number in range(60)]
    swapped = [steady[1], steady[0], *steady[2:]]
    assert pins.differences("", pins.condensed(steady), pins.condensed([*steady])) == []
    assert pins.differences("", pins.condensed(steady), pins.condensed(swapped))
    assert pins.differences("", pins.condensed(steady), pins.condensed([*steady[:-1], steady[-1] + 1e-6]))


PARTS = [{"name": "part", "quantity": "capacitance"}, {"name": "turn", "quantity": "angle"}]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"worst": "nothing"}, {}),
        ({"lit": 1}, {"lit": True}),
        ({"part": 6.8e-12}, {"part": 7.7e-12}),
        ({"files": {"box": {"words": "0", "size": 5.0}}}, {"files": {"box": {"words": "0", "size": 6.0}}}),
    ],
)
def test_what_is_small_or_gone_is_told(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert len(pins.differences("", {"declared": PARTS} | before, {"declared": PARTS} | after)) == 1


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ({"along": {"q": {"at": [1, 2], "= v": 0.0}}}, {"along": {"q": {"at": [1, 2], "= v": [0.0, 1e-13]}}}),
        ({"turn": 4e-13}, {"turn": -2e-12}),
        (
            {"cases": {"values": {"box": {"size": 516}}, "files": {"box": {"words": "0"}}}},
            {"cases": {"values": {"box": {"size": 515}}, "files": {"box": {"words": "0"}}}},
        ),
    ],
)
def test_a_last_digit_is_not_told(before: dict[str, Any], after: dict[str, Any]) -> None:
    assert pins.differences("", {"declared": PARTS} | before, {"declared": PARTS} | after) == []


def test_no_last_digit_of_the_mathematics_chooses_an_answer() -> None:
    """Of those that once hung on it and answer quickly; `feed-sum` and `flatten` take longer."""
    names = ("box-volume", "crossover", "filter", "graphic-equaliser")
    command = (sys.executable, "-m", "tests.answers.last_digits", *names)
    told = subprocess.run(command, capture_output=True, text=True, cwd=check.ROOT, check=False)
    assert told.stdout == "as they were\n", told.stderr


@pytest.mark.parametrize("slug", ["noise", "tone", "sweep"])
def test_a_sound_turned_round_or_with_its_sides_changed_over_is_told(slug: str) -> None:
    calculator = find_calculator(slug)
    made = run_values(calculator, calculator.example).files["file"]
    start, samples = made.contents[:44], np.frombuffer(made.contents[44:], "<i2")
    channels = int.from_bytes(start[22:24], "little")
    sides = samples.reshape(-1, channels)
    kept = pins.file_sums(made)
    assert pins.differences("", kept, pins.file_sums(made)) == []
    for other in (-samples, sides[:, ::-1]):
        if not np.array_equal(other.ravel(), samples):
            changed = Made.whole("a.wav", made.media_type, start + other.astype("<i2").tobytes())
            assert pins.differences("", kept, pins.file_sums(changed))


WORD = "too much"
SOUGHT = ("case", "place", "at")
FOUND_AT_ONCE = ("blind-test", "wavelength", "leak-return")
"""Calculators whose limits are found in a fraction of a second."""
BY_HAND = Number("Current", CURRENT, low=0.0, high=100.0)


class ByHand(limits.Asked):
    """A calculator of which is known by hand where it says a word, and where a number of it leaps."""

    def __init__(
        self, says: Callable[[float], bool], steps: Callable[[float], float] = lambda _: 0.0
    ) -> None:
        super().__init__(find_calculator("wavelength"), {"current": 40.0}, "current")
        self.says, self.steps = says, steps

    def at(self, value: float) -> limits.Told:
        return {"= own": value, "= steps": self.steps(value)} | ({WORD: True} if self.says(value) else {})


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        (ByHand(lambda x: x > 12.5), [[12.4999, 12.5, 12.5001]]),
        (ByHand(lambda x: x >= math.pi), [[3.14159, 3.1416]]),
        (ByHand(lambda x: x < 1.5 or x > 60), [[1.49999, 1.5, 1.50001], [59.9999, 60.0, 60.0001]]),
        (ByHand(lambda _: True, lambda x: 3.0 if x < 20 else 5.0), [[19.9999, 20.0, 20.0001]]),
        (ByHand(lambda _: True), []),
    ],
)
def test_a_limit_is_found_with_both_its_sides(asked: ByHand, found: list[list[float]]) -> None:
    assert list(limits.sides(asked, BY_HAND)) == found


def test_of_whole_numbers_and_of_sizes_a_limit_is_a_pair() -> None:
    assert list(limits.sides(ByHand(lambda x: x > 7), replace(BY_HAND, whole=True))) == [[7.0, 8.0]]
    sizes = replace(BY_HAND, options=(("a", 1.0), ("b", 5.0), ("c", 9.0)))
    assert list(limits.sides(ByHand(lambda x: x > 7), sizes)) == [[5.0, 9.0]]


def test_a_limit_is_held_on_its_number_too() -> None:
    """One that now counts from its limit on, and not from above it."""
    limit = next(one for one in pins.read("fuse")["limits"] if len(one["at"]) == 3)
    below, at, above = limit["words"]
    other = below if at == above else above
    changed = limit | {"words": [below, other, above]}
    assert len(pins.differences("", {"limits": [limit]}, {"limits": [changed]})) == 1


def test_what_is_said_on_one_side_of_a_limit_is_told_in_words() -> None:
    fuse, kept = find_calculator("fuse"), pins.read("fuse")
    limit = next(one for one in kept["limits"] if one["words"][0] != one["words"][-1])
    now = pins.beside(fuse, [case["inputs"] for case in kept["cases"]], limit)
    before = now | {"words": ["00000000"] * len(now["words"])}
    lines = pins.differences("fuse", {"limits": [before]}, {"limits": [now]})
    assert [line.partition(" now, here alone: ")[2] for line in lines] == ["violet", "pink"]


def test_limits_are_found_alike_however_fast_the_machine_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a clock by which every look takes a minute."""
    clock = count(0.0, 60.0)
    for name in ("time", "perf_counter", "process_time", "monotonic", "thread_time"):
        monkeypatch.setattr(f"time.{name}", lambda: next(clock))
    kept = pins.read("current-draw")
    found = limits.limits_of(find_calculator("current-draw"), [case["inputs"] for case in kept["cases"]])
    assert found == [{name: one[name] for name in SOUGHT} for one in kept["limits"]]


@pytest.mark.parametrize("slug", [one.slug for one in every_calculator()] if SOAK else FOUND_AT_ONCE)
def test_every_limit_that_is_held_is_found_anew(slug: str) -> None:
    """Besides, the search may find some that are not held: those that a last digit moves."""
    kept = pins.read(slug)
    found = limits.limits_of(find_calculator(slug), [case["inputs"] for case in kept["cases"]])
    assert [one for one in kept["limits"] if {name: one[name] for name in SOUGHT} not in found] == []


def test_the_name_of_a_file_made_of_its_contents_is_no_other_word() -> None:
    names = (f"fir-left-woofer-{signs}-2048-taps-48000-Hz.txt" for signs in ("5B1C", "5162", "FACE"))
    assert {pins.NUMERAL.sub("#", name) for name in names} == {"fir-left-woofer##-taps#-Hz.txt"}


@pytest.fixture
def elsewhere(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder of answers of its own."""
    monkeypatch.setattr(pins, "PINNED", tmp_path)
    monkeypatch.setattr(sys, "argv", ["answers", "wavelength"])
    return tmp_path


def test_cases_that_no_longer_fit_are_not_pinned(elsewhere: Path, capsys: pytest.CaptureFixture[str]) -> None:
    known = (PINNED / "wavelength.json").read_text(encoding="utf-8")
    kept = elsewhere / "wavelength.json"
    kept.write_text(known, encoding="utf-8")
    assert main() == 0
    assert capsys.readouterr().out == "wavelength: nothing changed\n"
    kept.write_text(renamed := known.replace('"frequency": ', '"pitch": '), encoding="utf-8")
    assert main() == 2
    assert "(pitch, frequency). Draw them anew: --draw wavelength" in capsys.readouterr().err
    assert kept.read_text(encoding="utf-8") == renamed


def test_limits_are_found_anew_when_asked_though_nothing_changed(
    elsewhere: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    right = (PINNED / "wavelength.json").read_text(encoding="utf-8")
    (elsewhere / "wavelength.json").write_text(
        json.dumps(json.loads(right) | {"limits": []}), encoding="utf-8"
    )
    monkeypatch.setattr(sys, "argv", ["answers", "--limits", "wavelength"])
    monkeypatch.setattr(answers, "keep_the_steady", lambda _: None)  # It takes seconds.
    assert main() == 0
    assert len(capsys.readouterr().out.splitlines()) == 1
    assert (elsewhere / "wavelength.json").read_text(encoding="utf-8") == right


def test_a_change_of_an_answer_finds_the_limits_anew(
    elsewhere: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Those of before stand where words changed: a pin of what is said beside them now would hold nothing."""
    right = (PINNED / "wavelength.json").read_text(encoding="utf-8")
    before = json.loads(right)
    before["limits"][0]["words"][0] = "00000000"
    before["limits"].append(before["limits"][0] | {"at": [50.0, 50.1]})
    (elsewhere / "wavelength.json").write_text(json.dumps(before), encoding="utf-8")
    monkeypatch.setattr(answers, "keep_the_steady", lambda _: None)  # It takes seconds.
    assert main() == 0
    assert f"limit let go: {before['limits'][0]['place']} at 50.0, 50.1" in capsys.readouterr().out
    assert json.loads((elsewhere / "wavelength.json").read_text(encoding="utf-8")) == json.loads(right)


def test_only_answers_of_what_is_gone_are_dropped_and_only_when_all_are_asked_for(
    elsewhere: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("gone.json", "README.md"):
        (elsewhere / name).write_text("kept", encoding="utf-8")
    (elsewhere / "wavelength.json").write_bytes((PINNED / "wavelength.json").read_bytes())
    assert main() == 0
    assert (elsewhere / "gone.json").is_file()
    monkeypatch.setattr(sys, "argv", ["answers"])
    monkeypatch.setattr(answers, "every_calculator", lambda: [find_calculator("wavelength")])
    assert main() == 0
    assert "gone: no such calculator, its answers are dropped" in capsys.readouterr().out
    assert sorted(path.name for path in elsewhere.iterdir()) == ["README.md", "wavelength.json"]


def test_the_check_of_one_calculator_asks_for_its_answers() -> None:
    _, in_part = check.chosen("delay", Path(find_calculator("delay").function.__code__.co_filename))
    assert Path(__file__) in in_part


def told(slug: str, changed: list[str]) -> str:
    """What changed, the inputs of each case in which something did, and what to do."""
    kept = pins.read(slug)
    cases = dict.fromkeys(re.findall(r"^cases\[(\d+)\]", "\n".join(changed), re.MULTILINE))
    inputs = [f"cases[{case}] is {json.dumps(kept['cases'][int(case)]['inputs'])[:600]}" for case in cases]
    return "\n".join(
        [
            f"{slug} answers otherwise than it did, in {len(changed)} values:",
            *changed[:20],
            *inputs[:5],
            f"If that is meant, ./run answers {slug} pins the new answers; read what the diff says.",
        ]
    )
