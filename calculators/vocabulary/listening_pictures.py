"""Pictures that move beside a sound: waves that leave the doors, cones, a mark along a line."""

from collections.abc import Sequence
from math import cos, dist, exp, pi, sin

import numpy as np

from calculators.declaring.drawings import (
    PICTURE,
    Arc,
    Drawing,
    Line,
    Moving,
    Place,
    Polygon,
    Pose,
    Shape,
    Text,
    rectangle,
)
from calculators.physics.arrays import FloatArray
from calculators.physics.sound_material import BEAT, DURATION, KNOCK_AT

SLOWED = 1000
"""So many times slower than in air do the waves of a picture run."""
_ROUND = 6.0
_CABIN_HEIGHT = 214.0
_LEFT_DOOR, _RIGHT_DOOR = (60.0, 60.0), (320.0, 60.0)
_SEATS: dict[str, Place] = {"driver": (122.0, 150.0), "passenger": (258.0, 150.0)}


def _ring(door: Place, reach: float, arrival: float, first: float) -> Moving:
    """A wave that leaves a door, and is drawn as far as it has come when the first is at the head.

    reach: picture units to the head. arrival, first: s, when it and the first are there.
    """
    travel = 2.4  # Seconds from door to head, as in the picture: all waves are equally fast there.
    start = 0.5 + (arrival - first) * SLOWED
    still = max(reach * (1 - (arrival - first) * SLOWED / travel), 8.0)
    full = reach / still
    share = [each / _ROUND for each in (start, start + travel, start + travel + 0.4)]
    poses = (
        Pose(0.0, size=0.02, seen=False),
        Pose(share[0], size=0.02, seen=False),
        Pose(min(share[0] + 0.001, 1.0), size=0.04),
        Pose(min(share[1], 1.0), size=full),
        Pose(min(share[2], 1.0), size=full * 1.15, seen=False),
        Pose(1.0, size=full * 1.15, seen=False),
    )
    return Moving((Arc(door, still, stroke="signal"),), poses, _ROUND, door)


def cabin(title: str, spoken: str, seat: str, arrivals: tuple[float, float], note: str) -> Drawing:
    """A cabin from above with a wave from each door, as they reach one head.

    ``arrivals``: s, of left and right; the first of the two is at the head in the still picture.
    """
    head = _SEATS[seat]
    first = min(arrivals)
    shapes: list[Shape] = [
        Polygon(rectangle(20, 20, 340, 168), "thin"),
        Text((190, 36), "front", "middle"),
    ]
    for name, place in _SEATS.items():
        shapes.append(Arc(place, 13, stroke="ink", fill="tint" if name == seat else "none"))
    for door, arrival in zip((_LEFT_DOOR, _RIGHT_DOOR), arrivals, strict=True):
        shapes.append(Polygon(rectangle(door[0] - 7, door[1] - 12, 14, 24), "ink", "feed"))
        shapes.append(_ring(door, dist(door, head), arrival, first))
    shapes.append(Text((190, _CABIN_HEIGHT - 8), note, "middle"))
    return Drawing(title, spoken, _CABIN_HEIGHT, tuple(shapes))


def cones(title: str, spoken: str, doors: float, low: float) -> Drawing:
    """Cones of two doors, and of a subwoofer if it moves at all, on the beat; by so many units."""
    places = [("left door", 70.0, 64.0, doors), ("right door", 310.0, 64.0, doors)]
    places += [("subwoofer", 190.0, 110.0, low)] if low else []
    shapes: list[Shape] = []
    for name, x, width, way in places:
        ends = [x + part * width for part in (-0.5, -0.25, 0.25, 0.5)]
        cone = Polygon(tuple(zip(ends, (72, 44, 44, 72), strict=True)), "ink", "tint")
        steps = [number / 32 for number in range(33)]
        poses = tuple(Pose(at, (0, -way * exp(-at * 3) * sin(8 * pi * at))) for at in steps)
        edge = Line(((ends[0] - 8, 72), (ends[3] + 8, 72)))
        shapes += [Moving((cone,), poses, BEAT), edge, Text((x, 100), name, "middle")]
    return Drawing(title, spoken, 116, tuple(shapes))


