"""Filters, delays and clipping of a sound that goes round, against formulas and SciPy."""

import math

import numpy as np
import pytest
from scipy import integrate, signal

from calculators.declaring import drain
from calculators.physics import sound_changes
from calculators.physics.biquads import biquad
from calculators.physics.filters import Sections, cascade, crossover_filter
from calculators.physics.noise import white_noise

RATE, COUNT = 48e3, 4800
AT = np.arange(COUNT) / RATE


def test_a_delay_is_exact_for_parts_of_a_sample() -> None:
    """A tone of whole cycles, later by 1.43 ms and earlier by 3 µs: the same tone with its phase turned."""
    for delay in (1.43e-3, -3e-6):
        found = drain(sound_changes.delayed(np.sin(2 * math.pi * 1000 * AT), delay, RATE))
        assert found == pytest.approx(np.sin(2 * math.pi * 1000 * (AT - delay)), abs=1e-12)


def test_a_filter_is_what_a_recursive_one_settles_to() -> None:
    """SciPy's filter over many rounds of the same sound, the last of which is the steady one."""
    noise = white_noise(COUNT, 1)
    low_cut = crossover_filter("high-pass", "linkwitz-riley", 4, 80.0, RATE)
    peak = biquad("peak", 1000.0, 6.0, 2.0, RATE)
    both = np.concatenate([np.hstack([each.numerator, each.denominator]) for each in (low_cut, peak)])
    settled = signal.sosfilt(both, np.tile(noise, 12))[-COUNT:]
    found = drain(sound_changes.filtered(noise, cascade(low_cut, peak)))
    assert found == pytest.approx(settled, abs=1e-9)


def test_an_analogue_filter_is_refused() -> None:
    analogue = Sections(np.array([[0.0, 0.0, 1.0]]), np.array([[0.0, 1.0, 1.0]]))
    with pytest.raises(ValueError, match="digital"):
        drain(sound_changes.filtered(white_noise(100, 1), analogue))


@pytest.mark.parametrize(("overload", "distortion"), [(2.17, 0.0999), (0.0, 0.0), (40.0, 0.4780)])
def test_distortion_of_a_clipped_tone(overload: float, distortion: float) -> None:
    """10 % takes 2.17 dB (amplifier handbooks); near a square wave, √(π²/8 - 1) = 0.483."""
    assert sound_changes.clipping_distortion(overload) == pytest.approx(distortion, abs=1e-3)


@pytest.mark.parametrize("overload", [1e-4, 0.3, 6.0, 20.0])
def test_distortion_is_what_a_library_integrates(overload: float) -> None:
    """SciPy's integrals of the clipped sine itself, or near its limit of what is cut off."""
    height, angle = 10 ** (overload / 20), math.asin(10 ** (-overload / 20))
    ends = angle, math.pi / 2
    square = 2 / math.pi * integrate.quad(lambda x: (height * math.sin(x) - 1) ** 2, *ends)[0]
    first = 4 / math.pi * integrate.quad(lambda x: (height * math.sin(x) - 1) * math.sin(x), *ends)[0]
    wanted = math.sqrt(2 * square - first**2) / (height - first)
    assert sound_changes.clipping_distortion(overload) == pytest.approx(wanted, rel=1e-6)


@pytest.mark.parametrize("overload", [3.0, 9.0])
def test_a_clipped_tone_has_the_harmonics_of_its_formula(overload: float) -> None:
    """Those within the band: the clipped sound has none above half its rate, folded back or not."""
    clipped = drain(sound_changes.clipped(np.sin(2 * math.pi * 100 * AT), overload))
    amplitude = np.abs(np.fft.rfft(clipped)) * 2 / COUNT
    harmonics = math.sqrt(float(np.sum(amplitude**2)) - amplitude[10] ** 2)
    assert harmonics / amplitude[10] == pytest.approx(sound_changes.clipping_distortion(overload), rel=2e-3)
    assert np.max(np.abs(clipped)) < 1.2


def test_a_tone_is_cut_without_folding_back() -> None:
    """11 kHz: its third harmonic, 33 kHz, would fold to 15 kHz without oversampling."""
    clipped = drain(sound_changes.clipped(np.sin(2 * math.pi * 11e3 * AT), 9.0))
    level = 20 * np.log10(np.abs(np.fft.rfft(clipped)) * 2 / COUNT + 1e-9)
    assert level[1100] > 0
    assert level[1500] < -45


@pytest.mark.parametrize("overload", [0.0, 6.0, 20.0])
def test_cutting_in_steps_is_cutting_at_four_times_the_rate_at_once(overload: float) -> None:
    """Noise up to the highest frequency that the rate takes."""
    sound = white_noise(1200, 3)
    fine = np.fft.irfft(np.fft.rfft(sound), 4 * sound.size)
    cut = np.clip(fine * 10 ** (overload / 20) / np.max(np.abs(fine)), -1, 1)
    whole = np.fft.irfft(np.fft.rfft(cut)[: sound.size // 2 + 1], sound.size) / 4
    assert drain(sound_changes.clipped(sound, overload)) == pytest.approx(whole, abs=1e-12)


def test_silence_and_lowering_are_refused() -> None:
    with pytest.raises(ValueError, match="silence"):
        drain(sound_changes.clipped(np.zeros(100), 3.0))
    with pytest.raises(ValueError, match="zero or more"):
        drain(sound_changes.clipped(AT, -1.0))
    for overload in (-1.0, 41.0):
        with pytest.raises(ValueError, match="0 to 40"):
            sound_changes.clipping_distortion(overload)
