"""Long work on arrays in parts, so that whoever waits for it is heard in between."""

from __future__ import annotations

from collections.abc import Callable, Generator

from calculators.physics.arrays import ComplexArray, FloatArray

type InParts[Result] = Generator[None, None, Result]
"""Work that yields between its parts, and returns its result."""

FREQUENCIES_AT_ONCE = 1 << 14
"""Frequencies that are worked on in one part."""


def amplified(
    spectrum: ComplexArray, frequency: FloatArray, gain: Callable[[FloatArray], ComplexArray]
) -> InParts[ComplexArray]:
    """A spectrum times a gain, a ratio, part by part; it is changed itself.

    spectrum: ratio, at each frequency. frequency: Hz. gain: ratio, at frequencies asked for.
    Source: definition.
    """
    for start in range(0, frequency.size, FREQUENCIES_AT_ONCE):
        part = slice(start, start + FREQUENCIES_AT_ONCE)
        spectrum[part] *= gain(frequency[part])
        yield
    return spectrum
