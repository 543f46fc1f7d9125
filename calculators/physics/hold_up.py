"""Hold-up: a capacitor that carries a device through a starting dip, its charging and its bleeding.

The circuit: supply, isolator (a diode or its active likeness), then capacitor and load side by
side. The isolator keeps the starter motor from drinking the capacitor: the capacitor feeds the
load only while it stands above the supply less the isolator's drop.

Sources: charge and energy of a capacitor (textbook); starting profile of ISO 16750-2.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from calculators.physics.checking import (
    require_finite,
    require_fraction,
    require_not_negative,
    require_positive,
)

Level = Literal["I", "II", "III", "IV"]
LARGEST_CAPACITANCE = 1e4
SMALLEST_CAPACITANCE = 1e-9
"""Farad between which an answer is sought: wider than anything that can be bought."""


@dataclass(frozen=True)
class Load:
    """What the capacitor feeds: ``power`` watts (a converter) and ``current`` ampere, added."""

    power: float = 0.0
    current: float = 0.0

    def __post_init__(self) -> None:
        """Refuse a load below zero or of nothing."""
        require_not_negative(power=self.power, current=self.current)
        require_positive(load=self.power + self.current)


@dataclass(frozen=True)
class SupplyDip:
    """Supply voltage by time, straight between its points: rising ``time`` in s, ``voltage`` in V.

    ``confidence`` says how the points are known: ``published``, ``memory`` or ``measured``.
    """

    time: NDArray[np.float64]
    voltage: NDArray[np.float64]
    confidence: Literal["published", "memory", "measured"] = "measured"

    def __post_init__(self) -> None:
        """Refuse points that are not a voltage over rising time."""
        if self.time.ndim != 1 or self.time.shape != self.voltage.shape or self.time.size < 2:
            raise ValueError("a dip needs two or more points, a time and a voltage each")
        if not (np.isfinite(self.time).all() and np.isfinite(self.voltage).all()):
            raise ValueError("times and voltages of a dip must be finite numbers")
        if (np.diff(self.time) <= 0.0).any() or (self.voltage < 0.0).any():
            raise ValueError("times of a dip must rise and its voltages be zero or more")


@dataclass(frozen=True)
class RideThrough:
    """The dip as the device sees it, arrays of one length: s and V.

    ``lowest`` is the least voltage at the device, ``lost_at`` the first time in s at which it is
    under the minimum, ``None`` if never.
    """

    time: NDArray[np.float64]
    supply: NDArray[np.float64]
    capacitor: NDArray[np.float64]
    device: NDArray[np.float64]
    lowest: float
    lost_at: float | None


# Level: first dip V, plateau trough V, plateau s, recovery s. Level I from ISO 16750-2:2003
# clause 4.5.3 as read in print; II to IV from memory, with the longest recovery (100 ms).
_STARTING_LEVELS: dict[Level, tuple[float, float, float, float]] = {
    "I": (8.0, 9.5, 1.0, 0.040),
    "II": (4.5, 6.5, 10.0, 0.100),
    "III": (3.0, 5.0, 1.0, 0.100),
    "IV": (6.0, 6.5, 10.0, 0.100),
}
_FALL, _HOLD, _RISE = 0.005, 0.015, 0.050
_RIPPLE_PEAK, _RIPPLE_FREQUENCY, _POINTS_PER_CYCLE = 1.0, 2.0, 80


def starting_profile(level: Level, rest: float = 12.0) -> SupplyDip:
    """Supply voltage while the engine starts, 12 V vehicle, by the levels of ISO 16750-2.

    Down to the dip in 5 ms, held 15 ms, up in 50 ms to the plateau, on which a sine of 2 Hz and
    2 V peak to peak rides (the standard's plateau figure is its trough), then back to ``rest``
    volts (12 in the standard). Level I is published; II to IV are from memory.
    """
    if level not in _STARTING_LEVELS:
        raise ValueError(f"level must be I, II, III or IV, not {level}")
    dip, trough, plateau, recovery = _STARTING_LEVELS[level]
    if not trough + _RIPPLE_PEAK <= rest <= 16.0:
        raise ValueError(f"the voltage before the start must be {trough + 1:g} to 16 V")
    begin = _FALL + _HOLD + _RISE
    cycles = plateau * _RIPPLE_FREQUENCY
    riding = np.linspace(0.0, plateau, round(cycles * _POINTS_PER_CYCLE) + 1)
    ripple = _RIPPLE_PEAK * np.sin(2.0 * np.pi * _RIPPLE_FREQUENCY * riding)
    end = begin + plateau + recovery
    time = np.concatenate([[0.0, _FALL, _FALL + _HOLD], begin + riding, [end]])
    voltage = np.concatenate([[rest, dip, dip], trough + _RIPPLE_PEAK + ripple, [rest]])
    return SupplyDip(time, voltage, "published" if level == "I" else "memory")


def supply_gone(duration: float) -> SupplyDip:
    """The plainest dip: no supply at all for ``duration`` seconds."""
    require_positive(duration=duration)
    return SupplyDip(np.array([0.0, duration]), np.zeros(2))


def stored_energy(capacitance: float, voltage: float) -> float:
    """Joule in a capacitor: C V2/2, farad and volts."""
    require_not_negative(capacitance=capacitance, voltage=voltage)
    return 0.5 * capacitance * voltage**2


def usable_energy(capacitance: float, start: float, minimum: float) -> float:
    """Joule a capacitor gives from ``start`` down to ``minimum`` volts: C (V1² - V2²)/2."""
    _require_fall(start, minimum)
    return stored_energy(capacitance, start) - stored_energy(capacitance, minimum)


def _require_fall(start: float, minimum: float) -> None:
    require_finite(start=start)
    require_positive(minimum=minimum)
    if start <= minimum:
        raise ValueError("the capacitor must start above the device's minimum voltage")


def _seconds_per_farad(load: Load, start: float, minimum: float, resistance: float) -> float:
    """Time each farad holds a load of one kind, exactly.

    With a constant power the device's voltage v obeys C (v - P R/v) dv = -P dt, so the farad gives
    ((v1² - v2²)/2 - P R ln(v1/v2))/P; with a constant current it gives (v1 - v2)/I.
    """
    _require_fall(start, minimum)
    first = _device_voltage(start, load, resistance)
    if first <= minimum:
        raise ValueError("the capacitor's resistance alone drops the device below its minimum")
    if load.power == 0.0:
        return (first - minimum) / load.current
    # Under sqrt(P R) the capacitor can no longer give the power at any current.
    minimum = max(minimum, math.sqrt(load.power * resistance))
    energy = (first**2 - minimum**2) / 2.0
    return (energy - load.power * resistance * math.log(first / minimum)) / load.power


def capacitance_for_gap(
    load: Load,
    duration: float,
    start: float,
    minimum: float,
    resistance: float = 0.0,
    derate: float = 0.0,
) -> float:
    """Farad to buy that carry ``load`` for ``duration`` seconds with no supply at all.

    From ``start`` volts on the capacitor (supply less isolator drop) to ``minimum`` at the device,
    through ``resistance`` ohm of the capacitor and its leads. ``derate`` (0 to below 1) is what
    tolerance and age take, 0.25 being common practice. Without resistance this is
    2 P t/(V1² - V2²) or I t/(V1 - V2). Raises ``ValueError`` where no capacitor can do it, and for
    a load of both kinds: use `capacitance_for_dip`.
    """
    if load.power > 0.0 and load.current > 0.0:
        raise ValueError("a load of both kinds has no closed form: use capacitance_for_dip")
    require_positive(duration=duration)
    require_not_negative(resistance=resistance)
    per_farad = _seconds_per_farad(load, start, minimum, resistance)
    return duration / per_farad / _kept(derate)


def hold_up_time(
    load: Load,
    capacitance: float,
    start: float,
    minimum: float,
    resistance: float = 0.0,
    derate: float = 0.0,
) -> float:
    """Seconds that ``capacitance`` farad carry the load: the inverse of `capacitance_for_gap`."""
    if load.power > 0.0 and load.current > 0.0:
        raise ValueError("a load of both kinds has no closed form: use ride_through")
    require_positive(capacitance=capacitance)
    require_not_negative(resistance=resistance)
    return capacitance * _kept(derate) * _seconds_per_farad(load, start, minimum, resistance)


def _kept(derate: float) -> float:
    """Share of the capacitance left after ``derate``."""
    require_fraction(share_left=1.0 - derate)
    return 1.0 - derate


def _device_voltage(capacitor: float, load: Load, resistance: float) -> float:
    """Volts at the device fed by the capacitor alone; 0 where it cannot give that much power.

    The upper root of v = capacitor - R (I + P/v).
    """
    half = (capacitor - resistance * load.current) / 2.0
    inside = half**2 - resistance * load.power
    if half <= 0.0 or inside < 0.0:
        return 0.0
    return half + math.sqrt(inside)


@dataclass(frozen=True)
class _Circuit:
    load: Load
    farad: float
    resistance: float

    def feeder(self, capacitor: float, fed: float) -> Literal["capacitor", "both", "supply"]:
        """Who feeds the device while the capacitor stands at one voltage and the supply at another.

        With both, the supply holds the voltage and the capacitor gives what its resistance lets it.
        """
        if _device_voltage(capacitor, self.load, self.resistance) > fed:
            return "capacitor"
        return "both" if capacitor > fed and self.resistance > 0.0 else "supply"


_HALVINGS = 10


def _advance(
    capacitor: float,
    before: float,
    after: float,
    step: float,
    circuit: _Circuit,
    halvings: int = _HALVINGS,
) -> tuple[float, float]:
    """Capacitor voltage after a step of the supply from ``before`` to ``after``, and the least at
    the device in it.

    A step in which the feeding changes hands is halved until the moment is found, since a fast
    fall of the supply would else be met too late.
    """
    feeder = circuit.feeder(capacitor, before)
    if feeder == "capacitor":
        end = _drain(capacitor, step, circuit)
    elif feeder == "both":
        end = _share(capacitor, before, after, step, circuit)
    else:
        end = capacitor
    if halvings > 0 and circuit.feeder(end, after) != feeder:
        middle = (before + after) / 2.0
        half, low = _advance(capacitor, before, middle, step / 2.0, circuit, halvings - 1)
        end, lower = _advance(half, middle, after, step / 2.0, circuit, halvings - 1)
        return end, min(low, lower)
    device = max(after, _device_voltage(end, circuit.load, circuit.resistance))
    return end, device


def _drain(capacitor: float, step: float, circuit: _Circuit) -> float:
    """Capacitor voltage after feeding the load alone for ``step`` seconds, Runge-Kutta order 4."""
    load = circuit.load

    def slope(voltage: float) -> float:
        device = _device_voltage(voltage, load, circuit.resistance)
        # An empty capacitor gives nothing; the caller sees 0 V at the device.
        return -(load.current + load.power / device) / circuit.farad if device > 0.0 else 0.0

    first = slope(capacitor)
    second = slope(capacitor + first * step / 2.0)
    third = slope(capacitor + second * step / 2.0)
    fourth = slope(capacitor + third * step)
    after = capacitor + step / 6.0 * (first + 2.0 * second + 2.0 * third + fourth)
    return max(0.0, after)


def _share(capacitor: float, before: float, after: float, step: float, circuit: _Circuit) -> float:
    """Capacitor voltage after a step in which the supply holds the device and both feed it.

    The capacitor sinks towards the supply's straight line, exactly; it is never recharged.
    """
    time_constant = circuit.farad * circuit.resistance
    lag = (after - before) / step * time_constant
    sunk = after - lag + (capacitor - before + lag) * math.exp(-step / time_constant)
    return min(capacitor, max(0.0, sunk))


def ride_through(
    dip: SupplyDip,
    load: Load,
    capacitance: float,
    minimum: float,
    start: float | None = None,
    resistance: float = 0.0,
    isolator_drop: float = 0.0,
    derate: float = 0.0,
) -> RideThrough:
    """Voltage at the device through a dip, step by step.

    ``start`` volts stand on the capacitor before the dip (by default the dip's first voltage less
    ``isolator_drop``); ``capacitance`` in farad as bought, less ``derate``; ``resistance`` ohm in
    series with it. The device sees the higher of supply less drop and of what the capacitor holds
    up. Recharging within the dip is left out, so the answer errs towards too low a voltage.
    Within 0.1 % of an adaptive solution of the same equation (see the tests).
    """
    require_positive(capacitance=capacitance, minimum=minimum)
    require_not_negative(resistance=resistance, isolator_drop=isolator_drop)
    farad = capacitance * _kept(derate)
    time, supply = _fine_steps(dip)
    fed = np.maximum(supply - isolator_drop, 0.0)
    voltage = float(fed[0]) if start is None else start
    require_not_negative(start=voltage)
    capacitor = np.empty_like(time)
    device = np.empty_like(time)
    capacitor[0] = voltage
    device[0] = max(float(fed[0]), _device_voltage(voltage, load, resistance))
    feeds, steps = fed.tolist(), np.diff(time).tolist()
    circuit = _Circuit(load, farad, resistance)
    lows = device.copy()
    for i, step in enumerate(steps):
        voltage, lows[i + 1] = _advance(voltage, feeds[i], feeds[i + 1], step, circuit)
        capacitor[i + 1] = voltage
        device[i + 1] = max(feeds[i + 1], _device_voltage(voltage, load, resistance))
    under = np.flatnonzero(lows < minimum)
    lost_at = float(time[under[0]]) if under.size else None
    return RideThrough(time, supply, capacitor, device, float(lows.min()), lost_at)


def _fine_steps(dip: SupplyDip) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The dip's points with more between them: no step over 6.5 ms nor over 0.25 V."""
    spans, falls = np.diff(dip.time), np.abs(np.diff(dip.voltage))
    pieces = np.ceil(np.maximum(spans / 0.0065, falls / 0.25)).astype(int)
    pieces = np.minimum(np.maximum(pieces, 1), 4000)
    parts = [
        np.linspace(dip.time[i], dip.time[i + 1], count, endpoint=False)
        for i, count in enumerate(pieces.tolist())
    ]
    time = np.concatenate([*parts, dip.time[-1:]])
    return time, np.interp(time, dip.time, dip.voltage)


def capacitance_for_dip(
    dip: SupplyDip,
    load: Load,
    minimum: float,
    start: float | None = None,
    resistance: float = 0.0,
    isolator_drop: float = 0.0,
    derate: float = 0.0,
) -> float:
    """Farad to buy that keep the device at ``minimum`` volts or more through ``dip``.

    Found by halving, to 1e-4 of itself, on `ride_through`, whose arguments these are. 0 where the
    supply alone suffices. Raises ``ValueError`` where no capacitor can do it: the capacitor starts
    too low, or its resistance drops too much.
    """
    if float((dip.voltage - isolator_drop).min()) >= minimum:
        return 0.0

    def holds(farad: float) -> bool:
        ride = ride_through(dip, load, farad, minimum, start, resistance, isolator_drop, derate)
        return ride.lost_at is None

    span = float(dip.time[-1] - dip.time[0])
    # First guess: the whole dip at the minimum voltage with one volt to spend.
    high = (load.current + load.power / minimum) * span
    while not holds(high):
        high *= 4.0
        if high > LARGEST_CAPACITANCE:
            raise ValueError("no capacitor holds the device up: its charge starts too low")
    low = high / 4.0
    while low > SMALLEST_CAPACITANCE and holds(low):
        high, low = low, low / 4.0
    while high / low > 1.0 + 1e-4:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high


def charge_time(capacitance: float, resistance: float, fraction: float = 0.99) -> float:
    """Seconds to charge through a resistor to ``fraction`` of the supply: R C ln(1/(1 - f))."""
    require_positive(capacitance=capacitance, resistance=resistance)
    if not 0.0 < fraction < 1.0:
        raise ValueError(f"fraction must be between 0 and 1, not {fraction}")
    return -resistance * capacitance * math.log1p(-fraction)


def bleed_time(capacitance: float, resistance: float, start: float, end: float = 1.0) -> float:
    """Seconds to bleed from ``start`` to ``end`` volts through a resistor: R C ln(start/end)."""
    require_positive(capacitance=capacitance, resistance=resistance, end=end)
    require_not_negative(start=start)
    return max(0.0, resistance * capacitance * math.log(start / end)) if start > 0.0 else 0.0


def resistor_peak(voltage: float, resistance: float) -> tuple[float, float]:
    """First ampere and watts in a charging or bleeding resistor: V/R and V2/R."""
    require_not_negative(voltage=voltage)
    require_positive(resistance=resistance)
    return voltage / resistance, voltage**2 / resistance
