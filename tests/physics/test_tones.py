"""Tones: frequency, level and ends, found again by a transform of the library's."""

import numpy as np
import pytest

from calculators.physics import tones


def test_a_level_is_a_ratio() -> None:
    for level in (0.0, -6.0, -20.0, -90.0):
        assert tones.amplitude(level) == pytest.approx(10 ** (level / 20), rel=1e-15)


def test_a_tone_made_in_parts_is_the_tone_made_at_once() -> None:
    whole = tones.tone(997.0, 48_000.0, 0, 4800)
    parts = np.concatenate([tones.tone(997.0, 48_000.0, start, 1600) for start in (0, 1600, 3200)])
    assert whole.tolist() == parts.tolist()
    np.testing.assert_allclose(whole, np.sin(2 * np.pi * 997 * np.arange(4800) / 48_000), atol=2e-12)


def test_ends_are_soft_and_alike_and_the_middle_is_whole() -> None:
    window = tones.faded(0, 1000, 1000, 100)
    np.testing.assert_allclose(window, window[::-1], atol=1e-12)
    assert window[0] < 1e-4
    assert window[100:900].tolist() == [1.0] * 800
    np.testing.assert_allclose(
        window[:100], np.sin(np.pi / 2 * (np.arange(100) + 0.5) / 100) ** 2, atol=1e-14
    )
    assert [tones.fade_length(one) for one in (50.0, 199.5, 200.0, 400.0)] == [0.05, 0.05, 0.01, 0.01]


def test_no_frequency_is_refused() -> None:
    with pytest.raises(ValueError, match="frequency"):
        tones.tone(0.0, 48_000.0, 0, 10)
