"""Where a subwoofer's sound comes in, against simulated ones whose delay is known."""

import numpy as np
import pytest
from scipy import signal as filters

from calculators.declaring import drain
from calculators.physics import deconvolution
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_arrivals import LowPass, bass_onset, fall_of
from calculators.physics.sweeps import Sweep
from tests.conftest import SOAK
from tests.recordings import Response, random_cabin, speaker

RATE, SIZE, LATE = 6000.0, 1 << 14, 0.09
QUIET, KEPT = round(0.06 * RATE), round(0.2 * RATE)
FREQUENCY = np.fft.rfftfreq(SIZE, 1 / RATE)


def response_of(heard: ComplexArray, low: float, high: float, noise: float, random: object) -> FloatArray:
    """What a sweep leaves of it, later by `LATE`; the noise so many dB under the peak at the sweep's top."""
    share = deconvolution.band_share(FREQUENCY, Sweep(low, high, 2.0))
    found = np.fft.irfft(heard * share * np.exp(-2j * np.pi * FREQUENCY * LATE), SIZE)
    white = np.fft.rfft(np.random.default_rng(random).normal(0, 1, SIZE))  # type: ignore[arg-type]
    # A sweep that grows e-fold in even times leaves noise that rises by 3 dB an octave.
    pressed = np.fft.irfft(white * share * np.sqrt(FREQUENCY / high), SIZE)
    scale = 10 ** (-noise / 20) * np.max(np.abs(found)) / np.std(pressed)
    return np.asarray(found + scale * pressed)[:KEPT]


def subwoofers(
    order: int, low: float, high: float, noise: float, count: int
) -> tuple[FloatArray, FloatArray]:
    """Of so many in cabins of their own: by how much each is told late, and its ±, s."""
    misses, errors = [], []
    for seed in range(500, 500 + count):
        random = np.random.default_rng(seed)
        cabin = random_cabin(random, 0.6)
        box = speaker(random.uniform(30, 50), random.uniform(60, 110), 2, order, random.uniform(0.6, 1))
        response = response_of(box(FREQUENCY) * cabin(FREQUENCY), low, high, noise, seed)
        found, within = drain(bass_onset(response, QUIET, RATE, low, high))
        misses.append(found - cabin.direct - LATE)
        errors.append(within)
    return np.array(misses), np.array(errors)


@pytest.mark.parametrize(
    ("order", "low", "high"), [(2, 10.0, 500.0), (4, 20.0, 500.0), (4, 10.0, 250.0), (8, 10.0, 500.0)]
)
def test_a_subwoofer_comes_in_within_what_is_told(order: int, low: float, high: float) -> None:
    """60 simulated cabins of each in the long tests."""
    misses, errors = subwoofers(order, low, high, 60.0, 60 if SOAK else 10)
    assert np.mean(np.abs(misses) <= errors) >= (0.88 if SOAK else 0.75)
    assert abs(np.median(misses)) <= (0.00025 if order <= 4 else 0.0005)
    assert np.max(errors) <= 0.004


@pytest.mark.parametrize("order", [2, 4])
def test_most_subwoofers_come_in_within_half_a_millisecond(order: int) -> None:
    """120 cabins of each in the long tests."""
    misses, _ = subwoofers(order, 10.0, 500.0, 50.0, 120 if SOAK else 15)
    assert np.mean(np.abs(misses) <= 0.0005) >= (0.94 if SOAK else 0.85)


def test_a_cable_is_told_where_it_is() -> None:
    """A loop: nothing but a delay."""
    whole = np.ones(FREQUENCY.size, dtype=np.complex128)
    response = response_of(whole, 10.0, 500.0, 60.0, 1)
    found, within = drain(bass_onset(response, QUIET, RATE, 10.0, 500.0))
    assert abs(found - LATE) <= within <= 0.0003


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_a_low_pass_is_read_and_its_delay_is_none_of_the_arrival(order: int) -> None:
    """Butterworth, by the library, without a cabin: it comes when it came, whatever its order."""
    b, a = filters.butter(order, 80.0, analog=True)

    def box(frequency: FloatArray) -> ComplexArray:
        s = 1j * frequency
        return np.asarray(np.polyval(b, s) / np.polyval(a, s))

    wanted: Response = box
    np.testing.assert_allclose(LowPass(order, 80.0).passed(FREQUENCY), wanted(FREQUENCY), atol=1e-6)
    response = response_of(box(FREQUENCY), 10.0, 500.0, 70.0, 2)
    corners = {each.order: each.corner for each in fall_of(response, QUIET, RATE, 500.0).low_passes}
    assert corners[order] == pytest.approx(80.0, rel=0.1)
    found, within = drain(bass_onset(response, QUIET, RATE, 10.0, 500.0))
    assert abs(found - LATE) <= within <= (0.0005 if order <= 6 else 0.0015)


@pytest.mark.parametrize("low", [20.0, 30.0])
def test_a_sweep_that_begins_inside_the_band_rings_and_moves_nothing(low: float) -> None:
    """It rings ahead of the arrival, by what is missing under it."""
    box = speaker(40.0, 80.0, 2, 4)
    response = response_of(box(FREQUENCY), low, 500.0, 60.0, 3)
    assert float(np.max(np.abs(response[:QUIET]))) > 0.01 * float(np.max(np.abs(response)))
    found, within = drain(bass_onset(response, QUIET, RATE, low, 500.0))
    assert abs(found - LATE) <= within <= 0.0005


def test_a_recording_without_noise_is_told_too() -> None:
    box = speaker(40.0, 80.0, 2, 4)
    response = response_of(box(FREQUENCY), 10.0, 500.0, 400.0, 4)
    response[:QUIET] = 0.0
    found, within = drain(bass_onset(response, QUIET, RATE, 10.0, 500.0))
    assert abs(found - LATE) <= within <= 0.0005


@pytest.mark.parametrize("high", [50.0, 75.0, 100.0])
def test_a_sweep_that_ends_low_gets_a_wide_answer(high: float) -> None:
    response = response_of(speaker(40.0, 80.0, 2, 4)(FREQUENCY), 10.0, high, 50.0, 5)
    found, within = drain(bass_onset(response, QUIET, RATE, 10.0, high))
    assert abs(found - LATE) <= within
    assert 0.001 < within <= 0.03