def wave(title: str, spoken: str, overload: float) -> Drawing:
    """A tone that runs past, cut off at the amplifier's limit where it is raised beyond it (dB)."""
    height, length, middle = 52 * 10 ** (overload / 20), 95.0, 84.0
    count = round(PICTURE / 2) + 48
    places = tuple(
        (2.0 * x, middle - max(-52.0, min(52.0, height * sin(2 * pi * 2 * x / length)))) for x in range(count)
    )
    running = Moving((Line(places, "feed"),), (Pose(0), Pose(1, (-length, 0))), 2.0)
    limits = tuple(Line(((0, y), (PICTURE, y)), "ground") for y in (middle - 54, middle + 54))
    return Drawing(
        title,
        spoken,
        168,
        (
            *limits,
            running,
            Text((6, 22), "as far as the amplifier goes"),
        ),
    )


def line_with_mark(
    title: str,
    spoken: str,
    places: Sequence[Place],
    marks: Sequence[Shape],
    seconds: float,
    height: float,
) -> Drawing:
    """A line, and a dot that runs along it in so many seconds."""
    start = places[0]
    left, right = places[0][0], places[-1][0]
    poses = tuple(Pose((x - left) / (right - left), (x - start[0], y - start[1])) for x, y in places)
    dot = Moving((Arc(start, 6, fill="ink"),), poses, seconds)
    return Drawing(title, spoken, height, (*marks, Line(tuple(places)), dot))


def ringing(title: str, spoken: str, decay: float) -> Drawing:
    """How a door skin's ringing dies away over half a second (decay: s, to 1/e), and the skin itself."""

    def height(at: float) -> float:
        return 46 * exp(-at / decay) * cos(2 * pi * 30 * at) if at >= 0 else 0.0

    places = tuple((20 + 680 * at, 66 - height(at)) for at in (number / 600 for number in range(301)))
    # The sound knocks a quarter of a second past each second.
    poses = tuple(Pose(share, (0, -height(share - KNOCK_AT) / 3)) for share in (n / 120 for n in range(121)))
    skin = Moving((Line(((20, 140), (360, 140)), "feed"),), poses, 1.0)
    still = (Line(((20, 66), (360, 66)), "thin"), Line(places), Text((190, 176), "half a second", "middle"))
    return Drawing(title, spoken, 184, (*still, skin))


def level_line(title: str, frequency: FloatArray, levels: FloatArray) -> Drawing:
    """Level over frequency (Hz, by ratio), between -18 and 18 dB, with a dot that runs along it."""
    across = np.log(frequency / frequency[0]) / np.log(frequency[-1] / frequency[0])
    heights = 90 - 4 * np.clip(levels, -18, 18)
    places = tuple(zip((20 + 340 * across).tolist(), heights.tolist(), strict=True))
    marks = (Line(((20, 90), (360, 90)), "thin"), Text((20, 184), "low"), Text((360, 184), "high", "end"))
    most, least = float(np.max(levels)), float(np.min(levels))
    spoken = f"{title}: a line that rises to {most:.0f} dB and falls to {least:.0f} dB."
    return line_with_mark(title, spoken, places, marks, 4.0, 192)


def gap_line(title: str, start: float, gap: float) -> Drawing:
    """Whether there is music, over one round of the sound, with a dot that runs along it; start, gap: s."""

    def across(at: float) -> float:
        return 20 + 340 * at / DURATION

    steps = [(0.0, 60.0), (start, 60.0), (start, 120.0), (start + gap, 120.0), (start + gap, 60.0)]
    steps = [*steps, (DURATION, 60.0)] if gap > 0 else [(0.0, 60.0), (DURATION, 60.0)]
    places = tuple((across(at), height) for at, height in steps)
    words = f"{gap:.1f} s of silence" if gap > 0 else "no silence"
    marks = (Text((20, 46), "music"), Text((190, 152), words, "middle"))
    return line_with_mark(
        f"{title}: {words}", f"{title}: {words} at the engine start.", places, marks, DURATION, 164
    )
