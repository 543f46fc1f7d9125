"""The guided tune's end: each side alone, so that no speaker is dead, late or soft behind the other side."""

import json
import re
from typing import Any

import numpy as np
import pytest

from calculators.physics.speaker_system import grid
from calculators.vocabulary import sides_alone
from calculators.vocabulary.tune_measurements import measurement_file
from calculators.vocabulary.tune_plan import Channel
from tests.stages.tuning.test_guided_tune import (
    CHANNELS,
    GAINS,
    NAMES,
    SHEET,
    alone,
    curve,
    finished,
    kept,
    run,
    told,
    word_of,
)

DEAD, SOFT = 1e-5, 10 ** (-7 / 20)


def ended(*changed: Any) -> Any:
    """The end of the way, everything together as expected, channels changed in the runs of each side."""
    return finished(again=[*told()[:5], *alone(*changed)]).result


def test_each_side_as_expected_is_finished_whatever_the_volume() -> None:
    louder = [
        row | {"curve": row["curve"] | {"level": [x + 9 for x in row["curve"]["level"]]}} for row in alone()
    ]
    for again in (told(), [*told()[:5], *louder]):
        result = finished(again=again).result
        assert (result.stage, result.advice) == ("finished", ())
        for row in result.sides:
            assert [off for off in (row.left_alone, row.right_alone) if off is not None] == pytest.approx(
                [0.0] * ((row.left_alone is not None) + (row.right_alone is not None)), abs=0.01
            )


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ((1, 1, DEAD, 1), r"right side alone is [\d.]+ dB under what was expected at \d+ Hz, and out in \d"),
        ((1, 1, 1, DEAD), r"right side alone is [\d.]+ dB under what was expected at"),
        ((SOFT, SOFT, 1, 1), "left side alone is 7.0 dB softer than expected against the other"),
        ((10 ** (4 / 20), 1, 1, 1), r"left side alone is 4.\d dB over what was expected at \d+ Hz"),
        # A tweeter 0.15 ms late: three times the limit of a pair.
        ((1, 1, np.exp(-2j * np.pi * grid() * 1.5e-4), 1), "right side alone is"),
    ],
)
def test_a_side_that_is_not_as_expected_is_not_finished(changed: Any, words: str) -> None:
    result = ended(*changed)
    assert result.stage == "measure again"
    assert result.next_step.startswith("not finished: ")
    assert re.search(words, result.next_step + result.advice[0].message)
    assert result.advice[0].danger
    assert "muted in both runs" in result.acts[0].act  # The likeliest cause, and nothing is opened for it.
    assert "that side's plugs" in result.acts[1].act
    assert "Unmute one channel" in result.acts[2].act


def test_a_dead_tweeter_is_told_where_it_plays() -> None:
    """Half the power above 3 kHz is a side's own tweeter, and its woofer's LR4 skirt falls from there."""
    off = {row.nominal: row.right_alone for row in ended(1, 1, DEAD, 1).sides}
    assert max(off[8000.0], off[10_000.0]) < -15
    assert abs(off[500.0]) < 1
    assert all(
        low is None or abs(low) < 0.1 for low in (row.left_alone for row in ended(1, 1, DEAD, 1).sides)
    )


def test_a_hole_at_one_point_tells_nothing() -> None:
    """A third octave that the sheet itself expects 20 dB under the rest is left out."""
    channels = tuple(
        Channel(name, "woofer", side, None, None, (0.0,)) for name, side in (("L", -1), ("R", 1))
    )
    gains = np.ones((2, grid().size), complex)
    gains[0, 40:48] = 0.1
    heard = {"Left side": np.ones(grid().size), "Right side": np.ones(grid().size)}
    sides = sides_alone.sides_of(channels, gains, heard, np.arange(27))
    assert sides.faults() == ()
    assert [place for place, row in enumerate(sides.rows()) if row.left_alone is None] == [5]


