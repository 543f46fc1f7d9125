"""What an ear makes of a sound: how loud each frequency is, and how much group delay it notices."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import FloatArray

CONTOUR_FREQUENCIES = (
    20.0, 25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0,
    800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10000.0, 12500.0,
)  # fmt: skip
"""Hz, of ISO 226:2003, Table 1."""
_EXPONENTS = np.array([
    0.532, 0.506, 0.480, 0.455, 0.432, 0.409, 0.387, 0.367, 0.349, 0.330, 0.315, 0.301, 0.288, 0.276, 0.267,
    0.259, 0.253, 0.250, 0.246, 0.244, 0.243, 0.243, 0.243, 0.242, 0.242, 0.245, 0.254, 0.271, 0.301,
])  # fmt: skip
_TRANSFER = np.array([
    -31.6, -27.2, -23.0, -19.1, -15.9, -13.0, -10.3, -8.1, -6.2, -4.5, -3.1, -2.0, -1.1, -0.4, 0.0, 0.3, 0.5,
    0.0, -2.7, -4.1, -1.0, 1.7, 2.5, 1.2, -2.1, -7.1, -11.2, -10.7, -3.1,
])  # fmt: skip
_THRESHOLDS = np.array([
    78.5, 68.7, 59.5, 51.1, 44.0, 37.5, 31.5, 26.5, 22.1, 17.9, 14.4, 11.4, 8.6, 6.2, 4.4, 3.0, 2.2, 2.4, 3.5,
    1.7, -1.3, -4.2, -6.0, -5.4, -1.5, 6.0, 12.6, 13.9, 12.3,
])  # fmt: skip

LOUDNESS_RANGE = (20.0, 90.0)
"""Phon (dB at 1 kHz) for which the formula holds; from 5 kHz up to 80."""


def equal_loudness(phon: float) -> FloatArray:
    """Level, dB, that a tone needs at each of `CONTOUR_FREQUENCIES` to be as loud as 1 kHz at `phon` dB.

    phon: dB at 1 kHz, 20 to 90. Raises ValueError outside that range.
    Source: ISO 226:2003, clause 4.1 and Table 1 (the table from memory). The edition of 2023 differs by up to
    0.6 dB.
    """
    if not LOUDNESS_RANGE[0] <= phon <= LOUDNESS_RANGE[1]:
        raise ValueError("equal loudness is known from 20 to 90 phon")
    part = 4.47e-3 * (10 ** (0.025 * phon) - 1.15)
    whole = part + (0.4 * 10 ** ((_THRESHOLDS + _TRANSFER) / 10 - 9)) ** _EXPONENTS
    return np.asarray(10 / _EXPONENTS * np.log10(whole) - _TRANSFER + 94, dtype=np.float64)


def lift_at_another_volume(tuned: float, listening: float) -> FloatArray:
    """Level, dB, that each of `CONTOUR_FREQUENCIES` needs over what 1 kHz gave up, to keep the balance.

    tuned, listening: dB at 1 kHz, 20 to 90. Raises ValueError outside that range.
    Source: as in `equal_loudness`.
    """
    return equal_loudness(listening) - equal_loudness(tuned) - (listening - tuned)


_DELAY_NOTICED = ((500.0, 3.2e-3), (1000.0, 2e-3), (2000.0, 1e-3), (4000.0, 1.5e-3), (8000.0, 2e-3))


def group_delay_noticed(frequency: float) -> float | None:
    """Group delay, s, over that of its surroundings, just noticed by trained ears; None where not known.

    frequency: Hz; known from 500 Hz to 8 kHz, between the five tested by even steps of ratio.
    Source: Blauert and Laws, Group delay distortions in electroacoustical systems, JASA 63 (1978) 1478:
    clicks, by headphone (from memory).
    """
    tested, noticed = np.log(np.array(_DELAY_NOTICED)).T
    place = math.log(frequency)
    if not tested[0] - 1e-12 <= place <= tested[-1] + 1e-12:
        return None
    return float(np.exp(np.interp(place, tested, noticed)))
