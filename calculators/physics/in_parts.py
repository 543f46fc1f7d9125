"""Long work on arrays in parts, so that whoever waits for it is heard in between."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterator

from calculators.physics.arrays import ComplexArray, FloatArray

type InParts[Result] = Generator[None, None, Result]
"""Work that yields between its parts, and returns its result."""

AT_ONCE = 1 << 14
"""Samples or frequencies that are worked on in one part, so that a page listens in between."""


def parts(size: int) -> Iterator[slice]:
    """The parts, a slice each, of an array of that size (a number). Source: definition."""
    return (slice(start, min(start + AT_ONCE, size)) for start in range(0, size, AT_ONCE))


def amplified(
    spectrum: ComplexArray, frequency: FloatArray, gain: Callable[[FloatArray], ComplexArray]
) -> InParts[ComplexArray]:
    """A spectrum times a gain, a ratio, part by part; it is changed itself.

    spectrum: ratio, at each frequency. frequency: Hz. gain: ratio, at frequencies asked for.
    Source: definition.
    """
    for part in parts(frequency.size):
        spectrum[part] *= gain(frequency[part])
        yield
    return spectrum
