"""Passive crossovers: their parts, the values to be had, and what they do with a real driver."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.filters import Family, Side, bessel_poles, crossover_filter

BesselScale = Literal["magnitude", "phase"]
PartKind = Literal["inductor", "capacitor"]
PartPlace = Literal["series", "shunt"]
ValueSeries = Literal["e12", "e24"]

LADDER_ORDERS: dict[Family, tuple[int, ...]] = {
    "butterworth": (1, 2, 3, 4),
    "linkwitz-riley": (2, 4),
    "bessel": (1, 2, 3, 4),
}
"""Orders each family comes in as a passive network; one order is 6 dB per octave."""

PREFERRED_VALUES: dict[ValueSeries, tuple[float, ...]] = {
    "e12": (1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2),
    "e24": (
        1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0,
        3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1,
    ),
}  # fmt: skip
"""Preferred values in a decade (IEC 60063)."""


@dataclass(frozen=True)
class Part:
    """One part of a network.

    value: H of an inductor, F of a capacitor. resistance: ohm, its own, in series with it.
    """

    kind: PartKind
    place: PartPlace
    value: float
    resistance: float = 0.0


def ladder_elements(family: Family, order: int, bessel_scale: BesselScale = "magnitude") -> tuple[float, ...]:
    """Elements g of the low-pass ladder for 1 ohm and 1 rad/s, the one at the source first.

    The source is a voltage (an amplifier), the load a resistor at the other end. The first element
    is an inductor in series, then they take turns with capacitors across.
    order: number, 1 to 4; Linkwitz-Riley 2 or 4. bessel_scale: corner at -3.01 dB ("magnitude"), or the
    passive tables' own, with the asymptotes meeting at the corner ("phase").
    Raises ValueError for an order the family does not come in.
    Source: continued fraction of the even over the odd part of the denominator, Zverev, Handbook
    of Filter Synthesis, singly terminated ladders.
    """
    if order not in LADDER_ORDERS[family]:
        raise ValueError(f"{family} does not come in order {order}")
    denominator = _denominator(family, order, bessel_scale)
    # Highest power first: this part and every second one after it, and the others.
    upper, lower = list(denominator[0::2]), list(denominator[1::2])
    elements = []
    while lower:
        quotient = upper[0] / lower[0]
        elements.append(quotient)
        below = lower[1:] + [0.0] * (len(upper) - len(lower))
        rest = [high - quotient * low for high, low in zip(upper[1:], below, strict=True)]
        upper, lower = lower, rest
    return tuple(float(each) for each in reversed(elements))


def _denominator(family: Family, order: int, bessel_scale: BesselScale) -> FloatArray:
    """Polynomial of the low-pass at 1 rad/s, highest power first, first and last of them 1."""
    if family == "bessel" and bessel_scale == "phase":
        poles = bessel_poles(order)
        poles = poles / np.prod(np.abs(poles)) ** (1 / order)
        return np.asarray(np.real(np.poly(poles)), dtype=np.float64)
    product = np.array([1.0])
    low_pass = crossover_filter("low-pass", family, order, 1 / (2 * math.pi))
    for section in low_pass.denominator:
        product = np.convolve(product, np.trim_zeros(section, "f"))
    return np.asarray(product / product[-1], dtype=np.float64)


def crossover_parts(
    side: Side,
    family: Family,
    order: int,
    frequency: float,
    load: float,
    bessel_scale: BesselScale = "magnitude",
) -> tuple[Part, ...]:
    """Parts of a passive crossover into a resistor, the one at the amplifier first.

    frequency: Hz, above 0. load: ohm, above 0. The rest as in `ladder_elements`. A high-pass has
    a capacitor for each inductor, and the reverse.
    Raises ValueError for an order the family does not come in, or a frequency or load at or
    below 0.
    """
    if not (frequency > 0 and load > 0):
        raise ValueError("frequency and load must be above 0")
    corner = 2 * math.pi * frequency
    parts = []
    for number, element in enumerate(ladder_elements(family, order, bessel_scale)):
        in_series = number % 2 == 0
        size = element if side == "low-pass" else 1 / element
        inductor = in_series == (side == "low-pass")
        value = size * load / corner if inductor else size / (corner * load)
        kind: PartKind = "inductor" if inductor else "capacitor"
        parts.append(Part(kind, "series" if in_series else "shunt", value))
    return tuple(parts)


def nearest_value(value: float, series: ValueSeries) -> float:
    """Preferred value whose ratio to the wanted one (above 0) is nearest to 1.

    Raises ValueError if the wanted value is not above 0 and finite. Source: IEC 60063.
    """
    if not 0 < value < math.inf:
        raise ValueError("value must be above 0")
    decade = math.floor(math.log10(value))
    choices = [_in_decade(each, decade + step) for step in (-1, 0, 1) for each in PREFERRED_VALUES[series]]
    return min(choices, key=lambda choice: abs(math.log(choice / value)))


def value_not_under(value: float, series: ValueSeries) -> float:
    """Smallest preferred value at or over the wanted one (above 0).

    Raises ValueError if the wanted value is not above 0 and finite. Source: IEC 60063.
    """
    if not 0 < value < math.inf:
        raise ValueError("value must be above 0")
    decade = math.floor(math.log10(value))
    choices = [_in_decade(each, decade + step) for step in (-1, 0, 1) for each in PREFERRED_VALUES[series]]
    return min(choice for choice in choices if choice >= value)


def _in_decade(number: float, decade: int) -> float:
    # Read from its digits, so that 4.7 in the decade of 1e-6 is the number that prints 4.7e-06.
    return float(f"{number}e{decade}")


REFERENCE_FREQUENCY = 1000.0
"""Hz, where a coil's inductance is quoted and a lossy coil has its reactance."""


