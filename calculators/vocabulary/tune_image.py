"""Where a tuned pair of sides puts a voice: by arrival in the lower bands, by level in the upper ones."""

import math
from dataclasses import dataclass
from typing import Annotated

import numpy as np

from calculators.declaring import Output, OutputText
from calculators.declaring.quantities import FREQUENCY, LEVEL, TIME
from calculators.physics import air, stereo
from calculators.physics.arrays import ComplexArray, IndexArray
from calculators.physics.speaker_system import grid
from calculators.vocabulary.tune_plan import Channel, Tune

IMAGE_BANDS = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Hz: middles of octaves."""
BY_ARRIVAL = 1500.0
"""Hz, under which an ear goes by arrival and over which by level. Lord Rayleigh's two parts, textbook."""
MIDDLE_ANGLE = 10.0
"""Degrees off the nose that pass for the middle, as the delay from ear to ear that goes with them, taken for
that from side to side: no ear was measured. Common practice, no source."""
TOO_FAR_APART = 0.35
"""Of a cycle: farther apart in phase, either side may be the one that leads. Our own rule."""
SIDE_NOT_TOLD = "not told: nearly half a cycle apart"
MIDDLE_LEVEL = 1.0
"""dB that pass for the middle. Common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class ImageFound:
    """How left and right reach the driver in an octave."""

    band: Annotated[float, Output("Octave", FREQUENCY, figures=4, trim=True)]
    by: Annotated[str, OutputText("An ear goes by")]
    right_late: Annotated[
        float | None, Output("Right after left by", TIME, show="ms", decimals=2, none="by level here")
    ]
    right_louder: Annotated[float, Output("Right over left by", LEVEL, decimals=1)]
    pulls: Annotated[str, OutputText("A voice stands")]


def image_rows(tune: Tune) -> tuple[ImageFound, ...]:
    """The sides of the first seat against one another, over the fixed point and those near it.

    What stands on neither side and is no subwoofer, as a centre, plays half for each.
    """
    channels = tune.plan.channels
    if not {-1, 1} <= {each.side for each in channels}:
        return ()
    left, right = (
        tune.sums(0, np.array([_share(each, side) for each in channels]))[list(tune.plan.near)]
        for side in (-1, 1)
    )
    return tuple(_row(band, left, right) for band in IMAGE_BANDS if _plays(tune, band))


def _share(channel: Channel, side: int) -> float:
    """The part of a channel, by sound pressure, that counts for a side."""
    if channel.side == 0:
        return 0.0 if channel.kind == "subwoofer" else 0.5
    return float(channel.side == side)


def _plays(tune: Tune, band: float) -> bool:
    """Whether a channel of either side plays the middle of an octave."""
    return all(
        any(
            each.side == side and (each.high_pass or 0) <= band <= (each.low_pass or math.inf)
            for each in tune.plan.channels
        )
        for side in (-1, 1)
    )


def _row(band: float, left: ComplexArray, right: ComplexArray) -> ImageFound:
    inside = np.flatnonzero(np.abs(np.log2(grid() / band)) <= 0.5)
    power = [float(np.mean(np.abs(each[:, inside]) ** 2)) for each in (left, right)]
    louder = 10 * math.log10((power[1] + 1e-30) / (power[0] + 1e-30))
    if band > BY_ARRIVAL:
        return ImageFound(
            band=band, by="level", right_late=None, right_louder=louder,
            pulls=_pulled(round(louder, 2) / MIDDLE_LEVEL),
        )  # fmt: skip
    late = lateness(band, left, right, inside)
    middle = stereo.interaural_delay(math.radians(MIDDLE_ANGLE), air.speed_of_sound(20.0))
    pulls = SIDE_NOT_TOLD if too_far_apart(band, late) else _pulled(-round(late / middle, 3))
    return ImageFound(band=band, by="arrival", right_late=late, right_louder=louder, pulls=pulls)


def too_far_apart(band: float, late: float) -> bool:
    """Whether two that lie so far apart in time (s) are too near half a cycle of a band to tell the first."""
    return round(abs(late) * band, 6) > TOO_FAR_APART


def lateness(
    band: float, left: ComplexArray, right: ComplexArray, inside: IndexArray, most: float = math.inf
) -> float:
    """Time, s, by which right lags left in a band, by phase: half a cycle at most, or ``most``."""
    delays = np.linspace(-1, 1, 201) * min(0.5 / band, most)
    cross = np.sum(np.conj(left[:, inside]) * right[:, inside], axis=0)
    turned = np.exp(2j * math.pi * np.multiply.outer(delays, grid()[inside]))
    return float(delays[int(np.argmax(np.round((turned @ cross).real / np.sum(np.abs(cross)), 9)))])


def _pulled(to_right: float) -> str:
    """Words for a pull to the right, 1 being where the middle ends."""
    if abs(to_right) <= 1:
        return "in the middle"
    return "to the right" if to_right > 0 else "to the left"
