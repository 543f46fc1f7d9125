"""Loudness against the published filter, the standard's own tone, and EBU Tech 3341's test signals."""

import math

import numpy as np
import pytest
from scipy import signal

from calculators.declaring.working import drain
from calculators.physics.arrays import FloatArray
from calculators.physics.filters import response
from calculators.physics.loudness import k_weighting, loudness
from calculators.physics.noise import pink_noise

# ITU-R BS.1770-4, Annex 1, Tables 1 and 2, at 48 kHz (read in print).
STAGES = np.array(
    [
        [1.53512485958697, -2.69169618940638, 1.19839281085285, 1.0, -1.69065929318241, 0.73248077421585],
        [1.0, -2.0, 1.0, 1.0, -1.99004745483398, 0.99007225036621],
    ]
)
FAST = 16_000.0
"""Hz: a tone of 1 kHz needs no more, and the long signals are quick."""


def tone(rate: float, *parts: tuple[float, float], frequency: float = 1000.0) -> FloatArray:
    """A sine on left and right, its parts given as seconds and peaks in dB under full scale (dBFS)."""
    level = np.concatenate([np.full(round(seconds * rate), 10 ** (peak / 20)) for seconds, peak in parts])
    sine = level * np.sin(2 * math.pi * frequency * np.arange(level.size) / rate)
    return np.stack([sine, sine])


def test_the_published_coefficients_come_back_at_48_khz() -> None:
    sections = k_weighting(48e3)
    found = np.concatenate([sections.numerator, sections.denominator], axis=1)
    assert found == pytest.approx(STAGES, abs=1e-12)


@pytest.mark.parametrize("rate", [44.1e3, 48e3, 96e3])
def test_the_weighting_at_any_rate(rate: float) -> None:
    """Levels worked out from the published coefficients at 48 kHz; other rates bend a little at the top."""
    at = np.array([20, 50, 100, 200, 500, 997, 2000, 5000, 10_000.0])
    wanted = [-13.275, -3.934, -1.133, -0.265, 0.042, 0.691, 3.071, 4.013, 4.042]
    found = 20 * np.log10(np.abs(response(k_weighting(rate), at)))
    assert found == pytest.approx(wanted, abs=0.002 if rate == 48e3 else 0.03)


@pytest.mark.parametrize("rate", [16e3, 32e3, 44.1e3, 48e3])
def test_a_tone_at_full_scale_on_one_channel(rate: float) -> None:
    """ITU-R BS.1770-4, Annex 1: 997 Hz, 0 dBFS, on left, right or centre alone is -3.01 LKFS."""
    one = tone(rate, (3.0, 0.0), frequency=997.0)[:1]
    assert drain(loudness(one, rate)) == pytest.approx(-3.01, abs=0.01 if rate > 20e3 else 0.05)


@pytest.mark.parametrize(
    ("parts", "wanted"),
    [
        pytest.param([(20, -23)], -23.0, id="case-1"),
        pytest.param([(20, -33)], -33.0, id="case-2"),
        pytest.param([(10, -36), (60, -23), (10, -36)], -23.0, id="case-3"),
        pytest.param([(10, -72), (10, -36), (60, -23), (10, -36), (10, -72)], -23.0, id="case-4"),
        pytest.param([(20, -26), (20.1, -20), (20, -26)], -23.0, id="case-5"),
    ],
)
def test_the_signals_of_ebu_tech_3341(parts: list[tuple[float, float]], wanted: float) -> None:
    """EBU Tech 3341, table 1, each within 0.1 LU; cases 3 to 5 need both gates."""
    assert drain(loudness(tone(FAST, *parts), FAST)) == pytest.approx(wanted, abs=0.1)


def test_it_is_what_a_filter_in_time_and_plain_loops_give() -> None:
    """An independent way: SciPy's recursive filter with the published coefficients, block by block."""
    noise = 0.1 * drain(pink_noise(144_000, 3, 48e3)) * np.repeat([1.0, 0.05, 0.4], 48_000)
    weighted = signal.sosfilt(STAGES, noise)
    blocks = [np.mean(weighted[at : at + 19_200] ** 2) for at in range(0, 144_000 - 19_200 + 1, 4_800)]
    levels = [-0.691 + 10 * math.log10(power) for power in blocks]
    loud = [power for power, level in zip(blocks, levels, strict=True) if level > -70]
    gate = -0.691 + 10 * math.log10(np.mean(loud)) - 10
    kept = [power for power, level in zip(blocks, levels, strict=True) if level > gate]
    assert drain(loudness(noise[np.newaxis], 48e3)) == pytest.approx(
        -0.691 + 10 * math.log10(np.mean(kept)), abs=1e-6
    )


def test_what_cannot_be_measured_is_refused() -> None:
    for sound, reason in ((np.zeros((1, 48_000)), "loud enough"), (np.ones((1, 100)), "0.4 s")):
        with pytest.raises(ValueError, match=reason):
            drain(loudness(sound, 48e3))
    with pytest.raises(ValueError, match="16 kHz"):
        k_weighting(8e3)
