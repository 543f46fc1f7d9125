"""What is read off an impulse response, against responses whose answer is known."""

import numpy as np
import pytest
from scipy import signal as filters

from calculators.declaring import drain
from calculators.physics import deconvolution, impulse_responses
from calculators.physics.impulse_responses import Beginning
from calculators.physics.sweeps import Sweep
from tests.recordings import Cabin, Response, speaker


def test_minimum_phase_is_that_of_a_filter_of_least_delay() -> None:
    """A digital Butterworth high-pass of the library's has no more phase than its level asks for."""
    b, a = filters.butter(2, 200, "high", fs=48_000)
    frequency = np.linspace(0, 24_000, (1 << 15) + 1)
    _, response = filters.freqz(b, a, worN=frequency, fs=48_000)
    level = 20 * np.log10(np.maximum(np.abs(response), 1e-9))
    found = impulse_responses.minimum_phase(level, frequency, 25.0, 20_000.0)
    chosen = (frequency > 60) & (frequency < 5000)
    np.testing.assert_allclose(found[chosen], np.degrees(np.angle(response))[chosen], atol=2)


def test_the_power_of_a_hum_behind_a_window_is_that_of_its_two_phases() -> None:
    """A tone of amplitude 2: the mean over a sine and a cosine. White noise: the sum of the squares."""
    size, window = 4096, impulse_responses.window_of(50, 1500)
    turn = 2 * np.pi * 100 * np.arange(window.size) / size
    mean = np.mean(
        [np.abs(np.fft.rfft(2 * wave(turn) * window, size)) ** 2 for wave in (np.sin, np.cos)], axis=0
    )
    line = np.zeros(size // 2 + 1)
    line[100] = size  # A line of power 2² / 2, half of it at its negative frequency.
    found = impulse_responses.power_behind(line, window)
    np.testing.assert_allclose(found, mean, rtol=1e-6, atol=1e-9 * np.max(mean))
    white = impulse_responses.power_behind(np.full(size // 2 + 1, 0.5), window)
    np.testing.assert_allclose(white, 0.5 * np.sum(window**2))


def test_group_delay_is_that_of_a_filter_and_of_a_delay() -> None:
    """The library's own group delay of its filter, and 3 ms more of a pure delay."""
    b, a = filters.butter(1, [150, 3000], "band", fs=48_000)
    frequency = np.linspace(0, 24_000, (1 << 15) + 1)
    _, response = filters.freqz(b, a, worN=frequency, fs=48_000)
    at = np.geomspace(100, 4000, 60)
    _, wanted = filters.group_delay((b, a), w=at, fs=48_000)
    turned = response * np.exp(-2j * np.pi * frequency * 0.003)
    found = impulse_responses.group_delay(turned, frequency, at, 1 / 48)
    np.testing.assert_allclose(found, wanted / 48_000 + 0.003, atol=3e-5)


def test_means_over_bands_weigh_every_octave_alike() -> None:
    frequency = np.linspace(0, 24_000, 1 << 16)
    low, high = np.array([100.0, 1000.0]), np.array([200.0, 1300.0])
    found = impulse_responses.band_means(frequency, frequency, low, high)
    # The mean of f over ln f from a to b is (b - a)/ln(b/a).
    np.testing.assert_allclose(found, (high - low) / np.log(high / low), rtol=1e-5)
    np.testing.assert_allclose(
        impulse_responses.band_means(np.full_like(frequency, 3.0), frequency, low, high), 3.0, rtol=1e-12
    )


def test_a_mean_over_a_band_that_ends_between_two_frequencies_is_exact() -> None:
    """Of ln f, from a to b over ln f: the logarithm of √(a·b), where the grid is as coarse as 1 Hz."""
    frequency = np.arange(0.0, 33.0)
    values = np.log(np.maximum(frequency, 0.5))
    low, high = np.array([3.3, 1.2, 9.5]), np.array([7.7, 1.7, 30.1])
    found = impulse_responses.band_means(values, frequency, low, high)
    np.testing.assert_allclose(found, np.log(np.sqrt(low * high)), rtol=1e-12)


def test_a_delay_taken_out_leaves_no_phase() -> None:
    response = np.zeros(4096)
    response[100] = 1.0
    spectrum = impulse_responses.gated_spectrum(response, 100, 20, 0.02, None, 100 / 48_000, 48_000, 4096)
    np.testing.assert_allclose(spectrum, 1.0, atol=1e-9)
    by_cycles = impulse_responses.gated_spectrum(response, 100, 20, 0.02, 10.0, 100 / 48_000, 48_000, 4096)
    np.testing.assert_allclose(by_cycles, 1.0, atol=1e-9)


def test_so_many_cycles_leave_out_what_comes_later() -> None:
    """An echo after 5 ms: gone at 5 kHz within 10 cycles (2 ms), there at 400 Hz (25 ms)."""
    response = np.zeros(8192)
    response[100], response[340] = 1.0, 0.5
    spectrum = impulse_responses.gated_spectrum(response, 100, 20, 0.05, 10.0, 100 / 48_000, 48_000, 8192)
    frequency = np.fft.rfftfreq(8192, 1 / 48_000)
    ripple = [np.ptp(np.abs(spectrum[(frequency > f / 1.3) & (frequency < f * 1.3)])) for f in (400, 5000)]
    assert ripple[0] > 0.8
    assert ripple[1] < 0.01


def test_decay_of_an_exponential_is_a_straight_line() -> None:
    """Schroeder 1965; ISO 3382-1: T 0.12 s falls by 60 dB in 0.12 s, within 0.5 %."""
    time = np.arange(24_000) / 48_000
    found = impulse_responses.decay_curve(10 ** (-3 * time / 0.12))
    chosen = (found < -5) & (found > -35)
    slope = np.polyfit(time[chosen], found[chosen], 1)[0]
    assert -60 / slope == pytest.approx(0.12, rel=0.005)


EARLY = Cabin(0.003, (0.00035, 0.00043, 0.00044, 0.00073), (-0.47, -0.55, -0.34, -0.32))
"""Four reflections that come upside down, together stronger than the direct sound."""


def beginning_in(room: Response, driver: Response, low: float, high: float) -> Beginning:
    """How a response begins in 80 ms around the direct sound, as a sweep leaves it; no noise."""
    rate, size = 48_000.0, 1 << 15
    frequency = np.fft.rfftfreq(size, 1 / rate)
    share = deconvolution.band_share(frequency, Sweep(low, high, 2.0))
    turn = np.exp(-2j * np.pi * frequency * 0.02)
    whole = np.fft.irfft(driver(frequency) * room(frequency) * share * turn, size)
    part = drain(impulse_responses.softened(whole, rate, high))[: round(0.08 * rate)]
    return impulse_responses.beginning_of(part, rate, low, high)


@pytest.mark.parametrize(("low", "high", "top"), [(10.0, 500.0, 80.0), (20.0, 20_000.0, 110.0)])
def test_the_polarity_of_bass_alone_is_never_certain(low: float, high: float, top: float) -> None:
    """Before, these read the wrong way round and certain."""
    found = beginning_in(EARLY, speaker(40.0, top, 2, 4), low, high)
    assert (found.sign, found.certain, found.bass_alone) == (-1, False, True)


def test_a_door_s_polarity_is_certain_where_a_subwoofer_s_is_not() -> None:
    found = beginning_in(EARLY, speaker(70.0, 3000.0, 2, 4), 30.0, 8000.0)
    assert (found.sign, found.certain, found.bass_alone) == (1, True, False)


@pytest.mark.parametrize(("high", "bass_alone"), [(1200.0, True), (1300.0, False)])
def test_what_plays_no_higher_than_1_khz_is_bass_alone(high: float, bass_alone: bool) -> None:
    """Four fifths of a sweep are looked at: 960 and 1040 Hz here."""
    found = beginning_in(EARLY, speaker(70.0, 3000.0, 2, 4), 30.0, high)
    assert found.bass_alone == bass_alone


def test_what_plays_evenly_plays_to_the_end_of_what_is_looked_at() -> None:
    """A single sample of 1 is as strong everywhere: four fifths of the sweep's top."""
    pulse = np.eye(1, 4096, 200)[0]
    assert impulse_responses.plays_to(pulse, 48_000.0, 20_000.0) == pytest.approx(16_000.0)
    assert impulse_responses.plays_to(pulse, 48_000.0, 5000.0) == pytest.approx(4000.0)
