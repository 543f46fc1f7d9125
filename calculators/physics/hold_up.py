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

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import (
    require_finite,
    require_fraction,
    require_not_negative,
    require_positive,
)
from calculators.physics.discharging import Discharge, Walk, device_voltage
from calculators.physics.discharging import Load as Load
from calculators.physics.discharging import seconds_per_farad as _exact_seconds_per_farad

Level = Literal["I", "II", "III", "IV"]
SMALLEST_CAPACITANCE = 1e-9
"""Farad down to which an answer is sought: far under anything that matters."""


@dataclass(frozen=True)
class SupplyDip:
    """Supply voltage by time, straight between its points.

    time: s, rising, shape (n,), n at least 2. voltage: V, 0 or more, likewise. The confidence says how the
    points are known. Raises ValueError for other points.
    """

    time: FloatArray
    voltage: FloatArray
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
    """The dip as the device sees it, arrays of one shape.

    time: s. supply, capacitor, device: V. lowest: V, the least at the device. lowest_at: s, when that is; it
    may lie between two times. lost_at: s, the first time at which it is under the minimum, None if never.
    """

    time: FloatArray
    supply: FloatArray
    capacitor: FloatArray
    device: FloatArray
    lowest: float
    lowest_at: float
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
    """Supply voltage while the engine starts, 12 V vehicle.

    rest: V, 12 in the standard, up to 16. Down to the dip in 5 ms, held 15 ms, up in 50 ms to the plateau,
    on which a sine of 2 Hz and 2 V peak to peak rides (the standard's plateau figure is its trough), then
    back to rest.
    Raises ValueError for another level, or a rest below the plateau or above 16 V.
    Source: ISO 16750-2; level I read in print, II to IV from memory.
    """
    if level not in _STARTING_LEVELS:
        raise ValueError(f"level must be I, II, III or IV, not {level}")
    dip, trough, plateau, recovery = _STARTING_LEVELS[level]
    if not trough + _RIPPLE_PEAK <= rest <= 16.0:
        raise ValueError(f"the voltage before the start must be {trough + _RIPPLE_PEAK:g} to 16 V")
    begin = _FALL + _HOLD + _RISE
    cycles = plateau * _RIPPLE_FREQUENCY
    riding = np.linspace(0.0, plateau, round(cycles * _POINTS_PER_CYCLE) + 1)
    ripple = _RIPPLE_PEAK * np.sin(2.0 * np.pi * _RIPPLE_FREQUENCY * riding)
    end = begin + plateau + recovery
    time = np.concatenate([[0.0, _FALL, _FALL + _HOLD], begin + riding, [end]])
    voltage = np.concatenate([[rest, dip, dip], trough + _RIPPLE_PEAK + ripple, [rest]])
    return SupplyDip(time, voltage, "published" if level == "I" else "memory")


def supply_gone(duration: float) -> SupplyDip:
    """The plainest dip: no supply at all. duration: s, above 0.

    Raises ValueError if it is not.
    Source: definition.
    """
    require_positive(duration=duration)
    return SupplyDip(np.array([0.0, duration]), np.zeros(2))


def stored_energy(capacitance: float, voltage: float) -> float:
    """Energy, J, in a capacitor: C·V²/2.

    capacitance: F, 0 or more. voltage: V, 0 or more. Raises ValueError below 0.
    Source: textbook.
    """
    require_not_negative(capacitance=capacitance, voltage=voltage)
    return 0.5 * capacitance * voltage**2


def usable_energy(capacitance: float, start: float, minimum: float) -> float:
    """Energy, J, that a capacitor gives from one voltage down to another: C·(V1² - V2²)/2.

    capacitance: F. start, minimum: V, above 0, the start higher. Raises ValueError otherwise.
    Source: textbook.
    """
    _require_fall(start, minimum)
    return stored_energy(capacitance, start) - stored_energy(capacitance, minimum)


def _require_fall(start: float, minimum: float) -> None:
    require_finite(start=start)
    require_positive(minimum=minimum)
    if start <= minimum:
        raise ValueError("the capacitor must start above the device's minimum voltage")


def _seconds_per_farad(load: Load, start: float, minimum: float, resistance: float) -> float:
    """Time each farad holds a load, exactly, down to the minimum or to where it gives out."""
    _require_fall(start, minimum)
    first = device_voltage(start, load, resistance)
    if first <= minimum:
        raise ValueError("the capacitor's resistance alone drops the device below its minimum")
    # Under sqrt(P R) the capacitor can no longer give the power at any current.
    lowest = max(minimum, math.sqrt(load.power * resistance))
    return float(_exact_seconds_per_farad(load, first, np.array([lowest]), resistance)[0])


