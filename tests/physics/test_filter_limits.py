"""What the filters of one channel may do together, against SciPy's own response of their coefficients."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import signal

from calculators.declaring.working import drain
from calculators.physics import filter_limits, power_sums, speaker_system, tuning_fit
from calculators.physics.arrays import FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.peaks import equalisers
from calculators.physics.speaker_system import Setting, grid
from calculators.physics.tuning_fit import Fit, Task, View


def by_scipy(filters: FloatArray, frequency: FloatArray) -> FloatArray:
    """Level, dB, of peaks (Hz, dB, Q) in a row at 48 kHz, by the Audio EQ Cookbook's coefficients."""
    level = np.zeros_like(frequency)
    for centre, gain, q in filters:
        root, turn = 10 ** (gain / 40), 2 * np.pi * centre / 48e3
        alpha, middle = np.sin(turn) / (2 * q), -2 * np.cos(turn)
        above = (1 + alpha * root, middle, 1 - alpha * root)
        below = (1 + alpha / root, middle, 1 - alpha / root)
        level += 20 * np.log10(np.abs(signal.freqz(above, below, worN=frequency, fs=48e3)[1]))
    return level


def by_scipy_of(fit: Fit) -> FloatArray:
    (peaks,) = fit.peaks
    return by_scipy(np.column_stack([np.exp(peaks[:, 0]), peaks[:, 1], np.exp(peaks[:, 2])]), grid())


def as_fitted(filters: FloatArray) -> FloatArray:
    return np.column_stack([np.log(filters[:, 0]), filters[:, 1], np.log(filters[:, 2])])


def test_filters_together_are_told_as_scipy_adds_them_up() -> None:
    """Some in a row lift or cut too much, others do not; each third octave tells its farthest place."""
    limits, random = Limits(max_boost=3.0, max_cut=9.0), np.random.default_rng(4)
    told = 0
    for _ in range(40):
        filters = np.column_stack(
            [
                np.exp(random.uniform(np.log(60), np.log(12e3), (2, 5))).ravel(),
                random.uniform(-9, 3, 10),
                np.exp(random.uniform(np.log(0.5), np.log(8), 10)),
            ]
        ).reshape(2, 5, 3)
        filters[0, 1:3, 0] = filters[0, 0, 0] * np.array([1.02, 1.05])
        peaks = np.stack([as_fitted(each) for each in filters])
        found = filter_limits.beyond(limits, equalisers(limits, peaks))
        for number, each in enumerate(filters):
            level = by_scipy(each, grid()).reshape(27, 8)
            more, less = np.maximum(level - 4, 0).max(axis=1), np.minimum(level + 12, 0).min(axis=1)
            assert found.level[number] == pytest.approx(more + less, abs=1e-6)
            assert level.ravel()[found.place[number]] == pytest.approx(
                found.level[number] + np.clip(level.ravel()[found.place[number]], -12, 4), abs=1e-6
            )
            told += np.count_nonzero(found.level[number])
    assert told > 30


def test_two_peaks_on_one_place_lift_what_both_do() -> None:
    """Two of 6 dB lift 12 at their middle, 5 more than 6 and 1; two cuts of 12 dB are 9 beyond 12 and 3."""
    limits, middle = Limits(), float(grid()[100])
    for gain, past in ((6.0, 5.0), (-12.0, -9.0), (3.5, 0.0), (-7.5, 0.0)):
        peaks = np.array([[[np.log(middle), gain, 0.0]] * 2])
        found = filter_limits.beyond(limits, equalisers(limits, peaks))
        assert found.level[0, 12] == pytest.approx(past, abs=1e-9)
        assert bool(np.any(found.rows)) == bool(past)
    assert not found.place.any()


def stacked_task(fir: FloatArray | None = None) -> Fit:
    """One channel with a hole of 30 dB an octave wide and a hump as high; two filters upon each."""
    rows = np.array([(200.0, -30.0, 1.4), (3000.0, 30.0, 1.4)])
    heard = speaker_system.chain(Setting(filters=rows), grid())
    views = (View(0, np.ones(1), 1.0, np.zeros(27)),)
    powers = (power_sums.cross_powers(heard[np.newaxis, np.newaxis], np.ones(1)),)
    held = None if fir is None else 10 ** (fir[np.newaxis] / 20) + 0j
    task = Task(powers, views, (), np.array([(40.0, 16e3)]), Limits(), fir=held, steep=filter_limits.STEEPEST)
    at = np.log([190.0, 210.0, 2900.0, 3100.0])
    return tuning_fit.plain(task, np.column_stack([at, [4.0, 4.0, -9.0, -9.0], np.zeros(4)])[np.newaxis])


