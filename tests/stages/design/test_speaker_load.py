"""A bridge is judged by its halves; every wiring is found, legal ones first, and drawn by speaker."""

from itertools import combinations
from typing import Any

import pytest

from calculators.declaring import Drawing, Outcome, run_values
from calculators.declaring.drawings import Arc, Polygon
from calculators.stages import find_calculator

TWINS = [{"impedance": 4.0, "count": 3, "coils_each": 2}]


def run(**inputs: Any) -> Outcome:
    outcome = run_values(find_calculator("speaker-load"), inputs)
    assert outcome.errors == ()
    return outcome


def test_a_bridge_is_held_against_the_lowest_load_of_its_channels() -> None:
    outcome = run(coils=[{"impedance": 4.0, "count": 2}], wiring="parallel", bridged=True)
    assert outcome.result.load == 2.0
    assert outcome.result.half_load == 1.0
    assert outcome.result.verdict == "too low: do not connect it"
    assert outcome.advice[0].danger
    assert outcome.result.power_total is None
    legal = run(coils=[{"impedance": 4.0, "count": 1}], wiring="parallel", bridged=True)
    assert legal.result.half_load == 2.0
    assert legal.result.verdict == "a legal load"
    # Not bridged, the same two are legal on a channel of 2 ohm.
    assert run(coils=[{"impedance": 4.0, "count": 2}], wiring="parallel").result.verdict == "a legal load"


def test_three_twins_are_answered_at_once() -> None:
    result = run(coils=TWINS, amplifier_minimum=1.0, amplifier_rating=300.0).result
    assert result.load == pytest.approx(8 / 3)
    assert [option.load for option in result.wirings] == pytest.approx([8 / 3, 6.0, 24.0, 2 / 3])
    verdicts = [option.verdict for option in result.wirings]
    assert verdicts == ["a legal load"] * 3 + ["too low: do not connect it"]
    # All legal ones are drawn, with a frame for each of three speakers.
    assert len(frames(result.picture)) == 9
    assert sum(isinstance(shape, Arc) for shape in result.picture.shapes) == 18


def test_no_power_is_promised_into_a_load_that_burns() -> None:
    outcome = run(coils=TWINS, wiring="parallel", amplifier_minimum=1.0, amplifier_rating=300.0)
    assert outcome.result.load == pytest.approx(2 / 3)
    assert outcome.result.power_total is None
    assert outcome.result.power_each is None
    assert outcome.result.coils[0].power_each is None


def test_where_nothing_is_legal_it_says_so() -> None:
    outcome = run(coils=[{"impedance": 2.0, "count": 1}], amplifier_minimum=4.0)
    assert outcome.result.verdict == "too low: do not connect it"
    assert outcome.advice[0].danger


@pytest.mark.parametrize(
    ("wiring", "load"),
    [("series", 24.0), ("parallel", 2 / 3), ("series-parallel", 8 / 3), ("parallel-series", 6.0)],
)
def test_the_four_plain_wirings(wiring: str, load: float) -> None:
    assert run(coils=TWINS, wiring=wiring, amplifier_minimum=0.5).result.load == pytest.approx(load)
    singles = [{"impedance": 4.0, "count": 6}]
    assert run(coils=singles, wiring=wiring, amplifier_minimum=0.5).result.load == pytest.approx(load)


def frames(picture: Drawing) -> list[tuple[float, float, float, float]]:
    """Left, top, right and bottom of the frames drawn round speakers of several coils."""
    found = [
        shape.places for shape in picture.shapes if isinstance(shape, Polygon) and shape.stroke == "thin"
    ]
    return [
        (min(xs), min(ys), max(xs), max(ys)) for xs, ys in (zip(*places, strict=True) for places in found)
    ]


def test_frames_of_speakers_do_not_overlap() -> None:
    for coils in (
        TWINS,
        [{"impedance": 2.0, "count": 4, "coils_each": 2}],
        [{"impedance": 4.0, "coils_each": 4}],
    ):
        drawn = frames(run(coils=coils).result.picture)
        assert len(drawn) >= 1
        for (left, top, right, bottom), (left_2, top_2, right_2, bottom_2) in combinations(drawn, 2):
            assert right <= left_2 or right_2 <= left or bottom <= top_2 or bottom_2 <= top
