"""The simulated cabin, the sum of speakers, joins and the joint fit, against textbooks and SciPy."""

import math
import time
from dataclasses import replace
from itertools import count
from typing import Any

import numpy as np
import pytest
from scipy import optimize, signal

from calculators.declaring.working import drain
from calculators.physics import (
    air,
    begun_anew,
    joins,
    power_sums,
    simulated_cabin,
    speaker_system,
    tuning_fit,
    tuning_search,
)
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.peaks import equalisers
from calculators.physics.speaker_system import Setting, grid
from calculators.physics.tuning_fit import Task, View
from tests.conftest import SOAK

ALL = np.arange(27)


def small_task(channels: int, filters: int) -> tuning_fit.Fit:
    """Two channels or more at three points, drawn at random, with filters of 0 dB spread over the band."""
    random = np.random.default_rng(7)
    bumps = [
        speaker_system.chain(
            Setting(filters=np.array([(120, 5, 1.5), (700, -4, 1.0), (4000, 6, 2.0)]) + shift), grid()
        )
        for shift in random.uniform(0, 0.5, (channels, 3, 1))
    ]
    noise = random.normal(0, 0.05, (2, 3, channels, grid().size))
    heard = np.stack([np.stack(bumps)] * 3) + noise[0] + 1j * noise[1]
    views = (View(0, np.ones(channels), 1.0, np.zeros(27)),)
    bands = np.array([(40.0, 16e3)] * channels)
    task = Task((power_sums.cross_powers(heard, np.ones(3)),), views, (), bands, Limits())
    start = np.zeros((channels, filters, 3))
    start[..., 0] = np.linspace(np.log(80), np.log(8000), filters)
    return tuning_fit.plain(task, start)


def test_direct_sound_falls_by_6_db_for_twice_the_distance() -> None:
    """Inverse distance law, textbook: walls that give nothing back."""
    cabin = simulated_cabin.drawn(1, 0)
    bare = replace(cabin, reflects=np.zeros(3))
    speaker = cabin.speakers[0]
    away = speaker.place + np.array([[0.0, 0.2, 0.0], [0.0, 0.4, 0.0]])
    near, far = np.abs(simulated_cabin.response_at(bare, speaker, away, np.array([1000.0, 5000.0])))
    assert 20 * np.log10(near / far) == pytest.approx(20 * np.log10(2), abs=1e-9)


def test_the_lowest_mode_lies_at_half_a_wavelength_along_the_cabin() -> None:
    """f = c/(2L), textbook; seats move each by 4 % at most."""
    cabin = simulated_cabin.drawn(2, 0)
    along = cabin.modes[(cabin.modes[:, :3] == (0, 1, 0)).all(axis=1)][0, 3]
    assert along == pytest.approx(air.SPEED_OF_SOUND / (2 * cabin.size[1]), rel=0.04)


def test_a_cabin_is_the_same_each_time_and_lies_3_to_5_db_from_its_target() -> None:
    heard = simulated_cabin.cabin(0)
    assert np.array_equal(heard.measured, simulated_cabin.cabin(0).measured)
    assert 3 <= simulated_cabin.untuned(heard) <= 5
    noise = np.mean(np.abs(heard.measured - heard.true) ** 2) / np.mean(np.abs(heard.true) ** 2)
    assert 10 * np.log10(noise) == pytest.approx(-simulated_cabin.NOISE, abs=0.2)
    assert np.max(np.abs(heard.cabin.points)) <= 0.1


def test_a_processor_is_the_row_of_its_filters_as_scipy_has_them() -> None:
    found = speaker_system.chain(Setting(low_pass=2500.0, gain=-3.0, delay=2e-4, sign=-1.0), grid())
    half = signal.freqs(*signal.butter(2, 2 * np.pi * 2500, analog=True), 2 * np.pi * grid())[1]
    expected = -(half**2) * 10 ** (-3 / 20) * np.exp(-2j * np.pi * grid() * 2e-4)
    assert found == pytest.approx(expected, rel=1e-9)


