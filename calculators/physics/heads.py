"""What two ears on a head hear of a source: delay and shadow of a rigid sphere."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.checking import require_positive
from calculators.physics.stereo import HEAD_RADIUS

_SURE_TERMS = 16
"""Terms of the series beyond the size of the sphere in waves: what follows is below 1e-9 of the first."""


def at_ear(toward: FloatArray, frequency: FloatArray, speed: float) -> ComplexArray:
    """Sound at an ear, a complex ratio to what would be in the middle of the head with no head there.

    toward: cosine of the angle between the ears' line and the direction to each source, 1 where that faces
    the ear, shape (n,). frequency: Hz, above 0, shape (m,). speed: m/s, of sound. Sources are far away
    against the head. The answer has the shape (n, m).
    Raises ValueError if a cosine is beyond 1, or if speed or a frequency is not above 0.
    Source: a plane wave on a rigid sphere, as Duda and Martens, JASA 104 (1998) 3048, have it:
    1/(ka)² Σ (-j)^(n-1) (2n+1) P(cos) / h', here for phases that fall with time.
    """
    require_positive(speed=speed, frequency=float(np.min(frequency)))
    if not np.all(np.abs(toward) <= 1):
        raise ValueError("a cosine lies within -1 and 1")
    size = 2 * math.pi * HEAD_RADIUS / speed * frequency
    # Spherical Hankel functions and Legendre polynomials, each from the two before it.
    wave, after = np.exp(1j * size) / (1j * size), -np.exp(1j * size) * (size + 1j) / size**2
    legendre, following = np.ones_like(toward), toward
    total = np.zeros((toward.size, frequency.size), dtype=np.complex128)
    turn = 1j
    for order in range(math.ceil(1.3 * float(np.max(size))) + _SURE_TERMS):
        slope = order / size * wave - after
        total += np.multiply.outer(legendre, turn * (2 * order + 1) / slope)
        wave, after = after, (2 * order + 3) / size * after - wave
        legendre, following = (
            following,
            ((2 * order + 3) * toward * following - (order + 1) * legendre) / (order + 2),
        )
        turn *= -1j
    return np.asarray(np.conj(total / size**2), dtype=np.complex128)


def at_both_ears(sines: FloatArray, frequency: FloatArray, speed: float) -> ComplexArray:
    """Sound at the left and the right ear, complex ratios as in `at_ear`, shape (2, sources, frequencies).

    sines: of the angle between straight ahead and each source, seen from above or below alike, above 0 on the
    right. frequency: Hz, above 0. speed: m/s. Raises ValueError as `at_ear` does.
    Source: as in `at_ear`; ears at either end of a diameter.
    """
    return np.stack([at_ear(side * sines, frequency, speed) for side in (-1.0, 1.0)])
