"""What stands between a source's bridge outputs and an input: pads in both legs, and loads."""

from __future__ import annotations

import math

BOLTZMANN = 1.380649e-23
"""J/K, exact (SI, 2019)."""
ROOM = 293.15
"""Kelvin."""
HEARD_WIDTH = 20e3
"""Hz."""


def parallel(first: float, second: float) -> float:
    """Resistance, ohm, of two side by side; first, second: ohm, above 0.

    Raises ValueError at or below 0.
    Source: Kirchhoff's laws, textbook.
    """
    if not (first > 0 and second > 0):
        raise ValueError("resistances must be above 0")
    return 1 / (1 / first + 1 / second)


def pad_ratio(leg: float, across: float, input_resistance: float) -> float:
    """Volts out over volts in, a ratio, of a pad: a resistor in each of two legs, and one across behind them.

    leg, across, input_resistance: ohm, above 0, the last that of the input behind the pad.
    Raises ValueError at or below 0.
    Source: voltage divider, textbook.
    """
    below = parallel(across, input_resistance)
    if not leg > 0:
        raise ValueError("resistances must be above 0")
    return below / (2 * leg + below)


def pad_leg(ratio: float, across: float, input_resistance: float) -> float:
    """Resistor, ohm, of each leg of a pad that gives a ratio of volts (above 0, below 1).

    across, input_resistance: ohm, as in `pad_ratio`. Raises ValueError for a ratio out of range.
    Source: voltage divider, textbook.
    """
    if not 0 < ratio < 1:
        raise ValueError("the ratio must lie between 0 and 1")
    return parallel(across, input_resistance) * (1 / ratio - 1) / 2


def pad_heat(voltage: float, leg: float, across: float, input_resistance: float) -> tuple[float, float]:
    """Heat, W, in each leg of a pad and in the resistor across, of a voltage in front of it.

    voltage: V RMS. leg, across, input_resistance: ohm, above 0, as in `pad_ratio`.
    Raises ValueError at or below 0. Source: Joule's law and voltage divider, textbook.
    """
    behind = voltage * pad_ratio(leg, across, input_resistance)
    return ((voltage - behind) / 2) ** 2 / leg, behind**2 / across


def pad_noise(leg: float, across: float) -> float:
    """RMS voltage, V, that a pad hisses by itself up to 20 kHz at 20 °C, behind a source of no resistance.

    leg, across: ohm, above 0. Source: Johnson and Nyquist, Physical Review 32 (1928): √(4·k·T·R·Δf).
    """
    resistance = parallel(across, 2 * leg)
    return math.sqrt(4 * BOLTZMANN * ROOM * resistance * HEARD_WIDTH)
