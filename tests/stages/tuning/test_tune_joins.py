"""What delays for the joins' sake may move, and what they may not part."""

from dataclasses import replace

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics import simulated_cabin
from calculators.physics.arrays import ComplexArray
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting, grid
from calculators.vocabulary import (
    tune_arrival_advice,
    tune_bass,
    tune_bass_advice,
    tune_joins,
    tune_levels,
    tune_seats,
    tune_sheet,
    tune_steps,
)
from calculators.vocabulary.tune_plan import Channel, Plan, Processor, Tune
from tests.stages.tuning.test_tune import plan_of
from tests.stages.tuning.test_tune_nearest import for_both_seats

THREE_WAY = tuple(
    Channel(f"{name} {part}", kind, side, low, high, (0.0,))
    for name, side in (("Left", -1), ("Right", 1))
    for part, kind, low, high in (
        ("midbass", "woofer", 80.0, 350.0),
        ("mid", "woofer", 350.0, 3000.0),
        ("tweeter", "tweeter", 3000.0, None),
    )
)
ALIKE, UNLIKE = (350.0, 350.0), (200.0, 450.0)
"""Hz under which the left mid falls by itself, and the right one."""


def falls(at: float, q: float = 0.9) -> ComplexArray:
    """A closed box of its own: falls under a frequency, 12 dB an octave, and turns there."""
    s = 1j * grid() / at
    return np.asarray(s**2 / (s**2 + s / q + 1))


def three_way(ends: tuple[float, float]) -> Plan:
    """Ideal parts, but for mids that fall at their own crossover as small ones do."""
    gains = np.ones((1, 6, grid().size), complex)
    gains[:, 1], gains[:, 4] = falls(ends[0]), falls(ends[1])
    target = (simulated_cabin.target(),)
    return Plan(THREE_WAY, (gains,), (0,), (0,), target, (1.0,), Processor(Limits(), 8))


@pytest.mark.parametrize("ends", [ALIKE, UNLIKE])
def test_a_mid_that_is_moved_takes_its_tweeter_along(ends: tuple[float, float]) -> None:
    """Left behind, it would be joined one or two whole cycles off."""
    plan = three_way(ends)
    found = drain(tune_joins.joined(plan, tune_levels.by_arrival(plan), 0.1))
    bass, mid, tweeter, _, other_mid, other_tweeter = (each.delay for each in found)
    assert abs(mid - bass) > 0.1e-3
    assert abs(tweeter - mid) < 0.5 / 3000
    assert abs(other_tweeter - other_mid) < 0.5 / 3000
    for join in tune_joins.found_joins(plan, found):
        if join.frequency > 1000:
            assert join.found.loss > -0.3


def test_left_and_right_that_join_where_time_places_a_voice_stay_together() -> None:
    """Each by itself, these two mids would part by 0.2 ms and more."""
    plan = three_way(UNLIKE)
    found = drain(tune_joins.joined(plan, tune_levels.by_arrival(plan), 0.1))
    assert abs(found[1].delay - found[4].delay) <= tune_joins.PAIR_TOGETHER
    alone = [
        drain(tune_joins.joined(three_way((end, end)), tune_levels.by_arrival(plan), 0.1))[1].delay
        for end in UNLIKE
    ]
    assert abs(alone[0] - alone[1]) > 0.2e-3


def test_joins_of_left_and_right_are_found_to_answer_each_other_from_the_lowest_up() -> None:
    found = tune_joins.sides_joined(THREE_WAY)
    assert [[(low, high) for low, high, _ in meets] for meets in found] == [
        [(0, 1), (3, 4)],
        [(1, 2), (4, 5)],
    ]
    one = THREE_WAY[:3]
    assert [len(meets) for meets in tune_joins.sides_joined(one)] == [1, 1]


