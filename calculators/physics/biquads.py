"""Equaliser filters of one section: peaks, shelves, passes, notch and all-pass."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calculators.physics.filters import Sections, to_digital

FloatArray = NDArray[np.float64]

Kind = Literal["peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch", "all-pass"]
KINDS: tuple[Kind, ...] = (
    "peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch", "all-pass",
)  # fmt: skip
KINDS_WITH_GAIN: tuple[Kind, ...] = ("peak", "low-shelf", "high-shelf")

FLATTEST_Q = math.sqrt(0.5)
"""Q of the steepest pass or shelf without a bump of its own."""


def biquad(
    kind: Kind,
    frequency: ArrayLike,
    gain: ArrayLike = 0.0,
    q: ArrayLike = FLATTEST_Q,
    sample_rate: float | None = None,
) -> Sections:
    """One filter, or a row of filters of one kind, as sections.

    frequency: Hz, above 0: centre of a peak or notch, middle of a shelf, corner of a pass.
    gain: dB, of peaks and shelves; others leave it aside. q: above 0; of a peak, frequency over
    the width between the points of half its gain in dB. Each is one number or one per filter.
    sample_rate: Hz, or None for the analogue form.
    Raises ValueError for a q or frequency at or below 0, a frequency at or above half the sample
    rate, or a gain that is not finite.
    Source: R. Bristow-Johnson, Audio EQ Cookbook, W3C Working Group Note, 8 June 2021.
    """
    frequencies, gains, qualities = np.broadcast_arrays(
        np.atleast_1d(np.asarray(frequency, dtype=np.float64)),
        np.asarray(gain, dtype=np.float64),
        np.asarray(q, dtype=np.float64),
    )
    if not (_positive(frequencies) and _positive(qualities)):
        raise ValueError("frequency and Q must be above 0")
    if not np.all(np.isfinite(gains)):
        raise ValueError("gain must be a finite number")
    numerator, denominator = _prototype(kind, 10 ** (gains / 40), 1 / qualities)
    corner = 2 * math.pi * frequencies
    powers = np.stack([np.ones_like(corner), corner, corner**2], axis=1)
    analogue = Sections(numerator * powers, denominator * powers)
    return analogue if sample_rate is None else to_digital(analogue, sample_rate, frequencies)


def _positive(values: FloatArray) -> bool:
    return bool(np.all((values > 0) & (values < math.inf)))


def _prototype(kind: Kind, root: FloatArray, width: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Numerators and denominators in s², s, 1 for 1 rad/s; root: square root of the gain."""
    zero, one = np.zeros_like(width), np.ones_like(width)
    plain = (one, width, one)
    slope = np.sqrt(root) * width
    shapes = {
        "peak": ((one, width * root, one), (one, width / root, one)),
        "low-shelf": ((root, root * slope, root**2), (root, slope, one)),
        "high-shelf": ((root**2, root * slope, root), (one, slope, root)),
        "low-pass": ((zero, zero, one), plain),
        "high-pass": ((one, zero, zero), plain),
        "notch": ((one, zero, one), plain),
        "all-pass": ((one, -width, one), plain),
    }
    numerator, denominator = shapes[kind]
    return np.stack(numerator, axis=1), np.stack(denominator, axis=1)


def q_of_bandwidth(octaves: float, frequency: float = 0.0, sample_rate: float | None = None) -> float:
    """Q of a peak or notch as wide as some octaves (above 0).

    Of a peak the width is taken between the points of half its gain in dB, of a notch at -3 dB.
    With a sample rate (Hz) it is the width that the digital filter at frequency (Hz) has.
    Raises ValueError if the width is not above 0.
    Source: Audio EQ Cookbook: 1/Q = 2·sinh(ln 2 / 2 · octaves · w / sin w).
    """
    if not octaves > 0:
        raise ValueError("the bandwidth must be above 0")
    return 0.5 / math.sinh(math.log(2) / 2 * octaves * _stretch(frequency, sample_rate))


def bandwidth_of_q(q: float, frequency: float = 0.0, sample_rate: float | None = None) -> float:
    """Width, octaves, of a peak or notch of a Q (above 0): the inverse of `q_of_bandwidth`.

    Raises ValueError if the Q is not above 0.
    """
    if not q > 0:
        raise ValueError("Q must be above 0")
    return 2 / math.log(2) * math.asinh(0.5 / q) / _stretch(frequency, sample_rate)


def _stretch(frequency: float, sample_rate: float | None) -> float:
    if sample_rate is None:
        return 1.0
    if not 0 < frequency < sample_rate / 2:
        raise ValueError("frequency must lie between 0 and half the sample rate")
    angle = 2 * math.pi * frequency / sample_rate
    return angle / math.sin(angle)


def q_of_slope(slope: float, gain: float) -> float:
    """Q of a shelf of a slope S (1 is the steepest without a bump) and a gain (dB).

    Raises ValueError if the slope is not above 0, or too steep for the gain to have any Q.
    Source: Audio EQ Cookbook: 1/Q = √((A + 1/A)(1/S - 1) + 2), A = 10^(gain/40).
    """
    if not slope > 0:
        raise ValueError("the slope must be above 0")
    root = 10 ** (gain / 40)
    square = (root + 1 / root) * (1 / slope - 1) + 2
    if not square > 0:
        raise ValueError("no shelf of this gain is that steep")
    return float(1 / math.sqrt(square))