def test_sides_are_measured_where_there_are_two_with_the_others_muted() -> None:
    left = [row for row in CHANNELS if row["side"] == "left"]
    assert "Left side" not in {row.speaker for row in run(channels=left).result.runs}
    begun = finished(again=[]).result
    assert begun.next_step == "run 21 of 27: Left side alone at point 1"
    assert "Left tweeter and Left woofer on, every other channel muted" in " ".join(
        each.act for each in begun.acts
    )
    following = finished(again=alone()).result
    assert following.next_step == "run 23 of 27: everything together at point 1"
    assert "every channel on" in " ".join(each.act for each in following.acts)


def cut(plays: str, low: float, high: float) -> list[dict[str, Any]]:
    """The end of the way, curves from and to so many Hz alone: those whose name holds these words."""
    rows = []
    for row in told():
        at, level = (np.array(row["curve"][name]) for name in ("frequency", "level"))
        held = (at >= low) & (at <= high) if plays in row["name"].lower() else np.full(at.size, True)
        rows.append(row | {"curve": curve(at[held], level[held])})
    return rows


def test_a_side_is_asked_for_no_more_than_it_plays() -> None:
    """Its woofer begins at 80 Hz: a third octave over that, for the subwoofer is muted."""
    for side in ("left side", "right side", "side"):
        result = finished(again=cut(side, 98.0, 13_000.0)).result
        assert (result.stage, result.advice) == ("finished", ())
    rows = [row | {"low_pass": 10_000.0} if row["part"] == "tweeter" else row for row in CHANNELS]
    lines = [line | {"low_pass": line["low_pass"] or 10_000.0} for line in SHEET["channels"]]
    ended_low = kept(json.dumps(SHEET | {"channels": lines}).encode())
    given = {"channels": rows, "sheet": ended_low, "read_back": word_of(ended_low)}
    assert not finished(again=cut("left side", 98.0, 10_400.0), **given).errors
    (error,) = finished(again=cut("left side", 98.0, 9000.0), **given).errors
    assert error.message.startswith("Left side alone must be heard from 101 Hz to 10 kHz")


def test_a_side_s_curve_that_is_too_narrow_is_refused_at_its_row_with_what_to_do() -> None:
    narrow = curve((300, 1000, 5000, 9000, 16_000), (0, 0, 0, 0, 0))
    (error,) = finished(again=[*told()[:6], {"name": "Right side", "curve": narrow}]).errors
    assert error.field == "again[6].curve"
    assert error.message.startswith(
        "Right side alone must be heard from 101 Hz to 12.5 kHz, and this curve reaches from 300 Hz to 16 kHz"
    )
    assert error.message.endswith("record the run again, never louder.")


BASS = {"name": "Subwoofer", "part": "subwoofer", "side": "both", "low_pass": 80.0}


def test_everything_together_is_asked_for_no_more_than_it_plays() -> None:
    """Without a subwoofer nothing plays under 80 Hz; with one 63 Hz is heard."""
    assert finished(again=cut("point", 98.0, 13_000.0)).result.stage == "finished"
    (error,) = finished(again=cut("point", 110.0, 13_000.0)).errors
    assert error.message.startswith("Everything together must be heard from 101 Hz to 12.5 kHz")
    gains = np.concatenate((GAINS, GAINS[:, 1:2]), axis=1)
    arrivals, signs = np.full((1, 5), 0.002), np.ones(5)
    line = SHEET["channels"][1] | {"name": "Subwoofer", "high_pass": None, "low_pass": 80.0}
    whole = kept(json.dumps(SHEET | {"channels": [*SHEET["channels"], line]}).encode())
    given = {
        "channels": [*CHANNELS, BASS],
        "measurements": kept(measurement_file([*NAMES, "Subwoofer"], (gains,), arrivals, signs).contents),
        "sheet": whole,
        "read_back": word_of(whole),
    }
    (error,) = finished(again=cut("point", 98.0, 13_000.0), **given).errors
    assert error.message.startswith("Everything together must be heard from 63 Hz to 12.5 kHz")