def test_a_fit_stops_where_filters_together_do_all_they_may() -> None:
    """The hole asks for 30 dB and gets 7, the hump gets 15 off; without the wall two filters go on."""
    begun = stacked_task()
    found = drain(tuning_fit.polished(begun, 200, 1e-9))
    level = by_scipy_of(found)
    assert np.max(level) == pytest.approx(7, abs=0.05)
    assert np.min(level) == pytest.approx(-15, abs=0.05)
    free = replace(begun, task=replace(begun.task, limits=Limits(max_boost=90.0, max_cut=90.0)))
    far = by_scipy_of(drain(tuning_fit.polished(free, 200, 1e-9)))
    assert np.max(far) > 12
    assert np.min(far) < -20


def test_a_place_of_its_own_limit_holds_skirts_too() -> None:
    """Under 250 Hz but 1 dB may be lifted: the filters in the hole at 200 Hz go no farther."""
    begun = stacked_task()
    highest = np.full((1, grid().size), Limits().together[1])
    highest[:, grid() < 250.0] = 1.0
    held = replace(begun, task=replace(begun.task, highest=highest))
    level = by_scipy_of(drain(tuning_fit.polished(held, 200, 1e-9)))
    assert 0.9 < np.max(level[grid() < 250.0]) < 1.15
    assert np.max(level) < 7.05


def test_what_a_fir_filter_lifts_already_is_counted() -> None:
    """It lifts 5 dB everywhere: 2 are left of 6 and 1."""
    found = drain(tuning_fit.polished(stacked_task(np.full(grid().size, 5.0)), 200, 1e-9))
    assert np.max(by_scipy_of(found)) == pytest.approx(2, abs=0.1)
    assert np.min(by_scipy_of(found)) == pytest.approx(-20, abs=0.3)


def over_its_band(low: float, high: float) -> FloatArray:
    inside = (grid() > low) & (grid() < high)
    return np.where(inside, 1.0 / np.count_nonzero(inside), 0.0)[np.newaxis]


def test_filters_do_not_do_the_work_of_a_gain() -> None:
    """The hump at 3 kHz asks for cuts of 15 dB: from 1.5 to 6 kHz 3 dB is the most in the mean."""
    begun, own = stacked_task(), over_its_band(1500.0, 6000.0)
    free = drain(tuning_fit.polished(begun, 200, 1e-9))
    assert float(own[0] @ by_scipy_of(free)) < -8
    held = drain(tuning_fit.polished(replace(begun, task=replace(begun.task, own=own)), 200, 1e-9))
    level = by_scipy_of(held)
    assert float(own[0] @ level) == pytest.approx(-filter_limits.MOST_IN_COMMON, abs=0.3)
    assert np.max(level) == pytest.approx(7, abs=0.1)


def test_a_cut_in_common_is_asked_of_those_channels_alone_that_have_a_band() -> None:
    peaks = np.array([[[np.log(3000.0), -12.0, np.log(0.5)]]] * 2)
    own = np.concatenate([np.zeros((1, grid().size)), over_its_band(2000.0, 4500.0)])
    common = filter_limits.beyond(Limits(), equalisers(Limits(), peaks), own=own).common
    assert common[0] == 0
    assert common[1] == pytest.approx(float(own[1] @ by_scipy(np.array([(3000.0, -12.0, 0.5)]), grid())) + 3)


def test_slopes_beyond_the_limits_are_those_of_the_rows() -> None:
    begun = stacked_task()
    begun = replace(begun, task=replace(begun.task, own=over_its_band(1500.0, 6000.0)))
    fit = replace(begun, peaks=begun.peaks + np.array([0.03, 0.0, 0.2]))
    values, (left, slope) = tuning_fit.values_of(fit), tuning_fit.residuals(fit.task, fit)
    level, common = tuning_fit.beyond_limits(fit).level[0], tuning_fit.beyond_limits(fit).common
    past = np.append(level[level != 0], common)
    assert 5 < past.size < 28
    assert common < -1
    assert left[-past.size :] == pytest.approx(3 * past)
    for place in range(values.size):
        step = np.zeros(values.size)
        step[place] = 1e-6
        after, before = (
            tuning_fit.residuals(fit.task, tuning_fit.with_values(fit, values + way * step))[0]
            for way in (1, -1)
        )
        assert slope[:, place] == pytest.approx((after - before) / 2e-6, abs=1e-5)
