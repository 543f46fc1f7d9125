"""The shape of a target curve: what is asked, and its levels."""

import numpy as np

from calculators.declaring import Curve, CurveText, InputError, Number
from calculators.declaring.quantities import FREQUENCY, LEVEL, SLOPE
from calculators.physics import curve_parts, equalisers
from calculators.physics.arrays import FloatArray
from calculators.physics.speaker_system import band_centres
from calculators.vocabulary.feed_curves import check_levels

BASS_GAIN = Number("Bass shelf", LEVEL, -20, 20, usual=(0, 12))
BASS_FREQUENCY = Number("Middle of the bass shelf", FREQUENCY, 20, 500, usual=(40, 150))
TILT = Number("Tilt above the place where it turns", SLOPE, -3, 3, usual=(-1, 0), help="Below 0: it falls.")
HINGE = Number("The tilt turns at", FREQUENCY, 20, 20e3, units=("kHz",))
TREBLE_GAIN = Number("Treble shelf", LEVEL, -20, 20, usual=(-6, 3))
TREBLE_FREQUENCY = Number("Middle of the treble shelf", FREQUENCY, 1e3, 20e3, show="kHz", units=("Hz",))

TUNED_BAND = 40.0, 16e3
"""Hz: what a target of the reader's own says at least."""
OWN_TARGET = CurveText(
    "My own target",
    optional=True,
    seldom=True,
    help="In place of shelf and tilt: Hz and dB in columns, from 40 Hz to 16 kHz.",
)


def third_octave_levels(own: Curve | None, shape: equalisers.TargetShape) -> FloatArray:
    """Levels, dB, at third octaves of the reader's own target, or of a shape where there is none.

    Raises InputError for a target that leaves a part of the band open: nobody has said what is wanted there.
    """
    thirds = band_centres()
    if own is None:
        return np.asarray(equalisers.target_levels(thirds, shape), dtype=np.float64)
    check_levels("target", own, "a target")
    if own.frequency[0] > TUNED_BAND[0] or own.frequency[-1] < TUNED_BAND[1]:
        raise InputError(
            "target",
            f"It ends at {own.frequency[0]:g} Hz and {own.frequency[-1]:g} Hz. All from 40 Hz to 16 kHz is "
            "tuned: say what you want at both ends.",
        )
    return curve_parts.averaged(thirds, own.frequency, own.level, 3)


def target_levels(frequency: FloatArray, shape: equalisers.TargetShape) -> FloatArray:
    """Levels, dB, of a shape over its own level at 1 kHz."""
    return equalisers.target_levels(frequency, shape) - equalisers.target_levels(1000.0, shape)
