"""Equaliser filters of one section: peaks, shelves, passes, notch and all-pass."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics.arrays import FloatArray, side_by_side
from calculators.physics.filters import Sections, to_digital

FilterKind = Literal[
    "peak", "low-shelf", "high-shelf", "low-pass", "high-pass", "notch", "all-pass",
    "low-shelf-1", "high-shelf-1", "low-pass-1", "high-pass-1", "all-pass-1",
]  # fmt: skip
KINDS_WITH_GAIN: tuple[FilterKind, ...] = ("peak", "low-shelf", "high-shelf", "low-shelf-1", "high-shelf-1")
FIRST_ORDER: tuple[FilterKind, ...] = (
    "low-shelf-1",
    "high-shelf-1",
    "low-pass-1",
    "high-pass-1",
    "all-pass-1",
)
"""Kinds of one pole: 6 dB per octave, and no Q."""

Meaning = Literal["half-gain", "three-db", "constant"]
"""What makers mean by the Q of a peak."""

FLATTEST_Q = math.sqrt(0.5)
"""Q of the steepest pass or shelf without a bump of its own."""


def biquad(
    kind: FilterKind,
    frequency: ArrayLike,
    gain: ArrayLike = 0.0,
    q: ArrayLike = FLATTEST_Q,
    sample_rate: float | None = None,
) -> Sections:
    """One filter, or a row of filters of one kind, as sections.

    frequency: Hz, above 0: centre of a peak or notch, middle of a shelf, corner of a pass.
    gain: dB, of peaks and shelves; others leave it aside. q: above 0; of a peak, frequency over
    the width between the points of half its gain in dB; kinds of first order leave it aside. Each
    is one number or one per filter.
    sample_rate: Hz, or None for the analogue form.
    Raises ValueError for a q or frequency at or below 0, a frequency at or above half the sample
    rate, or a gain that is not finite.
    Source: R. Bristow-Johnson, Audio EQ Cookbook, W3C Working Group Note, 8 June 2021. The kinds of
    first order are their one-pole forms: shelves have half their gain in dB at the frequency.
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
    exponents = np.arange(-1.0, 2.0) if kind in FIRST_ORDER else np.arange(3.0)
    powers = corner[:, np.newaxis] ** exponents
    analogue = Sections(numerator * powers, denominator * powers)
    return analogue if sample_rate is None else to_digital(analogue, sample_rate, frequencies)


def _positive(values: FloatArray) -> bool:
    return bool(np.all((values > 0) & (values < math.inf)))


