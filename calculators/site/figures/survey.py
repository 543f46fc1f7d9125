"""Figures of the stage vehicle survey."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import (
    Arc,
    Dimension,
    Dot,
    Hatch,
    Line,
    Place,
    Polygon,
    Shape,
    Text,
    rectangle,
)
from calculators.site.figures.treatment import leader, sheet
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


def glass_travel() -> Drawing:
    """Clay posts in a door's opening: the least depth over the whole travel of the glass."""
    inner = 232.0
    return Drawing(
        title="Clay gauge. The least depth is found by the whole travel, not by the glass full down.",
        spoken=(
            "A door in section. Across the opening for the speaker, on bare metal, lies a strip of wood "
            "with posts of modelling clay in film. The glass has gone down and up past them. Full down it "
            "clears the lower posts; the lifter's carriage, a quarter of the way down, has pressed the "
            "upper post shorter. What is left of the shortest post is the depth that counts: 10 mm more "
            "than the driver behind the metal, or it does not fit."
        ),
        height=338,
        shapes=(
            # Outer skin, glass full up in outline and full down, inner skin with its opening.
            Line(((96, 60), (88, 120), (88, 210), (98, 262), (116, 274))),
            Polygon(rectangle(140, 92, 8, 158), fill="tint"),
            Polygon(rectangle(140, 14, 8, 78), "thin"),
            *sheet(inner, 52, 8, 66, falling=True),
            *sheet(inner, 214, 8, 60, falling=True),
            Line(((236, 274), (140, 274))),
            # The lifter's carriage: full down, and where it passes the upper post.
            Polygon(rectangle(148, 222, 16, 24), fill="ink"),
            Polygon(rectangle(148, 122, 18, 24), "thin"),
            # Strip, posts.
            Polygon(rectangle(inner + 8, 98, 12, 136), fill="paper"),
            Polygon(rectangle(168, 128, inner + 8 - 168, 12), fill="tint"),
            Polygon(rectangle(152, 160, inner + 8 - 152, 12), fill="tint"),
            Polygon(rectangle(152, 194, inner + 8 - 152, 12), fill="tint"),
            Dimension((168, 112), (inner, 112), aside=-16, words="least"),
            Text((4, 26), "outside"),
            Text((376, 26), "cabin", "end"),
            Text((156, 30), "glass, up"),
            Text((4, 160), "glass, down"),
            leader((82, 162), (140, 178)),
            Text((4, 104), "lifter's"),
            Text((4, 121), "carriage, at"),
            Text((4, 138), "a quarter"),
            leader((90, 120), (148, 132)),
            Text((266, 112), "strip of wood,"),
            Text((266, 129), "on bare metal"),
            leader((264, 118), (252, 118)),
            Text((266, 178), "clay in film"),
            leader((262, 174), (222, 166)),
            Text((266, 246), "inner skin"),
            leader((262, 242), (238, 246)),
            Text((190, 304), "shortest post = depth behind the metal", "middle", strong=True),
            Text((190, 326), "10 mm over the driver; 15 or less: two people", "middle"),
        ),
    )
