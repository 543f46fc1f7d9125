"""Every calculator answers as it did: a net under changes, not a proof that the answers are right."""

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from calculators.declaring import Calculator, Made, run_values
from calculators.stages import every_calculator, find_calculator
from tests import check
from tests.answers import __main__ as answers
from tests.answers import pins
from tests.answers.__main__ import main

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
    assert __file__ in check.tests_of("delay", Path("delay.py"))


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
