"""Where a voice stands, against the law of sines and geometry."""

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.physics import stereo

# An equilateral triangle: speakers at 30 degrees either side.
EVEN = stereo.seat(1.0, 1.0, 1.0)


def test_a_seat_is_a_triangle() -> None:
    assert EVEN.aside == pytest.approx(0.5)
    assert EVEN.depth == pytest.approx(math.sqrt(0.75))
    assert (EVEN.near, EVEN.far) == pytest.approx((-0.5, 0.5))
    # 3, 4, 5: a right angle at the head.
    right = stereo.seat(3.0, 4.0, 5.0)
    assert right.depth == pytest.approx(2.4)
    assert right.aside == pytest.approx(1.8)


@pytest.mark.parametrize(
    ("level", "sine"), [(0.0, 0.0), (20 * math.log10(2), 1 / 6), (20 * math.log10(3), 0.25)]
)
def test_law_of_sines_of_an_even_pair(level: float, sine: float) -> None:
    """Clark, Dutton and Vanderlyn 1957: sin image = (L - R)/(L + R) sin 30°."""
    assert stereo.image_sine(EVEN, level) == pytest.approx(sine)
    assert stereo.level_for_sine(EVEN, sine) == pytest.approx(level, abs=1e-12)


@given(st.floats(0.5, 1.2), st.floats(0.0, 0.9), st.floats(-12, 12))
def test_low_tones_reach_the_ears_as_from_one_source(near: float, longer: float, level: float) -> None:
    """Phasors at two ears of a small head: their phase is that of a single source at the image."""
    between = 0.6 + 0.9 * longer
    place = stereo.seat(near, near + 0.7 * longer, between)
    weight, small = 10 ** (level / 20), 1e-4

    def ear(side: float) -> complex:
        return sum(
            gain * cmath.exp(1j * side * small * sine)
            for gain, sine in ((1, place.near), (weight, place.far))
        )

    phase = cmath.phase(ear(1) / ear(-1))
    assert math.sin(phase) / (2 * small) == pytest.approx(stereo.image_sine(place, level), abs=1e-6)


def test_delay_between_the_ears() -> None:
    """Woodworth: a source at the side is some 0.66 ms late at the far ear, in air of 343 m/s."""
    assert stereo.interaural_delay(math.pi / 2, 343.0) == pytest.approx(0.656e-3, abs=1e-6)
    assert stereo.interaural_delay(-0.3, 343.0) == -stereo.interaural_delay(0.3, 343.0)


def test_refusals() -> None:
    for lengths in ((0.0, 1.0, 1.0), (1.0, 1.0, 2.5), (1.0, 3.0, 1.0)):
        with pytest.raises(ValueError, match=r"above zero|triangle"):
            stereo.seat(*lengths)
    with pytest.raises(ValueError, match="between the speakers"):
        stereo.level_for_sine(EVEN, 0.6)
    with pytest.raises(ValueError, match="quarter turn"):
        stereo.interaural_delay(2.0, 343.0)
