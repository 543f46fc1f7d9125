"""Where a subwoofer's sound comes in, against simulated ones whose delay is known."""

import numpy as np
import pytest
from scipy import signal as filters

from calculators.physics import deconvolution
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.bass_arrivals import LowPass, bass_onset, low_passes_of
from calculators.physics.sweeps import Sweep
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
        found, within = bass_onset(response, QUIET, RATE, high)
        misses.append(found - cabin.direct - LATE)
        errors.append(within)
    return np.array(misses), np.array(errors)


@pytest.mark.parametrize(
    ("order", "low", "high"), [(2, 10.0, 500.0), (4, 20.0, 500.0), (4, 10.0, 250.0), (8, 10.0, 500.0)]
)
def test_a_subwoofer_comes_in_within_what_is_told(order: int, low: float, high: float) -> None:
    """20 simulated cabins of each."""
    misses, errors = subwoofers(order, low, high, 60.0, 20)
    assert np.mean(np.abs(misses) <= errors) >= 0.85
    assert abs(np.median(misses)) <= 0.00025
    assert np.max(errors) <= 0.004


@pytest.mark.parametrize("order", [2, 4])
def test_most_subwoofers_come_in_within_half_a_millisecond(order: int) -> None:
    """60 cabins of each, less noise than in whole recordings."""
    misses, _ = subwoofers(order, 10.0, 500.0, 50.0, 60)
    assert np.mean(np.abs(misses) <= 0.0005) >= 0.93


def test_a_cable_is_no_low_pass_and_told_where_it_is() -> None:
    """A loop: nothing but a delay."""
    whole = np.ones(FREQUENCY.size, dtype=np.complex128)
    response = response_of(whole, 10.0, 500.0, 60.0, 1)
    assert [each.order for each, _ in low_passes_of(response, QUIET, RATE, 500.0)] == [0]
    found, within = bass_onset(response, QUIET, RATE, 500.0)
    assert abs(found - LATE) <= within / 2


@pytest.mark.parametrize("order", [2, 4, 6, 8])
def test_a_low_pass_is_read_and_undone(order: int) -> None:
    """Butterworth, by the library: what is undone stands as before, and comes when it came."""
    b, a = filters.butter(order, 80.0, analog=True)

    def box(frequency: FloatArray) -> ComplexArray:
        s = 1j * frequency
        return np.asarray(np.polyval(b, s) / np.polyval(a, s))

    wanted: Response = box
    undone = LowPass(order, 80.0).undone(FREQUENCY)
    np.testing.assert_allclose(undone * wanted(FREQUENCY), 1.0, atol=1e-6)
    response = response_of(box(FREQUENCY), 10.0, 500.0, 70.0, 2)
    found, share = low_passes_of(response, QUIET, RATE, 500.0)[0]
    assert share > 0.9
    assert found.order == order
    assert found.corner == pytest.approx(80.0, rel=0.1)