def _prototype(kind: FilterKind, root: FloatArray, width: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Numerators and denominators in s², s, 1 for 1 rad/s; root: square root of the gain."""
    zero, one = np.zeros_like(width), np.ones_like(width)
    plain, single = (one, width, one), (zero, one, one)
    slope = np.sqrt(root) * width
    shapes = {
        "peak": ((one, width * root, one), (one, width / root, one)),
        "low-shelf": ((root, root * slope, root**2), (root, slope, one)),
        "high-shelf": ((root**2, root * slope, root), (one, slope, root)),
        "low-pass": ((zero, zero, one), plain),
        "high-pass": ((one, zero, zero), plain),
        "notch": ((one, zero, one), plain),
        "all-pass": ((one, -width, one), plain),
        "low-shelf-1": ((zero, one, root), (zero, one, 1 / root)),
        "high-shelf-1": ((zero, root, one), (zero, 1 / root, one)),
        "low-pass-1": ((zero, zero, one), single),
        "high-pass-1": ((zero, one, zero), single),
        "all-pass-1": ((zero, -one, one), single),
    }
    numerator, denominator = shapes[kind]
    return side_by_side(*numerator), side_by_side(*denominator)


def q_of_bandwidth(octaves: float) -> float:
    """Q of an analogue peak or notch as wide as some octaves (above 0).

    Of a peak the width is taken between the points of half its gain in dB, of a notch at -3 dB.
    Raises ValueError if the width is not above 0.
    Source: Audio EQ Cookbook: 1/Q = 2·sinh(ln 2 / 2 · octaves).
    """
    if not octaves > 0:
        raise ValueError("the bandwidth must be above 0")
    return 0.5 / math.sinh(math.log(2) / 2 * octaves)


def bandwidth_of_q(q: float, frequency: float = 0.0, sample_rate: float | None = None) -> float:
    """Width, octaves, of a peak or notch of a Q (above 0), between the points of `q_of_bandwidth`.

    With a sample rate (Hz) it is the width that the digital filter at frequency (Hz) has, exactly:
    the analogue edges, taken through the bilinear transform. (The cookbook's rule, w / sin w, is
    approximate: 0.740 for 0.735 octaves at 10 kHz, a Q of 1.41 and 48 kHz.)
    Raises ValueError if the Q is not above 0, or the frequency not between 0 and half the rate.
    Source: Audio EQ Cookbook, its definition of bandwidth turned about.
    """
    if not q > 0:
        raise ValueError("Q must be above 0")
    if sample_rate is None:
        return 2 / math.log(2) * math.asinh(0.5 / q)
    low, high = half_gain_at(q, frequency, sample_rate)
    return math.log2(high / low)


def half_gain_at(q: float, frequency: float, sample_rate: float | None = None) -> tuple[float, float]:
    """Hz below and above a peak of a Q (above 0) at a frequency (Hz), at which half its gain in dB is left.

    With a sample rate (Hz) they are the digital filter's, exactly: both lie under half the rate.
    Raises ValueError if the Q is not above 0, or the frequency not between 0 and half the rate.
    Source: Audio EQ Cookbook, its definition of bandwidth; with a rate through the bilinear transform.
    """
    if not q > 0:
        raise ValueError("Q must be above 0")
    half = 0.5 / q
    ratios = [math.sqrt(1 + half**2) + side * half for side in (-1, 1)]
    if sample_rate is None:
        return frequency * ratios[0], frequency * ratios[1]
    if not 0 < frequency < sample_rate / 2:
        raise ValueError("frequency must lie between 0 and half the sample rate")
    middle = math.tan(math.pi * frequency / sample_rate)
    low, high = (sample_rate / math.pi * math.atan(middle * ratio) for ratio in ratios)
    return low, high


def stated_q(q: float, gain: float, meaning: Meaning) -> float:
    """Q of a peak in another sense of the word; q: as in `biquad`, above 0; gain: dB.

    "half-gain": the cookbook's own, by the width between the points of half the gain in dB.
    "three-db": by the width between the points 3.01 dB below the top (above the foot of a cut).
    "constant": of the poles, or of the zeros of a cut: A·Q, A = 10^(|gain|/40), as of filters that
    ring alike at any gain.
    Raises ValueError for a q at or below 0, or "three-db" of a gain that has no such points.
    Source: |H|² of the cookbook's peak, (d + A²/Q²)/(d + 1/(A²Q²)), d = (x - 1/x)², set to half its
    top: 1/√d = Q·√(A⁴ - 2)/A.
    """
    if not q > 0:
        raise ValueError("Q must be above 0")
    return q * _stated_over_own(gain, meaning)


def own_q(stated: float, gain: float, meaning: Meaning) -> float:
    """Q as `biquad` takes it, of one stated in another sense, above 0: the inverse of `stated_q`.

    Arguments, errors and source as in `stated_q`.
    """
    if not stated > 0:
        raise ValueError("Q must be above 0")
    return stated / _stated_over_own(gain, meaning)


def _stated_over_own(gain: float, meaning: Meaning) -> float:
    root = 10 ** (abs(gain) / 40)
    if meaning == "half-gain":
        return 1.0
    if meaning == "constant":
        return float(root)
    if not root**4 > 2:
        raise ValueError("a gain of 3 dB or less has no points 3 dB off its top")
    return float(math.sqrt(root**4 - 2) / root)
