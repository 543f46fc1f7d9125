"""Thin panels: how they bend, where they ring, and how much sound they let through.

A panel is flat, of one thickness, and heavy against the air. Pressed swages, curves and braces make a
real door skin stiffer: its first mode lies higher than any figure here, its losses stay of the same kind.
"""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_finite, require_not_negative, require_positive

AIR_IMPEDANCE = AIR_DENSITY * SPEED_OF_SOUND
"""Impedance of a plane wave in air at 20 °C, Pa·s/m."""
FIELD_CORRECTION = 5.5
"""dB by which sound from all sides gets through better than sound straight on, in third octaves."""


@dataclass(frozen=True)
class Material:
    """What a panel is made of. modulus: Pa. density: kg/m³. poisson: Poisson's ratio."""

    modulus: float
    density: float
    poisson: float


STEEL = Material(210e9, 7850, 0.30)
ALUMINIUM = Material(70e9, 2700, 0.33)
GLASS = Material(70e9, 2500, 0.23)


def bending_stiffness(modulus: float, thickness: float, poisson: float) -> float:
    """Bending stiffness of a plate per metre of its width, N·m: E·h³/(12·(1 - ν²)).

    modulus: Pa. thickness: m. poisson: 0 to below 1; 0 gives a narrow beam's.
    Raises ValueError outside those ranges. Source: Cremer and Heckl, Structure-Borne Sound.
    """
    require_positive(modulus=modulus, thickness=thickness)
    require_not_negative(poisson=poisson)
    if poisson >= 1:
        raise ValueError(f"poisson must be below 1, not {poisson}")
    return modulus * thickness**3 / (12 * (1 - poisson**2))


def coincidence_frequency(stiffness: float, mass: float, speed: float = SPEED_OF_SOUND) -> float:
    """Frequency, Hz, above which bending waves run faster than sound: c²/(2π)·√(m/B).

    stiffness: N·m. mass: kg/m². speed: of sound, m/s. Raises ValueError for one that is not above 0.
    Source: Cremer and Heckl; Bies, Hansen and Howard, Engineering Noise Control, eq. 7.3.
    """
    require_positive(stiffness=stiffness, mass=mass, speed=speed)
    return speed**2 / (2 * math.pi) * math.sqrt(mass / stiffness)


def supported_frequency(
    stiffness: float, mass: float, length: float, width: float, along: int = 1, across: int = 1
) -> float:
    """Frequency, Hz, of a mode of a plate whose edges are held in place but free to turn.

    (π/2)·√(B/m)·((i/a)² + (j/b)²). stiffness: N·m. mass: kg/m². length, width: m. along, across:
    half waves, 1 or more. Raises ValueError outside.
    Source: Leissa, J. Sound Vib. 31 (1973) 257.
    """
    require_positive(stiffness=stiffness, mass=mass, length=length, width=width, along=along, across=across)
    return math.pi / 2 * math.sqrt(stiffness / mass) * ((along / length) ** 2 + (across / width) ** 2)


def clamped_frequency(stiffness: float, mass: float, length: float, width: float) -> float:
    """Frequency, Hz, of the first mode of a plate whose edges can neither move nor turn.

    Ritz with the even shapes (1 - x²)²·x^2k, four each way: within 1e-5 for sides up to 10 : 1.
    Arguments as in `supported_frequency`. Source: method of Ritz; Leissa, J. Sound Vib. 31 (1973) 257.
    """
    require_positive(stiffness=stiffness, mass=mass, length=length, width=width)
    # Over half-sides a/2, b/2: ∫∫ w_xx² + 2·w_xx·w_yy + w_yy² against ∫∫ w²; the twist term of a clamped
    # plate is the product term (two integrations by parts), so Poisson's ratio drops out.
    ratio = (length / width) ** 2
    square, slope, bend = _CLAMPED_SHAPES
    stiff = (
        np.kron(bend, square) + 2 * ratio * np.kron(slope, slope) + ratio**2 * np.kron(square, bend)
    )  # In units of B·(2/length)⁴.
    root = np.linalg.inv(np.linalg.cholesky(np.kron(square, square)))
    lowest = float(np.linalg.eigvalsh(root @ stiff @ root.T)[0])
    return (2 / length) ** 2 * math.sqrt(lowest * stiffness / mass) / (2 * math.pi)


