"""Physics on the very edge of a rule, and in the case that seldom comes."""

import math
from dataclasses import replace
from itertools import pairwise
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from calculators.declaring import drain
from calculators.physics import (
    begun_anew,
    direct_sound,
    filter_search,
    filters,
    fir_corrections,
    flattening,
    hold_up,
    impulse_responses,
    mixed_up_speakers,
    sheets,
    summing,
    tones,
    tuning_fit,
    tuning_search,
    two_seats,
    wav,
)
from calculators.physics.arrays import FloatArray
from calculators.physics.discharging import Discharge, Load
from calculators.physics.recording_faults import SILENT
from calculators.physics.speaker_system import grid
from tests.physics.test_tuning import small_task

RATE = 48_000.0


def test_an_echo_half_way_through_the_gate_is_heard_at_half() -> None:
    """Half a Hann window: the square of the cosine of 45 degrees."""
    flight = np.exp(-2j * np.pi * grid() * 2e-3)
    echo = np.exp(-2j * np.pi * grid() * 1e-3)
    alone, both = (direct_sound.gated(gain * flight, grid(), 2e-3, 2e-3) for gain in (1.0, 1.0 + echo))
    inside = (grid() > 1000) & (grid() < 8000)
    assert np.mean(((both - alone) / echo)[inside]).real == pytest.approx(0.5, abs=0.02)


def test_a_supply_that_stays_just_at_the_minimum_needs_no_capacitor() -> None:
    dip = hold_up.SupplyDip(np.array([0.0, 1.0]), np.array([12.5, 9.5]))
    assert hold_up.capacitance_for_dip(dip, Load(power=20.0), 9.0, isolator_drop=0.5) == 0.0


def test_an_empty_capacitor_bleeds_for_no_time() -> None:
    assert hold_up.bleed_time(0.1, 100.0, 0.0) == 0.0


def test_a_capacitor_at_the_end_of_its_power_keeps_its_last_voltage() -> None:
    """2 V behind 1 ohm give 1 W at 1 V and no more: a source's most, textbook."""
    discharge = Discharge(Load(power=1.0), 2.0, 1.0)
    assert not discharge.alive
    assert discharge.device == pytest.approx([1.0, 1.0])
    assert discharge.capacitor(np.array([0.0])) == pytest.approx([2.0])


def test_a_curve_tells_its_polarity_by_its_lowest_octave_alone() -> None:
    places = np.geomspace(100.0, 800.0, 73)
    phase = np.where(places < 201.0, 0.0, 1.5)
    assert fir_corrections._half_turns(phase, places) == 0
    assert fir_corrections._half_turns(phase[:30], places[:30]) == 0
    assert fir_corrections._half_turns(phase[:20], places[:20]) is None
    bent = np.where(places < 101.0, 0.0, 1.5)
    assert fir_corrections._half_turns(bent, places) is None


def test_a_seat_that_gains_less_gains_half() -> None:
    """From 1 to 2 at one seat and to a half at the other: 6.02 dB lost. Textbook."""
    halved = two_seats.regained(np.array([1 + 0j]), np.array([2j]), np.array([-0.5 + 0j]))
    assert halved == pytest.approx([-6.0206], abs=1e-4)


def test_what_a_curve_does_not_reach_counts_as_softest() -> None:
    """It rises 30 dB beyond the only band whose middle it has: that rise was not heard there."""
    levels = mixed_up_speakers.played([95.0, 100.0, 108.0, 112.0], [0.0, 0.0, 0.0, 30.0])
    loudest = float(np.max(levels))
    assert np.flatnonzero(levels > loudest - 1).tolist() == [7]
    assert np.min(levels) == pytest.approx(loudest - 20)


def pulses(*at: tuple[int, float, float]) -> FloatArray:
    """Bumps at samples, so high, so many samples wide."""
    time = np.arange(1024)
    return np.asarray(sum(high * np.exp(-(((time - place) / wide) ** 2) / 2) for place, high, wide in at))


