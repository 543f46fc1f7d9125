"""Measurements whose names were swapped, or that were cut: told, or refused where they stand."""

import re

import pytest

from calculators.declaring import run_values
from calculators.declaring.working import drain
from calculators.physics import simulated_cabin
from calculators.vocabulary import tune_demonstration
from calculators.vocabulary.misnamed_curves import misnamed
from tests.stages.tuning.test_tune import TUNE, kept, plan_of, refused, simulated_rows

PIECES = [piece.decode() for piece in drain(tune_demonstration.prepared()).file().pieces()]
WHOLE = "".join(piece for piece in PIECES if "seat 2" not in piece[:80])
HEADS = [match.start() for match in re.finditer(r"^[^#;\n]+; seat", WHOLE, re.MULTILINE)]
GIVEN = {"begin_with": "measurements", "channels": simulated_rows(), "filters": 1.0}


def swapped(one: str, other: str) -> str:
    """The file with two names changed for each other."""
    names = {one: other, other: one}
    return re.sub(rf"^({one}|{other})(?=; seat)", lambda match: names[match[0]], WHOLE, flags=re.MULTILINE)


def columns(order: str) -> str:
    """The file with its columns in another order, or with another word in one."""
    return re.sub(r"^ +(\S+) +(\S+) +(\S+)$", order, WHOLE, flags=re.MULTILINE)


@pytest.mark.parametrize(
    ("one", "other", "told"),
    [
        ("Left tweeter", "Left woofer", "Left tweeter, Left woofer."),
        ("Right woofer", "Front subwoofer", "Right woofer."),  # The other one shares its lowest octave.
        ("Left tweeter", "Rear subwoofer", "Left tweeter, Rear subwoofer."),
        ("Left woofer", "Left woofer", ""),
    ],
)
def test_a_curve_under_another_speakers_name_is_a_danger(one: str, other: str, told: str) -> None:
    outcome = run_values(TUNE, {**GIVEN, "measurements": kept(swapped(one, other))})
    assert outcome.errors == ()
    dangers = [each.message for each in outcome.advice if each.danger]
    assert [f"outside of its own band than in it: {told}" in each for each in dangers] == [True] * bool(told)


def test_no_cabin_of_ours_is_taken_for_misnamed() -> None:
    """With one speaker in four reversed, modes, leaks and noise."""
    for cabin in range(0, 50, 7):
        plan = plan_of(simulated_cabin.cabin(cabin))
        assert misnamed(plan.channels, plan.gains[0]) == ()


@pytest.mark.parametrize(
    "text",
    [
        WHOLE[: 2 * len(WHOLE) // 3 - 7],
        WHOLE[: WHOLE.index("\n", HEADS[-1]) + 1],
        WHOLE[: HEADS[1]],
        "",
        WHOLE[: HEADS[3]] + WHOLE[WHOLE.index("\n", HEADS[3]) + 1 :],
        WHOLE + WHOLE[HEADS[0] : HEADS[1]],
        columns(r"\2 \1 \3"),
        columns(r"\1 nan \3"),
        '{"format": "tuning-sheet"}',
    ],
    ids=[
        "in a line",
        "at a head",
        "one curve",
        "empty",
        "no head",
        "twice",
        "columns",
        "no number",
        "a sheet",
    ],
)
def test_a_file_that_was_cut_or_is_another_is_refused_at_its_field(text: str) -> None:
    assert refused(**GIVEN, measurements=kept(text)) == "measurements"