def test_what_a_pair_is_apart_is_told_over_a_twentieth_of_a_millisecond() -> None:
    plan = three_way(ALIKE)
    for late, told in ((0.05e-3, False), (0.07e-3, True)):
        settings = [Setting(each.high_pass, each.low_pass) for each in THREE_WAY]
        settings[4] = replace(settings[4], delay=late)
        notes = tune_arrival_advice.arrival_advice(Tune(plan, tuple(settings), (), 0, ()))
        assert [each.message.split(" by ")[2][:7] for each in notes] == (["0.07 ms"] if told else [])
        assert all("Left mid and Right mid" in each.message for each in notes)


@pytest.mark.parametrize("seed", [2, 8])
def test_a_subwoofer_stays_within_half_a_cycle_of_its_arrival_however_often_it_is_searched(seed: int) -> None:
    """Searched twice, the rear ones of these cabins once ended 8 and 10 ms from the doors."""
    plan = plan_of(simulated_cabin.cabin(seed))
    settings = tune_levels.by_arrival(plan)
    for _ in range(3):
        settings = drain(tune_bass.bass_joined(plan, settings, 0.1))
    for number, channel in enumerate(plan.channels):
        if channel.kind == "subwoofer":
            assert abs(tune_bass.behind(plan, settings, number)) <= 0.5 / (channel.low_pass or 80.0) + 1e-9