def test_two_parts_a_quarter_cycle_apart_lose_3_db_and_are_brought_together() -> None:
    """|1 + j|/2 is -3.01 dB: sum of phasors, textbook."""
    frequency = grid()[joins.octave_about(grid(), 3000.0)]
    late = 0.08e-3
    high = np.exp(-2j * np.pi * frequency * late)[np.newaxis]
    join = joins.Join(frequency, np.ones_like(high), high)
    quarter = joins.Join(np.array([1000.0]), np.ones((1, 1), complex), np.full((1, 1), 1j))
    assert quarter.loss(0.0) == pytest.approx(-3.0103, abs=1e-4)
    found = joins.best_delay(join, 3000.0)
    assert found.delay == pytest.approx(late, abs=1.5e-6)
    assert found.loss == pytest.approx(0, abs=1e-3)
    assert abs(found.phase) < 1


def test_a_delay_in_whole_steps_is_the_step_that_loses_least() -> None:
    frequency = grid()[joins.octave_about(grid(), 3000.0)]
    high = np.exp(-2j * np.pi * frequency * 0.08e-3)[np.newaxis]
    join = joins.Join(frequency, np.ones_like(high), high)
    assert joins.within_half_a_cycle(join, 3000.0, 30e-6).best == pytest.approx(90e-6, abs=1e-12)


@pytest.mark.parametrize("late", [-490e-6, 490e-6])
def test_a_delay_is_looked_for_within_half_a_cycle_both_ways(late: float) -> None:
    """49 steps of 10 µs, of 1 kHz: the last before half a cycle, either way."""
    frequency = grid()[joins.octave_about(grid(), 1000.0)]
    high = np.exp(-2j * np.pi * frequency * late)[np.newaxis]
    join = joins.Join(frequency, np.ones_like(high), high)
    assert joins.within_half_a_cycle(join, 1000.0, 10e-6).best == pytest.approx(late, abs=1e-9)
    ends = joins._within_half_a_cycle(1000.0, 10e-6)
    assert (ends[0], ends[-1]) == pytest.approx((-500e-6, 500e-6))


def test_a_fit_that_is_polished_to_its_end_is_left_as_it_is() -> None:
    """No step that fails to better the cost is taken."""
    done = drain(tuning_fit.polished(small_task(2, 2), 300, 1e-14))
    again = drain(tuning_fit.polished(done, 20, 0.0))
    assert again.cost <= done.cost * (1 + 1e-12)


def test_a_fit_that_betters_for_ever_ends_after_40_steps(monkeypatch: pytest.MonkeyPatch) -> None:
    """By a tenth each time."""
    costs = (0.01 * 0.9**step for step in count())
    monkeypatch.setattr(tuning_fit, "cost_of", lambda *_: next(costs))
    assert len(list(tuning_fit.polished(small_task(2, 2)))) == 40


@pytest.mark.parametrize(
    ("sides", "in_step_to", "alone_from"), [((-1, 1), 800, 1600), ((1, 1), 2000, 4000), ((0, 1), 2000, 4000)]
)
def test_two_add_by_phase_below_and_by_power_above(
    sides: tuple[int, int], in_step_to: float, alone_from: float
) -> None:
    """Two alike in step give 6.02 dB more than one, two unrelated 3.01 dB: sum of phasors, textbook."""
    alike = np.ones((3, 2, grid().size), complex)
    weights = np.array([1.0, 0.5, 1.0])
    by_power = power_sums.cross_powers(alike, weights, np.array(sides)).real.sum(axis=(0, 1))
    assert by_power[grid() < in_step_to] == pytest.approx(4)
    assert by_power[grid() > alone_from] == pytest.approx(2)
    assert np.all(np.diff(by_power) <= 1e-12)


def test_powers_at_points_are_the_mean_of_the_squares() -> None:
    weights = np.array([1.0, 0.5, 1.0])
    random = np.random.default_rng(3)
    gains = random.normal(size=(3, 2, grid().size)) + 1j * random.normal(size=(3, 2, grid().size))
    expected = np.average(np.abs(gains.sum(axis=1)) ** 2, axis=0, weights=weights)
    assert power_sums.cross_powers(gains, weights).sum(axis=(0, 1)) == pytest.approx(expected)


