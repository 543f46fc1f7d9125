"""Sines, powers of e and chance by additions and multiplications alone.

The sine of one machine's library differs in its last figure from that of another. What is only added,
subtracted, multiplied and rounded is the same everywhere (IEEE 754), so a test signal has the same bytes
natively and in a page.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calculators.physics.arrays import FloatArray

_TURN = 6.283185307179586
_LN2 = 0.6931471805599453


def _series(step: float, first: int, by: int, count: int) -> tuple[float, ...]:
    """Terms step^n/n!, n = first, first + by, …, with signs that change if only every other is taken."""
    terms: list[float] = []
    term, n = 1.0, 0
    while len(terms) < count:
        if n >= first and (n - first) % by == 0:
            terms.append(term if by == 1 or len(terms) % 2 == 0 else -term)
        n += 1
        term = term * step / n
    return tuple(terms)


_SINE = _series(_TURN, 1, 2, 11)
_POWER = _series(1.0, 0, 1, 15)


def sine_of_turns(turns: FloatArray) -> FloatArray:
    """Sine (a ratio) of angles, within 4e-16.

    turns: number of whole turns, any; 1/4 has the sine 1.
    Source: Taylor series on a quarter turn.
    """
    rest = turns - np.rint(turns)
    size = np.abs(rest)
    folded = np.copysign(np.minimum(size, 0.5 - size), rest)
    square = folded * folded
    total = np.full_like(folded, _SINE[-1])
    for factor in _SINE[-2::-1]:
        total *= square
        total += factor
    return np.asarray(total * folded, dtype=np.float64)


def power_of_e(x: FloatArray) -> FloatArray:
    """e to the power x (a ratio), within 2e-15 of itself. x: a number, -100 to 100.

    Source: Taylor series within half of ln 2.
    """
    twos = np.rint(x / _LN2)
    rest = x - twos * _LN2
    total = np.full_like(rest, _POWER[-1])
    for factor in _POWER[-2::-1]:
        total *= rest
        total += factor
    return np.asarray(np.ldexp(total, twos.astype(np.int32)), dtype=np.float64)


def chance(seed: int, start: int, count: int) -> NDArray[np.uint64]:
    """Numbers of 64 bits that look like chance: number `start` and those that follow, for a seed.

    seed, start, count: whole numbers, 0 or more.
    Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014 (SplitMix64).
    """
    golden = 0x9E3779B97F4A7C15
    first = (seed * 0xD1342543DE82EF95 + (start + 1) * golden) % (1 << 64)
    mixed = np.arange(count, dtype=np.uint64) * np.uint64(golden) + np.uint64(first)
    mixed = (mixed ^ (mixed >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
    mixed = (mixed ^ (mixed >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
    return mixed ^ (mixed >> np.uint64(31))