def capacitance_for_gap(
    load: Load,
    duration: float,
    start: float,
    minimum: float,
    resistance: float = 0.0,
    derate: float = 0.0,
) -> float:
    """Capacitance, F, to buy that carries a load with no supply at all.

    duration: s, above 0. start: V on the capacitor (supply less isolator drop). minimum: V at the device.
    resistance: Ω, 0 or more, of the capacitor and its leads. derate: share, 0 to below 1, that tolerance and
    age take, 0.25 being common practice. Without resistance this is 2·P·t/(V1² - V2²) or I·t/(V1 - V2).
    Raises ValueError outside those ranges, and where no capacitor can do it.
    Source: separation of variables, textbook.
    """
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
    """Time, s, that a capacitor carries the load: the inverse of `capacitance_for_gap`.

    capacitance: F, above 0. Other arguments, errors and source as in `capacitance_for_gap`.
    """
    require_positive(capacitance=capacitance)
    require_not_negative(resistance=resistance)
    return capacitance * _kept(derate) * _seconds_per_farad(load, start, minimum, resistance)


def _kept(derate: float) -> float:
    """Share of the capacitance left after derate."""
    require_fraction(share_left=1.0 - derate)
    return 1.0 - derate


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

    capacitance: F as bought, above 0, less derate. minimum: V. start: V on the capacitor before the dip, by
    default the dip's first voltage less the drop. resistance: Ω, 0 or more, in series with it.
    isolator_drop: V, 0 or more. derate: share, 0 to below 1. The device sees the higher of supply less drop
    and of what the capacitor holds up. Recharging within the dip is left out, so the answer errs towards
    too low a voltage. Within 0.1 % of an adaptive solution of the same equation (see the tests).
    Raises ValueError outside those ranges.
    Source: separation of variables, textbook.
    """
    require_positive(capacitance=capacitance, minimum=minimum)
    case = _Case(dip, load, start, resistance, isolator_drop)
    walk, (lowest, lowest_at), lost_at = case.ride(capacitance * _kept(derate), minimum)
    return RideThrough(case.time, case.supply, walk.capacitor, walk.device, lowest, lowest_at, lost_at)


class _Case:
    """A dip on its grid and the load's discharge: what many capacitances are tried on."""

    def __init__(
        self,
        dip: SupplyDip,
        load: Load,
        start: float | None,
        resistance: float,
        isolator_drop: float,
    ) -> None:
        require_not_negative(resistance=resistance, isolator_drop=isolator_drop)
        self.time, self.supply = _fine_steps(dip)
        self.fed = np.maximum(self.supply - isolator_drop, 0.0)
        self.start = float(self.fed[0]) if start is None else start
        require_not_negative(start=self.start)
        self.discharge = Discharge(load, self.start, resistance)

    def ride(self, farad: float, minimum: float) -> tuple[Walk, tuple[float, float], float | None]:
        """The walk, the lowest voltage at the device and when, and the time it is first under the minimum."""
        walk = Walk(self.discharge, farad, self.time, self.fed)
        walk.run(self.start)
        at = int(walk.device.argmin())
        lowest = min(
            [
                (float(walk.device[at]), float(self.time[at])),
                *((voltage, time) for time, voltage in walk.events),
            ]
        )
        under = np.flatnonzero(walk.device < minimum)
        times = [time for time, voltage in walk.events if voltage < minimum]
        times += [float(self.time[under[0]])] if under.size else []
        return walk, lowest, min(times, default=None)


