"""A driver in a box, closed, vented or leaky, by its equivalent circuit.

Small signals, below the box's own standing waves, the cone small against the wave: Small, JAES 20
(1972), closed boxes, and 21 (1973), vented ones. Output is counted at 1 m in half space.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.checking import require_not_negative, require_positive
from calculators.physics.driver_parameters import Driver

Ends = Literal["flush-and-free", "both-flush", "both-free"]
FREE_END, FLUSH_END = 0.6133, 0.8217
"""What a pipe's end adds to its length, in radii: free, and flush in a wall, at low frequencies.

Levine and Schwinger, Phys. Rev. 73 (1948) 383; Dalmont, Nederveen and Joly, JSV 244 (2001) 505.
"""
END_LENGTHS: dict[Ends, float] = {
    "flush-and-free": FLUSH_END + FREE_END,
    "both-flush": 2 * FLUSH_END,
    "both-free": 2 * FREE_END,
}
HOLE_ENDS = 1.7
"""Both ends of a hole in a thin wall, in radii (8/3π each; Kinsler and others, textbook)."""
LOOKS, RUNGS = 6, np.linspace(0.0, 1.0, 201)
"""How often a crossing is looked at closer, and in which parts of the way each time."""
SMALL_STEP = 1e-4
"""Of s, for the slope that is the group delay; the error is its square."""


@dataclass(frozen=True, kw_only=True)
class ClosedBox:
    """A closed system. compliance_ratio: ratio Vas/Vb. fc: Hz, its resonance. qtc: Q of it."""

    compliance_ratio: float
    fc: float
    qtc: float


def closed_box(fs: float, qts: float, vas: float, volume: float) -> ClosedBox:
    """α = Vas/Vb, fc = fs·√(α + 1), Qtc = Qts·√(α + 1).

    fs: Hz. qts: Q. vas, volume: m³. All above 0. Raises ValueError if one is not.
    Source: Small (1972).
    """
    require_positive(fs=fs, qts=qts, vas=vas, volume=volume)
    ratio = vas / volume
    rise = math.sqrt(ratio + 1)
    return ClosedBox(compliance_ratio=ratio, fc=fs * rise, qtc=qts * rise)


def cutoff_ratio(qtc: float) -> float:
    """Ratio f3/fc of a closed box, where it is 3.01 dB down. qtc: Q, above 0.

    Raises ValueError if it is not.
    Source: Small (1972).
    """
    require_positive(qtc=qtc)
    half = (1 / qtc**2 - 2) / 2
    # Written so that nothing cancels for a box of high Q, where half is near -1, nor for one of low Q.
    squared = half + math.hypot(half, 1) if half >= 0 else 1 / (math.hypot(half, 1) - half)
    return math.sqrt(squared)


def peak_level(qtc: float) -> float:
    """Peak, dB over the flat band, of a closed box: 20·log(Q²/√(Q² - ¼)), 0 up to Q = 0.7071.

    qtc: Q, above 0. Raises ValueError if it is not.
    Source: Small (1972).
    """
    require_positive(qtc=qtc)
    return 20 * math.log10(qtc**2 / math.sqrt(qtc**2 - 0.25)) if 2 * qtc**2 > 1 else 0.0


def tuning_of(volume: float, mass: float) -> float:
    """Frequency, Hz, to which an opening tunes a box: Helmholtz.

    volume: m³, above 0. mass: acoustic, kg/m⁴, a factor above 0. Raises ValueError if one is not.
    Source: Helmholtz resonator, textbook.
    """
    require_positive(volume=volume, mass=mass)
    return 1 / (2 * math.pi * math.sqrt(mass * _box_compliance(volume)))


def hole_mass(area: float, thickness: float) -> float:
    """Acoustic mass, kg/m⁴, of a hole in a wall: a factor ρ·(t + 1.7·r)/S, r of a round one.

    area: m², above 0. thickness: m, 0 or more. Raises ValueError outside.
    Source: that of `HOLE_ENDS`.
    """
    require_positive(area=area)
    require_not_negative(thickness=thickness)
    return AIR_DENSITY * (thickness + HOLE_ENDS * math.sqrt(area / math.pi)) / area


def port_length(*, volume: float, tuning: float, diameter: float, count: int, ends: Ends) -> float:
    """Length, m, of each of several round ports: c²·S/((2πfb)²·Vb) - what its ends add.

    volume: m³. tuning: Hz. diameter: m. count: number of ports. All above 0. The length is below 0 where even
    a hole in the wall tunes the box lower.
    Raises ValueError if one is not above 0.
    Source: Small (1973).
    """
    require_positive(volume=volume, tuning=tuning, diameter=diameter, count=count)
    area = count * math.pi * diameter**2 / 4
    whole = SPEED_OF_SOUND**2 * area / ((2 * math.pi * tuning) ** 2 * volume)
    return whole - END_LENGTHS[ends] * diameter / 2


def _box_compliance(volume: float) -> float:
    return volume / (AIR_DENSITY * SPEED_OF_SOUND**2)


@dataclass(frozen=True, kw_only=True)
class Box:
    """A box by its air, the acoustic mass of its opening and its leak's resistance.

    volume: m³. port_mass: factor, kg/m⁴. leak_resistance: factor, Pa·s/m³. Without the last two it is shut
    and tight.
    """

    volume: float
    port_mass: float | None = None
    leak_resistance: float | None = None


def vented_box(volume: float, tuning: float, ql: float | None = None) -> Box:
    """A box tuned to a frequency, its losses as a leak at that frequency.

    volume: m³, above 0. tuning: Hz, above 0. ql: Q of the leak, or None for a tight box.
    Raises ValueError for a volume or a tuning that is not above 0.
    Source: Small (1973).
    """
    require_positive(volume=volume, tuning=tuning)
    angular, compliance = 2 * math.pi * tuning, _box_compliance(volume)
    leak = None if ql is None else ql / (angular * compliance)
    return Box(volume=volume, port_mass=1 / (angular**2 * compliance), leak_resistance=leak)


@dataclass(frozen=True, kw_only=True, eq=False)
class Motion:
    """What one volt at the source does: complex, at each frequency asked for, and once it is asked for.

    driver: that moves. source_resistance: Ω. s: rad/s, complex frequency. stiff, through_port, air: factors,
    m³/s/Pa, the admittance of the box's air, of its port, and of all of it. coil: Ω. load, drive: factors, of
    the cone with that air.
    """

    driver: Driver
    source_resistance: float
    s: ComplexArray
    stiff: ComplexArray
    through_port: ComplexArray | float
    air: ComplexArray
    coil: ComplexArray
    load: ComplexArray
    drive: ComplexArray

    @property
    def excursion(self) -> ComplexArray:
        """Of the cone, m/V."""
        return np.asarray(self.drive * self.air / self.s, dtype=np.complex128)

    @property
    def port(self) -> ComplexArray:
        """Out of the port, m³/s/V."""
        return np.asarray(self.driver.sd * self.drive * self.through_port, dtype=np.complex128)

    @property
    def output(self) -> ComplexArray:
        """Out of cone, port and leak together, m³/s/V."""
        # Cone less what comes out of the openings against it: what is left compresses the box's air.
        return np.asarray(self.driver.sd * self.drive * self.stiff, dtype=np.complex128)

    @property
    def response(self) -> ComplexArray:
        """Sound pressure over that of the flat band, a ratio; what the coil's inductance bends is left in."""
        flat = self.driver.sd * self.driver.force_factor
        flat /= (self.driver.re + self.source_resistance) * self.driver.mass
        return np.asarray(self.s * self.output / flat, dtype=np.complex128)

    @property
    def impedance(self) -> ComplexArray:
        """As the source's terminals see it, its own resistance left out, Ω."""
        seen = self.coil + self.driver.force_factor**2 * self.air / self.load
        return np.asarray(seen, dtype=np.complex128)


