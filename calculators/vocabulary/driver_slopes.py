"""A filter and its driver together, the driver as a model or as measured, beside the slope wanted."""

from dataclasses import dataclass
from math import log2

import numpy as np

from calculators.declaring import Axis, Band, Chart, Curve, InputError, Line
from calculators.physics import acoustic_slopes, decibels, filters
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.vocabulary.responses import LOWEST_SHOWN, Places, response_chart

HALF_AN_OCTAVE = 2**0.5
# Octaves into the pass band, between which a measured curve's own level is read.
REFERENCE_OCTAVES = (1.0, 2.0)


@dataclass(frozen=True, eq=False)
class HeardSlope:
    """Filter and driver, and what is wanted of both.

    ``roll_off``: the driver as a model, or None. ``measured``: frequencies (Hz) and levels (dB over its pass
    band) of the driver without its filter, or None.
    """

    side: filters.Side
    electric: filters.Sections
    goal: filters.Sections
    roll_off: filters.Sections | None = None
    measured: tuple[FloatArray, FloatArray] | None = None

    def filter(self, at: FloatArray) -> ComplexArray:
        """The electrical filter."""
        return filters.response(self.electric, at)

    def wanted(self, at: FloatArray) -> ComplexArray:
        """What is wanted at the ear."""
        return filters.response(self.goal, at)

    def driver(self, at: FloatArray) -> ComplexArray:
        """The driver by itself; where it was measured its level alone."""
        if self.measured is not None:
            frequency, level = self.measured
            return np.asarray(
                decibels.amplitude(np.interp(np.log(at), np.log(frequency), level)), dtype=np.complex128
            )
        if self.roll_off is not None:
            return filters.response(self.roll_off, at)
        return np.ones(at.shape, dtype=np.complex128)

    def acoustic(self, at: FloatArray) -> ComplexArray:
        """What is heard."""
        return self.filter(at) * self.driver(at)


def measured_driver(
    curve: Curve, side: filters.Side, corner: float, filtered_by: filters.Sections | None
) -> tuple[FloatArray, FloatArray]:
    """A driver's own curve over the mean of its pass band, the filter it was measured through taken out.

    Raises InputError where it does not reach from an octave beyond the corner (Hz) to two octaves into the
    pass band.
    """
    frequency, level = np.asarray(curve.frequency), np.asarray(curve.level)
    if np.max(np.abs(level)) > 400:
        raise InputError("measured", "Levels beyond 400 dB: look at the columns.")
    inwards = 1 if side == "high-pass" else -1
    ends = sorted((corner * 2.0**-inwards, corner * 2.0 ** (2 * inwards)))
    if frequency[0] > ends[0] * 1.03 or frequency[-1] < ends[1] / 1.03:
        raise InputError(
            "measured",
            f"It must reach from {ends[0]:.0f} to {ends[1]:.0f} Hz: an octave beyond the wanted corner, "
            "and two octaves into the pass band.",
        )
    if filtered_by is not None:
        level = level - decibels.level(filters.response(filtered_by, frequency))
    inside = corner * 2 ** (inwards * np.linspace(*REFERENCE_OCTAVES, 25))
    own = np.interp(np.log(inside), np.log(frequency), level)
    return frequency, level - float(10 * np.log10(np.mean(10 ** (own / 10))))


def acoustic_corner(look: HeardSlope, level: float, corner: float) -> float | None:
    """Hz, within an octave of a corner (Hz), where filter and driver are at a level (dB), or None."""
    at = acoustic_slopes.judged_at(corner)
    over = np.round(decibels.level(look.acoustic(at)) - level, 9)
    crossed = np.flatnonzero((over[:-1] >= 0) != (over[1:] >= 0))
    if not crossed.size:
        return None
    places = [
        float(at[place] * (at[place + 1] / at[place]) ** (over[place] / (over[place] - over[place + 1])))
        for place in crossed.tolist()
    ]
    return min(places, key=lambda place: abs(round(log2(place / corner), 6)))


def slope_chart(look: HeardSlope, corner: float) -> Chart:
    """Filter, driver, both and what is wanted, two octaves either side of the corner, Hz."""
    at = corner * 2 ** np.linspace(-2, 2, 97)
    lines: dict[str, FloatArray | tuple[FloatArray, Line]] = {
        "Both": (decibels.level(look.acoustic(at)), "main"),
        "Wanted": (decibels.level(look.wanted(at)), "limit"),
        "Filter": decibels.level(look.filter(at)),
        "Driver": decibels.level(look.driver(at)),
    }
    return response_chart(
        "Filter, driver and both",
        Places(at, at[::8]),
        lines,
        Axis("Level", "dB", -36, 9, lowest=LOWEST_SHOWN),
        (Band("Half an octave either side", corner / HALF_AN_OCTAVE, corner * HALF_AN_OCTAVE),),
        read_at=corner,
    )
