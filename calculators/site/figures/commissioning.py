"""Figures of the stage commissioning."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Dot, Line, Shape, Text
from calculators.vocabulary import symbols


def holder_first_power() -> Drawing:
    """The empty main holder with the resistor across it, and where each meter lead goes."""
    feed, left, right = 166.0, 138.0, 242.0

    def to_body(x: float, words: tuple[str, str]) -> tuple[Shape, ...]:
        """A meter from the feed to the body."""
        return (
            Line(((x, feed), (x, 226), (x, 286)), "thin"),
            Dot((x, feed)),
            *symbols.meter((x, 242), "V"),
            *symbols.ground((x, 286)),
            Text((x + 22, 240), words[0]),
            Text((x + 22, 256), words[1]),
        )

    return Drawing(
        title="First power. The main holder stays empty: the resistor lets less than 0.3 A through.",
        spoken=(
            "The feed runs from the battery to the main holder, which is empty, and on to the system. Step "
            "1: a meter from the battery's side of the holder to the body reads battery voltage; from the "
            "system's side it reads nothing. Step 2: 47 ohm, 10 watt, clipped across the empty holder, "
            "with a meter across the resistor: it jumps up and falls towards zero, and steady under 0.5 volt "
            "you go on."
        ),
        height=316,
        shapes=(
            *symbols.battery(4, 206, 76, 44, ("Battery",)),
            Line(((23, 199), (23, feed), (left, feed)), "feed"),
            Line(((61, 199), (61, 186), (88, 186), (88, 268)), "ground"),
            *symbols.ground((88, 268)),
            Line(((right, feed), (300, feed)), "feed"),
            # The resistor by its clips, and the meter across it.
            Line(((left + 8, feed), (left + 8, 92), (right - 8, 92), (right - 8, feed)), "feed"),
            *symbols.resistor((190, 92), 48),
            Line(((left + 8, 92), (left + 8, 40), (right - 8, 40), (right - 8, 92)), "thin"),
            Dot((left + 8, 92)),
            Dot((right - 8, 92)),
            *symbols.meter((190, 40), "V"),
            # The holder: two contacts and nothing between them.
            *symbols.box(left - 8, feed - 16, right - left + 16, 32),
            Arc((left + 8, feed), 5, fill="paper"),
            Arc((right - 8, feed), 5, fill="paper"),
            Line(((left - 8, feed), (left + 3, feed)), "feed"),
            Line(((right - 3, feed), (right + 8, feed)), "feed"),
            Text((190, feed + 5), "empty", "middle", strong=True),
            Text((190, feed + 34), "main holder", "middle"),
            Text((190, 122), "47 Ω, 10 W", "middle", strong=True),
            Text((264, 36), "2: falls, steady"),
            Text((264, 52), "under 0.5 V"),
            *symbols.box(300, feed - 22, 76, 44, ("System",)),
            *to_body(120, ("1: battery", "voltage")),
            *to_body(272, ("1: nothing,", "resistor off")),
        ),
    )
