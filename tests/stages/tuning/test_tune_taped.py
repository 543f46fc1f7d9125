"""What the tape tells of a tune: its own slips, and arrivals on another clock."""

from typing import Any

import pytest

from calculators.physics import air
from calculators.vocabulary import tune_channels, tune_taped
from tests.stages.tuning.test_tune import ROWS, kept, run

SPEED = air.speed_of_sound(20.0)
TAPED = ROWS[:4]


def slips(**distances: float) -> list[str]:
    """What is told by tape of two sides, some of their distances changed, m."""
    rows = [row | {"distance": distances.get(row["name"].replace(" ", "_"), row["distance"])} for row in ROWS]
    advice = run(begin_with="distances", channels=rows).advice
    return [each.message for each in advice if each.message.startswith("Taped ")]


@pytest.mark.parametrize(
    ("distances", "told"),
    [
        ({}, None),
        ({"Left_woofer": 1.46}, None),
        ({"Left_woofer": 1.47}, "Left woofer 61 cm farther from the driver than Left tweeter"),
        ({"Left_woofer": 0.098}, "Left tweeter 76 cm farther from the driver than Left woofer"),
        ({"Right_tweeter": 1.98}, None),
        ({"Left_tweeter": 3.38, "Left_woofer": 3.47}, None),
        (
            {"Left_tweeter": 3.39, "Left_woofer": 3.48},
            "Left tweeter 201 cm farther from the driver than Right tweeter; "
            "Left woofer 201 cm farther from the driver than Right woofer",
        ),
    ],
)
def test_a_slip_of_the_tape_is_told(distances: dict[str, float], told: str | None) -> None:
    wanted = [] if told is None else [f"Taped {told}: a slip, or a wrong unit? Tape both again."]
    assert slips(**distances) == wanted


def test_a_slip_at_the_passengers_head_is_told() -> None:
    far = [0.86, 0.98, 1.38, 2.9]
    rows = [row | {"distance_2": metres} for row, metres in zip(TAPED, far, strict=True)]
    advice = run(begin_with="distances", channels=rows, seats="two").advice
    assert [each.message for each in advice if "from the passenger" in each.message] == [
        "Taped Right woofer 152 cm farther from the passenger than Right tweeter: a slip, or a wrong unit? "
        "Tape both again."
    ]


def off_tape(late: dict[str, float], rows: list[dict[str, Any]] = TAPED, seats: int = 1) -> list[str]:
    """What is told of channels whose arrival is later than the tape says by so much, s."""
    taped = tuple(tune_channels.TunedChannel(**row) for row in rows)
    measured = [
        tune_channels._channel(each, (each.distance / SPEED + 0.01 + late.get(each.name, 0.0),) * seats, 1.0)
        for each in taped
        if each.distance is not None
    ]
    return [each.message for each in tune_taped.off_tape(tuple(measured), taped, seats, SPEED)]


THREE_WAY = [
    *({**row, "high_pass": 350.0} if "woofer" in row["name"] else row for row in TAPED),
    {"name": "Left midbass", "part": "woofer", "side": "left", "low_pass": 350.0, "distance": 1.1},
    {"name": "Right midbass", "part": "woofer", "side": "right", "low_pass": 350.0, "distance": 1.6},
]


@pytest.mark.parametrize(
    ("late", "told"),
    [
        ({}, None),
        ({"Left woofer": 0.149e-3}, None),
        ({"Left woofer": 1e-3}, "Left woofer reaches the driver 1.00 ms later"),
        ({"Left tweeter": -0.16e-3}, "Left tweeter reaches the driver 0.16 ms earlier"),
        # Behind 350 Hz a sound seems to begin up to a quarter of a cycle late: 0.71 ms.
        ({"Left midbass": 0.55e-3, "Right midbass": 0.72e-3}, None),
        (
            {"Left midbass": 0.55e-3, "Right midbass": 1.72e-3},
            "Right midbass reaches the driver 1.72 ms later",
        ),
    ],
)
def test_an_arrival_that_the_tape_does_not_bear_out_is_told(late: dict[str, float], told: str | None) -> None:
    found = off_tape(late, THREE_WAY)
    assert [each.split(", ")[2].split(". ")[0] for each in found] == ([] if told is None else [told])


def test_nothing_is_held_against_a_tape_that_was_not_drawn() -> None:
    bare = [{key: value for key, value in row.items() if key != "distance"} for row in TAPED]
    rows = tuple(tune_channels.TunedChannel(**row) for row in bare)
    measured = tuple(tune_channels._channel(each, (0.01,), 1.0) for each in rows)
    assert tune_taped.off_tape(measured, rows, 1, SPEED) == ()
    assert tune_taped.slips(measured, rows, 1) == ()


@pytest.mark.parametrize("late", [0.0, 1.0])
def test_a_sheet_of_measurements_says_which_arrival_is_off(late: float) -> None:
    """Two flat tweeters, 0.86 and 1.38 m away; the right one measured so many ms late."""
    lines = "\n".join(f"{1000 * 2 ** (n / 24):.1f} 60 0" for n in range(110))
    text = ""
    for row, later in ((TAPED[0], 0.0), (TAPED[2], late)):
        for point in range(1, 4):
            arrival = 1000 * row["distance"] / SPEED + later
            text += f"{row['name']}; seat 1; point {point}; arrival {arrival:.4f} ms; positive\n{lines}\n"
    channels = [TAPED[0], TAPED[2]]
    advice = run(begin_with="measurements", channels=channels, measurements=kept(text), filters=1.0).advice
    told = [each.message for each in advice if "By the tape" in each.message]
    assert len(told) == bool(late)
    assert all("Right tweeter reaches the driver 1.00 ms later" in each for each in told)
