"""Peaks of an equaliser on the grid: what those of a channel do together, and what each value of one does."""

import math

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.filter_limits import Limits
from calculators.physics.flattening import warped


def equalisers(limits: Limits, peaks: FloatArray) -> ComplexArray:
    """Complex gain, a ratio, of each channel's peaks on the grid, shape (channels, 216).

    peaks: ln Hz, dB and ln Q of each, shape (channels, n, 3). Source: as in `slopes`.
    """
    _, above, below = _parts(limits, peaks)
    return _together(above, below)


def slopes(limits: Limits, peaks: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """`equalisers`, a ratio, and the slopes of each peak's logarithm, shape (channels, n, 3, 216).

    peaks: ln Hz, dB and ln Q of each, shape (channels, n, 3). Slopes are by ln f, by gain (dB) and by ln Q.
    Source: the Audio EQ Cookbook's peak, H = (d + ja)/(d + jb), d = 1/x - x, a = A/Q, b = 1/(AQ), with x the
    warped frequency over the warped centre.
    """
    steep, above, below = _parts(limits, peaks)
    found = np.empty((*peaks.shape, above.shape[-1]), dtype=np.complex128)
    upper, lower = 1 / above, 1 / below
    grown, shrunk = 1j * above.imag[..., :1] * upper, 1j * below.imag[..., :1] * lower
    found[:, :, 0] = steep * (upper - lower)
    found[:, :, 1] = (math.log(10) / 40) * (grown + shrunk)
    found[:, :, 2] = shrunk - grown
    return _together(above, below), found


def _parts(limits: Limits, peaks: FloatArray) -> tuple[FloatArray, ComplexArray, ComplexArray]:
    """What d falls by with ln f, and the upper and the lower half of the fraction of each peak."""
    centre, steep = warped(peaks[:, :, 0], limits.sample_rate)
    middle = np.exp(centre)[..., np.newaxis]
    # A page's Python takes twenty times as long for a hyperbolic sine.
    x, inverse = limits.places * (1 / middle), (1 / limits.places) * middle
    root = np.exp(peaks[:, :, 1] * (math.log(10) / 40))
    width = np.exp(-peaks[:, :, 2])
    above, below = (np.empty(x.shape, dtype=np.complex128) for _ in range(2))
    above.real = below.real = inverse - x
    above.imag, below.imag = (root * width)[..., np.newaxis], (width / root)[..., np.newaxis]
    return steep[..., np.newaxis] * (inverse + x), above, below


def _together(above: ComplexArray, below: ComplexArray) -> ComplexArray:
    """Complex gain of the peaks of each channel in a row."""
    return np.asarray(np.prod(above, axis=1) / np.prod(below, axis=1), dtype=np.complex128)
