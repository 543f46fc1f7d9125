"""Sound travelling in air: its speed, its wavelength, and what a second path does to the first."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray


@dataclass(frozen=True)
class OpposedBand:
    """A band of opposed phase: low, centre, high: Hz, its edges and what lies midway."""

    low: float
    centre: float
    high: float


SPEED_OF_SOUND = 343.2
"""m/s in dry air at 20 °C (ISO 9613-1)."""
AIR_DENSITY = 1.204
"""kg/m³ at 20 °C and 101,325 Pa."""
ABSOLUTE_ZERO = -273.15
"""Temperature of absolute zero, °C."""
STANDARD_PRESSURE = 101325.0
"""Standard atmosphere, Pa (ISO 2533)."""
CARBON_DIOXIDE = 400e-6
"""Mole fraction of carbon dioxide taken for today's outdoor air."""


def speed_of_sound(temperature: float) -> float:
    """Speed of sound in dry air, m/s, as every calculator uses it.

    temperature: °C, above -273.15.
    Raises ValueError at or below absolute zero.
    Source: ISO 9613-1:1993, Formula A.5: 343.2 m/s at 20 °C.
    """
    if not temperature > ABSOLUTE_ZERO:
        raise ValueError("temperature must be above absolute zero")
    return SPEED_OF_SOUND * math.sqrt((temperature - ABSOLUTE_ZERO) / 293.15)


def water_vapour_fraction(temperature: float, humidity: float, pressure: float) -> float:
    """Mole fraction of water vapour in moist air.

    temperature: °C. humidity: relative, 0 to 1. pressure: Pa.
    Source: Cramer, JASA 93 (1993) 2510, appendix, equations A1 to A3.
    """
    kelvin = temperature - ABSOLUTE_ZERO
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * temperature**2
    saturation = math.exp(1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6353.6311 / kelvin)
    return humidity * enhancement * saturation / pressure


def humid_speed_of_sound(
    temperature: float,
    humidity: float,
    pressure: float = STANDARD_PRESSURE,
    carbon_dioxide: float = CARBON_DIOXIDE,
) -> float:
    """Speed of sound in moist air, m/s.

    temperature: °C. humidity: relative, 0 to 1. pressure: Pa.
    carbon_dioxide: mole fraction, 0 to 0.01.
    Outside the range in which `cramer_holds` the polynomial is stretched beyond what its author
    fitted; the answer is then a guide only.
    Raises ValueError where an input has no physical meaning.
    Source: Cramer, JASA 93 (1993) 2510, equation 15 and Table III.
    """
    if not (temperature > ABSOLUTE_ZERO and 0 <= humidity <= 1 and pressure > 0):
        raise ValueError("temperature, humidity or pressure outside its physical range")
    if not 0 <= carbon_dioxide <= 0.01:
        raise ValueError("carbon dioxide must be a mole fraction of 0 to 0.01")
    water = water_vapour_fraction(temperature, humidity, pressure)
    gas = carbon_dioxide
    t, p = temperature, pressure
    return (
        331.5024 + 0.603055 * t - 0.000528 * t**2
        + (51.471935 + 0.1495874 * t - 0.000782 * t**2) * water
        + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t**2) * p
        + (-85.20931 - 0.228525 * t + 5.91e-5 * t**2) * gas
        - 2.835149 * water**2 - 2.15e-13 * p**2 + 29.179762 * gas**2
        + 0.000486 * water * p * gas
    )  # fmt: skip


def cramer_holds(temperature: float, humidity: float, pressure: float) -> bool:
    """Whether the air lies in the range Cramer fitted.

    That is 0 to 30 °C, 75 to 102 kPa, and a water mole fraction of at most 0.06.
    Arguments as in `humid_speed_of_sound`. Source: Cramer, JASA 93 (1993) 2510, section III.
    """
    return (
        0 <= temperature <= 30
        and 75e3 <= pressure <= 102e3
        and water_vapour_fraction(temperature, humidity, pressure) <= 0.06
    )


def wavelength[Real: (float, FloatArray)](frequency: Real, speed: float) -> Real:
    """Wavelength, m. frequency: Hz, above 0 (a float or an array). speed: m/s.

    Source: definition.
    """
    return speed / frequency


def notch_frequencies(path_difference: float, speed: float, highest: float = 20000.0) -> FloatArray:
    """Frequencies, Hz, at which a longer second path cancels the direct sound: (2k+1)c/2d.

    path_difference: m, above 0. speed: of sound, m/s. highest: Hz, the last one listed.
    Raises ValueError if the path difference is not above 0.
    Source: Everest and Pohlmann, Master Handbook of Acoustics, comb filters.
    """
    spacing = _comb_spacing(path_difference, speed)
    return np.arange(0.5, highest / spacing * (1 + 1e-12)) * spacing


def peak_frequencies(path_difference: float, speed: float, highest: float = 20000.0) -> FloatArray:
    """Frequencies, Hz, at which a longer second path adds to the direct sound: kc/d, k from 1.

    Arguments, errors and source as in `notch_frequencies`.
    """
    spacing = _comb_spacing(path_difference, speed)
    return np.arange(1, math.floor(highest / spacing * (1 + 1e-12)) + 1) * spacing


def comb_response(
    frequency: FloatArray, path_difference: float, reflection_level: float, speed: float
) -> ComplexArray:
    """Gain, a complex ratio, of direct sound and one reflection over the direct sound alone.

    frequency: Hz, any shape. path_difference: m. reflection_level: dB against the direct sound,
    at the ear. speed: of sound, m/s.
    Source: sum of two phasors, textbook.
    """
    delay = path_difference / speed
    reflected = 10 ** (reflection_level / 20) * np.exp(-2j * math.pi * frequency * delay)
    return np.asarray(1 + reflected, dtype=np.complex128)


def opposed_band(path_difference: float, speed: float, number: int = 0) -> OpposedBand:
    """Band in which equal sounds over two paths are more than 90 degrees apart in phase.

    path_difference: m, above 0. speed: of sound, m/s. number: 0 or more, 0 for the lowest band.
    Lowest: centre c/2d, from c/4d to 3c/4d. Outside it the two add to more than one alone and
    3 dB; inside to less, and at the centre to nothing.
    Raises ValueError if the path difference is not above 0 or the number is below 0.
    Source: geometry of two paths, textbook.
    """
    if number < 0:
        raise ValueError("bands are counted from 0")
    centre = (number + 0.5) * _comb_spacing(path_difference, speed)
    half_width = _comb_spacing(path_difference, speed) / 4
    return OpposedBand(centre - half_width, centre, centre + half_width)


def _comb_spacing(path_difference: float, speed: float) -> float:
    if not path_difference > 0:
        raise ValueError("the path difference must be above 0")
    return speed / path_difference
