"""Curves with phase, pasted from measurements, where two parts of a join are compared."""

import math
from collections.abc import Mapping
from functools import lru_cache

import numpy as np

from calculators.declaring import Axis, Band, Chart, Curve, InputError
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.responses import Places, response_chart

POINTS_TO_THE_OCTAVE = 24
IN_STEP = 30.0
"""Degrees to which two parts should agree over the whole join."""
FARTHEST_APART = 0.05
"""s: parts farther apart than that have no clock in common, or a latency of their own."""
MOST_PHASE = 1e6
"""Degrees: thousands of turns, more than any flight time in a vehicle."""
WIDEST_GAP = 1 / 6
"""Octaves from line to line, over which what lies between is not made up."""
MOST_TURNED, TURNS_TOLD_WITHIN = 150.0, 20.0
"""Degrees from line to line, above which nobody can tell which way round the phase went; and dB under a
curve's loudest within which that is asked, for further down noise turns it."""


def judged_places(low: float, high: float) -> FloatArray:
    """24 frequencies to the octave from low to high, Hz."""
    count = max(8, round(POINTS_TO_THE_OCTAVE * math.log2(high / low)))
    return np.geomspace(low, high, count + 1)


def read_at(field: str, curve: Curve, at: FloatArray) -> ComplexArray:
    """A measured curve with phase at frequencies that lie within it, the flight time that it says put back.

    Raises InputError beside its field.
    """
    if curve.phase is None:
        raise InputError(field, "A third column is needed: the phase in degrees.")
    frequency = np.asarray(curve.frequency)
    if frequency[0] > at[0] * 1.03 or frequency[-1] < at[-1] / 1.03:
        raise InputError(
            field, f"The curve must reach from {at[0]:.0f} to {at[-1]:.0f} Hz, with what is compared there."
        )
    inside = (frequency >= at[0] / 1.1) & (frequency <= at[-1] * 1.1)
    if np.count_nonzero(inside) < 8:
        raise InputError(field, "Too few points there: 12 to the octave or more are needed.")
    # A line at each end stands outside, so that a gap that reaches over an end counts too.
    first, last = np.searchsorted(frequency, at[0], "right") - 1, np.searchsorted(frequency, at[-1])
    reaching = frequency[max(first, 0) : last + 1]
    gaps = np.log2(reaching[1:] / reaching[:-1])
    if np.max(gaps) > WIDEST_GAP:
        place = int(np.argmax(gaps))
        raise InputError(
            field,
            f"No lines from {reaching[place]:.0f} to {reaching[place + 1]:.0f} Hz: 12 to the octave or more "
            "are needed where the two are compared.",
        )
    if max(abs(level) for level in curve.level) > 400:
        raise InputError(field, "Levels beyond 400 dB: look at the columns.")
    if max(map(abs, curve.phase)) > MOST_PHASE:
        raise InputError(field, "Phases beyond a million degrees: look at the columns.")
    return gain_at(curve, at)


def gain_at(curve: Curve, at: FloatArray) -> ComplexArray:
    """A curve with phase at frequencies, Hz, the flight time that it says put back, the ends held."""
    place, *columns = _columns(curve)
    level, turned = (np.interp(np.log(at), place, values) for values in columns)
    turned = turned - 2 * math.pi * at * (curve.arrival or 0.0)
    return np.asarray(10 ** (level / 20) * np.exp(1j * turned), dtype=np.complex128)


@lru_cache(maxsize=32)  # From key to key the curves stay.
def _columns(curve: Curve) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Logarithm of the frequency (Hz), level (dB) and phase without jumps (rad) of a curve that has one."""
    phase = np.unwrap(np.radians(np.asarray(curve.phase)))
    return np.log(np.asarray(curve.frequency)), np.asarray(curve.level), phase


def phase_is_lost(curve: Curve) -> bool:
    """Whether lines stand too far apart to tell how often the phase has turned between them."""
    loud = np.array(curve.level) >= max(curve.level) - TURNS_TOLD_WITHIN
    steps = np.abs((np.diff(curve.phase or ()) + 180) % 360 - 180)
    return bool(np.any(steps[loud[1:] & loud[:-1]] > MOST_TURNED))


def drawn_at(frequency: FloatArray) -> Places:
    """Places to draw a curve at judged places, Hz, and every fourth of them to list."""
    return Places(frequency, frequency[:: POINTS_TO_THE_OCTAVE // 6])


def phase_chart(
    title: str,
    frequency: FloatArray,
    phases: Mapping[str, FloatArray],
    about: float,
    band: Band,
    read_at: float,
) -> Chart:
    """Phases between two parts, degrees, over frequency, Hz, the first of them the main line.

    About an angle, degrees, stand the 30° to which they should agree. A line ends where it turns round.
    """

    def line(phase: FloatArray) -> FloatArray:
        jumps = np.concatenate([[False], np.abs(np.diff(phase)) > 180])
        return np.where(jumps, np.nan, phase)

    (main, first), *others = phases.items()
    ahead, behind = (np.full_like(frequency, about + away) for away in (IN_STEP, -IN_STEP))
    return response_chart(
        title,
        drawn_at(frequency),
        {
            main: (line(first), "main"),
            **{name: line(phase) for name, phase in others},
            "30° ahead": (ahead, "limit"),
            "30° behind": (behind, "limit"),
        },
        Axis("Phase", "°", -180, 180, decimals=0),
        (band,),
        read_at=read_at,
    )
