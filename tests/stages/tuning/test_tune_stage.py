"""What a tune says of parts that play the same octaves from several places, and how those join."""

from itertools import islice, permutations
from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.vocabulary import tune_joins, tune_plan
from calculators.vocabulary.tune_plan import Channel
from tests.stages.tuning.test_tune import ROWS, TUNE, run

type Row = tuple[str, str, str, float | None, float | None]


def told(*rows: Row) -> dict[str, bool]:
    """What the stage is said to be drawn by, and whether that is a danger."""
    names = ("name", "part", "side", "high_pass", "low_pass", "distance")
    typed: list[dict[str, Any]] = [dict(zip(names, (*row, 1.0), strict=True)) for row in rows]
    return {
        note.message.partition(": ")[2].partition(". ")[0]: note.danger
        for note in run(begin_with="distances", channels=[*ROWS, *typed]).advice
        if note.message.startswith(("Two parts of one side", "On neither side"))
    }


@pytest.mark.parametrize(
    ("rows", "words"),
    [
        ([("Left rear", "woofer", "left", 100.0, None)], {"Left woofer and Left rear": True}),
        ([("Left rear", "woofer", "left", None, 600.0)], {"Left woofer and Left rear": True}),
        ([("Left rear", "woofer", "left", None, 590.0)], {}),  # Under an octave from 300 Hz: definition.
        ([("Left super", "tweeter", "left", 9000.0, None)], {"Left tweeter and Left super": True}),
        ([("Left super", "tweeter", "left", 11_000.0, None)], {}),
        ([("Left mid", "woofer", "left", 2500.0, 6000.0)], {}),
        ([("Centre", "woofer", "both", 250.0, None)], {"Centre": False}),
        ([("Middle bass", "woofer", "both", 40.0, 300.0)], {}),
        ([("Second subwoofer", "subwoofer", "both", None, 80.0)], {}),
        (
            [("Left rear", "woofer", "left", 100.0, None), ("Right rear", "woofer", "right", 100.0, None)],
            {"Left woofer and Left rear; Right woofer and Right rear": True},
        ),
    ],
)
def test_parts_that_set_the_stage_between_them_are_told(rows: list[Row], words: dict[str, bool]) -> None:
    assert told(*rows) == words


def part(name: str, kind: str, side: int, at: float, late: float) -> Channel:
    """A channel of a two-way, crossed at a frequency and heard after so much, s."""
    ends = (at, None) if kind == "tweeter" else (80.0, at)
    return Channel(name, kind, side, *ends, (late,))


FRONT_AND_REAR = (
    part("front tweeter left", "tweeter", -1, 3000.0, 2.4e-3),
    part("front woofer left", "woofer", -1, 3000.0, 2.6e-3),
    part("rear tweeter left", "tweeter", -1, 3000.0, 3.3e-3),
    part("rear woofer left", "woofer", -1, 3000.0, 3.4e-3),
    part("front tweeter right", "tweeter", 1, 3000.0, 4.0e-3),
    part("front woofer right", "woofer", 1, 3000.0, 4.2e-3),
    part("rear tweeter right", "tweeter", 1, 3000.0, 4.9e-3),
    part("rear woofer right", "woofer", 1, 3000.0, 5.0e-3),
)


@pytest.mark.parametrize("order", [*islice(permutations(range(8)), 0, None, 7993)])
def test_front_and_rear_join_each_by_itself_in_whatever_order_they_were_typed(order: tuple[int, ...]) -> None:
    rows = tuple(FRONT_AND_REAR[number] for number in order)
    met = {(rows[low].name, rows[high].name) for low, high, _ in tune_plan.meetings(rows)}
    assert met == {
        (f"{place} woofer {side}", f"{place} tweeter {side}")
        for place in ("front", "rear")
        for side in ("left", "right")
    }
    for meets in tune_joins.sides_joined(rows):
        names = [rows[high].name for _, high, _ in meets]
        assert len({name.split()[0] for name in names}) == 1
        assert {name.split()[2] for name in names} == {"left", "right"}
    for left, right in tune_plan.twins(rows):
        assert left.name.split()[:2] == right.name.split()[:2]