def test_a_middle_against_both_sides_has_a_level() -> None:
    """From 1.6 to 2 kHz two sides of power 1 each, and a middle against both: 3 - 4 of cross terms."""
    gains = np.ones((1, 3, grid().size), complex)
    gains[:, 2] = -1.0
    heard = power_sums.cross_powers(gains, np.ones(1), np.array([-1.0, 1.0, 0.0]))
    between = (grid() > 1600) & (grid() < 2000)
    assert heard.real.sum(axis=(0, 1))[between] == pytest.approx(-1)
    start = small_task(3, 1)
    task = replace(start.task, heard=(heard,))
    assert math.isfinite(tuning_fit.cost_of(task, replace(start, task=task)))


def test_views_that_count_by_their_scatter_pay_for_nothing_that_they_share() -> None:
    """Three, of -1, 0 and 1 dB in one third octave beside what all are off, are off by that alone."""
    start = small_task(1, 1).task
    alone = start.views[0]
    three = tuple(replace(alone, weight=1.0, scatters=True) for _ in range(3))
    task = replace(start, views=(replace(alone, weight=1.0), *three), pairs=())
    shared = np.random.default_rng(5).normal(size=27)
    levels = np.tile(shared, (4, 1))
    levels[1:, 9] += [-1.0, 0.0, 1.0]
    off = task.off(levels).reshape(4, -1) / task.counts
    assert off[0] == pytest.approx(shared - np.mean(shared))
    only = np.zeros(27)
    only[9] = 1.0
    only -= 1 / 27
    assert off[1:] == pytest.approx(np.outer([-1.0, 0.0, 1.0], only))


def test_a_weak_peak_goes_to_where_the_fit_is_worst() -> None:
    start = small_task(1, 2)
    peaks = start.peaks.copy()
    peaks[0, 1, 1] = 3.0
    begun = begun_anew.begun_at_worst(tuning_fit.plain(start.task, peaks), 0)
    off = tuning_fit.plain(start.task, peaks).left[0]
    worst = speaker_system.band_centres()[int(np.argmax(np.abs(off)))]
    assert np.exp(begun.peaks[0, 0, 0]) == pytest.approx(worst)
    assert begun.peaks[0, 0, 1] * off[int(np.argmax(np.abs(off)))] < 0
    assert begun.peaks[0, 1] == pytest.approx(peaks[0, 1])


def test_the_peak_that_is_missed_least_goes_where_another_promises_most() -> None:
    """A hump of 6 dB at 4 kHz, which none of the two peaks is near: the idle one is put there, to cut it."""
    start = small_task(1, 2)
    hump = speaker_system.chain(Setting(filters=np.array([(4000.0, 6.0, 3.0)])), grid())
    heard = power_sums.cross_powers(hump[np.newaxis, np.newaxis], np.ones(1))
    peaks = np.array([[[np.log(100), 3.0, 1.0], [np.log(300), 0.0, 1.0]]])
    ways = tuning_search.put_elsewhere(tuning_fit.plain(replace(start.task, heard=(heard,)), peaks), 3)
    assert ways[0].peaks[0, 0] == pytest.approx(peaks[0, 0])
    assert np.exp(ways[0].peaks[0, 1, 0]) == pytest.approx(4000, rel=0.13)
    assert ways[0].peaks[0, 1, 1] < -3
    centres = sorted(float(way.peaks[0, 1, 0]) for way in ways)
    assert min(np.diff(centres)) >= tuning_search.PLACED_NEAR


