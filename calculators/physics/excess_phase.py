"""Arrival by the slope of excess phase: what is left of a phase once what its level asks for is taken off."""

from __future__ import annotations

import math

import numpy as np

from calculators.physics.arrays import FloatArray
from calculators.physics.impulse_responses import half_octaves, minimum_phase, spectrum_of, windowed

DIRECT_FOR = 0.0005
"""s after the onset that are looked at: the direct sound, before most of a cabin's reflections."""
FADED_IN = 0.001
AS_LOUD_WITHIN = 12.0
"""dB under its loudest half octave within which the slope is read."""
TOP_OCTAVES = 2.0
"""It is read in the top ones of these; what plays fewer is no wide-band driver."""
EDGE = 1.13
"""As a ratio: within so much of a sweep's ends the level is the sweep's and not the speaker's."""
WIDER = 4
"""Times the recording's own band over which the level is taken to go on: a speaker's top end is no filter of
the recorder's."""


def arrival_by_excess_phase(
    response: FloatArray, sample_rate: float, onset: float, low: float, high: float
) -> float | None:
    """When a wide-band driver's direct sound arrives, s from the first sample on.

    response: ratio, the direct sound within. sample_rate: Hz. onset: s, where it begins, from which the
    search starts. low, high: Hz, the sweep's ends. None for what plays less than two octaves.
    A delay alone turns the excess phase in proportion to frequency: its slope through zero is the delay.
    Source: definition; the band, the top two octaves, is the project's own.
    """
    at = np.asarray(np.geomspace(low * EDGE, high / EDGE, 120), dtype=np.float64)
    power = half_octaves(response, sample_rate, at)
    plays = at[power > np.max(power) * 10 ** (-AS_LOUD_WITHIN / 10)]
    bottom, top = float(plays[-1]) / 2**TOP_OCTAVES, float(plays[-1])
    if plays[0] > bottom:
        return None
    place, before, after = (round(time * sample_rate) for time in (onset, FADED_IN, DIRECT_FOR))
    size = 1 << 14
    part = windowed(response, place, before, after)
    spectrum = spectrum_of(part, (place - before) / sample_rate, onset, sample_rate, size)
    frequency = np.asarray(np.fft.rfftfreq(size, 1 / sample_rate), dtype=np.float64)
    further = np.arange(WIDER * (frequency.size - 1) + 1) * frequency[1]
    height = np.abs(spectrum)
    level = 20 * np.log10(np.maximum(height, 1e-9 * np.max(height)))
    least = minimum_phase(
        np.pad(level, (0, further.size - level.size), "edge"), further, low * EDGE, high / EDGE
    )
    inside = (frequency >= bottom) & (frequency <= top)
    turn, weight = 2 * math.pi * frequency[inside], 1 / frequency[inside]
    excess = np.angle(spectrum[inside]) - np.radians(least[: frequency.size][inside])
    line = np.unwrap(excess)
    # Straight on to 0 Hz it stands on a whole number of half turns: an odd one, if the speaker is reversed.
    _, start = np.polyfit(turn, line, 1, w=np.sqrt(weight))
    line -= math.pi * round(float(start) / math.pi)
    slope = float(np.sum(weight * turn * line) / np.sum(weight * turn**2))
    return onset - slope