def test_crossovers_part_front_and_rear_before_arrivals_do() -> None:
    """A rear woofer that is nearer the front tweeter than its own."""
    rows = (
        *FRONT_AND_REAR[:2],
        part("rear tweeter left", "tweeter", -1, 4000.0, 3.3e-3),
        part("rear woofer left", "woofer", -1, 4000.0, 2.4e-3),
    )
    assert [(low, high) for low, high, _ in tune_plan.meetings(rows)] == [(1, 0), (3, 2)]


def test_two_tweeters_over_one_woofer_both_meet_it() -> None:
    rows = (*FRONT_AND_REAR[:2], FRONT_AND_REAR[2])
    assert [(low, high) for low, high, _ in tune_plan.meetings(rows)] == [(1, 0), (1, 2)]


LOWS = FRONT_AND_REAR[1], FRONT_AND_REAR[5]
"""Woofers of the left and the right front."""


@pytest.mark.parametrize(
    ("rows", "met"),
    [
        ((*LOWS, part("middle tweeter", "tweeter", 0, 3000.0, 3e-3)), [(0, 2), (1, 2)]),
        ((*LOWS, part("middle tweeter", "tweeter", 0, 5000.0, 3e-3)), []),
        ((part("middle woofer", "woofer", 0, 3000.0, 3e-3), *FRONT_AND_REAR[::4]), [(0, 1), (0, 2)]),
        # One that has its own joins that alone, and nothing joins from left to right.
        ((*LOWS, part("middle woofer", "woofer", 0, 3000.0, 3e-3), FRONT_AND_REAR[0]), [(0, 3)]),
        ((LOWS[1], FRONT_AND_REAR[0]), []),
    ],
)
def test_a_part_in_the_middle_meets_both_sides(rows: tuple[Channel, ...], met: list[tuple[int, int]]) -> None:
    assert [(low, high) for low, high, _ in tune_plan.meetings(rows)] == met
    assert [len(meets) for meets in tune_joins.sides_joined(rows)] == (
        [2] if len(met) == 2 else [1] * len(met)
    )


@pytest.mark.parametrize(("sides", "both"), [(("left", "right"), False), (("both", "both"), True)])
def test_two_parts_of_one_kind_on_neither_side_are_a_danger(sides: tuple[str, str], both: bool) -> None:
    """Left against right is then looked at nowhere: in a cabin one ended 16 dB over the other, untold."""
    rows = [row | {"side": side} for row, side in zip(ROWS[:4], 2 * [sides[0]] + 2 * [sides[1]], strict=True)]
    notes = run(begin_with="distances", channels=rows).advice
    told = [note.message for note in notes if note.danger and note.message.startswith("Both on neither side")]
    assert [": Left tweeter and Right tweeter; Left woofer and Right woofer. " in each for each in told] == (
        [True] * both
    )


@pytest.mark.parametrize(
    ("name", "kind", "side", "slips"),
    [
        ("Right woofer", "woofer", "left", True),
        ("front LEFT", "woofer", "right", True),
        ("Right woofer", "woofer", "both", False),  # Told where its twin stands there too.
        ("Right subwoofer", "subwoofer", "left", False),
        ("Bright woofer", "woofer", "left", False),
        ("Left or right", "woofer", "left", False),
    ],
)
def test_a_side_that_is_not_the_one_in_the_name_is_refused(
    name: str, kind: str, side: str, slips: bool
) -> None:
    row = {"name": name, "part": kind, "side": side, "high_pass": 80.0, "low_pass": 300.0, "distance": 1.0}
    errors = run_values(TUNE, {"begin_with": "distances", "channels": [row]}).errors
    assert [each.field for each in errors] == ["channels[0].side"] * slips