def motion(driver: Driver, box: Box, frequency: ArrayLike, source_resistance: float = 0.0) -> Motion:
    """How a driver in a box moves. frequency: Hz, above 0. source_resistance: Ω, amplifier and lead.

    Raises ValueError for a resistance below 0.
    Source: Small (1972, 1973), his equivalent circuit.
    """
    require_not_negative(source_resistance=source_resistance)
    return _motion(driver, box, 2j * np.pi * np.asarray(frequency, dtype=np.float64), source_resistance)


def _motion(driver: Driver, box: Box, s: ComplexArray, source_resistance: float) -> Motion:
    stiff = s * _box_compliance(box.volume)
    through_port = 0.0 if box.port_mass is None else 1 / (s * box.port_mass)
    through_leak = 0.0 if box.leak_resistance is None else 1 / box.leak_resistance
    # The air's admittance, which is 0 at the tuning of a box without losses: nothing divides by it.
    air = np.asarray(stiff + through_port + through_leak, dtype=np.complex128)
    moving = driver.resistance + s * driver.mass + 1 / (s * driver.compliance)
    load = moving * air + driver.sd**2
    coil = driver.re + s * driver.le
    force = driver.force_factor / (coil + source_resistance)
    drive = force / (load + driver.force_factor * force * air)
    return Motion(
        driver=driver,
        source_resistance=source_resistance,
        s=s,
        stiff=stiff,
        through_port=through_port,
        air=air,
        coil=coil,
        load=load,
        drive=drive,
    )


