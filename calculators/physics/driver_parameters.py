"""Drivers: Thiele-Small parameters, what they are made of, and how they are measured."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

from calculators.physics.air import AIR_DENSITY, SPEED_OF_SOUND
from calculators.physics.checking import require_finite, require_not_negative, require_positive
from calculators.physics.decibels import REFERENCE_PRESSURE


@dataclass(frozen=True, kw_only=True)
class Driver:
    """A driver by its small-signal parameters (Small 1972).

    fs: Hz, resonance in free air. qms, qes: its quality by the losses of the suspension and of the coil.
    vas: m³, air as springy as the suspension. sd: m², cone. re: Ω, coil with direct current. le: H, coil.
    Raises ValueError for a value at or below 0, or le below 0.
    """

    fs: float
    qms: float
    qes: float
    vas: float
    sd: float
    re: float
    le: float = 0.0

    def __post_init__(self) -> None:
        """Refuse what no driver has."""
        require_positive(fs=self.fs, qms=self.qms, qes=self.qes, vas=self.vas, sd=self.sd, re=self.re)
        require_not_negative(le=self.le)

    @property
    def qts(self) -> float:
        """Total quality, both losses together."""
        return self.qms * self.qes / (self.qms + self.qes)

    @cached_property
    def compliance(self) -> float:
        """Of the suspension, m/N: Vas/(ρc²·Sd²)."""
        return self.vas / (AIR_DENSITY * SPEED_OF_SOUND**2 * self.sd**2)

    @cached_property
    def mass(self) -> float:
        """That moves, kg, with the air it takes along: 1/((2πfs)²·Cms)."""
        return 1 / ((2 * math.pi * self.fs) ** 2 * self.compliance)

    @cached_property
    def resistance(self) -> float:
        """Mechanical, kg/s: 2πfs·Mms/Qms."""
        return 2 * math.pi * self.fs * self.mass / self.qms

    @cached_property
    def force_factor(self) -> float:
        """Bl, T·m: √(2πfs·Mms·Re/Qes)."""
        return math.sqrt(2 * math.pi * self.fs * self.mass * self.re / self.qes)

    @property
    def efficiency(self) -> float:
        """Reference efficiency in half space, as a part of the power that goes into Re.

        η0 = (4π²/c³)·fs³·Vas/Qes (Small 1972).
        """
        return 4 * math.pi**2 / SPEED_OF_SOUND**3 * self.fs**3 * self.vas / self.qes

    def level(self, voltage: float) -> float:
        """dB SPL at 1 m in half space, in the flat band, at a voltage (V RMS, above 0).

        The power counted is the one that goes into Re.
        """
        require_positive(voltage=voltage)
        return level_of_acoustic_power(self.efficiency * voltage**2 / self.re)


def level_of_acoustic_power(power: float) -> float:
    """Level, dB SPL at 1 m, of acoustic power (W, above 0) into half space. One watt makes 112.16 dB.

    Raises ValueError at or below 0.
    Source: Beranek and Mellow, Acoustics.
    """
    require_positive(power=power)
    pressure = math.sqrt(power * AIR_DENSITY * SPEED_OF_SOUND / (2 * math.pi))
    return 20 * math.log10(pressure / REFERENCE_PRESSURE)


def electrical_q(qts: float, qms: float) -> float:
    """Electrical quality Qes of a total one and a mechanical one.

    qts, qms: Q, above 0. Raises ValueError unless qms is above qts.
    Source: Small (1972): 1/Qts = 1/Qms + 1/Qes.
    """
    require_positive(qts=qts, qms=qms)
    if not qms > qts:
        raise ValueError("the mechanical Q must be above the total Q")
    return qts * qms / (qms - qts)


@dataclass(frozen=True, kw_only=True)
class MeasuredQ:
    """Quality by an impedance curve, and how well its two side frequencies lie round the peak.

    qms, qes, qts: Q, mechanical, electrical and total. symmetry: ratio √(f1·f2)/fs, 1 for a good measurement.
    """

    qms: float
    qes: float
    qts: float
    symmetry: float


def side_impedance(re: float, z_max: float) -> float:
    """Impedance, Ω, at which the two side frequencies are read: √(Zmax·Re).

    re, z_max: Ω, above 0. Raises ValueError if one is not.
    Source: Small (1972).
    """
    require_positive(re=re, z_max=z_max)
    return math.sqrt(re * z_max)


def q_of_impedance(*, re: float, z_max: float, fs: float, f1: float, f2: float) -> MeasuredQ:
    """Q of a peak of impedance: Qms = fs·√r0/(f2 - f1), Qes = Qms/(r0 - 1), r0 = Zmax/Re.

    re, z_max: Ω. fs: Hz, of the peak. f1, f2: Hz, where the impedance is `side_impedance`.
    Raises ValueError unless f1 < fs < f2 and z_max is above re.
    Source: Small (1972).
    """
    require_positive(re=re, f1=f1)
    require_finite(z_max=z_max, f2=f2)
    if not (z_max > re and f1 < fs < f2):
        raise ValueError("the peak must stand over Re, and fs between f1 and f2")
    ratio = z_max / re
    qms = fs * math.sqrt(ratio) / (f2 - f1)
    return MeasuredQ(qms=qms, qes=qms / (ratio - 1), qts=qms / ratio, symmetry=math.sqrt(f1 * f2) / fs)


def mass_by_added(added: float, fs: float, fs_added: float) -> float:
    """Moving mass, kg, from how far an added mass lowers the resonance: Mms = Ma/((fs/fs')² - 1).

    added: kg, above 0. fs, fs_added: Hz, without it and with it.
    Raises ValueError unless fs_added is below fs.
    Source: Small (1972).
    """
    require_positive(added=added, fs_added=fs_added)
    if not fs > fs_added:
        raise ValueError("an added mass lowers the resonance")
    return added / ((fs / fs_added) ** 2 - 1)


def vas_by_box(*, volume: float, fs: float, qes: float, fs_box: float, qec: float) -> float:
    """Vas, m³, from a closed box without lining: Vb·(fc·Qec/(fs·Qes) - 1).

    By both products the change of the air that the cone takes along cancels.
    volume: m³. fs, fs_box: Hz, in free air and in the box. qes, qec: Q, likewise.
    Raises ValueError unless the box raises the product.
    Source: Small (1972).
    """
    require_positive(volume=volume, fs=fs, qes=qes, fs_box=fs_box, qec=qec)
    ratio = fs_box * qec / (fs * qes)
    if not ratio > 1:
        raise ValueError("a box raises the resonance")
    return volume * (ratio - 1)
