"""What a passive crossover is meant to do, and how far the real circuit is from it."""

from dataclasses import dataclass

import numpy as np

from calculators.physics import decibels, filters
from calculators.physics.arrays import FloatArray
from calculators.vocabulary.passive_circuits import Circuit
from calculators.vocabulary.responses import Places, places_shown

# dB, the least a filter lets through that still counts.
LEAST_HEARD = -20.0


@dataclass(frozen=True)
class Goals:
    """The two filters the parts are meant to be."""

    family: filters.Family
    order: int
    frequency: float

    def levels(self, frequency: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Of the low and of the high, dB."""
        low, high = (
            filters.crossover_filter(side, self.family, self.order, self.frequency)
            for side in ("low-pass", "high-pass")
        )
        return decibels.level(filters.response(low, frequency)), decibels.level(
            filters.response(high, frequency)
        )

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

    def woofer(self, frequency: FloatArray) -> FloatArray:
        """Of the woofer's from the low."""
        return decibels.level(self.circuit.at(frequency).woofer) - self.goals.levels(frequency)[0]

    def tweeter(self, frequency: FloatArray) -> FloatArray:
        """Of the tweeter's, its pad made good, from the high."""
        return decibels.level(self.circuit.at(frequency).tweeter) - self.goals.levels(frequency)[1]

    def heard(self, frequency: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Both, NaN where the filter lets less than `LEAST_HEARD` through."""
        low, high = (level > LEAST_HEARD - 1e-4 for level in self.goals.levels(frequency))
        return (
            np.where(low, self.woofer(frequency), np.nan),
            np.where(high, self.tweeter(frequency), np.nan),
        )


def sum_level(circuit: Circuit, sign: float, frequency: FloatArray) -> FloatArray:
    """Of both drivers together, the tweeter with that sign, dB."""
    over = circuit.at(frequency)
    return decibels.level(over.woofer + sign * over.tweeter)


def sum_places(circuit: Circuit, frequency: float, sign: float, octaves: int = 1) -> Places:
    """Where the sum is looked at, some octaves either side of the crossover."""
    return places_shown(
        (lambda where: sum_level(circuit, sign, where),),
        (frequency, frequency / 2, frequency * 2),
        low=frequency / 2**octaves,
        high=frequency * 2**octaves,
    )