def voice_coil_impedance(
    frequency: ArrayLike, resistance: float, inductance: float = 0.0, exponent: float = 1.0
) -> ComplexArray:
    """Impedance, ohm, of a driver far above its resonance: its resistance and its coil.

    frequency: Hz, any shape. resistance: ohm. inductance: H, at 1 kHz. exponent: above 0 to 1; 1 is a
    coil without loss. Below 1 it is Re + K·(jω)^n, K such that the reactance at 1 kHz is that of the
    inductance: iron and pole rings make a real coil lossy, and its reactance rise more slowly.
    Raises ValueError for an exponent outside its range.
    Sources: Wright, J. Audio Eng. Soc. 38 (1990) 749; Leach, J. Audio Eng. Soc. 50 (2002) 442.
    """
    if not 0 < exponent <= 1:
        raise ValueError("the exponent must be above 0 and not above 1")
    angular = 2 * math.pi * np.asarray(frequency, dtype=np.float64)
    at_reference = 2 * math.pi * REFERENCE_FREQUENCY
    turn = np.exp(0.5j * math.pi * exponent)
    size = inductance * at_reference ** (1 - exponent) / turn.imag
    return np.asarray(resistance + size * turn * angular**exponent, dtype=np.complex128)


def zobel(resistance: float, inductance: float) -> tuple[float, float]:
    """Resistor (ohm) and capacitor (F), in series with each other, across a driver.

    They make a driver of a resistance (ohm, above 0) and an inductance (H, 0 or more) look like
    the resistance alone: R = Re, C = Le/Re².
    Raises ValueError outside those ranges.
    Source: impedance compensation by Zobel (1928), textbook.
    """
    if not (resistance > 0 and inductance >= 0):
        raise ValueError("resistance must be above 0 and inductance not below 0")
    return resistance, inductance / resistance**2


def with_zobel(
    load: ComplexArray, frequency: ArrayLike, resistance: float, capacitance: float
) -> ComplexArray:
    """Impedance, ohm, of a load with a resistor and a capacitor in series across it.

    load: ohm, in the shape of the frequency. frequency: Hz, above 0. resistance: ohm. capacitance: F.
    Source: Ohm's law.
    """
    angular = 2 * math.pi * np.asarray(frequency, dtype=np.float64)
    admittance = 1j * angular * capacitance / (1 + 1j * angular * capacitance * resistance)
    return np.asarray(1 / (1 / load + admittance), dtype=np.complex128)


def l_pad(load: float, attenuation: float) -> tuple[float, float]:
    """Resistors, ohm, in series with and across a driver that quieten it and keep the load.

    load: ohm, above 0. attenuation: dB, above 0.
    Rs = Z(1 - 1/A), Rp = Z/(A - 1), A = 10^(dB/20).
    Raises ValueError outside those ranges.
    Source: constant-impedance divider, textbook.
    """
    if not (load > 0 and attenuation > 0):
        raise ValueError("load and attenuation must be above 0")
    ratio = 10 ** (attenuation / 20)
    return float(load * (1 - 1 / ratio)), float(load / (ratio - 1))


def through_pad(
    load: ArrayLike, series_resistance: float, shunt_resistance: float
) -> tuple[ComplexArray, ComplexArray]:
    """Impedance (ohm) of a pad with its load, and the voltage that the load gets of the whole.

    load: ohm, any shape, may be complex. series_resistance: ohm, 0 or more. shunt_resistance:
    ohm, above 0, across the load.
    Source: loaded divider, textbook.
    """
    impedance = np.asarray(load, dtype=np.complex128)
    across = impedance * shunt_resistance / (impedance + shunt_resistance)
    whole = np.asarray(series_resistance + across, dtype=np.complex128)
    return whole, np.asarray(across / whole, dtype=np.complex128)


@dataclass(frozen=True, eq=False)
class LadderResponse:
    """What a network does, complex, in the shape of the frequency.

    gain: ratio of the voltage at the load to that of the amplifier. impedance: ohm, that the amplifier sees.
    """

    gain: ComplexArray
    impedance: ComplexArray


def ladder_response(parts: tuple[Part, ...], load: ArrayLike, frequency: ArrayLike) -> LadderResponse:
    """What a network does between an amplifier and a load, whatever its impedance.

    parts: the one at the amplifier first. load: ohm, may be complex, one or in the shape of
    frequency; its real part above 0. frequency: Hz, above 0, any shape.
    Worked from the load back with 1 V across it, as a chain of two-ports does.
    Raises ValueError for a frequency or a load's resistance at or below 0.
    Source: chain matrices (ABCD), textbook.
    """
    values = np.asarray(frequency, dtype=np.float64)
    impedance = np.asarray(load, dtype=np.complex128)
    if not (np.all(values > 0) and np.all(impedance.real > 0)):
        raise ValueError("frequency and the load's resistance must be above 0")
    voltage = np.ones(np.broadcast_shapes(values.shape, impedance.shape), dtype=np.complex128)
    current = voltage / impedance
    for part in reversed(parts):
        own = part_impedance(part, values)
        if part.place == "series":
            voltage = voltage + current * own
        else:
            current = current + voltage / own
    return LadderResponse(np.asarray(1 / voltage), np.asarray(voltage / current))


def part_impedance(part: Part, frequency: ArrayLike) -> ComplexArray:
    """Impedance, ohm, of a part at frequencies (Hz, above 0) of any shape. Source: definition."""
    angular = 2j * math.pi * np.asarray(frequency, dtype=np.float64)
    reactance = angular * part.value if part.kind == "inductor" else 1 / (angular * part.value)
    return np.asarray(part.resistance + reactance, dtype=np.complex128)
