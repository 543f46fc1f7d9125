"""Where a sound from two speakers seems to stand, for a head anywhere before them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from calculators.physics.checking import require_positive

HEAD_RADIUS = 0.0875
"""Radius, m, of the sphere that stands for a head (Woodworth, Experimental Psychology, 1938)."""


@dataclass(frozen=True)
class Seat:
    """A head that looks square at the line between two speakers.

    aside: m along that line, from the near speaker to the place straight before the nose, below 0 if
    that lies outside. depth: m, from the head to the line. near, far: sines of the speakers' angles, each a
    sine below 0 on the near side.
    """

    aside: float
    depth: float
    near: float
    far: float


def seat(near: float, far: float, between: float) -> Seat:
    """The seat that the distances to the speakers and the one between them leave.

    near, far, between: m, above 0. Raises ValueError if one is not, or if the three make no triangle.
    Source: law of cosines.
    """
    require_positive(near=near, far=far, between=between)
    if not abs(far - near) < between < near + far:
        raise ValueError("the three distances make no triangle")
    aside = (between**2 + near**2 - far**2) / (2 * between)
    # Not below nothing by rounding, where the triangle is all but flat.
    depth = math.sqrt(max(near**2 - aside**2, 0.0))
    return Seat(aside, depth, -aside / near, (between - aside) / far)


def image_sine(place: Seat, level: float) -> float:
    """The sine of the angle at which a voice stands whose two sounds arrive together.

    level: dB, the far speaker's over the near one's, both at the head. It is the mean of the
    speakers' sines, weighted by their pressures: the phase between the ears is then that of one
    source. Holds for low voices, under some 700 Hz.
    Source: Clark, Dutton and Vanderlyn, The "Stereosonic" recording and reproducing system, Proc. IEE
    104 B (1957) 417: the law of sines.
    """
    weight = 10 ** (level / 20)
    return (place.near + weight * place.far) / (1 + weight)


def level_for_sine(place: Seat, sine: float) -> float:
    """Level, dB, of the far speaker over the near one that puts a voice there: `image_sine` backwards.

    sine: sine of the voice's angle. Raises ValueError unless it lies between those of the speakers.
    Source: as in `image_sine`.
    """
    if not place.near < sine < place.far:
        raise ValueError("a voice stands between the speakers")
    return 20 * math.log10((sine - place.near) / (place.far - sine))


def interaural_delay(angle: float, speed: float) -> float:
    """Time, s, by which the farther ear hears a source later; below 0 on the other side.

    angle: rad, from straight ahead, a quarter turn at the most. speed: m/s, of sound.
    Raises ValueError beyond a quarter turn, or if the speed is not above 0.
    Source: Woodworth, Experimental Psychology (1938): radius / speed · (angle + sin angle).
    """
    require_positive(speed=speed)
    if not abs(angle) <= math.pi / 2:
        raise ValueError("the angle must lie within a quarter turn")
    return HEAD_RADIUS / speed * (angle + math.sin(angle))
