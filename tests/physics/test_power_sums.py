"""What speakers lose that meet in the bass, against two phasors; and what a fit pays for it."""

from dataclasses import replace

import numpy as np
import pytest

from calculators.physics import power_sums, tuning_fit
from calculators.physics.arrays import ComplexArray
from calculators.physics.speaker_system import band_centres, grid

HEARD = tuning_fit.View(0, np.array([1, 0]), 1.0, np.zeros(27))


def seat(gain: complex) -> ComplexArray:
    """A part, and another beside it that is so much against it, at one point."""
    return power_sums.cross_powers(np.array([[[1.0], [gain]]]) * np.ones(grid().size), np.ones(1))


def paid(*seats: ComplexArray) -> float:
    """What a fit pays for the join of both at so many seats, dB squared."""
    bands = np.array([(40.0, 16e3)] * 2)
    task = tuning_fit.Task(seats, (HEARD,), (), bands, tuning_fit.Limits(), joins=((1, (0,)),))
    flat = np.zeros((2, 1, 3))
    flat[..., 0] = np.log(1000.0)
    both = (task, replace(task, joins=()))
    with_joins, without = (tuning_fit.cost_of(each, tuning_fit.plain(each, flat)) for each in both)
    return with_joins - without


def test_what_a_subwoofer_loses_is_that_of_two_phasors() -> None:
    """In step, half as strong a quarter of a cycle off, and turned as strong: 20 lg(√1.25 / 1.5), and all of
    it. At two points alike it is the same, and beyond 125 Hz nothing counts."""
    bass = grid() < 141.0
    for gain, lost in [(2.0, 0.0), (0.5j, 20 * np.log10(np.sqrt(1.25) / 1.5)), (-0.999, -66.0)]:
        heard = np.ones((2, 3, grid().size), complex)
        heard[:, 2] = np.where(bass, gain, -1.0)
        heard[:, 1] = 0.0
        powers = power_sums.cross_powers(heard, np.ones(2))
        met = power_sums.meetings((powers,), ((2, (0, 1)),))
        rows = power_sums.lost_in_joins(met, np.ones((3, grid().size), complex)).rows
        assert rows == pytest.approx(np.full((1, 5), lost), abs=0.05)


def test_the_whole_third_octaves_called_50_to_125_hz_are_paid_for() -> None:
    """IEC 61260-1: their edges stand a sixth of an octave about the middles, whose names are rounded."""
    middles = band_centres()[(band_centres() > 48) & (band_centres() < 130)]
    assert np.round(middles, 1).tolist() == [50.1, 63.1, 79.4, 100.0, 125.9]
    inside = grid()[power_sums.MEETING]
    assert inside.size == 40
    assert inside[0] > middles[0] * 10**-0.05 > inside[0] / 1.03
    assert inside[-1] < middles[-1] * 10**0.05 < inside[-1] * 1.03
    low, high = power_sums.BASS_JOIN
    assert inside[0] < low
    assert high < inside[-1]


def test_a_fit_pays_the_mean_square_of_what_joins_lose_at_all_seats() -> None:
    """Alike strong, a quarter of a cycle off, two lose 3.01 dB (textbook), which counts as a join does."""
    quarter = 20 * np.log10(np.sqrt(2) / 2)
    one = (tuning_fit.JOIN_WEIGHT * quarter) ** 2
    assert paid(seat(1j)) == pytest.approx(one)
    assert paid(seat(1j), seat(1j)) == pytest.approx(one)
    # At one of two seats in step, half of it.
    assert paid(seat(1j), seat(1.0)) == pytest.approx(one / 2)
