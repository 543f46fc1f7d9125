"""A capacitor feeding a load behind an isolator, worked from event to event.

Between events one closed form holds, so a dip of many seconds costs a handful of array operations
for each time the feeding changes hands. With constant power P and constant current I through the
series resistance R, the device's voltage v obeys C (1 - P R/v²) dv = -(I + P/v) dt, whose
integral is `seconds_per_farad` (textbook separation of variables), written so that its terms do not cancel
where the current is a small part of the load.
"""

import math
from dataclasses import dataclass

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.checking import require_not_negative, require_positive

TABLE_POINTS = 1500
LEAST_RESISTANCE = 1e-9
"""Ohm under which a resistance counts as none: its time constant could round to zero."""


@dataclass(frozen=True)
class Load:
    """What the capacitor feeds, added up. power: W, 0 or more (a converter). current: A, 0 or more."""

    power: float = 0.0
    current: float = 0.0

    def __post_init__(self) -> None:
        """Raise ValueError for a negative load, and for none at all."""
        require_not_negative(power=self.power, current=self.current)
        require_positive(load=self.power + self.current)


def seconds_per_farad(load: Load, high: float, low: FloatArray, resistance: float) -> FloatArray:
    """Time, s for each F, from one voltage at the device down to others, exactly.

    high: V. low: V, above 0, any shape, with a resistance not below √(P·R): under it the capacitor can no
    longer give the power. resistance: Ω, 0 or more.
    Source: separation of variables, textbook, as this file's head says.
    """
    power, current = load.power, load.current
    drawn = power + current * low  # W, of the device at the end
    share = current * (high - low) / drawn
    held: FloatArray = (high - low) / drawn * (low + power * (high - low) / drawn * _after_log(share))
    lost: FloatArray = resistance * np.log1p(power * (high - low) / low / (power + current * high))
    return held - lost


_SMALL = 0.1
_SERIES = tuple((-1) ** power / (power + 2) for power in range(16))


def _after_log(x: FloatArray) -> FloatArray:
    """(x - ln(1 + x))/x² for x of 0 or more; for a small one by its series, where the difference cancels."""
    large = np.maximum(x, _SMALL)
    series: FloatArray = np.polyval(_SERIES[::-1], np.minimum(x, _SMALL))
    return np.where(x < _SMALL, series, (large - np.log1p(large)) / large**2)


def device_voltage(capacitor: float, load: Load, resistance: float) -> float:
    """Voltage, V, at the device fed by the capacitor alone; 0 where it cannot give that much power.

    capacitor: V. resistance: Ω. The upper root of v = capacitor - R·(I + P/v).
    Source: Ohm's law.
    """
    half = (capacitor - resistance * load.current) / 2.0
    inside = half**2 - resistance * load.power
    if half <= 0.0 or inside < 0.0:
        return 0.0
    return half + math.sqrt(inside)


class Discharge:
    """The fall of the device's voltage from a starting voltage, by time per farad."""

    def __init__(self, load: Load, start: float, resistance: float) -> None:
        """Tabulate the fall from start volts on the capacitor, behind resistance ohm."""
        resistance = resistance if resistance > LEAST_RESISTANCE else 0.0
        self.load, self.resistance = load, resistance
        high = device_voltage(start, load, resistance)
        low = max(math.sqrt(load.power * resistance), high * 1e-4)
        self.alive = high > low * (1.0 + 1e-9)
        # Denser towards the end, where a converter's current runs away.
        self.device: FloatArray = low + (high - low) * np.linspace(0.0, 1.0, TABLE_POINTS) ** 1.5
        if not self.alive:
            self.device = np.array([max(high, 1e-12), max(high, 1e-12) * (1.0 + 1e-12)])
        self.time: FloatArray = np.array([0.0, -1e-12])
        if self.alive:
            self.time = seconds_per_farad(load, high, self.device, resistance)

    def after(self, time: FloatArray) -> FloatArray:
        """Device voltage after time seconds per farad; 0 once the capacitor gives out."""
        return np.interp(time, self.time[::-1], self.device[::-1], right=0.0)

    def time_at(self, device: float) -> float:
        """Seconds per farad at which the device stands at that voltage."""
        return float(np.interp(device, self.device, self.time))

    def capacitor(self, device: FloatArray) -> FloatArray:
        """Capacitor voltage behind a device voltage; that of the last moment where it is 0."""
        v = np.maximum(device, self.device[0])
        behind: FloatArray = v + self.resistance * (self.load.current + self.load.power / v)
        return behind