def _clamped_shapes(count: int = 4) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Integrals over -1 to 1 of products of the shapes, of their slopes and of their bends."""
    size = 2 * count + 3
    shapes = np.zeros((count, size))  # Coefficients by rising power.
    for power in range(count):
        shapes[power, 2 * power : 2 * power + 5] = 1, 0, -2, 0, 1
    even = np.arange(2 * size - 1) % 2 == 0
    over = np.where(even, 2 / np.arange(1, 2 * size), 0.0)  # Of x^n from -1 to 1.

    def integrals(order: int) -> FloatArray:
        derived = shapes
        for _ in range(order):
            derived = np.roll(derived * np.arange(size), -1, axis=1)
        return np.array([[np.convolve(one, other) @ over for other in derived] for one in derived])

    return integrals(0), integrals(1), integrals(2)


_CLAMPED_SHAPES = _clamped_shapes()


def transmission_loss(
    frequency: ArrayLike,
    mass: float,
    layer_mass: float = 0.0,
    air_gap: float = 0.0,
    spring_loss: float = 0.0,
) -> FloatArray:
    """Transmission loss, dB, of a panel and a limp layer on it, for sound straight on.

    frequency: Hz, any shape. mass, layer_mass: kg/m². air_gap: m of foam or air between the two; 0 glues
    them together, and then this is the mass law 10·log(1 + (πfm/ρc)²). spring_loss: loss factor of the
    foam. Sound from all sides: `FIELD_CORRECTION` less. The air in the gap is a spring, which holds up to
    c/(2πd).
    Raises ValueError for values below zero, or a mass or frequency that is not above it.
    Source: mass law and mass-air-mass: Fahy, Foundations of Engineering Acoustics; Bies, Hansen and
    Howard, Engineering Noise Control, eqs 7.40 and 7.62.
    """
    require_positive(mass=mass)
    require_not_negative(layer_mass=layer_mass, air_gap=air_gap, spring_loss=spring_loss)
    at = np.asarray(frequency, dtype=np.float64)
    if not np.all(at > 0):
        raise ValueError("frequencies must be above zero")
    angular = 2 * math.pi * at
    behind = 1j * angular * layer_mass + AIR_IMPEDANCE
    # The spring gives way between panel and layer: what drives the layer is what the spring passes on.
    yielding = 1j * angular * air_gap / (AIR_IMPEDANCE * SPEED_OF_SOUND * (1 + 1j * spring_loss))
    passed_on = 1 / (1 + yielding * behind)
    facing = 1j * angular * mass + behind * passed_on
    ratio = 2 * AIR_IMPEDANCE * passed_on / (facing + AIR_IMPEDANCE)
    return np.asarray(-20 * np.log10(np.abs(ratio)), dtype=np.float64)


def band_transmission_loss(
    centre: ArrayLike,
    mass: float,
    layer_mass: float = 0.0,
    air_gap: float = 0.0,
    spring_loss: float = 0.0,
) -> FloatArray:
    """Transmission loss, dB, in third-octave bands, for sound from all sides.

    centre: exact mid-band frequencies, Hz, one after the other; the rest as in `transmission_loss`. The
    power let through is averaged over the band, then `FIELD_CORRECTION` is taken off. At least 0 dB.
    """
    places = 10 ** (np.linspace(-0.05, 0.05, 41))
    at = np.multiply.outer(np.asarray(centre, dtype=np.float64), places)
    through = 10 ** (-transmission_loss(at, mass, layer_mass, air_gap, spring_loss) / 10)
    return np.asarray(np.maximum(-10 * np.log10(through.mean(axis=-1)) - FIELD_CORRECTION, 0.0))


def mass_air_mass_frequency(mass: float, layer_mass: float, air_gap: float) -> float:
    """Frequency, Hz, at which panel and layer swing against each other on the air between.

    (1/2π)·√(ρc²/d·(1/m1 + 1/m2)). mass, layer_mass: kg/m². air_gap: m. Raises ValueError for one that is
    not above 0.
    Source: Bies, Hansen and Howard, Engineering Noise Control, eq. 7.62.
    """
    require_positive(mass=mass, layer_mass=layer_mass, air_gap=air_gap)
    spring = AIR_IMPEDANCE * SPEED_OF_SOUND / air_gap
    return math.sqrt(spring * (1 / mass + 1 / layer_mass)) / (2 * math.pi)


def with_open_area(loss: ArrayLike, open_fraction: float) -> FloatArray:
    """Transmission loss, dB, of a wall that is open over a part of its area.

    loss: dB of the closed part. open_fraction: 0 to 1. The hole lets everything through, so the loss never
    exceeds -10·log(open fraction).
    Raises ValueError for a part outside 0 to 1, or a loss that is not finite.
    Source: sum of powers over the areas; Bies, Hansen and Howard, composite walls.
    """
    closed = np.asarray(loss, dtype=np.float64)
    require_finite(highest=float(np.max(np.abs(closed), initial=0.0)))
    if not 0 <= open_fraction <= 1:
        raise ValueError(f"open_fraction must be from 0 to 1, not {open_fraction}")
    return np.asarray(
        -10 * np.log10((1 - open_fraction) * 10 ** (-closed / 10) + open_fraction), dtype=np.float64
    )
