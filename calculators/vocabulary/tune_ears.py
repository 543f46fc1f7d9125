"""Where a tuned system puts a voice, at the two ears of the driver: by arrival below, by level above."""

import math
from dataclasses import dataclass
from functools import cache
from typing import Annotated

import numpy as np

from calculators.declaring import Output, OutputText, Steps, Working
from calculators.declaring.quantities import ANGLE, FREQUENCY, LEVEL, TIME
from calculators.physics import air, heads
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import grid
from calculators.vocabulary.tune_image import BY_ARRIVAL, SIDE_NOT_TOLD, lateness, too_far_apart
from calculators.vocabulary.tune_plan import Tune

EAR_BANDS = (250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Hz: middles of octaves. Below them a cabin's sound comes from everywhere."""
ANGLES = np.arange(5.0, 61.0, 5.0)
"""Degrees to either side of single sources that ears are compared with; farther, level tells no more."""
EAR_MOST_LATE = 1e-3
"""s: no source is heard later at one ear than that."""
EAR_SPEED = air.speed_of_sound(20.0)


@dataclass(frozen=True, kw_only=True)
class EarsFound:
    """What the ears get of a voice in an octave, and the one direction a single source would give it from."""

    band: Annotated[float, Output("Octave", FREQUENCY, figures=4, trim=True)]
    by: Annotated[str, OutputText("An ear goes by")]
    left_late: Annotated[
        float | None, Output("Left ear after right by", TIME, show="ms", decimals=2, none="by level here")
    ]
    right_louder: Annotated[
        float | None, Output("Right ear over left by", LEVEL, decimals=1, none="by arrival here")
    ]
    angle: Annotated[
        float | None,
        Output("Stands to the right of the nose by, 60° at most", ANGLE, decimals=0, none=SIDE_NOT_TOLD),
    ]
    angle_spread: Annotated[
        float | None, Output("From point to point, RMS", ANGLE, decimals=0, none="not told")
    ]


def ear_rows(tune: Tune) -> Steps[tuple[EarsFound, ...]]:
    """A voice played by all channels alike, at the first seat; nothing without every side speaker's place.

    Each channel reaches the head as it was measured at the fixed point and those near it, all of it from the
    place of its speaker, and passes a rigid sphere.
    """
    channels = tune.plan.channels
    sines = [each.sine if each.side else 0.0 for each in channels]
    if {-1, 1} - {each.side for each in channels} or None in sines:
        return ()
    heard = tune.plan.gains[0][list(tune.plan.near)] * tune.through
    at_ears = heads.at_both_ears(np.array([sine or 0.0 for sine in sines]), grid(), EAR_SPEED)
    sides = np.array([[each.side == side for each in channels] for side in (-1, 0, 1)], dtype=np.float64)
    ears = np.einsum("sc,pcf,ecf->epsf", sides, heard, at_ears)
    points = []
    for point in range(ears.shape[1]):
        yield Working("Listening with two ears", 0.98)
        points.append(_angles(_said(ears[:, [point]])))
    said = _said(ears)
    of_bands = zip(EAR_BANDS, said, _angles(said), zip(*points, strict=True), strict=True)
    return tuple(_row(*each) for each in of_bands)


def _row(band: float, says: float, angle: float | None, points: tuple[float | None, ...]) -> EarsFound:
    told = [each for each in points if each is not None]
    # A point that is not told may stand on either side: what the others make of it is no certainty.
    certain = angle is not None and len(told) == len(points)
    return EarsFound(
        band=band,
        by="arrival" if band < BY_ARRIVAL else "level",
        left_late=says if band < BY_ARRIVAL else None,
        right_louder=None if band < BY_ARRIVAL else says,
        angle=angle,
        angle_spread=round(math.sqrt(float(np.mean((np.array(told) - angle) ** 2))), 6) if certain else None,
    )


def _said(ears: ComplexArray) -> list[float]:
    """What each octave says for the right, as `_to_right` has it."""
    return [_to_right(band, ears) for band in EAR_BANDS]


def _angles(said: list[float]) -> list[float | None]:
    """Degrees to the right for what each octave says.

    None where nearly half a cycle lies between the ears, so that either may be the one that leads, and in the
    octave over such a one: there it would be nearly a whole cycle, which reads as little.
    """
    found: list[float | None] = []
    told = True
    for band, says in zip(EAR_BANDS, said, strict=True):
        told = band > BY_ARRIVAL or (told and not too_far_apart(band, says))
        found.append(_angle(band, says) if told else None)
    return found


def _to_right(band: float, ears: ComplexArray) -> float:
    """What an octave says for the right: time, s, by which the left ear is later, or dB at the right ear.

    ``ears``: shape (2, points, sides, 216). Of level, the sides are added by power: how they add otherwise
    changes from note to note and within a hand's breadth.
    """
    inside = np.flatnonzero(np.abs(np.log2(grid() / band)) <= 0.5)
    if band < BY_ARRIVAL:
        left_ear, right_ear = np.sum(ears, axis=2)
        return -lateness(band, left_ear, right_ear, inside, EAR_MOST_LATE)
    left, right = np.mean(np.abs(ears[..., inside]) ** 2, axis=(1, 2, 3)) + 1e-30
    return round(10 * math.log10(right / left), 9)


def _angle(band: float, says: float) -> float:
    """Degrees to the right at which one source far away says the same, as far as ears tell angles apart."""
    angles, said = _single(band)
    return round(float(np.interp(says, said, angles)), 6)


@cache
def _single(band: float) -> tuple[FloatArray, FloatArray]:
    """Angles of single sources, degrees, and what ears get of each in an octave, rising."""
    said = np.maximum.accumulate([_to_right(band, ears) for ears in _singles()])
    return np.concatenate([-ANGLES[::-1], [0.0], ANGLES]), np.concatenate([-said[::-1], [0.0], said])


@cache
def _singles() -> list[ComplexArray]:
    """What ears get of single sources on the right, each as `_to_right` takes it."""
    ears = heads.at_both_ears(np.sin(np.radians(ANGLES)), grid(), EAR_SPEED)
    return [ears[:, [number], np.newaxis] for number in range(ANGLES.size)]
