"""Arrival by the slope of excess phase, against speakers whose delay is known."""

import numpy as np
import pytest

from calculators.physics import deconvolution
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.excess_phase import arrival_by_excess_phase
from calculators.physics.sweeps import Sweep
from tests.recordings import speaker

RATE, SIZE, LATE = 48_000.0, 1 << 14, 0.0233
FREQUENCY = np.fft.rfftfreq(SIZE, 1 / RATE)


def heard(response: ComplexArray, low: float, high: float) -> FloatArray:
    share = deconvolution.band_share(FREQUENCY, Sweep(low, high, 1.0))
    turn = np.exp(-2j * np.pi * FREQUENCY * LATE)
    return np.asarray(np.fft.irfft(response * share * turn, SIZE)[: round(0.08 * RATE)])


@pytest.mark.parametrize("reversed_", [False, True])
@pytest.mark.parametrize(
    ("low", "high", "bottom", "top", "within"),
    [(1000.0, 20_000.0, 2500.0, 19_000.0, 12e-6), (30.0, 8000.0, 70.0, 3500.0, 25e-6)],
)
def test_a_filter_of_least_phase_is_told_by_its_delay_alone(
    low: float, high: float, bottom: float, top: float, within: float, reversed_: bool
) -> None:
    """Whichever way it is wired, and wherever the search starts."""
    response = heard(speaker(bottom, top, 2, 2, reversed_=reversed_)(FREQUENCY), low, high)
    for off in (-30e-6, 40e-6):
        found = arrival_by_excess_phase(response, RATE, LATE + off, low, high)
        assert found == pytest.approx(LATE, abs=within)


def test_what_turns_the_phase_of_the_bass_moves_no_arrival() -> None:
    """An all-pass of first order at 200 Hz: at 4 kHz and over it is half a turn, less 6 degrees."""
    through = (200.0 - 1j * FREQUENCY) / (200.0 + 1j * FREQUENCY)
    response = heard(speaker(1200.0, 19_000.0, 2, 2)(FREQUENCY) * through, 500.0, 20_000.0)
    found = arrival_by_excess_phase(response, RATE, LATE, 500.0, 20_000.0)
    assert found == pytest.approx(LATE, abs=12e-6)


def test_what_plays_less_than_two_octaves_is_no_wide_band_driver() -> None:
    response = heard(speaker(1500.0, 2500.0, 4, 4)(FREQUENCY), 300.0, 20_000.0)
    assert arrival_by_excess_phase(response, RATE, LATE, 300.0, 20_000.0) is None
