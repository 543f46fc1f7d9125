"""A passive crossover as it is built: its parts from values to be had, and what they give."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Output, OutputText
from calculators.declaring.quantities import CAPACITANCE, INDUCTANCE, RATIO, RESISTANCE
from calculators.physics import decibels, networks
from calculators.physics.arrays import ComplexArray, FloatArray

# Parts off by a few percent make the two polarities differ by this much, dB, where theory has them alike.
EVEN_WITH_REAL_PARTS = 1.0


@dataclass(frozen=True, kw_only=True)
class Coil:
    """A coil to wind or to buy."""

    part: Annotated[str, OutputText("Coil")]
    inductance: Annotated[float, Output("Worked out", INDUCTANCE, show="mH", figures=4)]
    nearest_inductance: Annotated[float, Output("Nearest value", INDUCTANCE, show="mH", figures=3, trim=True)]
    error: Annotated[float, Output("Off by", RATIO, show="%", decimals=1)]


@dataclass(frozen=True, kw_only=True)
class Capacitor:
    """A capacitor to buy."""

    part: Annotated[str, OutputText("Capacitor")]
    capacitance: Annotated[float, Output("Worked out", CAPACITANCE, show="µF", figures=4)]
    nearest_capacitance: Annotated[
        float, Output("Nearest value", CAPACITANCE, show="µF", figures=3, trim=True)
    ]
    error: Annotated[float, Output("Off by", RATIO, show="%", decimals=1)]


@dataclass(frozen=True, kw_only=True)
class Resistor:
    """A resistor to buy."""

    part: Annotated[str, OutputText("Resistor")]
    resistance: Annotated[float, Output("Worked out", RESISTANCE, figures=4)]
    nearest_resistance: Annotated[float, Output("Nearest value", RESISTANCE, figures=3, trim=True)]
    error: Annotated[float, Output("Off by", RATIO, show="%", decimals=1)]


class Shopping:
    """The list of parts, filled as the circuit is put together from values to be had."""

    def __init__(self, series: networks.ValueSeries) -> None:
        """An empty list; values come from this series."""
        self.series = series
        self.inductors: list[Coil] = []
        self.capacitors: list[Capacitor] = []
        self.resistors: list[Resistor] = []

    def network(
        self, driver: str, parts: tuple[networks.Part, ...], coil_resistance: float
    ) -> tuple[networks.Part, ...]:
        """The same network of nearest values; its parts are put on the list."""
        real = []
        counts = {"inductor": 0, "capacitor": 0}
        for part in parts:
            counts[part.kind] += 1
            letter = "L" if part.kind == "inductor" else "C"
            place = "in series" if part.place == "series" else "across"
            name = f"{driver} {letter}{counts[part.kind]}, {place}"
            nearest = networks.nearest_value(part.value, self.series)
            error = nearest / part.value - 1
            if part.kind == "inductor":
                self.inductors.append(
                    Coil(part=name, inductance=part.value, nearest_inductance=nearest, error=error)
                )
                real.append(networks.Part(part.kind, part.place, nearest, coil_resistance))
            else:
                self.capacitors.append(
                    Capacitor(part=name, capacitance=part.value, nearest_capacitance=nearest, error=error)
                )
                real.append(networks.Part(part.kind, part.place, nearest))
        return tuple(real)

    def zobel(self, resistance: float, inductance: float) -> tuple[float, float]:
        """Nearest resistor and capacitor of a Zobel."""
        exact_resistance, exact_capacitance = networks.zobel(resistance, inductance)
        nearest = networks.nearest_value(exact_capacitance, self.series)
        self.capacitors.append(
            Capacitor(
                part="Zobel, with its resistor",
                capacitance=exact_capacitance,
                nearest_capacitance=nearest,
                error=nearest / exact_capacitance - 1,
            )
        )
        return self.resistor("Zobel, across the woofer", exact_resistance), nearest

    def pad(self, load: float, attenuation: float) -> tuple[float, float]:
        """Nearest resistors of an L-pad."""
        in_series, across = networks.l_pad(load, attenuation)
        return (
            self.resistor("Pad, in series with the tweeter", in_series),
            self.resistor("Pad, across the tweeter", across),
        )

    def resistor(self, name: str, value: float) -> float:
        """Nearest resistor, put on the list."""
        nearest = networks.nearest_value(value, self.series)
        self.resistors.append(
            Resistor(part=name, resistance=value, nearest_resistance=nearest, error=nearest / value - 1)
        )
        return nearest


@dataclass(frozen=True)
class CircuitResponse:
    """Complex gains of both sides (the tweeter's pad made good) and the load of both together."""

    woofer: ComplexArray
    tweeter: ComplexArray
    load: ComplexArray


@dataclass(frozen=True)
class Circuit:
    """The whole crossover: networks, drivers (resistance, inductance, exponent), Zobel and pad if there."""

    woofer: tuple[networks.Part, ...]
    tweeter: tuple[networks.Part, ...]
    woofer_coil: tuple[float, float, float]
    tweeter_coil: tuple[float, float, float]
    zobel: tuple[float, float] | None
    pad: tuple[float, float] | None
    made_good: float

    def at(self, frequency: FloatArray) -> CircuitResponse:
        """What it does at frequencies, Hz."""
        low_load = networks.voice_coil_impedance(frequency, *self.woofer_coil)
        if self.zobel is not None:
            low_load = networks.with_zobel(low_load, frequency, *self.zobel)
        high_load, share = networks.voice_coil_impedance(frequency, *self.tweeter_coil), np.array(1.0 + 0j)
        if self.pad is not None:
            high_load, share = networks.through_pad(high_load, *self.pad)
        low = networks.ladder_response(self.woofer, low_load, frequency)
        high = networks.ladder_response(self.tweeter, high_load, frequency)
        together = np.asarray(1 / (1 / low.impedance + 1 / high.impedance), dtype=np.complex128)
        return CircuitResponse(low.gain, high.gain * share * self.made_good, together)


def even_polarity(around: CircuitResponse) -> tuple[float, str]:
    """Sign of the tweeter that keeps the sum nearer to level, and how to say it."""
    strays = [
        float(np.max(np.abs(decibels.level(around.woofer + sign * around.tweeter)))) for sign in (1.0, -1.0)
    ]
    if abs(strays[0] - strays[1]) < EVEN_WITH_REAL_PARTS:
        return 1.0, "either by level: which is less late depends on the order, see the page"
    return (1.0, "as wired") if strays[0] < strays[1] else (-1.0, "tweeter reversed")


def largest_stray(strays: FloatArray) -> float:
    """The stray farthest from zero, with its sign; 0 if there is none to look at (all are NaN)."""
    known = strays[np.isfinite(strays)]
    return float(known[np.argmax(np.abs(known))]) if known.size else 0.0
