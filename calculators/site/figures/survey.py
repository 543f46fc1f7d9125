"""Figures of the stage vehicle survey."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Dot, Hatch, Line, Place, Polygon, Shape, Text, rectangle
from calculators.vocabulary import symbols


def body_tests() -> Drawing:
    """The clamp round the negative cable, and the three places where the way home may lose volts."""
    body, minus, end, point = 296.0, 120.0, 232.0, 356.0
    strip = rectangle(8, body, 364, 14)

    def volts(middle: Place, *ways: tuple[Place, ...]) -> tuple[Shape, ...]:
        return *(Line(way, "thin") for way in ways), *symbols.meter(middle, "V")

    return Drawing(
        title="The way home: volts lost 1 to the engine block, 2 to the body beside it, 3 over the body.",
        spoken=(
            "The battery's negative cable runs through the current sensor and its clamp to the body; a "
            "strap leads from there to the engine block. The clamp meter goes round the negative cable. "
            "Test 1, engine running: volts from battery negative to engine block. Test 2: from battery "
            "negative to the body beside it. Test 3, engine off: a bench supply of 30 ampere drives its "
            "current from the planned ground point through the body to the body's end of the negative "
            "cable, and two other leads measure the volts between the same two places."
        ),
        height=340,
        shapes=(
            Polygon(strip, "none", "paper"),
            Hatch((strip,)),
            Polygon(strip),
            # The negative cable through the sensor to the body; the engine by its strap.
            Line(((minus, 63), (minus, 24), (end, 24), (end, body)), "ground"),
            Line(((46, 252), (46, body)), "ground"),
            *symbols.battery(60, 70, 80, 46, ("Battery",)),
            *symbols.box(150, 6, 64, 36, ("Sensor",)),
            *symbols.box(8, 206, 76, 46, ("Engine",)),
            Arc((end, 84), 14),
            Text((end + 22, 82), "clamp meter,"),
            Text((end + 22, 98), "30 A or more"),
            Text((56, 280), "strap"),
            # Tests 1 and 2, from the post.
            Dot((minus, 50)),
            *volts((46, 160), ((minus, 50), (46, 50), (46, 206))),
            *volts((176, 200), ((minus, 50), (176, 50), (176, body))),
            Text((68, 156), "1", strong=True),
            Text((198, 196), "2", strong=True),
            # Test 3: the supply's leads, and inside of them the meter's.
            Line(((end, 172), (point, 172), (point, body)), "feed"),
            *symbols.box(258, 154, 70, 36, ("30 A",)),
            Text((293, 146), "bench supply", "middle"),
            *volts((293, 236), ((end, 236), (point, 236))),
            Dot((end, 172)),
            Dot((end, 236)),
            Dot((point, 236)),
            Dot((point, body)),
            Dot((end, body)),
            Text((314, 228), "3", strong=True),
            Text((294, 274), "engine off", "middle"),
            Text((8, 330), "Body", strong=True),
            Text((372, 330), "planned point", "end"),
        ),
    )
