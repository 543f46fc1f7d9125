"""Two feeds added up, against phasors by hand, SciPy's filters and simulated units."""

import numpy as np
import pytest
from scipy import signal

from calculators.physics import summing
from calculators.physics.arrays import FloatArray
from calculators.physics.biquads import biquad
from calculators.physics.decibels import level
from calculators.physics.filters import crossover_filter, response
from calculators.physics.summing import Pair
from tests.conftest import SOAK
from tests.simulated_feeds import AT, feed, noisy

UNITS = 200 if SOAK else 6


def crossed(corner: float, delay: float = 0.0, sign: float = 1.0) -> Pair:
    low, high = (
        response(crossover_filter(side, "linkwitz-riley", 4, corner), AT)
        for side in ("low-pass", "high-pass")
    )
    return Pair(AT, low, high).changed(sign, delay, 0.0)


@pytest.mark.parametrize(("degrees", "loss"), [(30, -0.30), (60, -1.25), (108, -4.62), (72, -1.84), (0, 0.0)])
def test_loss_of_two_equal_parts(degrees: float, loss: float) -> None:
    """20·log10(cos(half the angle))."""
    pair = Pair(np.array([1000.0]), np.array([1 + 0j]), np.array([np.exp(1j * np.radians(degrees))]))
    assert pair.loss()[0] == pytest.approx(loss, abs=0.005)


@pytest.mark.parametrize(("apart", "degrees", "loss"), [(6, 60, -1.09), (12, 90, -1.68), (12, 180, -4.46)])
def test_loss_of_unequal_parts(apart: float, degrees: float, loss: float) -> None:
    other = 10 ** (-apart / 20) * np.exp(1j * np.radians(degrees))
    pair = Pair(np.array([1000.0]), np.array([1 + 0j]), np.array([other]))
    assert pair.loss()[0] == pytest.approx(loss, abs=0.03)


def test_delay_and_polarity_are_found_within_2_microseconds_at_50_db() -> None:
    rng = np.random.default_rng(14)
    for _ in range(UNITS):
        delay, sign = rng.uniform(-5e-4, 5e-4), rng.choice([-1.0, 1.0])
        pair = crossed(float(rng.uniform(1800, 5000)), delay, sign)
        heard = Pair(AT, noisy(rng, pair.low, 50), noisy(rng, pair.high, 50))
        settings = [summing.best_setting(heard, way) for way in (1.0, -1.0)]
        losses = [
            np.min(heard.changed(each.sign, each.delay, each.gain).overlap().loss()) for each in settings
        ]
        best = settings[int(np.argmax(losses))]
        assert best.sign == sign
        assert best.delay == pytest.approx(-delay, abs=2e-6)


def test_feeds_that_meet_nowhere_are_refused() -> None:
    apart = Pair(AT, np.where(AT < 200, 1.0, 1e-6) + 0j, np.where(AT > 4000, 1.0, 1e-6) + 0j)
    with pytest.raises(ValueError, match="do not overlap"):
        summing.best_setting(apart, 1.0)


def test_least_phase_is_that_of_a_minimum_phase_network() -> None:
    """A Butterworth low-pass of SciPy's, and a peak: both have no zeros on the right."""
    _, gain = signal.freqs(*signal.butter(2, 2 * np.pi * 3000, analog=True), 2 * np.pi * AT)
    gain = gain * response(biquad("peak", 400.0, 6.0, 1.4), AT)
    found = summing.least_phase(AT, level(gain))
    inside = (AT > 40) & (AT < 6000)
    assert np.max(np.abs(found - np.degrees(np.unwrap(np.angle(gain))))[inside]) < 3


def test_an_all_pass_is_told_from_a_clean_feed() -> None:
    """Threshold 30°: 95 of 100 found, at most 2 false alarms in 200 (simulated units)."""
    rng = np.random.default_rng(41)
    count = UNITS * 2
    clean = [summing.excess_phase(AT, feed(rng, False)) for _ in range(count)]
    turned = [summing.excess_phase(AT, feed(rng, True)) for _ in range(count)]
    assert sum(degrees > 30 for degrees in clean) <= count / 100
    assert sum(degrees > 30 for degrees in turned) >= 0.95 * count


def test_points_are_picked_no_closer_than_asked_for() -> None:
    dense = np.linspace(20, 20e3, 10_000)
    kept: FloatArray = dense[list(summing.thinned(dense))]
    assert kept[0] == 20.0
    assert kept.size < 480
    assert summing.thinned(AT[::4]) == tuple(range(len(AT[::4])))
