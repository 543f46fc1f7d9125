"""How long reaction and moisture take to harden an adhesive, a sealant or a primer."""

import math

from calculators.physics.checking import require_finite, require_fraction, require_positive

REFERENCE = 23.0
"""Temperature, °C, at which data sheets state their times."""
REFERENCE_HUMIDITY = 0.5


def slowness(temperature: float, reference: float = REFERENCE) -> float:
    """How many times as long a reaction takes as at the reference: twice as long for each 10 K less.

    temperature, reference: °C. Raises ValueError if not finite.
    Source: rule of thumb (van 't Hoff); a product's own curve stands above it.
    """
    require_finite(temperature=temperature, reference=reference)
    return float(2 ** ((reference - temperature) / 10))


def depth_time(depth: float, known_depth: float, known_time: float) -> float:
    """Time, s, until moisture from the air has cured a bead to a depth: it grows as its square.

    depth, known_depth: m, above 0. known_time: s, above 0, for the known depth.
    Raises ValueError outside those ranges.
    Source: diffusion through the skin that has cured already.
    """
    require_positive(depth=depth, known_depth=known_depth, known_time=known_time)
    return known_time * (depth / known_depth) ** 2


def dryness(humidity: float) -> float:
    """How many times as long moisture cure takes as at 50 % relative humidity: 0.5 over it.

    humidity: share, above 0 to 1. Raises ValueError outside.
    Source: what diffuses in is in proportion to the water in the air; a guide.
    """
    require_fraction(humidity=humidity)
    return REFERENCE_HUMIDITY / humidity


def cured_depth(time: float, known_depth: float, known_time: float) -> float:
    """Depth, m, to which a bead has cured after a time (s). Arguments and errors as in `depth_time`."""
    require_positive(time=time, known_depth=known_depth, known_time=known_time)
    return known_depth * math.sqrt(time / known_time)