def group_delay(driver: Driver, box: Box, frequency: ArrayLike, source_resistance: float = 0.0) -> FloatArray:
    """s, of the response: the slope of its phase. Arguments as in `motion`.

    The logarithm of a response is analytic in s, so the slope is taken along s itself.
    """
    s = 2j * np.pi * np.asarray(frequency, dtype=np.float64)
    ahead, behind = (
        _motion(driver, box, s * (1 + step), source_resistance).response for step in (SMALL_STEP, -SMALL_STEP)
    )
    return np.asarray(-np.real(np.log(ahead / behind) / (2 * SMALL_STEP * s)), dtype=np.float64)


def pressure(output: ComplexArray, frequency: ArrayLike) -> ComplexArray:
    """Pressure, Pa at 1 m in half space, of a volume flow: ρ·2jπf·U/2π. Both RMS or both peak.

    output: m³/s. frequency: Hz. Source: simple source, Beranek and Mellow, Acoustics.
    """
    return np.asarray(1j * AIR_DENSITY * np.asarray(frequency) * output, dtype=np.complex128)


def cabin_gain(frequency: ArrayLike, transition: float, leak: float = 0.0) -> ComplexArray:
    """Ratio by which a shut cabin lifts below its transition: (s² + √2·ω0·s + ω0²)/(s² + √2·ωl·s + ωl²).

    frequency: Hz, any shape. transition: Hz, above 0. leak: Hz, 0 or more, where its leaks end the rise; 0
    for a tight one, which rises by 12 dB an octave without end: √(1 + (f0/f)⁴). It is the inverse of a
    Butterworth closed box at the transition, then.
    Raises ValueError outside those ranges.
    Source: pressure zone of a rigid room, textbook; the shape is common practice.
    """
    require_positive(transition=transition)
    require_not_negative(leak=leak)
    s = 1j * np.asarray(frequency, dtype=np.float64)
    above, below = (s**2 + math.sqrt(2) * corner * s + corner**2 for corner in (transition, leak))
    return np.asarray(above / below, dtype=np.complex128)


def pressure_transition(volume: float, distance: float = 1.0) -> float:
    """Frequency, Hz, at which the air of a cabin as one spring is as loud as half space at a distance.

    volume: m³. distance: m. (c/2π)·√(2πr/V): a second estimate of the transition, by volume. Both above 0.
    Raises ValueError if one is not.
    Source: pressure of a spring of air against that of a simple source, textbook.
    """
    require_positive(volume=volume, distance=distance)
    return SPEED_OF_SOUND / (2 * math.pi) * math.sqrt(2 * math.pi * distance / volume)


def slot_speed(area: float, excursion: float, frequency: float, slot_area: float) -> float:
    """Peak speed, m/s, of the air in a slot in front of a cone: 2πf·Sd·x/S.

    area, slot_area: m², of cone and slot. excursion: m, one way. frequency: Hz. All above 0. Raises
    ValueError if one is not.
    Source: continuity of flow, textbook.
    """
    require_positive(area=area, excursion=excursion, frequency=frequency, slot_area=slot_area)
    return 2 * math.pi * frequency * area * excursion / slot_area


def return_time_constant(ql: float, compliance_ratio: float, fc: float) -> float:
    """Time, s, with which a pressed cone comes back in a leaky closed box: QL·(1 + α)/(2πfc).

    ql: Q of the leak. compliance_ratio: ratio α. fc: Hz. All above 0. The box's air leaks out through QL
    while the suspension, α times as soft as that air, pushes back.
    Raises ValueError if one is not above 0.
    Source: derived from Small's circuit: R_leak·(Cab + Cas), QL = 2πfc·R_leak·Cab.
    """
    require_positive(ql=ql, compliance_ratio=compliance_ratio, fc=fc)
    return ql * (1 + compliance_ratio) / (2 * math.pi * fc)


def last_above(line: Callable[[FloatArray], FloatArray], places: FloatArray, limit: float) -> float | None:
    """Highest frequency, Hz, at which a line is over a limit; None where it never is.

    places: Hz, rising, so close that the line does not cross twice between two of them. limit: number in the
    line's own unit. The crossing is followed to a part in a million million.
    Source: search of our own.
    """
    over = np.flatnonzero(line(places) > limit)
    if over.size == 0:
        return None
    place = int(over[-1])
    low, high = float(places[place]), float(places[min(place + 1, places.size - 1)])
    for _ in range(LOOKS):
        # A call for many places takes little longer than one for one.
        rungs = low * (high / low) ** RUNGS
        over = np.flatnonzero(line(rungs[1:-1]) > limit)
        last = int(over[-1]) + 1 if over.size else 0
        low, high = rungs[last : last + 2].tolist()
    return low
