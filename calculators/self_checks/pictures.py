"""Pictures that a self-check asks about: what is drawn in them is what is asked for.

Titles and spoken words tell what is to be seen, never what to think of it.
"""

from collections.abc import Callable, Sequence
from math import pi, sin

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Dimension, Hatch, Line, Polygon, Shape, Text, rectangle
from calculators.vocabulary import symbols


def battery_corner(fuse_at: int, hood: bool, grommet: bool, clips: bool) -> Drawing:
    """The feed from the battery's plus to the cabin. fuse_at: mm of cable from the terminal."""
    cable, hole = 76.0, 12.0 if grommet else 4.0
    held = tuple(
        shape
        for x in (214.0, 240.0)
        for shape in (
            Arc((x, cable), 7, 90, 360),
            Line(((x, cable + 7), (x + 7, cable + 7), (x + 7, cable + 22))),
        )
    )
    # What no clip holds hangs down onto the wing.
    hangs = (
        (178, cable),
        (196, cable + 18),
        (220, cable + 22),
        (244, cable + 16),
        (264, cable),
        (376, cable),
    )
    cut = (
        rectangle(128, cable + 22, 134, 10),
        rectangle(262, 44, 12, cable - hole - 44),
        rectangle(262, cable + hole, 12, 208 - cable - hole),
    )
    rubber = tuple(Polygon(rectangle(256, cable + side * 9 - 3, 24, 6), fill="ink") for side in (-1, 1))
    return Drawing(
        title="A battery corner, as it was found.",
        spoken=(
            f"The feed leaves the battery's plus post, which {'lies under a hood' if hood else 'is bare'}. "
            f"After {fuse_at} mm of cable comes the closed fuse holder on the inner wing. From there the cable "
            f"{'is held by two clips' if clips else 'lies loose on the wing'} and passes the bulkhead "
            f"{'in a grommet' if grommet else 'through a bare hole in the sheet'} into the cabin."
        ),
        height=236,
        shapes=(
            *(shape for part in cut for shape in (Polygon(part, fill="paper"), Hatch((part,)))),
            *symbols.battery(10, 136, 100, 70, ("Battery",)),
            Line(((35, 129), (35, 108), (40, 86), (56, cable), (134, cable)), "feed", smooth=True),
            Line(((178, cable), (376, cable)), "feed") if clips else Line(hangs, "feed", smooth=True),
            Polygon(rectangle(128, cable - 16, 56, 38), fill="tint"),
            *symbols.fuse((156, cable), 36),
            *(held if clips else ()),
            *((Arc((35, 128), 18, 180, 360),) if hood else ()),
            *(rubber if grommet else ()),
            Dimension((35, cable - 20), (128, cable - 20), aside=-18, words=f"{fuse_at} mm"),
            Text((192, 34), "main fuse"),
            Text((118, 126), "inner wing"),
            Text((268, 226), "Bulkhead", "middle", strong=True),
            Text((4, 228), "Engine bay", strong=True),
            Text((376, 228), "Cabin", "end", strong=True),
        ),
    )


def four(parts: Sequence[tuple[Callable[[float, float], tuple[Shape, ...]], str]], title: str) -> Drawing:
    """Four things to choose from, A to D, each with what is to be seen of it."""
    places = [(96.0, 62.0), (284.0, 62.0), (96.0, 222.0), (284.0, 222.0)]
    named = [*zip("ABCD", places, parts, strict=True)]
    return Drawing(
        title=title,
        spoken=" ".join(f"{letter}: {words}." for letter, _, (_, words) in named),
        height=304,
        shapes=tuple(
            shape
            for letter, (x, y), (draw, _) in named
            for shape in (*draw(x, y), Text((x, y + 76), letter, "middle", strong=True))
        ),
    )


def on_a_scope(drive: float, top: float, bottom: float) -> Drawing:
    """Two periods of a sine, cut off where it goes past a top or a bottom; all as shares of the screen."""
    left, middle, half, wide = 20.0, 100.0, 80.0, 340.0
    heights = [max(-bottom, min(top, drive * sin(4 * pi * step / 120))) for step in range(121)]
    trace = tuple((left + wide * step / 120, middle - half * height) for step, height in enumerate(heights))

    def said(limit: float) -> str:
        return "flat" if drive > limit else "round"

    return Drawing(
        title="A tone on a scope, at an amplifier's output.",
        spoken=f"Two periods of a wave. Its tops are {said(top)}, its bottoms {said(bottom)}.",
        height=200,
        shapes=(
            Polygon(rectangle(left, 12, wide, 176), fill="paper"),
            *(Line(((x, 12), (x, 188)), "thin") for x in (left + wide * part / 8 for part in range(1, 8))),
            *(Line(((left, y), (left + wide, y)), "thin") for y in (12 + 22 * part for part in range(1, 8))),
            Line(trace, "feed"),
        ),
    )
