"""Means of measured curves: over bands, exactly, and over points, as power and as a sum with phase."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from calculators.physics import decibels
from calculators.physics.arrays import ComplexArray, FloatArray

NEPER_SHARE = math.log(10) / 10
"""What a decibel of power is as a natural logarithm."""
NEARLY_LEVEL = 1e-6


def band_levels(frequency: ArrayLike, level: ArrayLike, low: FloatArray, high: FloatArray) -> FloatArray:
    """Level, dB, of the mean power in bands, every octave of a band weighing alike; exactly.

    frequency: Hz, rising. level: dB. low, high: Hz, the bands' edges, low below high. Between its points the
    curve runs straight in dB over the logarithm of frequency, beyond its ends it is held.
    Source: integral of an exponential, textbook; IEC 61260-1 for what a band is.
    """
    own, heights = np.log(np.asarray(frequency, dtype=np.float64)), np.asarray(level, dtype=np.float64)
    left, right = np.log(low), np.log(high)
    knots = np.union1d(own, np.concatenate([left, right]))
    line = np.interp(knots, own, heights)
    rise = np.diff(line) * NEPER_SHARE
    steep = np.abs(rise) > NEARLY_LEVEL
    mean = np.divide(np.expm1(rise), rise, out=1 + rise / 2, where=steep)
    pieces = 10 ** (line[:-1] / 10) * mean * np.diff(knots)
    # Summed band by band: a difference of running sums would lose a soft band behind a loud one.
    ends = np.column_stack([np.searchsorted(knots, left), np.searchsorted(knots, right)])
    sums = np.add.reduceat(np.append(pieces, 0.0), ends.ravel())[::2]
    return np.asarray(10 * np.log10(sums / (right - left)), dtype=np.float64)


def octave_edges(centres: FloatArray, octaves: float) -> tuple[FloatArray, FloatArray]:
    """Lower and upper edges, Hz, of bands about centres (Hz) that are so many octaves wide: f·2^(±octaves/2).

    octaves: octaves, above 0. Source: definition, base two.
    """
    half = 2 ** (octaves / 2)
    return centres / half, centres * half


def mean_response(levels: ArrayLike, phases: ArrayLike) -> ComplexArray:
    """Mean of several responses as complex numbers, a ratio, shape (m,).

    levels: dB, phases: degrees, both of shape (points, m). Parts out of step take from each other, as they do
    where sounds meet.
    Source: mean of phasors, textbook.
    """
    turned = np.exp(1j * np.radians(np.asarray(phases, dtype=np.float64)))
    return np.asarray(np.mean(decibels.amplitude(levels) * turned, axis=0), dtype=np.complex128)