def _fine_steps(dip: SupplyDip) -> tuple[FloatArray, FloatArray]:
    """The dip's points with more between them: no step over 6.5 ms nor over 0.25 V."""
    spans, falls = np.diff(dip.time), np.abs(np.diff(dip.voltage))
    pieces = np.ceil(np.maximum(spans / 0.0065, falls / 0.25)).astype(int)
    pieces = np.minimum(np.maximum(pieces, 1), 4000)
    span_of = np.repeat(np.arange(pieces.size), pieces)
    within = np.arange(span_of.size) - np.repeat(np.cumsum(pieces) - pieces, pieces)
    inner = dip.time[span_of] + spans[span_of] * within / pieces[span_of]
    time = np.append(inner, dip.time[-1])
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
    """Capacitance, F, to buy that keeps the device at its minimum or above through a dip.

    Found by halving, to 1e-5 of itself. 0 where the supply alone suffices. Raises ValueError where no
    capacitor can do it: it starts too low, or its resistance drops too much.
    Arguments and source as in `ride_through`.
    """
    kept = _kept(derate)
    if float((dip.voltage - isolator_drop).min()) >= minimum:
        return 0.0
    case = _Case(dip, load, start, resistance, isolator_drop)
    first = device_voltage(case.start, load, resistance)
    if first <= minimum:
        raise ValueError("no capacitor holds the device up: its charge starts too low")
    # Enough for certain: the capacitor alone all the way. Then the largest that fails.
    span = float(dip.time[-1] - dip.time[0])
    high = span / _seconds_per_farad(load, case.start, minimum, resistance) * (1.0 + 1e-9)

    def holds(farad: float) -> bool:
        return case.ride(farad, minimum)[1][0] >= minimum

    low, ratio = high * (1.0 - 1e-5), 1e-3
    while low > SMALLEST_CAPACITANCE and holds(low):
        high, low = low, low * (1.0 - ratio)
        ratio = min(4.0 * ratio, 0.75)
    while high / low > 1.0 + 1e-5:
        middle = math.sqrt(low * high)
        low, high = (low, middle) if holds(middle) else (middle, high)
    return high / kept


def charge_time(capacitance: float, resistance: float, fraction: float = 0.99) -> float:
    """Time, s, to charge through a resistor to a part of the supply: R·C·ln(1/(1 - f)).

    capacitance: F, above 0. resistance: Ω, above 0. fraction: share, above 0 and below 1.
    Raises ValueError outside those ranges.
    Source: RC law, textbook.
    """
    require_positive(capacitance=capacitance, resistance=resistance)
    if not 0.0 < fraction < 1.0:
        raise ValueError(f"fraction must be between 0 and 1, not {fraction}")
    return -resistance * capacitance * math.log1p(-fraction)


@dataclass(frozen=True)
class Refill:
    """What flows into a capacitor when the supply comes back.

    peak: A. joule_integral: A²s, over all of it. heat: J, in the resistance and the limiter. time: s, until
    the capacitor is within `REFILLED` of full.
    """

    peak: float
    joule_integral: float
    heat: float
    time: float


REFILLED = 0.1
"""Volts under full at which a capacitor counts as full again."""


def refill(capacitance: float, gap: float, resistance: float, limit: float | None = None) -> Refill:
    """What flows when the supply comes back at once. The worst case: one that rises more slowly drives less.

    capacitance: F, above 0. gap: V, 0 or more, of the supply above the capacitor. resistance: Ω, above 0.
    limit: A, above 0, or None; the current stays there until resistance alone holds it lower. Peak gap/R,
    then falling with R·C, integral C·gap²/(2·R), heat C·gap²/2.
    Raises ValueError outside those ranges.
    Source: RC law, textbook.
    """
    require_positive(capacitance=capacitance, resistance=resistance)
    require_not_negative(gap=gap)
    if limit is None:
        left = gap
    else:
        require_positive(limit=limit)
        left = min(gap, limit * resistance)
    integral, time = capacitance * left**2 / (2.0 * resistance), 0.0
    if limit is not None:
        integral += limit * capacitance * (gap - left)
        time = capacitance * (gap - max(left, min(gap, REFILLED))) / limit
    if left > REFILLED:
        time += resistance * capacitance * math.log(left / REFILLED)
    return Refill(left / resistance, integral, stored_energy(capacitance, gap), time)


def bleed_time(capacitance: float, resistance: float, start: float, end: float = 1.0) -> float:
    """Time, s, to bleed from one voltage to another through a resistor: R·C·ln(start/end).

    capacitance: F, above 0. resistance: Ω, above 0. start: V, 0 or more. end: V, above 0.
    Raises ValueError outside those ranges.
    Source: RC law, textbook.
    """
    require_positive(capacitance=capacitance, resistance=resistance, end=end)
    require_not_negative(start=start)
    return max(0.0, resistance * capacitance * math.log(start / end)) if start > 0.0 else 0.0


def resistor_peak(voltage: float, resistance: float) -> tuple[float, float]:
    """First current, A, and power, W, in a charging or bleeding resistor: V/R and V²/R.

    voltage: V, 0 or more. resistance: Ω, above 0. Raises ValueError outside those ranges.
    Source: Ohm's law.
    """
    require_not_negative(voltage=voltage)
    require_positive(resistance=resistance)
    return voltage / resistance, voltage**2 / resistance