def test_a_subwoofer_a_whole_cycle_off_is_told() -> None:
    rows = (
        Channel("Left woofer", "woofer", -1, 80.0, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,)),
    )
    gains = np.ones((1, 2, grid().size), complex)
    plan = Plan(rows, (gains,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    for late, told in ((0.0, ""), (12.5e-3, "late"), (-12.5e-3, "early")):
        settings = (Setting(80.0, None, delay=max(0.0, -late)), Setting(None, 80.0, delay=max(0.0, late)))
        (*notes,) = tune_bass_advice.standing_advice(Tune(plan, settings, (), 0, ()))
        assert [f"a cycle, 12.6 ms, {told}" in each.message for each in notes] == ([True] if told else [])


@pytest.mark.parametrize("turned", [False, True])
def test_a_subwoofer_gets_one_advice_whatever_is_amiss_and_the_acts_have_an_order(turned: bool) -> None:
    """Flat parts, the subwoofer 12.3 ms early: a cycle by its slope, and nearly in step once turned."""
    rows = (
        Channel("Left woofer", "woofer", -1, 80.0, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,), turned=turned),
    )
    gains = np.ones((1, 2, grid().size), complex)
    plan = Plan(rows, (gains,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    settings = (Setting(delay=0.0058), Setting())
    gains[:, 1] = np.exp(2j * np.pi * grid() * 6.5e-3)
    (note,) = tune_bass_advice.standing_advice(Tune(plan, settings, (), 0, ()))
    assert "by the slope of the phase it stands about a cycle, 12.6 ms, early" in note.message
    if turned:
        assert "Play the burst: where it does not start together" in note.message
        return
    acts = (
        "Play the burst as on the sheet first", "keep the sheet. Else play it turned and ",
        "type its name under", "Where neither starts together, try another low-pass",
    )  # fmt: skip
    places = [note.message.find(act) for act in acts]
    assert places == sorted(places)
    assert places[0] > 0


def test_no_side_carries_a_band_for_both_seats() -> None:
    """In this cabin right once lay 15 dB over left at both heads together, and no word said so."""
    plan = for_both_seats(simulated_cabin.cabin(201), between=True)
    tune = drain(tune_steps.tuned(plan, 2))
    assert (tune_seats.sides_apart(tune) or 9.0) <= 1.0


@pytest.mark.parametrize(
    ("late", "turn", "words"),
    [
        (0.0, True, None),
        (5.0e-3, True, "mean loss and half its spread; turned and 5.00 ms earlier it costs 0.00 dB"),
        (6.0e-3, True, "it stands 6.0 ms after what plays above it, at the end of its search"),
        (-6.0e-3, True, "it stands 6.0 ms before what plays above it, at the end of its search"),
        (5.0e-3, False, "mean loss and half its spread; turned and 5.00 ms earlier it costs 0.00 dB"),
    ],
)
def test_where_a_subwoofer_stands_at_the_end_of_its_search_or_worse_than_turned_is_told(
    late: float, turn: bool, words: str | None
) -> None:
    """Two flat parts, the subwoofer late on the sheet: by 5 ms and turned, or 1 ms short of its best."""
    rows = (
        Channel("Left woofer", "woofer", -1, 80.0, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,)),
    )
    gains = np.ones((1, 2, grid().size), complex)
    farther = np.sign(late) * 7e-3 if abs(late) == 6.0e-3 else 0.0
    gains[:, 1] = np.exp(2j * np.pi * grid() * farther) * (-1 if abs(late) == 5.0e-3 else 1)
    plan = Plan(rows, (gains,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    plan = replace(plan, turn_bass=turn)
    settings = (Setting(delay=0.01), Setting(delay=0.01 + late))
    notes = tune_bass_advice.standing_advice(Tune(plan, settings, (), 0, ()))
    assert [words is not None and words in note.message for note in notes] == ([True] if words else [])
    if words and "turned and" in words:
        assert "type its name under “Turned by the burst”, and make the sheet again" in notes[0].message
        told = replace(plan, channels=(rows[0], replace(rows[1], turned=True)))
        assert tune_bass_advice.standing_advice(Tune(told, settings, (), 0, ())) == []
    if words and "end of its search" in words:
        told = replace(plan, channels=(rows[0], replace(rows[1], turned=True)))
        (note,) = tune_bass_advice.standing_advice(Tune(told, settings, (), 0, ()))
        assert "its least lies beyond. Play the burst: where it does not start together" in note.message


@pytest.mark.parametrize("turned", [False, True])
def test_what_the_burst_showed_of_a_subwoofer_stands(turned: bool) -> None:
    """Two flat parts in step as proven: turned all the same, no search turns it back."""
    rows = (
        Channel("Left woofer", "woofer", -1, 80.0, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,), turned=turned),
    )
    gains = np.ones((1, 2, grid().size), complex)
    plan = Plan(rows, (gains,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    placed = drain(tune_joins.joined(plan, tune_levels.by_arrival(plan), 0.1))
    assert [each.sign for each in placed] == [1.0, -1.0 if turned else 1.0]
    (told,) = (row.reason for row in tune_sheet.channel_rows(plan, placed, True) if row.name == "Subwoofer")
    assert told.endswith("polarity turned by the burst" if turned else "polarity as proven")
    notes = tune_bass_advice.polarity_advice(Tune(plan, placed, (), 0, ()))
    words = "measure it again. Take its name out of “Turned by the burst” then."
    assert [note.message.endswith(words) for note in notes] == ([True] if turned else [])
    assert [("untick" in note.message, "swap its two wires" in note.message) for note in notes] == (
        [(False, True)] if turned else []
    )


@pytest.mark.parametrize("ends", [(3000.0, 3000.0), (2900.0, 3050.0)])
def test_a_tweeter_in_the_middle_is_brought_into_step_with_both_sides(ends: tuple[float, float]) -> None:
    """Heard 0.06 ms late at the left join and 0.04 ms at the right one: half-way, by whole steps too."""
    rows = (
        Channel("Left woofer", "woofer", -1, 80.0, ends[0], (0.0,)),
        Channel("Right woofer", "woofer", 1, 80.0, ends[1], (0.0,)),
        Channel("Middle tweeter", "tweeter", 0, 3000.0, None, (0.0,)),
    )
    gains = np.ones((1, 3, grid().size), complex)
    for number, late in enumerate((-0.06e-3, -0.04e-3)):
        gains[:, number] = np.exp(-2j * np.pi * grid() * late)
    plan = Plan(rows, (gains,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    for work in (
        tune_joins.joined(plan, tune_levels.by_arrival(plan), 0.1),
        tune_joins.joined_in_steps(plan, tune_levels.by_arrival(plan), 0.0),
    ):
        placed = drain(work)
        late = [each.delay for each in placed]
        assert late[0] == late[1]
        assert late[0] - late[2] == pytest.approx(0.05e-3, abs=0.013e-3)
        assert all(abs(each.found.phase) < 21 for each in tune_joins.found_joins(plan, placed))
