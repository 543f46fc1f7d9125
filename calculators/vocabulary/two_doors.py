"""One voice from two doors, at a head that sits nearer to one of them."""

import numpy as np

from calculators.declaring import Number
from calculators.declaring.quantities import LENGTH, LEVEL
from calculators.physics import arrivals, sound_changes, sound_material
from calculators.physics.sound_material import Making

NEAR_DOOR = Number("Near door to the head", LENGTH, 0.3, 3, show="cm", usual=(0.5, 1.5), units=("in",))
FAR_DOOR = Number("Far door to the head", LENGTH, 0.3, 3, show="cm", usual=(0.8, 2), units=("in",))
NEARER_LOUDER = Number(
    "Near door louder at the head by", LEVEL, 0, 6, usual=(1, 4), help="In a cabin 1 to 3 dB is usual."
)


def side_lead(near: float, far: float, speed: float) -> float:
    """How much earlier the near door is heard, s: what `waits` would make it wait."""
    return arrivals.waits([near / speed, far / speed])[0]


def voice_from_doors(lead: float, louder: float) -> Making:
    """A voice on the left and on the right, shape (2, samples).

    lead: s, by which the left is heard first (below 0: the right). louder: dB, of the left over the right.
    The left stays where it is, and the right is moved: between ears only the difference counts.
    """
    voice = yield from sound_material.speech()
    yield
    right = yield from sound_changes.delayed(voice, lead, sound_material.SOUND_RATE)
    yield
    side = 10 ** (louder / 40)
    return np.stack([voice * side, right / side])
