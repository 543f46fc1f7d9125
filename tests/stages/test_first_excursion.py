"""What the page on polarity tells the reader to look for, through textbook filters.

The first excursion over a tenth of the largest keeps the sign of the pulse; the largest often does
not. Filters are scipy's, at 192 kHz.
"""

import numpy as np
import pytest
from scipy import signal

from calculators.physics.arrays import FloatArray

RATE = 192_000
Wave = FloatArray


def linkwitz_riley(frequency: float, kind: str) -> Wave:
    """24 dB per octave: a second-order Butterworth twice."""
    half = signal.butter(2, frequency, kind, fs=RATE, output="sos")
    return np.vstack([half, half])


TWEETER = linkwitz_riley(3000, "highpass")
DOOR = np.vstack([linkwitz_riley(80, "highpass"), linkwitz_riley(3000, "lowpass")])
SUBWOOFER = np.vstack(
    [linkwitz_riley(80, "lowpass"), signal.butter(2, 45, "highpass", fs=RATE, output="sos")]
)


def sawtooth(rise: float, fall: float) -> Wave:
    """Up in ``rise`` s and down in ``fall`` s, then silence."""
    wave = np.zeros(RATE // 10)
    up, down = int(rise * RATE), int(fall * RATE)
    wave[:up] = np.linspace(0.0, 1.0, up, endpoint=False)
    wave[up : up + down] = np.linspace(1.0, 0.0, down, endpoint=False)
    return wave


def first_and_largest(filters: Wave, wave: Wave) -> tuple[float, float]:
    """Peak of the first excursion over a tenth of the largest, and the largest, in its size."""
    heard = signal.sosfilt(filters, wave)
    heard = heard / np.max(np.abs(heard))
    start = int(np.argmax(np.abs(heard) > 0.1))
    sign = np.sign(heard[start])
    turned = np.flatnonzero(np.sign(heard[start:]) != sign)
    end = start + (int(turned[0]) if turned.size else heard.size)
    first = sign * np.max(np.abs(heard[start:end]))
    return float(first), float(heard[np.argmax(np.abs(heard))])


@pytest.mark.parametrize(
    ("filters", "first", "largest"),
    [(TWEETER, 0.87, -1.0), (DOOR, 1.0, 1.0), (SUBWOOFER, 0.77, -1.0)],
)
def test_the_short_sawtooth_starts_the_right_way(filters: Wave, first: float, largest: float) -> None:
    found = first_and_largest(filters, sawtooth(0.0002, 0.004))
    assert found == (pytest.approx(first, abs=0.01), largest)
    assert found[0] > 0.2
    turned = first_and_largest(filters, -sawtooth(0.0002, 0.004))
    assert turned == pytest.approx((-found[0], -found[1]))


def test_a_slow_rise_starts_the_wrong_way() -> None:
    assert first_and_largest(TWEETER, sawtooth(0.004, 0.0002))[0] < -0.8


def test_a_long_pulse_through_a_door_swings_back_twice_as_far() -> None:
    pulse = np.zeros(RATE // 10)
    pulse[: int(0.003 * RATE)] = np.sin(np.linspace(0.0, np.pi, int(0.003 * RATE)))
    assert first_and_largest(DOOR, pulse) == (pytest.approx(0.53, abs=0.01), -1.0)
