"""Clocks and places, against delays that are known."""

import numpy as np
import pytest

from calculators.declaring import drain
from calculators.physics import deconvolution
from calculators.physics.in_parts import parts
from calculators.physics.sweeps import Signal, checked_sweep, samples, signal_samples


def test_sizes_are_quick_and_large_enough() -> None:
    for least in (17, 1000, 540_000, 1 << 19, (1 << 19) + 1):
        size = deconvolution.good_size(least)
        assert least <= size <= max(1.26 * least, 32)
        while size % 2 == 0:
            size //= 2
        assert size in {1, 3, 5, 9}


def test_a_part_of_long_work_is_of_16384_and_the_last_what_is_left() -> None:
    """So many are worked on in one part, so that a page listens in between."""
    assert [part.stop - part.start for part in parts(40_000)] == [16_384, 16_384, 7_232]


def test_the_highest_near_is_looked_for_on_both_sides() -> None:
    values = np.array([0.0, 0.0, 3.0, 0.0, 0.0, 1.0])
    assert deconvolution._highest_near(values, 1).tolist() == [0, 3, 3, 3, 1, 1]


def test_a_lag_of_a_part_of_a_sample_is_found() -> None:
    """Knapp and Carter 1976: the slope of the cross-spectrum's phase."""
    random = np.random.default_rng(1)
    spectrum = np.fft.rfft(random.normal(size=512) * np.hanning(512), 4096)
    spectrum *= np.exp(-((np.arange(spectrum.size) / 700.0) ** 2))
    turn = np.fft.rfftfreq(4096, 1 / 48_000)
    for lag in (0.0, 3.3e-5, -1.234e-3):
        later = np.fft.irfft(spectrum * np.exp(-2j * np.pi * turn * (lag + 0.01)))
        first = np.fft.irfft(spectrum * np.exp(-2j * np.pi * turn * 0.01))
        found = deconvolution.lag_between(first, later, 48_000, 0.002)
        assert found.time == pytest.approx(lag, abs=1e-9)
        assert found.likeness == pytest.approx(1, abs=1e-6)
    other = random.normal(size=4096)
    assert deconvolution.lag_between(first, other, 48_000, 0.002).likeness < 0.5


def test_the_inverse_takes_its_sweep_out() -> None:
    sweep = checked_sweep(100.0, 15_000.0, 0.5)
    inverse = drain(deconvolution.inverse_of(sweep, 48_000.0, 1 << 15))
    found = np.fft.rfft(drain(deconvolution.impulse_of(samples(sweep, 48_000.0), inverse)))
    middle = (inverse.frequency > 120) & (inverse.frequency < 12_500)
    np.testing.assert_allclose(found[middle], 1, atol=1e-9)
    assert np.max(np.abs(found)) < 1.01
    outside = (inverse.frequency < 95) | (inverse.frequency > 15_500)
    assert np.max(np.abs(found[outside])) < 1e-13


def test_what_presses_a_sweep_together_weighs_its_own_band_alone() -> None:
    """A phase transform: 1 within the band, nothing outside (Knapp and Carter 1976)."""
    sweep = checked_sweep(200.0, 8000.0, 0.25)
    finder = drain(deconvolution.finder_of(sweep, 48_000.0, 1 << 14))
    frequency = np.fft.rfftfreq(1 << 14, 1 / 48_000.0)
    np.testing.assert_allclose(np.abs(finder.factor), deconvolution.band_share(frequency, sweep), atol=1e-9)


def test_a_lag_is_looked_for_as_far_as_there_can_be_one() -> None:
    """A second response later by 10 samples, where 10 are possible, 9, and in one direction alone."""
    random = np.random.default_rng(3)
    first = np.pad(random.normal(size=64), (64, 64))
    for lag in (-10, 10):
        later = np.roll(first, lag)
        assert deconvolution.lag_between(first, later, 1000.0, 0.010).time == pytest.approx(lag / 1000)
        assert abs(deconvolution.lag_between(first, later, 1000.0, 0.009).time - lag / 1000) > 5e-4


def test_a_signal_too_long_for_the_recording_is_told() -> None:
    signal = Signal(checked_sweep(100.0, 15_000.0, 0.5), 0.5, 0.4)
    words = rf"too short: 0\.1 s\. The file .* takes {signal.length:.1f} s \(from 100 Hz up, plays in it: 1\)"
    with pytest.raises(ValueError, match=words):
        deconvolution.place_of(np.ones(100), 1e-3, signal)


def test_the_place_is_that_of_the_first_sweep() -> None:
    signal = Signal(checked_sweep(100.0, 15_000.0, 0.5), 0.5, 0.4)
    sound = np.pad(signal_samples(signal, 0, 48_000.0, 0, round(signal.length * 48_000)), 30_000)
    size = deconvolution.good_size(sound.size + signal.sweep.frames(48_000.0))
    finder = drain(deconvolution.finder_of(signal.sweep, 48_000.0, size))
    energy = drain(deconvolution.pressed_energy(sound, finder, sound.size))
    place = deconvolution.place_of(energy, 1e-3, signal)
    assert place.start == pytest.approx(30_000 / 48_000 + signal.play(0).first, abs=0.0015)
    assert place.quality > deconvolution.FOUND_AT
    assert not place.alone


@pytest.mark.parametrize("more", [-1e-12, 0.0, 1e-12])
def test_no_last_digit_decides_between_two_places(more: float) -> None:
    """A sweep that begins between two blocks gives both the same, but for rounding."""
    signal = Signal(checked_sweep(20, 20_000, 1.0), 0.5, 0.5)
    energy = np.full(5000, 1e-6)
    for begins in (700, 700 + round(signal.spacing / 1e-3)):
        energy[begins : begins + 2] = 1.0, 1.0 + more
    assert deconvolution.place_of(energy, 1e-3, signal).start == pytest.approx(0.7, abs=1e-9)


@pytest.mark.parametrize("later", [0, 1, 2])
def test_both_sweeps_are_found_of_a_clock_that_drifts(later: int) -> None:
    """4.5 s apart, 220 µs in each second are a block of a thousandth; where its edges fall makes it two."""
    signal = Signal(checked_sweep(100.0, 15_000.0, 3.5), 1.0, 1.0)
    energy = np.full(20_000, 1e-6)
    energy[[700, 700 + round(signal.spacing / 1e-3) + later]] = 1.0
    place = deconvolution.place_of(energy, 1e-3, signal)
    assert place.start == pytest.approx(0.7, abs=1e-9)
    assert place.quality == pytest.approx(1e6)
    assert not place.alone
