"""How far left and right may differ in a fit."""

from dataclasses import replace

import numpy as np
import pytest

from calculators.physics import sides_alike, tuning_fit
from calculators.physics.speaker_system import band_centres, in_band
from calculators.physics.tuning_fit import View
from tests.physics.test_tuning import slopes_hold, small_task


def two_sides() -> tuning_fit.Fit:
    """Left and right of `small_task`, each alone and both together, the second 6 dB softer at 1 kHz."""
    start = small_task(2, 2)
    heard = start.task.heard[0].copy()
    heard[1, 1] *= 10 ** (-0.6 * np.isclose(band_centres(), 1000.0).repeat(8))
    heard[0, 1] = heard[1, 0] = 0.0
    views = [View(0, plays, 0.5, np.zeros(27)) for plays in (np.ones(2), np.eye(2)[0], np.eye(2)[1])]
    task = replace(start.task, heard=(heard,), views=tuple(views), pairs=((1, 2),))
    return tuning_fit.plain(task, start.peaks)


def test_sides_may_differ_by_what_they_differ_without_filters_and_a_little() -> None:
    bare = np.full((1, 27), 1.0)
    bare[0, in_band(900.0, 1100.0)] = -4.0
    most = sides_alike.notes_within(in_band(200.0, 2000.0), bare)[0]
    assert most[in_band(900.0, 1100.0)] == pytest.approx([4.0 + sides_alike.NOTE_PARTED])
    assert most[in_band(2000.0, 2000.0)] == pytest.approx([sides_alike.NOTE_APART])
    # Neither under 300 Hz, nor where one side does not play.
    assert np.all(np.isinf(most[[*in_band(200.0, 250.0), *in_band(2500.0, 16e3)]]))


def test_what_is_beyond_costs_and_nothing_within_does() -> None:
    within = np.full((1, 27), 2.0)
    over = np.zeros((1, 27))
    over[0, 4:7] = 2.0, -5.0, 2.5
    means = sides_alike.side_means(in_band(300.0, 16e3))
    rows = sides_alike.parted(over, within, means, held=False).rows
    assert rows == pytest.approx(np.array([-3.0, 0.5]) * sides_alike.NOTE_WEIGHT)


def test_sides_that_are_held_together_may_differ_by_little_in_broad_bands() -> None:
    """2 dB one way all over one band, and 6 dB the other way at one third octave of another."""
    within, over = np.full((1, 27), 9.0), np.zeros((1, 27))
    over[0, in_band(600.0, 1200.0)] = -2.0
    over[0, in_band(8000.0, 8000.0)] = 6.0
    means = sides_alike.side_means(in_band(300.0, 16e3))
    found = sides_alike.parted(over, within, means, held=True)
    beyond = [-2.0 + sides_alike.HELD_WITHIN, 6.0 / in_band(5000.0, 10e3).size - sides_alike.HELD_WITHIN]
    assert found.broad[0, [1, 4]] == pytest.approx(beyond)
    assert found.rows == pytest.approx(np.array(beyond) * sides_alike.HELD_WEIGHT)
    assert sides_alike.parted(over, within, means, held=False).rows.size == 0


@pytest.mark.parametrize("held", [False, True])
def test_slopes_count_what_is_beyond(held: bool) -> None:
    """Central differences, at filters that part the sides far beyond what they may."""
    start = two_sides()
    start = replace(start, task=replace(start.task, held=held))
    peaks = start.peaks + np.array([0.0, 0.0, 0.3])
    peaks[:, :, 0] = np.log([700.0, 2600.0])
    peaks[0, :, 1], peaks[1, :, 1] = 5.0, -5.0
    fit = replace(start, peaks=peaks)
    values = tuning_fit.values_of(fit)
    left, _ = tuning_fit.residuals(fit.task, fit)
    plain_rows = fit.task.off(np.zeros((3, 27))).size
    assert left.size > plain_rows + 2
    loose, _ = tuning_fit.residuals(replace(fit.task, held=False), fit)
    assert (left.size > loose.size + 1) is held
    assert tuning_fit.cost_of(fit.task, fit) == pytest.approx(
        float(left @ left + tuning_fit.prices_of(fit) @ values**2)
    )
    slopes_hold(fit.task, fit)


def test_bands_that_one_side_does_not_play_are_not_compared() -> None:
    paired = in_band(3000.0, 16e3)
    means = sides_alike.side_means(paired)
    assert not np.any(means[: paired[0]])
    assert np.sum(means, axis=0)[-2:] == pytest.approx([1.0, 1.0])
