"""Measurements whose names were swapped, or that were cut: told, or refused where they stand."""

import re

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.declaring.working import drain
from calculators.physics import simulated_cabin
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.vocabulary import tune_demonstration
from calculators.vocabulary.misnamed_curves import misnamed
from calculators.vocabulary.tune_measurements import RUNS_AT
from calculators.vocabulary.tune_plan import Channel
from tests.stages.tuning.test_tune import TUNE, kept, plan_of, refused, simulated_rows

PIECES = [piece.decode() for piece in drain(tune_demonstration.prepared()).file().pieces()]
WHOLE = "".join(piece for piece in PIECES if "seat 2" not in piece[:80])
HEADS = [match.start() for match in re.finditer(r"^[^#;\n]+; seat", WHOLE, re.MULTILINE)]
GIVEN = {"begin_with": "measurements", "channels": simulated_rows(), "filters": 1.0}


def swapped(one: str, other: str, where: str = "", text: str = WHOLE) -> str:
    """The file with two names changed for each other, at places of which a head says so."""
    names = {one: other, other: one}
    return re.sub(
        rf"^({one}|{other})(?=; seat \d; point \d;)(?=; {where})",
        lambda match: names[match[0]],
        text,
        flags=re.MULTILINE,
    )


def told(text: str, **other: object) -> list[str]:
    """Whose curves the tune tells to be another's."""
    outcome = run_values(TUNE, {**GIVEN, "measurements": kept(text), **other})
    assert outcome.errors == ()
    begun = "Louder outside of its own band than in it: "
    return [
        each.message.removeprefix(begun).partition(". ")[0]
        for each in outcome.advice
        if each.danger and each.message.startswith(begun)
    ]


def columns(order: str) -> str:
    """The file with its columns in another order, or with another word in one."""
    return re.sub(r"^ +(\S+) +(\S+) +(\S+)$", order, WHOLE, flags=re.MULTILINE)


@pytest.mark.parametrize(
    ("one", "other", "where", "found"),
    [
        ("Left tweeter", "Left woofer", "", "Left tweeter, every point; Left woofer, every point"),
        ("Right woofer", "Front subwoofer", "", "Right woofer, every point; Front subwoofer, every point"),
        (
            "Left tweeter",
            "Left woofer",
            "seat 1; point 1;",
            "Left tweeter, seat 1, point 1; Left woofer, seat 1, point 1",
        ),
        (
            "Left tweeter",
            "Rear subwoofer",
            "seat 1; point [479];",
            "Left tweeter, seat 1, points 4, 7 and 9; Rear subwoofer, seat 1, points 4, 7 and 9",
        ),
        ("Left woofer", "Left woofer", "", ""),
    ],
)
def test_a_curve_under_another_speakers_name_is_a_danger(
    one: str, other: str, where: str, found: str
) -> None:
    assert told(swapped(one, other, where)) == [found] * bool(found)


def test_it_is_told_at_the_passengers_seat_too() -> None:
    text = swapped("Left tweeter", "Left woofer", "seat 2; ", "".join(PIECES))
    found = "Left tweeter, seat 2, every point; Left woofer, seat 2, every point"
    assert told(text, seats="two") == [found]
    assert told(text) == []  # For the driver alone that seat is not looked at.


def test_points_are_told_by_their_own_numbers() -> None:
    """Where point 2 was left out, the second curve is that of point 3."""
    text = re.sub(r"^[^#;\n]+; seat 1; point 2;[^\n]*\n[^;]*\n(?=\S)", "", WHOLE, flags=re.MULTILINE)
    assert "point 2;" not in text
    found = "Left tweeter, seat 1, point 3; Left woofer, seat 1, point 3"
    assert told(swapped("Left tweeter", "Left woofer", "seat 1; point 3;", text)) == [found]


def test_a_rattling_door_is_no_misnamed_one() -> None:
    """10 dB more at 180 to 260 Hz, and buzz from 6 kHz up, 10 dB under its mean level: loud, and honest."""
    plan = plan_of(simulated_cabin.cabin(0))
    at = grid()
    for number, each in enumerate(plan.channels):
        if each.kind != "woofer":
            continue
        door = plan.gains[0][:, number]
        buzz = np.mean(np.abs(door[:, (at > 80) & (at < 3000)])) * 10 ** (-10 / 20)
        louder = np.where((at > 180) & (at < 260), 10 ** (10 / 20), 1.0)
        through = chain(Setting(each.high_pass, each.low_pass), at, RUNS_AT)
        door[:] = np.where(at > 6000, buzz / through, door * louder)
    assert misnamed(plan.channels, plan.gains, range(11)) == ()


def test_no_cabin_of_ours_is_taken_for_misnamed_at_any_point() -> None:
    """At both seats, with one speaker in four reversed, modes, leaks and noise; each swap is, everywhere."""
    for number in range(0, 50, 7):
        heard = simulated_cabin.cabin(number)
        channels, gains = plan_of(heard).channels, list(heard.measured)
        assert misnamed(channels, gains, range(11)) == ()
        for one, other in ((0, 1), (1, 4), (0, 4)):
            assert {channels[one].kind, channels[other].kind} != {channels[one].kind}
            wrong = [_swapped_at(heard, seat, one, other) for seat in gains]
            found = f"{channels[one].name}, every point; {channels[other].name}, every point."
            assert found in misnamed(channels, wrong, range(11))[0].message


def _swapped_at(heard: simulated_cabin.Heard, seat: ComplexArray, one: int, other: int) -> ComplexArray:
    """A seat with two speakers' curves under each other's name, crossovers in, and those of the names out."""
    through = [chain(heard.cabin.speakers[each].crossed(), grid(), RUNS_AT) for each in (one, other)]
    wrong = seat.copy()
    wrong[:, one] = seat[:, other] * through[1] / through[0]
    wrong[:, other] = seat[:, one] * through[0] / through[1]
    return wrong


@pytest.mark.parametrize(
    ("bears", "plays", "seen"),
    [
        ((None, 80.0), (80.0, 250.0), True),
        ((80.0, 250.0), (None, 80.0), True),
        ((80.0, 250.0), (250.0, 3000.0), True),
        ((250.0, 3000.0), (80.0, 250.0), True),
        ((80.0, 3000.0), (80.0, 250.0), False),  # All that it plays lies within: nothing tells.
        ((None, 30.0), (80.0, 250.0), False),  # Of its own band nothing is looked at.
    ],
)
def test_neighbours_of_a_system_of_many_ways(
    bears: tuple[float | None, float], plays: tuple[float | None, float], seen: bool
) -> None:
    channel = Channel("Any", "woofer", 0, *bears, (0.001,), 1.0)
    curve = chain(Setting(*plays), grid(), RUNS_AT) / chain(Setting(*bears), grid(), RUNS_AT)
    assert bool(misnamed([channel], [curve[np.newaxis, np.newaxis]], [0])) is seen


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
