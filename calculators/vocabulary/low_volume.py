"""How much more bass a lower volume asks for, as a knob for 40 to 63 Hz gives it."""

from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Number, Output
from calculators.declaring.quantities import LEVEL
from calculators.physics import audibility
from calculators.physics.arrays import FloatArray

TUNED_AT = Number(
    "Tuned at",
    LEVEL,
    *audibility.LOUDNESS_RANGE,
    usual=(65, 85),
    help="Level of 1 kHz there, in dB (phon).",
)
AT = np.array(audibility.CONTOUR_FREQUENCIES)
BASS = (40.0, 63.0)
QUIETER = (10.0, 20.0, 30.0)


@dataclass(frozen=True, kw_only=True)
class QuieterBass:
    """What a bass knob has to give at a lower volume."""

    listening: Annotated[float, Output("Listening at", LEVEL, decimals=0)]
    knob: Annotated[float, Output("Bass knob, 40 to 63 Hz", LEVEL, decimals=1)]


def knob_of(lift: FloatArray) -> float:
    """The mean of a lift, dB at `AT`, over what a bass knob moves."""
    return float(np.mean(lift[(BASS[0] <= AT) & (BASS[1] >= AT)]))


def quieter_bass(tuned: float) -> tuple[QuieterBass, ...]:
    """The knob at 10, 20 and 30 dB under the volume that it was tuned at, dB at 1 kHz."""
    return tuple(
        QuieterBass(
            listening=tuned - less, knob=knob_of(audibility.lift_at_another_volume(tuned, tuned - less))
        )
        for less in QUIETER
        if tuned - less >= audibility.LOUDNESS_RANGE[0]
    )
