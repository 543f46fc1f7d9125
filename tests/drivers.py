"""Drivers from their mechanical parts, as published examples and tests give them."""

import math

from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.driver_parameters import Driver


def driver_of_parts(
    *, mass: float, compliance: float, resistance: float, force_factor: float, re: float, sd: float
) -> Driver:
    """A driver from its mechanical parts: kg, m/N, kg/s, T·m, Ω, m² (Small 1972)."""
    fs = 1 / (2 * math.pi * math.sqrt(mass * compliance))
    impedance = 2 * math.pi * fs * mass
    return Driver(
        fs=fs,
        qms=impedance / resistance,
        qes=impedance * re / force_factor**2,
        vas=AIR_DENSITY * SPEED_OF_SOUND**2 * sd**2 * compliance,
        sd=sd,
        re=re,
    )
