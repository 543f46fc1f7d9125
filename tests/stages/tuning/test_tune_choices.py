"""What a tune is told and tells besides: image, polarity switch, safe limits, all-passes, own target."""

from dataclasses import replace

import numpy as np
import pytest

from calculators.declaring import Curve, Steps, Working, run_values
from calculators.declaring.working import drain
from calculators.physics import equalisers, joins, sides_alike, simulated_cabin, speaker_system
from calculators.physics.filter_limits import Limits
from calculators.physics.speaker_system import Setting
from calculators.vocabulary import (
    targets,
    tune_advice,
    tune_bass,
    tune_channels,
    tune_demonstration,
    tune_image,
    tune_joins,
    tune_levels,
    tune_measurements,
    tune_plan,
    tune_seats,
    tune_sheet,
    tune_steps,
    tune_task,
)
from calculators.vocabulary.tune_plan import Channel, Plan, Processor
from tests.stages.tuning.test_tune import ROWS, TUNE, demonstration, plan_of, run


def test_a_voice_is_placed_by_arrival_below_1500_hz_and_by_level_above() -> None:
    """Right 0.2 ms late, 3 dB louder; 0.2 ms is 23° by Woodworth: 0.0875 m / (343 m/s) · (a + sin a)."""
    grid = speaker_system.grid()
    flat = np.ones((1, 2, grid.size), complex)
    flat[0, 1] *= 10 ** (3 / 20) * np.exp(-2j * np.pi * grid * 2e-4)
    rows = tuple(Channel(name, "woofer", side, None, None, (0.0,)) for name, side in (("L", -1), ("R", 1)))
    plan = Plan(rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    tune = tune_plan.Tune(plan, (Setting(), Setting()), (), 0, ())
    found = tune_image.image_rows(tune)
    assert [row.by for row in found] == ["arrival"] * 4 + ["level"] * 3
    assert [row.right_late for row in found[2:4]] == [pytest.approx(2e-4, abs=5e-6)] * 2
    assert [row.right_louder for row in found] == [pytest.approx(3.0)] * 7
    assert [row.pulls for row in found] == ["to the left"] * 4 + ["to the right"] * 3
    even = replace(tune, settings=(Setting(delay=2e-4), Setting(gain=-3.0)))
    assert {row.pulls for row in tune_image.image_rows(even)} == {"in the middle"}


def test_a_voice_is_not_placed_where_the_sides_are_nearly_half_a_cycle_apart() -> None:
    """0.43 ms is 155° at 1 kHz, where right 0.57 ms early is as near; at 500 Hz it is 77°."""
    grid = speaker_system.grid()
    flat = np.ones((1, 2, grid.size), complex)
    flat[0, 1] *= np.exp(-2j * np.pi * grid * 4.3e-4)
    rows = tuple(Channel(name, "woofer", side, None, None, (0.0,)) for name, side in (("L", -1), ("R", 1)))
    plan = Plan(rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    found = tune_image.image_rows(tune_plan.Tune(plan, (Setting(), Setting()), (), 0, ()))
    assert [row.pulls for row in found[:4]] == ["to the left"] * 3 + ["not told: nearly half a cycle apart"]


@pytest.mark.parametrize(("kind", "louder"), [("woofer", -3.52), ("subwoofer", -6.02)])
def test_a_centre_plays_half_for_each_side(kind: str, louder: float) -> None:
    """Left 1, right a half, the centre 1: 1.5 against 1 is 3.52 dB. A subwoofer stands nowhere."""
    flat = np.ones((1, 3, speaker_system.grid().size), complex)
    flat[0, 1] /= 2
    rows = tuple(
        Channel(name, of, side, None, None, (0.0,))
        for name, of, side in (("L", "woofer", -1), ("R", "woofer", 1), ("C", kind, 0))
    )
    plan = Plan(rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    found = tune_image.image_rows(tune_plan.Tune(plan, (Setting(),) * 3, (), 0, ()))
    assert [row.right_louder for row in found] == [pytest.approx(louder, abs=0.01)] * 7


def test_a_bad_subwoofers_join_is_told_and_what_to_try() -> None:
    """Half a decibel: joining's own limit. Left is in step, right a quarter of a cycle off: 3.01 dB."""
    grid = speaker_system.grid()
    flat = np.ones((1, 3, grid.size), complex)
    flat[0, 1] *= 1j
    rows = (
        Channel("Left", "woofer", -1, None, None, (0.0,)),
        Channel("Right", "woofer", 1, None, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,)),
    )
    plan = Plan(rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    tune = tune_plan.Tune(plan, (Setting(),) * 3, (), 0, ())
    joins = tune_sheet.bass_rows(tune)
    assert joins[1].lost == pytest.approx(-3.01, abs=0.01)
    (message,) = [
        each.message for each in tune_advice.advice_on(tune, (), False) if "50 to 125" in each.message
    ]
    assert "Subwoofer with left;" not in message
    assert "Subwoofer with right" in message
    assert message.endswith("Try another low-pass and measure again.")


@pytest.mark.parametrize("filters", [2, 3])
def test_two_subwoofers_alone_are_tuned(filters: int) -> None:
    """Nothing plays above them, so no join of theirs is judged: the one looked at once more is left."""
    shown, one = drain(tune_demonstration.prepared()), plan_of(demonstration())
    rows = shown.channels(1)
    bass = [number for number, each in enumerate(rows) if each.kind == "subwoofer"]
    near, wide = tune_measurements.parts_of_points(tuple(range(shown.gains[0].shape[0])))
    alone = replace(
        one, channels=tuple(rows[n] for n in bass), gains=(shown.gains[0][:, bass],), near=near, wide=wide
    )
    found = drain(tune_steps.tuned(alone, filters, 1))
    assert len(found.settings) == 2
    assert min(each.delay for each in found.settings) == 0
    off, before = (
        speaker_system.rms(each.off_target(0)) for each in (found, tune_levels.levels_alone(found.plan))
    )
    assert off < before


def test_a_subwoofer_that_is_turned_is_told_to_be_wired_so_without_a_switch() -> None:
    flat = np.ones((1, 2, speaker_system.grid().size), complex)
    flat[0, 1] *= -1
    rows = (
        Channel("Left", "woofer", -1, None, None, (0.0,)),
        Channel("Subwoofer", "subwoofer", 0, None, 80.0, (0.0,)),
    )
    plan = Plan(
        rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8), False
    )  # fmt: skip
    tune = tune_plan.Tune(plan, (Setting(), Setting()), (), 0, ())

    def told(tune: tune_plan.Tune) -> list[str]:
        return [each.message for each in tune_advice.advice_on(tune, (), False) if each.about == "turn_bass"]

    assert told(tune) == []
    turned = replace(tune, plan=replace(plan, turn_bass=True), settings=(Setting(), Setting(sign=-1.0)))
    (message,) = told(turned)
    assert "has no polarity switch, untick" in message
    assert "swap its two wires at the amplifier" in message
    assert message.endswith("measure it again.")
    assert told(replace(tune, settings=(Setting(), Setting(sign=-1.0)), plan=replace(plan, channels=(
        rows[0], replace(rows[1], sign=-1.0))))) == []  # fmt: skip


def test_a_tweeter_whose_lowest_safe_frequency_was_not_typed_is_told() -> None:
    def told(*rows: dict[str, object]) -> list[tuple[str, str]]:
        advice = run(begin_with="distances", channels=[*rows, *ROWS[1:2]]).advice
        return [(note.about, note.message) for note in advice if "safe" in note.message]

    ((field, words),) = told({**ROWS[0], "lowest_safe": 2500.0}, ROWS[2])
    assert field == "channels[1].lowest_safe"
    assert words.startswith("Nothing here knows how low Right tweeter may be crossed")
    assert told({**ROWS[0], "lowest_safe": 2500.0}) == []


def test_no_filter_is_put_under_a_driver_s_lowest_safe_frequency() -> None:
    plan = plan_of(demonstration())
    rows = (plan.channels[0], replace(plan.channels[1], lowest_safe=75.0), *plan.channels[2:])
    settings = tune_levels.leveled(plan, tune_levels.by_arrival(plan))
    bare, safe = (
        tune_task.task_of(replace(plan, channels=each), settings).bands for each in (plan.channels, rows)
    )
    assert bare[1, 0] == pytest.approx(80 / 1.4)
    assert safe[1, 0] == 75.0
    assert bare[0, 0] == 3000.0, "a tweeter has none under its high-pass"
    assert np.array_equal(np.delete(bare, 1, axis=0), np.delete(safe, 1, axis=0))
    channel = tune_channels.TunedChannel(**{**ROWS[0], "lowest_safe": 2500.0})
    sheet = run(begin_with="distances", channels=[vars(channel) | {"distance_2": None}]).channels[0]
    assert sheet.lowest_safe == 2500.0


def test_an_all_pass_fills_what_two_channels_take_from_each_other_at_both_seats() -> None:
    """One channel turned by an all-pass, 200 Hz, Q 1, at both seats: its like in the other mends that."""
    grid = speaker_system.grid()
    flat = np.ones((1, 2, grid.size), complex)
    flat[0, 0] = speaker_system.chain(Setting(all_pass=(200.0, 1.0)), grid, 48_000.0)
    rows = tuple(
        Channel(name, "woofer", side, None, None, (0.0, 0.0)) for name, side in (("L", -1), ("R", 1))
    )
    plan = Plan(
        rows, (flat, flat), (0,), (0,), (np.zeros(27),) * 2, (0.5, 0.5),
        Processor(Limits(max_boost=0.0, max_cut=0.5), 2, all_passes=True), between=False,
    )  # fmt: skip
    found = drain(tune_steps.tuned(plan, 1, 1))
    (turned,) = (each.all_pass for each in found.settings if each.all_pass is not None)
    assert turned == (pytest.approx(200, rel=0.03), 1.0)
    assert found.settings[0].all_pass is None
    for seat in (0, 1):
        assert speaker_system.rms(found.off_target(seat)) < 0.3
    bare = drain(tune_steps.tuned(replace(plan, processor=Processor(plan.processor.limits, 2)), 1, 1))
    # Without it nothing helps but turning one of the two down.
    apart = [abs(each.settings[0].gain - each.settings[1].gain) for each in (found, bare)]
    assert apart[0] < 1
    assert apart[1] > 3
    (row,) = (row for row in tune_sheet.channel_rows(plan, found.settings, True) if row.all_pass != "none")
    assert row.name == "R"
    assert row.all_pass.startswith("second order, ")
    assert f"all-pass {row.all_pass}" in tune_sheet.settings_in_short([row])


def test_a_target_of_the_reader_s_own_takes_the_place_of_shelf_and_tilt() -> None:
    """3 dB per octave down, typed at two points: straight over the logarithm of frequency."""
    shape = equalisers.TargetShape(8.0, 80.0, -0.5, 200.0)
    thirds = speaker_system.band_centres()
    found = targets.third_octave_levels(Curve((31.25, 32e3), (15.0, -15.0), None), shape)
    assert found == pytest.approx(-3 * np.log2(thirds / 1000), abs=0.01)
    assert targets.third_octave_levels(None, shape) == pytest.approx(simulated_cabin.target())

    def told(low: float, high: float, bass: float) -> list[str]:
        curve = {
            "frequency": np.geomspace(low, high, 5).round(6).tolist(),
            "level": np.linspace(bass, 0, 5).tolist(),
        }
        given = {"begin_with": "distances", "channels": ROWS, "target": curve}
        return [f"{error.field}: {error.message}" for error in run_values(TUNE, given).errors]

    assert told(40, 16e3, 9) == []
    assert "target: Levels beyond" in told(40, 16e3, 900)[0]
    # Beyond its ends it was held: a part of the band was tuned to a line that nobody had typed.
    assert "target: It ends at 125 Hz and 16000 Hz" in told(125, 16e3, 9)[0]
    assert "target: It ends at 40 Hz and 8000 Hz" in told(40, 8000, 9)[0]


def test_subwoofers_are_brought_back_to_their_join_after_the_last_fit(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Filters that do not count it turn their phase; those of the new place leave no more of the rest.

    Begun again from elsewhere, this cabin's filters turn it no more.
    """
    monkeypatch.setattr(tune_seats, "STRAINED", np.inf)
    plan = replace(plan_of(simulated_cabin.cabin(248)), between=False)
    together = drain(tune_steps.tuned(plan, 3))
    monkeypatch.setattr(tune_bass, "BASS_LACKS", np.inf)
    apart = drain(tune_steps.tuned(plan, 3))
    lost = [min(join.loss(0.0) for _, join in tune_bass.bass_joins(each)) for each in (together, apart)]
    assert lost[0] > lost[1] + 0.5
    off, off_apart = (speaker_system.rms(each.off_target(0)) for each in (together, apart))
    assert off < off_apart + 0.05


@pytest.mark.parametrize(("steps", "loose", "left"), [(1, 0.7, 0), (1, 0.85, 1), (2, 0.85, 0)])
def test_a_join_within_what_it_may_be_off_keeps_the_delay_its_filters_were_made_for(
    steps: int, loose: float, left: int
) -> None:
    """One step of 1/48 ms turns 3 kHz by 22.5°, 0.75 of the 30° that a join may be off; two steps by 45°."""
    flat = np.ones((1, 2, speaker_system.grid().size), complex)
    rows = (
        Channel("Left woofer", "woofer", -1, None, 3000.0, (0.0,)),
        Channel("Left tweeter", "tweeter", -1, 3000.0, None, (0.0,)),
    )
    plan = Plan(rows, (flat,), (0,), (0,), (simulated_cabin.target(),), (1.0,), Processor(Limits(), 8))
    step = plan.processor.delay_step
    settings = (Setting(None, 3000.0), Setting(3000.0, None, delay=steps * step))
    found = drain(tune_joins.joined_in_steps(plan, settings, loose))
    assert [round(each.delay / step, 9) for each in found] == [0, left]


def test_what_subwoofers_lose_counts_for_two_of_them_or_two_seats() -> None:
    """One subwoofer joins one seat by its delay, and the measured points alone are for the finest mean."""
    two = plan_of(simulated_cabin.cabin(200))
    one = replace(two, channels=two.channels[:5], gains=tuple(seat[:, :5] for seat in two.gains))
    above = (0, 1, 2, 3)
    assert tune_task._joins(two) == ((4, above), (5, above))
    assert tune_task._joins(one) == ()
    assert tune_task._joins(replace(one, gains=one.gains * 2)) == ((4, above),)
    assert tune_task._joins(replace(two, between=False)) == ()


def test_a_subwoofer_is_not_moved_beyond_what_the_processor_waits(monkeypatch: pytest.MonkeyPatch) -> None:
    """Brought back to its join it would wait 2.6 ms in this cabin, against 1.8 ms, by the first fit alone."""
    monkeypatch.setattr(tune_seats, "STRAINED", np.inf)
    plan = replace(plan_of(simulated_cabin.cabin(248)), between=False)
    short = replace(plan, processor=replace(plan.processor, longest_delay=0.0022))
    longest = [max(each.delay for each in drain(tune_steps.tuned(one, 3)).settings) for one in (plan, short)]
    assert longest[1] <= 0.0022 < longest[0]


@pytest.mark.parametrize(
    ("lost", "finished", "found"),
    [
        ({8: 0.1}, [8], 8),
        ({8: 0.39, 6: 0.1}, [8, 6], 6),
        ({8: 0.39, 6: 0.36, 4: 0.2}, [8, 6, 4], 4),
        ({8: 0.39, 6: 0.33, 4: 0.36}, [8, 6, 4], 6),
    ],
)
def test_where_a_join_is_off_the_next_best_number_of_filters_is_finished(
    monkeypatch: pytest.MonkeyPatch, lost: dict[int, float], finished: list[int], found: int
) -> None:
    """Three at most, as with 0.39 dB lost in cabin 224; the one whose worst join is least off is given."""
    plan = plan_of(demonstration())
    asked = []

    def one(_plan: Plan, settings: tuple[Setting, ...], number: int, *_: object) -> Steps[tune_plan.Tune]:
        asked.append(number)
        stands = joins.Found(0.0, 1.0, -lost[number], 0.0)
        yield Working("", 0.5)
        return tune_plan.Tune(plan, settings, (tune_plan.Joined(0, 1, 3000.0, stands, 0.0),), number, ())

    def chosen(*_: object) -> Steps[tuple[int, list[tuple[int, float]]]]:
        yield Working("", 0.1)
        return 8, [(1, 3.0), (4, 1.2), (6, 1.1), (8, 1.15)]

    monkeypatch.setattr(tune_steps, "_finished", one)
    monkeypatch.setattr(tune_steps, "sides_apart", lambda _: None)
    monkeypatch.setattr(tune_steps, "chosen_count", chosen)
    tune = drain(tune_steps.tuned(plan))
    assert (asked, tune.count) == (finished, found)
    assert dict(tune.left_out)[6] == 1.1


def test_what_left_and_right_differ_by_counts_by_broad_bands() -> None:
    task = tune_task.task_of(plan_of(demonstration()), tuple(Setting() for _ in range(6)))
    levels = np.random.default_rng(1).normal(size=task.targets.shape)
    means = task.between_sides(levels) @ sides_alike.side_means(task.both)
    assert len(task.pairs) == 1
    assert task.off(levels)[-means.size :] == pytest.approx(sides_alike.PAIR_WEIGHT * means.ravel())


@pytest.mark.parametrize(
    ("first", "second", "taken", "looked"),
    [(1.0, 0.2, False, [False]), (1.2, 0.5, True, [False, True]), (1.2, 1.3, False, [False, True])],
)
def test_where_left_and_right_end_apart_all_is_sought_once_more_with_both_held_together(
    monkeypatch: pytest.MonkeyPatch, first: float, second: float, taken: bool, looked: list[bool]
) -> None:
    asked = []

    def finished(plan: Plan, settings: tuple[Setting, ...], *_: object) -> Steps[tune_plan.Tune]:
        assert tune_task.task_of(plan, settings).held is plan.held
        asked.append(plan.held)
        yield Working("", 0.5)
        return tune_plan.Tune(plan, settings, (), 2, ())

    monkeypatch.setattr(tune_steps, "_finished", finished)
    monkeypatch.setattr(tune_steps, "sides_apart", lambda tune: second if tune.plan.held else first)
    assert drain(tune_steps.tuned(plan_of(demonstration()), 2)).plan.held is taken
    assert asked == looked
