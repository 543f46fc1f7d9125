"""What the pages of survey and pick-up order, against the form that judges it and the sums behind it."""

import math
import re
from pathlib import Path

import pytest

from calculators.declaring import run_values
from calculators.stages import find_calculator

SURVEY, TAPPING = (
    Path(f"docs/stages/{name}.md").read_text(encoding="utf-8")
    for name in ("survey/signal", "pick-up/tapping")
)


def step(page: str, number: int) -> str:
    """The words of one numbered step."""
    found = re.search(rf"^{number}\. (.*?)(?=^\d+\. |^$)", page, re.MULTILINE | re.DOTALL)
    assert found, number
    return found[1]


def test_the_sweeps_that_are_ordered_change_one_thing_at_a_time() -> None:
    (middle,) = (each for each in find_calculator("level-dependence").inputs if each.name == "middle")
    level = re.search(r"−\d+ dBFS", middle.kind.label)
    assert level
    ordered = step(SURVEY, 8)
    assert re.search(
        rf"File at {level[0]}: steps at 30 %, 60 % and the ceiling, then the 60 % step again", ordered
    )
    assert "At the 60 % step\n   also the files at −12 and −36 dBFS" in ordered
    files = SURVEY.split("- Files on a memory stick")[1].split("\n- ")[0]
    assert "sweeps at −12, −24 and −36 dBFS" in files


def test_every_dummy_is_off_before_speakers_are_unplugged() -> None:
    words = step(SURVEY, 12)
    assert words.index("every dummy off") < words.index("unplug it")


def test_what_the_tap_takes_off_is_put_back() -> None:
    for leg, times in ((10e3, "12.1"), (1e3, "2.1")):
        inputs = {"measured_voltage": 8.4, "input_limit": 2.0, "leg": leg, "across": 2200.0}
        result = run_values(find_calculator("speaker-level-feed"), inputs).result
        assert result.source_voltage / result.level_in == pytest.approx(float(times), abs=0.05)
        assert f"times {times}" in step(SURVEY, 11)
    assert "times 12.1" in step(SURVEY, 7)


@pytest.mark.parametrize(("leg", "asked"), [(5e3, 49), (47e3, 47), (1e3, 56)])
def test_the_fall_that_is_asked_proves_40_db_of_rejection(leg: float, asked: int) -> None:
    """One leg alone is half of the feed, and 1 kΩ stands before both inputs in parallel."""
    fall = 40 + 20 * math.log10(2) + 20 * math.log10((leg / 2 + 1e3) / (leg / 2))
    assert asked - 1 < fall <= asked
    assert f"{asked} dB" in step(TAPPING, 9)