@pytest.mark.parametrize(("high", "sign"), [(0.155, 1), (0.145, -1)])
def test_a_first_excursion_counts_from_15_hundredths_of_the_largest_on(high: float, sign: int) -> None:
    response = pulses((300, high, 3.0), (330, -1.0, 3.0))
    assert impulse_responses.beginning_of(response, RATE, 0.0, 20_000.0).sign == sign


def test_an_edge_of_a_band_with_one_line_in_it_tells_no_slope() -> None:
    """Lines 10 Hz apart: a third of an octave above 30 Hz holds that of 30 Hz alone."""
    frequency = np.arange(0.0, 2001.0, 10.0)
    level = 10 * np.sin(frequency / 300)
    high = float(frequency[-1])
    assert impulse_responses.minimum_phase(level, frequency, 30.0, high) == pytest.approx(
        np.degrees(impulse_responses.least_phase(level))
    )


def test_orders_and_places_of_laying_are_what_they_are_said_to_be() -> None:
    longer, both = sheets.LAYING_ORDERS
    wide, square = sheets.Piece(0, 5.0, 1.0), sheets.Piece(0, 4.0, 3.0)
    assert longer(wide) < longer(square)
    assert (both(wide), both(square)) == ((-6.0,), (-7.0,))
    room = sheets._Room(0.0, 0.0, 7.0, 9.0)
    assert [place(room, 4.0, 2.0) for place in sheets.LAYING_PLACES] == [55.0, 3.0, 1.0]


@pytest.mark.parametrize(
    ("width", "height", "across"),
    [(4.0, 2.0, (True, True)), (4.0, 5.5, (True, False)), (1.0, 5.0, (False, False))],
)
def test_a_first_cut_runs_across_where_the_strip_or_the_rest_above_is_the_larger(
    width: float, height: float, across: tuple[bool, bool]
) -> None:
    """Left beside and above: 3 and 7, 3 and 3.5, 6 and 4; areas by the whole of the room."""
    room = sheets._Room(0.0, 0.0, 7.0, 9.0)
    assert tuple(cut(room, width, height) for cut in sheets.LAYING_CUTS) == across


@pytest.mark.parametrize(("frequency", "length"), [(199.9, 0.05), (200.0, 0.01)])
def test_a_fade_is_50_ms_long_under_200_hz(frequency: float, length: float) -> None:
    assert tones.fade_length(frequency) == length


def test_a_file_that_ends_within_the_head_of_its_sound_holds_none() -> None:
    """Eight bytes name a part and its length; of seven, three are left for the length."""
    contents = wav.header(100, 1, 48_000, 16, False)
    place = contents.index(b"data")
    with pytest.raises(ValueError, match="it holds no sound"):
        wav.layout_of(lambda start, count: contents[start : start + count][: place + 7 - start], place + 7)


def test_silence_is_80_db_under_full_scale() -> None:
    assert pytest.approx(10.0**-4) == SILENT


TASK = flattening.Task(np.geomspace(50.0, 800.0, 97), np.zeros(97), np.ones(97))


def found(*gains: float, cost: float = 1.0) -> flattening.Found:
    """Peaks of so many dB, evenly spread."""
    places = np.log(np.linspace(100.0, 400.0, len(gains)))
    values = np.column_stack([places, gains, np.zeros(len(gains))])
    return flattening.Found(TASK, np.zeros(len(gains), dtype=np.intp), values, cost)


def test_one_of_the_two_strongest_peaks_is_made_two() -> None:
    ways = filter_search._halved(found(3.0, -6.0, 5.0))
    assert [way.gain.tolist() for way in ways] == [[3.0, -3.0, 5.0, -3.0], [3.0, -6.0, 2.5, 2.5]]


