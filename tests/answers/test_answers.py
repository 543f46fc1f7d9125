"""Every calculator answers as it did: a net under changes, not a proof that the answers are right."""

import json
import re

import pytest

from calculators.declaring import Calculator
from calculators.stages import every_calculator
from tests.answers import pins


@pytest.mark.parametrize("calculator", every_calculator(), ids=lambda entry: entry.slug)
def test_answers_are_as_they_were(calculator: Calculator) -> None:
    assert pins.path_of(calculator.slug).is_file(), f"pin its answers: ./run answers {calculator.slug}"
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
