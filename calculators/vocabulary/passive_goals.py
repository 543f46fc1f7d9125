"""What a passive crossover is meant to do, and how far the real circuit is from it."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from calculators.physics import decibels, filters
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.passive_circuits import Circuit, CircuitResponse
from calculators.vocabulary.responses import Places, Wanted, places_of

# dB, the least a filter lets through that still counts.
LEAST_HEARD = -20.0
SIDES: tuple[filters.Side, ...] = ("low-pass", "high-pass")


@dataclass(frozen=True)
class Goals:
    """The two filters the parts are meant to be."""

    family: filters.Family
    order: int
    frequency: float

    @cached_property
    def both(self) -> tuple[filters.Sections, filters.Sections]:
        """Low and high."""
        low, high = (
            filters.crossover_filter(side, self.family, self.order, self.frequency) for side in SIDES
        )
        return low, high

    def levels(self, frequency: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Of the low and of the high, dB."""
        low, high = (decibels.level(filters.response(side, frequency)) for side in self.both)
        return low, high

    def heard_up_to(self) -> tuple[float, float]:
        """Frequencies, Hz, where low and high let `LEAST_HEARD` through: both fall steadily."""
        far = np.geomspace(1, 12, 2000)
        low, _ = self.levels(self.frequency * far)
        times = float(np.interp(-LEAST_HEARD, -low, far))
        return self.frequency * times, self.frequency / times


@dataclass(frozen=True)
class Strays:
    """How far, dB, the real circuit's two outputs are from the filters they are meant to be."""

    circuit: Circuit
    goals: Goals

    def of(self, over: CircuitResponse, frequency: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Of the woofer's from the low, and of the tweeter's, its pad made good, from the high."""
        low, high = self.goals.levels(frequency)
        return decibels.level(over.woofer) - low, decibels.level(over.tweeter) - high

    def heard(self, frequency: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Both, NaN where the filter lets less than `LEAST_HEARD` through."""
        low, high = (level > LEAST_HEARD - 1e-4 for level in self.goals.levels(frequency))
        woofer, tweeter = self.of(self.circuit.at(frequency), frequency)
        return np.where(low, woofer, np.nan), np.where(high, tweeter, np.nan)


def sum_level(circuit: Circuit, sign: float, frequency: FloatArray) -> FloatArray:
    """Of both drivers together, the tweeter with that sign, dB."""
    return summed(circuit.at(frequency), sign)


def summed(over: CircuitResponse, sign: float) -> FloatArray:
    """As `sum_level`, of what the circuit does."""
    return decibels.level(over.woofer + sign * over.tweeter)


def around_crossover(curve: int, frequency: float, octaves: int) -> Wanted:
    """Where a sum is looked at, some octaves either side of the crossover."""
    named = (frequency, frequency / 2, frequency * 2)
    return Wanted((curve,), named, low=frequency / 2**octaves, high=frequency * 2**octaves)


@dataclass(frozen=True)
class Looked:
    """Where a circuit is looked at.

    One octave either side of the crossover, where the sum with either polarity turns; two octaves, for
    the charts; all over, where the load turns; and where it strays from its goals.
    """

    sums: tuple[Places, Places]
    drawn: tuple[Places, Places]
    load: Places
    strays: Places


def look_at(circuit: Circuit, goals: Goals) -> Looked:
    """All places at once: what the circuit does is most of the work."""
    strays = Strays(circuit, goals)

    def curves(frequency: FloatArray) -> list[FloatArray]:
        over = circuit.at(frequency)
        return [summed(over, 1.0), summed(over, -1.0), decibels.level(over.load), *strays.of(over, frequency)]

    near, far = (
        [around_crossover(curve, goals.frequency, octaves) for curve in (0, 1)] for octaves in (1, 2)
    )
    load = Wanted((2,), (goals.frequency,))
    stray = Wanted((3, 4), (goals.frequency, *goals.heard_up_to()))
    same, turned, same_drawn, turned_drawn, at_load, at_strays = places_of(curves, [*near, *far, load, stray])
    return Looked((same, turned), (same_drawn, turned_drawn), at_load, at_strays)
