"""Sound travelling in air: its speed, its wavelength, and what a second path does to the first."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

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
    return 343.2 * math.sqrt((temperature - ABSOLUTE_ZERO) / 293.15)


def water_vapour_fraction(temperature: float, humidity: float, pressure: float) -> float:
    """Mole fraction of water vapour in moist air.

    temperature: °C. humidity: relative, 0 to 1. pressure: Pa.
    Source: Cramer, JASA 93 (1993) 2510, appendix, equations A1 to A3.
    """
    kelvin = temperature - ABSOLUTE_ZERO
    enhancement = 1.00062 + 3.14e-8 * pressure + 5.6e-7 * temperature**2
    saturation = math.exp(
        1.2811805e-5 * kelvin**2 - 1.9509874e-2 * kelvin + 34.04926034 - 6353.6311 / kelvin
    )
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
    """Wavelength, m. frequency: Hz, above 0 (a float or an array). speed: m/s."""
    return speed / frequency