class Walk:
    """One ride through a fed voltage given on a time grid; call `run` once."""

    def __init__(self, discharge: Discharge, farad: float, time: FloatArray, fed: FloatArray) -> None:
        """Prepare a ride: fed volts behind the isolator at each time in seconds."""
        self.discharge, self.farad, self.time, self.fed = discharge, farad, time, fed
        self.load, self.resistance = discharge.load, discharge.resistance
        self.capacitor: FloatArray = np.empty_like(time)
        self.device: FloatArray = np.empty_like(time)
        self.events: list[tuple[float, float]] = []

    def run(self, start: float) -> None:
        """Fill capacitor and device; events holds time and voltage at each handover."""
        self.capacitor[0] = start
        alone = device_voltage(start, self.load, self.resistance)
        self.device[0] = max(float(self.fed[0]), alone)
        place, last = 0, len(self.time) - 1
        while place < last:
            voltage = float(self.capacitor[place])
            if device_voltage(voltage, self.load, self.resistance) > self.fed[place]:
                place = self._feed(place)
            elif voltage > self.fed[place] and self.resistance > 0.0:
                place = self._step(place, place + 1, voltage, float(self.fed[place]))
            else:
                place = self._wait(place)

    def _feed(self, place: int) -> int:
        """The capacitor feeds alone, up to the moment at which the supply stands higher."""
        device = device_voltage(float(self.capacitor[place]), self.load, self.resistance)
        begun = self.discharge.time_at(device)
        fall = self.discharge.after(begun + (self.time[place:] - self.time[place]) / self.farad)
        over = fall[1:] <= self.fed[place + 1 :]
        count = int(np.argmax(over)) + 1 if over.any() else len(fall)
        self.device[place : place + count] = fall[:count]
        self.capacitor[place : place + count] = self.discharge.capacitor(fall[:count])
        if count == len(fall):
            return place + count - 1
        end = place + count
        gap, overlap = fall[count - 1] - self.fed[end - 1], self.fed[end] - fall[count]
        part = float(gap / (gap + overlap)) if gap + overlap > 0.0 else 1.0
        at = float(self.time[end - 1] + part * (self.time[end] - self.time[end - 1]))
        moment = begun + (at - float(self.time[place])) / self.farad
        device = float(self.discharge.after(np.array([moment]))[0])
        self.events.append((at, device))
        voltage = float(self.discharge.capacitor(np.array([device]))[0])
        return self._hand_over(end, voltage, at)

    def _wait(self, place: int) -> int:
        """The supply feeds alone and the capacitor keeps its charge, until the supply is lower."""
        voltage = float(self.capacitor[place])
        under = self.fed[place + 1 :] < voltage
        count = int(np.argmax(under)) if under.any() else len(under)
        self.capacitor[place + 1 : place + 1 + count] = voltage
        self.device[place + 1 : place + 1 + count] = self.fed[place + 1 : place + 1 + count]
        end = place + 1 + count
        if end >= len(self.time):
            return len(self.time) - 1
        before, after = float(self.fed[end - 1]), float(self.fed[end])
        part = min(max((before - voltage) / (before - after), 0.0), 1.0)
        at = float(self.time[end - 1] + part * (self.time[end] - self.time[end - 1]))
        return self._hand_over(end, voltage, at)

    def _hand_over(self, end: int, voltage: float, at: float) -> int:
        """What is left of a step after the feeding changed hands at the time at."""
        part = (at - float(self.time[end - 1])) / float(self.time[end] - self.time[end - 1])
        fed = float(self.fed[end - 1] + part * (self.fed[end] - self.fed[end - 1]))
        return self._step(end - 1, end, voltage, fed, at)

    def _step(self, place: int, end: int, voltage: float, fed: float, at: float | None = None) -> int:
        """A step, or the rest of one, in which the supply holds the device up at its start."""
        begin = float(self.time[place]) if at is None else at
        left, after = float(self.time[end]) - begin, float(self.fed[end])
        final = self._shared(voltage, fed, after, left)
        if device_voltage(final, self.load, self.resistance) > after and left > 0.0:
            final = self._released(voltage, fed, after, left)
        self.capacitor[end] = final
        self.device[end] = max(after, device_voltage(final, self.load, self.resistance))
        return end

    def _shared(self, voltage: float, before: float, after: float, step: float) -> float:
        """Capacitor voltage after a step in which both feed: it sinks towards the supply's line."""
        if self.resistance == 0.0 or voltage <= min(before, after) or step <= 0.0:
            return voltage
        time_constant = self.farad * self.resistance
        lag = (after - before) / step * time_constant
        sunk = after - lag + (voltage - before + lag) * math.exp(-step / time_constant)
        return min(voltage, max(0.0, sunk))

    def _released(self, voltage: float, before: float, after: float, step: float) -> float:
        """Capacitor voltage after a step in which the supply falls away from the device."""
        low, high = 0.0, 1.0
        for _ in range(20):
            middle = (low + high) / 2.0
            fed = before + middle * (after - before)
            shared = self._shared(voltage, before, fed, middle * step)
            if device_voltage(shared, self.load, self.resistance) > fed:
                high = middle
            else:
                low = middle
        fed = before + high * (after - before)
        shared = self._shared(voltage, before, fed, high * step)
        begun = self.discharge.time_at(device_voltage(shared, self.load, self.resistance))
        moment = begun + (1.0 - high) * step / self.farad
        return float(self.discharge.capacitor(self.discharge.after(np.array([moment])))[0])
