"""Our own noise: published numbers, even spread, and the slope of pink."""

import re
from pathlib import Path

import numpy as np
import pytest

from calculators.physics.noise import pink_noise, white_noise

PACKAGE = Path(__file__).resolve().parents[2] / "calculators"


def test_the_numbers_are_the_published_ones() -> None:
    """SplitMix64 from 0: the first two that its reference program prints (from memory)."""
    wanted = np.array([0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4], dtype=np.uint64)
    assert np.array_equal((white_noise(2, 0) + 1) * 2.0**52, wanted >> np.uint64(11))


def test_white_noise_is_even_and_without_memory() -> None:
    noise = white_noise(1 << 16, 5)
    assert -1 <= noise.min() < -0.999
    assert 0.999 < noise.max() < 1
    counts, _ = np.histogram(noise, 16, (-1, 1))
    assert np.max(np.abs(counts / 4096 - 1)) < 0.06
    assert abs(float(np.mean(noise[1:] * noise[:-1]))) < 0.01
    assert not np.array_equal(noise, white_noise(1 << 16, 6))


def test_pink_noise_has_the_same_power_in_every_octave() -> None:
    noise = pink_noise(1 << 17, 1, 48e3)
    assert np.mean(noise**2) == pytest.approx(1)
    power = np.abs(np.fft.rfft(noise)) ** 2
    frequency = np.fft.rfftfreq(noise.size, 1 / 48e3)
    octaves = [np.sum(power[(frequency >= low) & (frequency < 2 * low)]) for low in 125 * 2.0 ** np.arange(7)]
    assert np.ptp(10 * np.log10(octaves)) < 0.6
    assert np.all(power[frequency < 19] < 1e-12)


def test_noise_without_any_frequency_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        pink_noise(100, 0, 48e3, low=0)


def test_nothing_asks_for_a_generator_that_the_page_does_not_have() -> None:
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    asked = r"\bnp\.random\b|\bnumpy\.random\b|^(?:import|from) random\b"
    assert [path for path, text in texts.items() if re.search(asked, text, re.MULTILINE)] == []
