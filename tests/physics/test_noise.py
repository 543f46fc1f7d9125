"""Our own noise: published numbers, even spread, and the slope of pink."""

import re
from pathlib import Path

import numpy as np
import pytest

from calculators.declaring.working import drain
from calculators.physics.bands import third_octave_edges
from calculators.physics.exact_waves import chance
from calculators.physics.noise import (
    BandNoise,
    band_noise,
    crest_expected,
    effective_bandwidth,
    level_scatter,
    pink_noise,
    white_noise,
)

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
    noise = drain(pink_noise(1 << 17, 1, 48e3))
    assert np.mean(noise**2) == pytest.approx(1)
    power = np.abs(np.fft.rfft(noise)) ** 2
    frequency = np.fft.rfftfreq(noise.size, 1 / 48e3)
    octaves = [np.sum(power[(frequency >= low) & (frequency < 2 * low)]) for low in 125 * 2.0 ** np.arange(7)]
    assert np.ptp(10 * np.log10(octaves)) < 0.6
    assert np.all(power[frequency < 19] < 1e-12)


def test_noise_without_any_frequency_is_refused() -> None:
    with pytest.raises(ValueError, match="above 0"):
        drain(pink_noise(100, 0, 48e3, low=0))


def test_nothing_asks_for_a_generator_that_the_page_does_not_have() -> None:
    texts = {path: path.read_text(encoding="utf-8") for path in PACKAGE.rglob("*.py")}
    asked = r"\bnp\.random\b|\bnumpy\.random\b|^(?:import|from) random\b"
    assert [path for path, text in texts.items() if re.search(asked, text, re.MULTILINE)] == []


def exact_sample(noise: BandNoise, place: int) -> int:
    """One sample by whole numbers alone, of any length: 16 bytes of SplitMix64 summed, through the taps."""
    count = noise.taps.size
    pairs = zip(*(chance(2 * noise.seed + part, place, count).tolist() for part in (0, 1)), strict=True)
    white = [sum(sum(number.to_bytes(8, "little")) for number in pair) - 2040 for pair in pairs]
    return sum(int(tap) * value for tap, value in zip(noise.taps, reversed(white), strict=True))


@pytest.mark.parametrize(
    ("low", "high", "pink"), [(20.0, 20e3, True), (17.783, 22.387, True), (500.0, 8e3, False)]
)
def test_band_noise_is_exact_wherever_it_is_begun(low: float, high: float, pink: bool) -> None:
    noise = band_noise(low, high, 48e3, pink, 7)
    made = noise.samples(1000, 5000)
    for place in (0, 4999):
        assert round(made[place] / noise.gain) == exact_sample(noise, 1000 + place)
    np.testing.assert_array_equal(made[2000:], noise.samples(3000, 3000))


@pytest.mark.parametrize(("pink", "slope"), [(True, 0.0), (False, 1.0)])
def test_band_noise_has_its_level_and_its_colour(pink: bool, slope: float) -> None:
    """Third octaves of pink noise are alike, of white noise rise by 1.000 dB (definition; ME-16)."""
    made = band_noise(40.0, 12e3, 48e3, pink, 3).samples(0, 1 << 19)
    assert 10 * np.log10(np.mean(made**2)) == pytest.approx(0, abs=0.2)
    power = np.abs(np.fft.rfft(made)) ** 2
    frequency = np.fft.rfftfreq(made.size, 1 / 48e3)
    edges = third_octave_edges()[10:27]  # 200 Hz to 8 kHz.
    bands = [np.sum(power[(frequency >= low) & (frequency < high)]) for low, high in edges]
    left = 10 * np.log10(bands) - slope * np.arange(len(bands))
    assert np.max(np.abs(left - np.mean(left))) < 0.6
    outside = (frequency < 35) | (frequency > 12_010)
    assert np.sum(power[outside]) < 1e-4 * np.sum(power)


def test_the_crest_of_noise_is_the_one_expected() -> None:
    """Of 8 noises the mean lies within 0.6 dB; 87 s of pink noise: 14.4 dB, one seed, computed before."""
    crests = []
    for seed in range(8):
        made = band_noise(100.0, 10e3, 48e3, False, seed).samples(0, 96_000)
        crests.append(20 * np.log10(np.max(np.abs(made)) / np.sqrt(np.mean(made**2))))
    assert np.mean(crests) == pytest.approx(crest_expected(100.0, 10e3, 2.0, False), abs=0.6)
    assert crest_expected(20.0, 20e3, 87.0, True) == pytest.approx(14.4, abs=0.3)


def test_a_level_scatters_by_the_time_it_is_heard() -> None:
    """33 s of the third octave at 40 Hz: 0.25 dB, 8 s: 0.50 dB (4.34/√BT)."""
    assert level_scatter(44.668 - 35.481, 33.0) == pytest.approx(0.25, abs=0.005)
    assert level_scatter(44.668 - 35.481, 8.0) == pytest.approx(0.506, abs=0.005)
    with pytest.raises(ValueError, match="above zero"):
        level_scatter(0.0, 1.0)


def test_the_level_of_pink_noise_scatters_by_its_low_end() -> None:
    """2 s of 20 Hz to 2 kHz: 40 noises scatter by 0.15 dB, not by the 0.07 of white noise."""
    levels = [
        10 * np.log10(np.mean(band_noise(20.0, 2e3, 8e3, True, seed).samples(0, 16_000) ** 2))
        for seed in range(40)
    ]
    expected = level_scatter(effective_bandwidth(20.0, 2e3, True), 2.0)
    assert expected == pytest.approx(0.1484, abs=0.0002)
    assert np.std(levels, ddof=1) == pytest.approx(expected, rel=0.3)
    assert effective_bandwidth(100.0, 1000.0, False) == 900.0
    with pytest.raises(ValueError, match="needs a band"):
        effective_bandwidth(100.0, 50.0, True)


def test_a_band_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="between 0 and half"):
        band_noise(100.0, 30e3, 48e3, True, 1)
    with pytest.raises(ValueError, match="a band and a duration"):
        crest_expected(100.0, 50.0, 1.0, True)


def test_a_band_is_cut_out_by_24_cycles_of_its_low_end() -> None:
    """So many that a filter of a power of two taps holds them: 24 cycles of 35.16 Hz are 32,768 samples."""
    assert band_noise(24 * 48e3 / 2**15, 100.0, 48e3, True, 1).taps.size == 2**15