def test_filters_spread_evenly_have_their_shelves_a_sixth_from_the_ends(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Four octaves from 50 Hz: two thirds of one are a sixth."""
    begun: list[flattening.Found] = []

    def as_begun(way: flattening.Found, *_: object) -> Any:
        begun.append(way)
        yield
        return way

    monkeypatch.setattr(filter_search, "polishing", as_begun)
    drain(filter_search._spread_evenly(TASK, 3))
    assert len(begun) == 4
    octaves = np.log2(begun[-1].frequency / 50.0)
    assert begun[-1].kinds.tolist() == [0, 1, 2]
    assert octaves == pytest.approx([2.0, 2 / 3, 4 - 2 / 3])


@pytest.mark.parametrize(("dearer", "looked_at"), [(1.1, True), (1.2, False)])
def test_a_filter_moved_elsewhere_is_followed_while_it_promises_something(
    monkeypatch: pytest.MonkeyPatch, dearer: float, looked_at: bool
) -> None:
    """Up to 15 % over the cost before it was moved."""
    followed: list[flattening.Found] = []

    def following(way: flattening.Found, *_: object, **__: object) -> Any:
        followed.append(way)
        yield
        return way

    monkeypatch.setattr(filter_search, "polished", lambda way, _: found(*way.gain, cost=dearer))
    monkeypatch.setattr(filter_search, "polishing", following)
    before = found(3.0, -6.0)
    assert drain(filter_search._one_moved(before)) is before
    assert bool(followed) == looked_at


def test_fewer_filters_are_enough_to_a_thousandth_of_a_decibel(monkeypatch: pytest.MonkeyPatch) -> None:
    """One leaves 0.1 dB over what four leave, and a little: two and three are not looked at."""
    looked_at: list[Any] = []

    def as_it_is(fit: Any) -> Any:
        looked_at.append(fit)
        yield 1.0
        return fit

    monkeypatch.setattr(filter_search, "reseated", as_it_is)
    fits: list[Any] = [SimpleNamespace(rms=each) for each in (1.0, 0.3004, 0.3003, 0.3002, 0.2)]
    best, _ = drain(filter_search.fewest(fits, 0.1))
    assert best is fits[1]
    assert looked_at == [fits[4], fits[1]]


def test_what_holds_arrays_is_itself_alone() -> None:
    """Arrays have no one truth: known by its numbers it could stand in no set."""
    sections = filters.crossover_filter("low-pass", "linkwitz-riley", 4, 1000.0)
    sides = filters._GainsAndSlopes.at(sections, sections, np.array([1000.0]), 0.0)
    fit = small_task(1, 1)
    assert len({sections, sides, fit, fit.task, *fit.task.views}) == 5


def test_a_beginning_far_under_what_follows_upside_down_is_not_certain() -> None:
    """A sixth of the largest, which comes five times as late: from where it turns over that is counted."""
    response = pulses((40, 0.17, 4.0), (57, 0.5, 3.0), (206, -1.0, 3.0))
    beginning = impulse_responses.beginning_of(response, RATE, 0.0, 20_000.0)
    assert beginning.sign == 1
    assert math.isfinite(beginning.time)
    assert not beginning.certain


def test_the_highest_place_of_a_curve_has_its_part_in_the_least_phase() -> None:
    """Level but for its last place: by the slope there the phase leads."""
    frequency = np.geomspace(100.0, 1000.0, 21)
    levels = np.append(np.zeros(20), 3.0)
    assert np.all(summing.least_phase(frequency, levels)[:-1] > 0.1)


@pytest.mark.parametrize("least", [0.3, 0.03, 0.003])
def test_a_fit_ends_with_the_step_that_betters_it_by_less_than_a_part_of_what_is_left(least: float) -> None:
    start = small_task(1, 2)
    costs = [drain(tuning_fit.polished(start, turns, 0.0)).cost for turns in range(25)]
    ends = next(after for before, after in pairwise(costs) if before - after < least * after)
    assert drain(tuning_fit.polished(start, 25, least)).cost == ends


def test_a_fit_ends_after_eight_steps_in_vain(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tuning_fit, "cost_of", lambda *_: math.inf)
    signs = list(tuning_fit.polished(small_task(1, 2)))
    assert len(signs) == 8 + 1


@pytest.mark.parametrize(("end", "slope"), [(0, 1.0), (1, -1.0)])
def test_a_fit_whose_values_all_press_on_their_limits_is_at_its_end(
    monkeypatch: pytest.MonkeyPatch, end: int, slope: float
) -> None:
    start = small_task(1, 2)
    # Limits that are whole grains: a step ends nowhere else.
    limits = tuple(np.round(each, 3) for each in tuning_fit.limits_of(start))
    monkeypatch.setattr(tuning_fit, "limits_of", lambda _: limits)
    at_the_end = tuning_fit.with_values(start, limits[end])
    size = tuning_fit.values_of(start).size
    monkeypatch.setattr(tuning_fit, "residuals", lambda *_: (np.ones(27), np.full((27, size), slope)))
    assert list(tuning_fit.polished(at_the_end)) == []


def test_a_beginning_drawn_near_a_fit_lies_on_all_sides_of_it() -> None:
    start = small_task(2, 8)
    begun = begun_anew.begun_near(start, 1, 0.1)
    low, high = tuning_fit.limits_of(start)
    moved = (tuning_fit.values_of(begun) - tuning_fit.values_of(start))[: start.peaks.size]
    parts = moved / (high - low)[: start.peaks.size]
    assert np.min(parts) < -0.05
    assert np.max(parts) > 0.05
    assert np.max(np.abs(parts)) <= 0.1


def test_a_weak_peak_goes_where_the_fit_is_worst_whatever_all_views_count() -> None:
    start = small_task(1, 2)
    heavier = replace(start.task, views=tuple(replace(view, weight=2.0) for view in start.task.views))
    begun, other = (
        begun_anew.begun_at_worst(tuning_fit.plain(task, start.peaks), 0) for task in (start.task, heavier)
    )
    assert begun.peaks == pytest.approx(other.peaks)


def test_a_processor_of_which_nothing_else_is_known_runs_at_48_khz() -> None:
    """1 Hz under half of it the tangent is 48000/π (bilinear transform)."""
    place, _ = flattening.warped(np.log(np.array([23_999.0])), tuning_fit.Limits().sample_rate)
    assert place == pytest.approx(math.log(48_000 / math.pi))


def test_no_more_fits_are_looked_at_than_are_asked_for_each_at_coarse_grains(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    wanted: list[int] = []
    coarses: list[bool] = []

    def as_it_is(fit: tuning_fit.Fit, _turns: int, _least: float, coarse: bool) -> Any:
        coarses.append(coarse)
        yield
        return fit

    def none(_: tuning_fit.Fit, most: int) -> list[tuning_fit.Fit]:
        wanted.append(most)
        return []

    monkeypatch.setattr(tuning_fit, "polished", as_it_is)
    monkeypatch.setattr(tuning_search, "put_elsewhere", none)
    drain(tuning_search.searched(small_task(1, 2), 8))
    assert wanted == [6, 6, 6, 5, 4, 3, 2, 1]
    assert coarses == [True] * 10


def test_a_fit_that_is_bettered_by_no_more_than_3_in_1000_stays(monkeypatch: pytest.MonkeyPatch) -> None:
    def polished(fit: tuning_fit.Fit, *_: object) -> Any:
        yield
        return fit

    best = replace(small_task(1, 2), cost=1.0)
    as_good = replace(best, cost=tuning_search.BETTERED)
    monkeypatch.setattr(tuning_fit, "polished", polished)
    monkeypatch.setattr(begun_anew, "begun_near", lambda *_: as_good)
    monkeypatch.setattr(tuning_search, "put_elsewhere", lambda *_: [as_good])
    assert drain(tuning_search.searched(best, 2)) is best


def test_what_the_weakest_filter_is_missed_by_is_taken_from_every_promise() -> None:
    """One filter, well placed: where another would do nothing, that alone is left."""
    done = drain(tuning_fit.polished(small_task(1, 1), 300, 1e-14))
    worth, _, _ = tuning_search._promises(done)
    assert np.min(worth) < 0
