"""Two ears on a sphere: against SciPy's Bessel functions and what was published of heads."""

import math

import numpy as np
import pytest
from scipy.special import eval_legendre, spherical_jn, spherical_yn

from calculators.physics import heads, stereo

SPEED = 343.0
AT = np.array([40.0, 250.0, 1000.0, 4000.0, 16_000.0])


@pytest.mark.parametrize("toward", [1.0, 0.5, 0.0, -0.3, -1.0])
def test_the_series_is_that_of_a_plane_wave_on_a_rigid_sphere(toward: float) -> None:
    """Morse and Ingard, Theoretical Acoustics: the sum to 60 terms, by SciPy's functions."""
    size = 2 * np.pi * AT * stereo.HEAD_RADIUS / SPEED
    total = np.zeros(AT.shape, dtype=complex)
    for order in range(60):
        slope = spherical_jn(order, size, True) + 1j * spherical_yn(order, size, True)
        term = 1j * (-1j) ** order * (2 * order + 1) * eval_legendre(order, toward) / slope / size**2
        total += np.where(np.isfinite(term), term, 0)
    assert heads.at_ear(np.array([toward]), AT, SPEED)[0] == pytest.approx(np.conj(total), rel=1e-6, abs=1e-9)


@pytest.mark.parametrize("angle", [10.0, 30.0, 60.0])
def test_low_notes_are_late_by_three_radii_and_the_sine(angle: float) -> None:
    """Kuhn, JASA 62 (1977) 157: 3 a/c sin θ at low frequencies (from memory)."""
    sine = math.sin(math.radians(angle))
    left, right = heads.at_both_ears(np.array([sine]), np.array([50.0]), SPEED)
    late = float(np.angle(right / left)[0, 0]) / (2 * math.pi * 50)
    assert late == pytest.approx(3 * stereo.HEAD_RADIUS / SPEED * sine, rel=0.01)


def test_a_high_note_is_doubled_at_the_ear_that_faces_it_and_in_the_shadow_at_the_other() -> None:
    """A plane wave on a wall comes back whole, 6 dB; the deepest shadow lies beside the bright spot."""
    left, right = heads.at_both_ears(np.array([1.0]), np.array([16_000.0]), SPEED)
    assert 20 * math.log10(abs(right[0, 0])) == pytest.approx(6.02, abs=0.5)
    shade, bright = heads.at_ear(np.cos(np.radians([160.0, 180.0])), np.array([4000.0]), SPEED)[:, 0]
    assert 20 * math.log10(abs(shade / bright)) < -6
    assert abs(left[0, 0]) < abs(right[0, 0])


def test_refusals() -> None:
    with pytest.raises(ValueError, match="cosine"):
        heads.at_ear(np.array([1.1]), AT, SPEED)
    with pytest.raises(ValueError, match="above zero"):
        heads.at_ear(np.array([0.0]), np.array([0.0]), SPEED)