def straight_lines(fit: tuning_fit.Fit, line: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Rows and what is left of one step of all values, and last of one more peak of this slope by gain.

    Prices, and the stiffness that `put_elsewhere` adds, are rows too, so that NumPy's least squares takes the
    step.
    """
    left, slope = tuning_fit.residuals(fit.task, fit)
    prices = np.append(tuning_fit.prices_of(fit), tuning_fit.PEAK_PRICE)
    own = tuning_search.STIFF + tuning_search.STIFFER * np.sum(slope**2, axis=0)
    rows = [np.column_stack([slope, line]), np.diag(np.sqrt(prices)), np.diag(np.sqrt(np.append(own, 0.0)))]
    priced = np.sqrt(prices) * np.append(tuning_fit.values_of(fit), 0.0)
    return np.concatenate(rows), np.concatenate([left, priced, np.zeros_like(priced)])


def least(rows: FloatArray, off: FloatArray, held: int, move: float) -> float:
    """What is left after the best step in which one value moves by so much."""
    off = off + rows[:, held] * move
    rows = np.delete(rows, held, axis=1)
    return float(np.sum((off + rows @ np.linalg.lstsq(rows, -off)[0]) ** 2))


def one_more(fit: tuning_fit.Fit, channel: int, peak: FloatArray) -> FloatArray:
    """What one more peak changes in what is left, dB for each dB of its gain, by trying it."""

    def left(gain: float) -> FloatArray:
        more = np.tile(peak, (fit.task.channels, 1, 1))
        more[channel, 0, 1] = gain
        peaks = np.concatenate([fit.peaks, more], axis=1)
        return tuning_fit.residuals(fit.task, replace(fit, peaks=peaks))[0]

    return np.asarray((left(1e-3) - left(-1e-3)) / 2e-3)


@pytest.mark.parametrize("polished", [False, True])
def test_a_place_promises_what_a_step_of_all_filters_gains_by_it(polished: bool) -> None:
    """By NumPy's least squares. Off the least, all that may follow has somewhere to go; at it, a step tells
    what the peak to go was for."""
    start = small_task(2, 3)
    fit = replace(start, peaks=start.peaks + np.array([0.0501, 2.0, 0.3]))
    limits = Limits(90.0, 90.0, 0.01, 300.0, -90.0, 90.0) if polished else Limits(1.0, 2.0)
    task = replace(fit.task, limits=limits, bands=np.array([(10.0, 20e3)] * 2), joins=((0, (1,)),))
    fit = replace(fit, task=task)
    if polished:
        fit = drain(tuning_fit.polished(fit, 300, 1e-14))
    worth, gains, weakest = tuning_search._promises(fit)
    places = tuning_search._places(limits)[0]
    for channel in range(2):
        missed = []
        for place in range(0, len(places), 7):
            rows, off = straight_lines(fit, one_more(fit, channel, places[place]))
            best = np.linalg.lstsq(rows, -off)[0][-1]
            gain = float(np.clip(best, -min(limits.max_cut, 8.0), limits.max_boost))
            assert gains[channel, place] == pytest.approx(gain, abs=1e-4)
            without, found = least(rows, off, -1, 0.0), least(rows, off, -1, gain)
            missed.append(without - found - worth[channel, place])
        assert missed == pytest.approx([missed[0]] * len(missed), abs=1e-5)
        if polished:
            rows, off = straight_lines(fit, np.zeros_like(tuning_fit.residuals(fit.task, fit)[0]))
            of_gain = [3 * (3 * channel + peak) + 1 for peak in range(3)]
            each = [least(rows, off, at, -tuning_fit.values_of(fit)[at]) for at in of_gain]
            assert weakest[channel] == int(np.argmin(each))
            assert missed[0] == pytest.approx(min(each) - least(rows, off, -1, 0.0), abs=5e-5)


@pytest.mark.parametrize("coarse", [False, True])
def test_every_value_of_a_fit_is_a_whole_number_of_its_own_grain(coarse: bool) -> None:
    """Of ln Hz, dB and ln Q ten-thousandths, of a millisecond hundred-thousandths; in a search ten times as
    large, and nothing coarser."""
    times = 10 if coarse else 1
    start = small_task(3, 3)
    wide = Limits(90.0, 90.0, gain_low=-90.0, q_low=1e-9, q_high=1e9)
    task = replace(start.task, limits=wide, groups=(0, -1, -1), reach=3e-4)
    fit = drain(tuning_fit.polished(replace(start, task=task, delays=np.zeros(1)), coarse=coarse))
    for values, grain in [
        *((fit.peaks[..., column], 1e-4) for column in range(3)),
        (fit.gains, 1e-4),
        (fit.delays * 1e3, 1e-5),
    ]:
        grains = values / (times * grain)
        assert grains == pytest.approx(np.round(grains), abs=1e-6)
        assert np.any(np.round(grains) % 10)


@pytest.mark.parametrize("coarse", [False, True])
def test_a_fit_is_the_same_to_the_last_digit_where_what_is_heard_differs_by_last_digits(coarse: bool) -> None:
    start = small_task(2, 3)
    (heard,) = start.task.heard
    moved = heard * (1 + 1e-13 * np.random.default_rng(3).normal(size=heard.shape))
    begun = replace(start, peaks=start.peaks + np.array([0.0501, 2.0, 0.3]))
    one, other = (
        drain(tuning_fit.polished(replace(begun, task=replace(start.task, heard=(each,))), coarse=coarse))
        for each in (heard, moved)
    )
    assert np.array_equal(tuning_fit.values_of(one), tuning_fit.values_of(other))
    assert one.cost != other.cost
    assert one.cost == pytest.approx(other.cost, rel=1e-9)


def test_a_search_finds_what_a_fit_alone_does_not() -> None:
    start = small_task(2, 3)
    alone = drain(tuning_fit.polished(start))
    found = drain(tuning_search.searched(start, 6))
    assert found.cost < 0.9 * alone.cost
    assert found.cost == pytest.approx(tuning_fit.cost_of(start.task, found))


def test_spread_is_what_points_differ_by_and_not_their_loudness() -> None:
    """By hand: two points, one band apart. 10 and 1 there, 1 elsewhere: 2.60 dB over the mean, 7.40 under."""
    power = np.ones((2, grid().size))
    power[0, 80:88] = 10.0
    mean = 10 * np.log10(5.5)
    own = np.array([10.0, 0.0]) - np.array([10.0, 0.0]) / 27 - (mean - mean / 27)
    rest = -np.array([10.0, 0.0]) / 27 + mean / 27
    found = speaker_system.spread(power, ALL)
    assert found[10] == pytest.approx(np.sqrt(np.mean(own**2)))
    assert np.delete(found, 10) == pytest.approx(np.sqrt(np.mean(rest**2)))
    assert speaker_system.spread(power * [[4.0], [4.0]], ALL) == pytest.approx(found)
    assert speaker_system.spread(np.ones((2, grid().size)) * [[9.0], [1.0]], ALL) == pytest.approx(
        0, abs=1e-12
    )


def test_single_places_lie_under_their_mean_power_by_what_they_scatter() -> None:
    """Drawn from a log-normal law of 3 dB at 400 places, each over the whole band's own loudness."""
    levels = np.random.default_rng(5).normal(0, 3, (400, 27))
    found = speaker_system.scatter_lowers(10 ** (np.repeat(levels, 8, axis=1) / 10), ALL)
    by_hand = 10 * np.log10(np.mean(10 ** (levels / 10), axis=0)) - np.mean(levels, axis=0)
    assert np.mean(found) == pytest.approx(np.mean(by_hand), abs=0.06)
    louder = 10 ** (np.arange(3.0) / 2)[:, np.newaxis] * np.ones(216)
    assert speaker_system.scatter_lowers(louder, ALL) == pytest.approx(0, abs=1e-12)


def test_a_join_gives_up_as_large_a_part_of_its_loss_as_of_its_phase() -> None:
    """Near points 135° off pull the delay away from the first, which is in step as it stands."""
    frequency = grid()[joins.octave_about(grid(), 3000.0)]
    late = np.exp(-2j * np.pi * frequency * 0.125e-3)
    join = joins.Join(frequency, np.ones((2, frequency.size), complex), np.stack([np.ones_like(late), late]))
    found = joins.best_delay(join, 3000.0)
    parts = [
        max((joins.least_loss(join, 3000.0) - join.loss(delay)) / 0.3, abs(join.phase(delay)) / 30)
        for delay in np.linspace(-1 / 6000, 1 / 6000, 481)
    ]
    stands = max((joins.least_loss(join, 3000.0) - found.loss) / 0.3, abs(found.phase) / 30)
    assert stands == pytest.approx(min(parts), abs=0.06)
    assert 0 < abs(found.phase) < 60


def test_a_subwoofer_is_turned_where_that_joins_better() -> None:
    frequency = grid()[(grid() > 50) & (grid() < 125)]
    low = -np.exp(2j * np.pi * frequency * 1e-3)[np.newaxis]
    join = joins.Join(frequency, low, np.ones_like(low))
    ends = (-0.5 / 80, 0.5 / 80)
    free = joins.best_bass(join, 80.0, ends, (1.0, -1.0))
    proven = joins.best_bass(join, 80.0, ends, (1.0,))
    assert (free.sign, proven.sign) == (-1.0, 1.0)
    assert free.delay == pytest.approx(1e-3, abs=1e-4)
    assert free.loss > proven.loss + 0.05


@pytest.mark.parametrize(("spread", "sign"), [(0.3, 1.0), (0.5, -1.0)])
def test_a_subwoofer_is_turned_for_a_third_of_a_decibel_and_no_less(spread: float, sign: float) -> None:
    """Turned and 1 ms late two places agree; as proven, half a cycle off, they differ the more the wider the
    band: by 0.2 dB of cost, or by 0.6 dB."""
    frequency = 80 * 2 ** np.linspace(-spread, spread, 41)
    low = -np.exp(2j * np.pi * frequency * 1e-3)[np.newaxis]
    join = joins.Join(frequency, low, np.ones_like(low))
    ends = (-0.5 / 80, 0.5 / 80)
    stays, turned = (joins.best_bass(join, 80.0, ends, (each,)) for each in (1.0, -1.0))
    gained = float(joins._uneven(join.losses(np.array([stays.delay])))[0])
    gained -= float(joins._uneven(join.losses(np.array([turned.delay]), -1.0))[0])
    assert (gained > joins.POLARITY_WINS_BY) == (sign < 0)
    assert joins.best_bass(join, 80.0, ends, (1.0, -1.0)).sign == sign


@pytest.mark.parametrize(("late", "sign"), [(5.0e-3, 1.0), (7.5e-3, -1.0), (-7.5e-3, -1.0)])
def test_where_costs_still_fall_at_an_end_there_is_no_join(late: float, sign: float) -> None:
    """As proven it joins best so late, without a loss; turned, half a cycle of 80 Hz nearer, a little worse.

    By 0.2 dB of cost: too little to be turned for, where the proven polarity has a least inside.
    """
    frequency = 80 * 2 ** np.linspace(-0.3, 0.3, 41)
    low = np.exp(2j * np.pi * frequency * late)[np.newaxis]
    join = joins.Join(frequency, low, np.ones_like(low))
    ends = (-0.5 / 80, 0.5 / 80)
    found = joins.best_bass(join, 80.0, ends, (1.0, -1.0))
    assert found.sign == sign
    nearer = late if sign > 0 else late - math.copysign(0.5 / 80, late)
    assert found.delay == pytest.approx(nearer, abs=0.3e-3)


def test_a_subwoofer_takes_the_shortest_way_among_what_is_as_good() -> None:
    """A quarter of a cycle early at one place and as much late at another: all delays do alike nearly."""
    frequency = np.linspace(76, 84, 9)
    early = np.array([[np.pi / 2], [-np.pi / 2]]) + 0 * frequency
    join = joins.Join(frequency, np.exp(1j * early), np.ones_like(early, dtype=complex))
    found = joins.best_bass(join, 80.0, (-0.5 / 80, 0.5 / 80), (1.0,))
    costs = joins._uneven(join.losses(np.array([found.delay, *np.linspace(-0.5 / 80, 0.5 / 80, 61)])))
    assert costs[0] <= joins.AS_GOOD * np.min(costs) + 1e-9


@pytest.mark.parametrize("count", [0, 1, tuning_fit.LINES_AT_ONCE, 2 * tuning_fit.LINES_AT_ONCE + 3])
def test_lines_are_crossed_whole_though_half_is_mirrored(count: int) -> None:
    lines = np.sin(np.arange(7.0 * count)).reshape(count, 7)
    assert tuning_fit.crossed(lines) == pytest.approx(np.array(lines @ lines.T), abs=1e-12)


def test_slopes_are_those_of_the_residuals() -> None:
    start = small_task(2, 2)
    alone = [replace(start.task.views[0], plays=plays, scatters=True) for plays in np.eye(2)]
    task = replace(
        start.task, groups=(0, 1), reach=3e-4, joins=((1, (0,)),), views=(*start.task.views, *alone)
    )
    fit = tuning_fit.plain(task, start.peaks + np.array([0.1, 2.0, 0.3]))
    slopes_hold(task, fit)


def slopes_hold(task: Task, fit: tuning_fit.Fit) -> None:
    """Central differences of the residuals by each value."""
    values = tuning_fit.values_of(fit)
    _, slope = tuning_fit.residuals(task, fit)

    def left(moved: FloatArray) -> Any:
        return tuning_fit.residuals(task, tuning_fit.with_values(fit, moved))[0]

    for place in range(values.size):
        step = np.zeros(values.size)
        step[place] = 1e-5
        rough = (left(values + step) - left(values - step)) / 2e-5
        assert slope[:, place] == pytest.approx(rough, abs=1e-6)


def test_a_fit_does_not_trade_a_subwoofers_join_for_level() -> None:
    """Half a cycle apart at 80 Hz the two fill nothing: what is won by it is paid for."""
    start = small_task(2, 2)
    late = np.exp(-2j * np.pi * grid() * 6.25e-3)
    heard = np.stack([np.ones_like(late), late])[np.newaxis]
    joins = ((1, (0,)),)
    task = replace(start.task, heard=(power_sums.cross_powers(heard, np.ones(1)),))
    lost = []
    for each in (task, replace(task, joins=joins)):
        fit = drain(tuning_fit.polished(tuning_fit.plain(each, start.peaks), coarse=True))
        through = equalisers(task.limits, fit.peaks) * 10 ** (fit.gains[:, np.newaxis] / 20)
        lost.append(
            float(np.mean(power_sums.lost_in_joins(power_sums.meetings(each.heard, joins), through).rows))
        )
    assert lost[1] > lost[0] + 0.2


def test_the_fit_costs_no_more_than_scipys() -> None:
    """scipy.optimize.least_squares on the same cost, penalty in both: 1.02 times at most.

    20 random starts in the long tests, and there a fifth of its CPU time.
    """
    start = small_task(2, 3 if SOAK else 1)
    began = time.process_time()
    found = drain(tuning_search.searched(start, 12))
    ours = time.process_time() - began
    low, high = tuning_fit.limits_of(start)
    prices = np.sqrt(tuning_fit.prices_of(start))

    def whole(values: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Rows and slopes; those past a limit are as many as there are, SciPy wants as many each time."""
        rows, slopes = tuning_fit.residuals(start.task, tuning_fit.with_values(start, values))
        short = 27 + start.task.channels * 27 - rows.size
        return np.pad(rows, (0, short)), np.pad(slopes, ((0, short), (0, 0)))

    def left(values: FloatArray) -> Any:
        return np.concatenate([whole(values)[0], prices * values])

    def slope(values: FloatArray) -> Any:
        return np.vstack([whole(values)[1], np.diag(prices)])

    random = np.random.default_rng(1)
    costs = []
    began = time.process_time()
    for _ in range(20 if SOAK else 1):
        begin = random.uniform(low, high)
        costs.append(2 * optimize.least_squares(left, begin, slope, (low, high), max_nfev=60).cost)
    assert found.cost <= 1.02 * min(costs)
    assert ours <= (time.process_time() - began) / 5 or not SOAK
    assert np.all(tuning_fit.values_of(found) >= low)
    assert np.all(tuning_fit.values_of(found) <= high)
