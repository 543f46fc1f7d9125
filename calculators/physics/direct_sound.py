"""What comes straight from a speaker, before the cabin gives anything back: gated out of a curve."""

import numpy as np

from calculators.physics.arrays import ComplexArray, FloatArray

OPENS_BEFORE = 5e-4
"""s before its arrival, from which a direct sound is let in: a filter's slope begins earlier than its top."""
SAMPLED_AT = 64_000.0
"""Hz: the curve's highest is 16 kHz."""


def gated(gain: ComplexArray, places: FloatArray, arrival: float, gate: float) -> ComplexArray:
    """A curve without its flight time and without what comes later than a gate behind it: complex, a ratio.

    gain: complex, a ratio, at places: Hz, rising to 16 kHz or less, so near to one another that they tell
    what comes within the gate. arrival: s. gate: s, above 0; it shuts slowly from the arrival on.
    Source: inverse transform, half a Hann window on either side, transform: Oppenheim and Schafer,
    Discrete-Time Signal Processing.
    """
    time = np.arange(-OPENS_BEFORE, gate, 1 / SAMPLED_AT)
    rising, falling = (
        np.sin(np.pi / 2 * (time + OPENS_BEFORE) / OPENS_BEFORE),
        np.cos(np.pi / 2 * time / gate),
    )
    window = np.where(time < 0, rising, falling) ** 2
    turn = np.exp(2j * np.pi * np.outer(time, places))
    here = gain * np.exp(2j * np.pi * arrival * places)
    heard = (turn @ (here * np.gradient(places))).real * window * 2 / SAMPLED_AT
    return np.asarray(heard @ np.conj(turn), dtype=np.complex128)


def unevenness(phase: FloatArray, places: FloatArray) -> float:
    """RMS, s, by which the group delay at places is off its middle, octaves counting alike.

    phase: rad, at places: Hz, rising evenly by ratio, two or more.
    Source: definition, the negative slope of the phase over angular frequency.
    """
    delay = -np.diff(np.unwrap(phase)) / (2 * np.pi * np.diff(places))
    return float(np.sqrt(np.mean((delay - np.median(delay)) ** 2)))
