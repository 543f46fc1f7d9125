"""Levels at the ear: from watts, from noise volts, from cone travel, and the budget of power.

Half space throughout: the speaker is in a panel much larger than itself, as sensitivities are
rated. A cabin adds to this below its pressure-zone frequency and is left out.
"""

import math
from dataclasses import dataclass
from typing import Literal

from calculators.physics.air import AIR_DENSITY
from calculators.physics.checking import require_finite, require_not_negative, require_positive
from calculators.physics.decibels import REFERENCE_PRESSURE, SINE_CREST


def sensitivity_per_watt(sensitivity: float, load: float, voltage: float = 2.83) -> float:
    """Sensitivity, dB at 1 W and 1 m, from that at a voltage and 1 m.

    sensitivity: dB SPL. load: Ω, above 0. voltage: V, above 0. Raises ValueError outside those ranges.
    Source: definition.
    """
    require_finite(sensitivity=sensitivity)
    require_positive(load=load, voltage=voltage)
    return sensitivity - 10.0 * math.log10(voltage**2 / load)


def level_from_power(sensitivity: float, power: float, distance: float) -> float:
    """Level, dB SPL, at a distance: sensitivity (1 W, 1 m) + 10 log W - 20 log m.

    sensitivity: dB SPL at 1 W and 1 m. power: W, above 0. distance: m, above 0. No heating of the coil is
    counted. Raises ValueError outside those ranges.
    Source: inverse-square law, textbook.
    """
    require_finite(sensitivity=sensitivity)
    require_positive(power=power, distance=distance)
    return sensitivity + 10.0 * math.log10(power) - 20.0 * math.log10(distance)


def power_for_level(level: float, sensitivity: float, distance: float) -> float:
    """Power, W, for a level at a distance: the inverse of `level_from_power`.

    level: dB SPL. Other arguments, errors and source as in `level_from_power`.
    """
    require_finite(level=level, sensitivity=sensitivity)
    require_positive(distance=distance)
    return float(10.0 ** ((level - sensitivity + 20.0 * math.log10(distance)) / 10.0))


def noise_at_ear(noise_voltage: float, load: float, sensitivity: float, distance: float) -> float:
    """Level, dB SPL, of noise at a speaker: sensitivity + 10 log(V²/Z) - 20 log d.

    noise_voltage: V RMS, above 0. load: Ω, above 0. sensitivity: dB SPL at 1 W and 1 m. distance: m, above 0.
    Raises ValueError outside those ranges.
    Source: textbook, as in `level_from_power`.
    """
    require_positive(noise_voltage=noise_voltage, load=load)
    return level_from_power(sensitivity, noise_voltage**2 / load, distance)


def level_from_excursion(
    area: float, excursion: float, frequency: float, distance: float, density: float = AIR_DENSITY
) -> float:
    """Level, dB SPL, of a piston in half space: p = ρ·ω²·Sd·x/(2·π·r·√2).

    area: m². excursion: m, peak, one way. frequency: Hz. distance: m. density: kg/m³. All above 0. Holds
    while the cone is small against the wavelength (ka below 1).
    Raises ValueError if one is not above 0.
    Source: Beranek and Mellow, Acoustics; Small (1972).
    """
    require_positive(area=area, excursion=excursion, frequency=frequency)
    require_positive(distance=distance, density=density)
    angular = 2.0 * math.pi * frequency
    pressure = density * angular**2 * area * excursion / (2.0 * math.pi * distance * math.sqrt(2.0))
    return 20.0 * math.log10(pressure / REFERENCE_PRESSURE)


@dataclass(frozen=True)
class MaximumLevel:
    """The most a driver gives. level, by_power, by_excursion: dB SPL, the first the lower of the two; the
    limit says which.
    """

    level: float
    by_power: float
    by_excursion: float
    limit: Literal["power", "excursion"]


def maximum_level(
    sensitivity: float,
    power: float,
    area: float,
    excursion: float,
    frequency: float,
    distance: float,
) -> MaximumLevel:
    """Most, dB SPL, that a driver gives at a frequency: the lower of its thermal and its travel limit.

    Arguments, errors and sources as in `level_from_power` and `level_from_excursion`.
    """
    by_power = level_from_power(sensitivity, power, distance)
    by_excursion = level_from_excursion(area, excursion, frequency, distance)
    limit: Literal["power", "excursion"] = "power" if by_power <= by_excursion else "excursion"
    return MaximumLevel(min(by_power, by_excursion), by_power, by_excursion, limit)


@dataclass(frozen=True)
class LevelBudget:
    """What a level at the ear asks for.

    peak_level: dB SPL to reach. power: W, the amplifier rating (of a sine) that does. headroom: dB that the
    given amplifier leaves above the usual level. spare: dB above what was wanted, below 0: under it.
    """

    peak_level: float
    power: float
    headroom: float
    spare: float


def level_budget(
    usual_level: float,
    crest: float,
    wanted_headroom: float,
    sensitivity: float,
    distance: float,
    amplifier_power: float,
) -> LevelBudget:
    """Power from the level wanted at the ear.

    usual_level: dB SPL, average. crest: dB, 0 or more, that the music's peaks stand above it (12 to 18,
    common practice). wanted_headroom: dB over the usual level (6, common practice). sensitivity: dB SPL at
    1 W and 1 m. distance: m, above 0. amplifier_power: W, above 0, its rating with a sine, whose peaks are
    3.01 dB above it, which is allowed for.
    Raises ValueError outside those ranges.
    Source: definition; level arithmetic.
    """
    require_finite(usual_level=usual_level, wanted_headroom=wanted_headroom)
    require_not_negative(crest=crest)
    peak = usual_level + crest + wanted_headroom
    power = power_for_level(peak - SINE_CREST, sensitivity, distance)
    reached = level_from_power(sensitivity, amplifier_power, distance) + SINE_CREST
    headroom = reached - crest - usual_level
    return LevelBudget(peak, power, headroom, headroom - wanted_headroom)
