"""Figures of the stage power and wiring."""

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
    Stroke,
    Text,
    rectangle,
)
from calculators.site.figures.treatment import leader
from calculators.vocabulary import crimps as sawn
from calculators.vocabulary import symbols


def cut(*outlines: tuple[Place, ...], falling: bool = False) -> tuple[Shape, ...]:
    """A part that is cut through: paper, hatch, edge."""
    return (
        Polygon(outlines[0], "none", "paper"),
        Hatch(outlines, falling),
        *(Polygon(outline) for outline in outlines),
    )


def battery_corner() -> Drawing:
    """The feed from the battery's plus through fuse and bulkhead."""
    cable = 76.0

    def clip(x: float) -> tuple[Shape, ...]:
        return Arc((x, cable), 7, 90, 360), Line(((x, cable + 7), (x + 7, cable + 7), (x + 7, cable + 22)))

    return Drawing(
        title="Battery corner. What nothing guards is 300 mm at most, and sleeved twice.",
        spoken=(
            "The feed leaves the battery's plus post under a hood. Its first 300 mm or less run in two "
            "sleeves, one over the other, to the closed fuse holder, which is fixed to the inner wing. "
            "From there the cable runs in one sleeve, held by a clip every 200 to 300 mm, and passes the "
            "bulkhead in a grommet into the cabin."
        ),
        height=236,
        shapes=(
            *cut(rectangle(128, cable + 22, 134, 10)),
            *cut(rectangle(262, 44, 12, cable - 12 - 44)),
            *cut(rectangle(262, cable + 12, 12, 118)),
            *symbols.battery(10, 136, 100, 70, ("Battery",)),
            Line(((35, 129), (35, 108), (40, 86), (56, cable), (134, cable)), "feed", smooth=True),
            Line(((178, cable), (376, cable)), "feed"),
            # Two sleeves up to the holder, one from there on.
            Polygon(rectangle(58, cable - 9, 66, 18), "thin"),
            Polygon(rectangle(54, cable - 5, 74, 10), "thin"),
            Polygon(rectangle(184, cable - 5, 188, 10), "thin"),
            Arc((35, 128), 18, 180, 360),
            Polygon(rectangle(128, cable - 16, 56, 38), fill="tint"),
            *symbols.fuse((156, cable), 36),
            *clip(204),
            *clip(244),
            # The grommet grips the edge of the hole on both sides.
            *(Polygon(rectangle(256, cable + side * 9 - 3, 24, 6), fill="ink") for side in (-1, 1)),
            Dimension((35, cable - 20), (128, cable - 20), aside=-18, words="300 mm or less"),
            Dimension((204, cable + 32), (244, cable + 32), aside=54, words="every 200 to 300 mm"),
            Text((4, 100), "hood"),
            leader((22, 104), (26, 112)),
            Text((48, 104), "two sleeves"),
            Text((142, 32), "fuse holder, closed"),
            leader((156, 37), (156, 60)),
            Text((224, 182), "a clip", "middle"),
            Text((288, 108), "grommet"),
            leader((284, 104), (276, 88)),
            Text((290, 62), "one sleeve"),
            Text((268, 222), "Bulkhead", "middle", strong=True),
            Text((118, 126), "inner wing"),
            Text((4, 228), "Engine bay", strong=True),
            Text((376, 228), "Cabin", "end", strong=True),
        ),
    )


def return_joint() -> Drawing:
    """The ground's lug on bare metal, cut through; under it which side of the sensor it belongs to."""
    stud, face = 156.0, 132.0
    wire = 306.0
    return Drawing(
        title="Return. Bright metal under the lug; home on the body's side of the sensor.",
        spoken=(
            "Section through the joint, from below: the body with a welded nut or a through bolt; bright "
            "metal, one lug's width all round; the lug flat on it with nothing between; the toothed washer "
            "above the lug; the nut. Primer and sealer go over all of it, last of all. Below, the way "
            "home: the ground joins the body, and the body leads through the current sensor to the "
            "battery's minus post. It is never joined to the post."
        ),
        height=372,
        shapes=(
            # The joint, cut through.
            *cut(rectangle(16, face, stud - 10 - 16, 16)),
            *cut(rectangle(stud + 10, face, 364 - stud - 10, 16)),
            Line(((16, face - 3), (stud - 52, face - 3)), "thin"),
            Line(((stud + 52, face - 3), (364, face - 3)), "thin"),
            Polygon(
                (
                    (stud - 10, face + 16),
                    (stud - 22, face + 16),
                    (stud - 22, face + 34),
                    (stud + 22, face + 34),
                    (stud + 22, face + 16),
                    (stud + 10, face + 16),
                ),
                fill="paper",
            ),
            *cut(rectangle(stud - 34, face - 12, 24, 12), falling=True),
            *cut(
                (
                    (stud + 10, face - 12),
                    (stud + 56, face - 12),
                    (stud + 68, face - 32),
                    (stud + 126, face - 32),
                    (stud + 126, face - 26),
                    (stud + 74, face - 26),
                    (stud + 74, face - 8),
                    (stud + 126, face - 8),
                    (stud + 126, face - 2),
                    (stud + 62, face - 2),
                    (stud + 60, face),
                    (stud + 10, face),
                ),
                falling=True,
            ),
            Polygon(rectangle(stud + 130, face - 32, 84, 30), fill="tint"),
            Polygon(rectangle(stud + 74, face - 26, 140, 18), "none", "feed"),
            Line(((stud + 130, face - 26), (stud + 214, face - 26)), "thin"),
            Line(((stud + 130, face - 8), (stud + 214, face - 8)), "thin"),
            Polygon(rectangle(stud + 104, face - 36, 54, 38)),
            # Bolt, toothed washer, nut.
            Polygon(rectangle(stud - 10, face - 52, 20, 86), fill="paper"),
            Polygon(
                (
                    (stud - 24, face - 20),
                    *((stud - 24 + 6 * tooth, face - (12 if tooth % 2 else 17)) for tooth in range(9)),
                    (stud + 24, face - 20),
                ),
                fill="ink",
            ),
            Polygon(rectangle(stud - 20, face - 42, 40, 22), fill="paper"),
            # Sealer over all of it.
            Line(
                (
                    (stud - 66, face - 4),
                    (stud - 44, face - 18),
                    (stud - 30, face - 50),
                    (stud, face - 62),
                    (stud + 30, face - 50),
                    (stud + 52, face - 22),
                    (stud + 68, face - 40),
                ),
                "thin",
                smooth=True,
            ),
            Text((4, 40), "nut, to its torque"),
            leader((94, 46), (stud - 20, face - 34)),
            Text((4, 66), "toothed washer"),
            leader((90, 72), (stud - 24, face - 17)),
            Text((4, 92), "lug, flat"),
            leader((52, 96), (stud - 34, face - 6)),
            Text((192, 40), "primer and sealer, last"),
            leader((196, 46), (stud + 24, face - 54)),
            Text((236, 74), "adhesive sleeve"),
            leader((290, 79), (290, face - 37)),
            Text((16, face + 36), "body, steel"),
            Text((376, face + 36), "welded nut or through bolt", "end"),
            leader((stud + 24, face + 31), (stud + 22, face + 29)),
            Dimension((stud - 52, face + 16), (stud + 52, face + 16), aside=46, words="bright metal"),
            # The way home.
            *symbols.battery(8, wire - 20, 84, 40, ("Battery",)),
            Line(((71, wire - 31), (71, wire - 44), (130, wire - 44), (130, wire), (150, wire)), "ground"),
            *symbols.box(150, wire - 18, 70, 36, ("Sensor",)),
            Line(((220, wire), (340, wire), (340, wire + 14)), "ground"),
            *symbols.ground((340, wire + 14)),
            Dot((276, wire)),
            Line(((276, wire), (276, wire - 40)), "ground"),
            Text((276, wire - 50), "your ground here", "middle", strong=True),
            Text((340, wire + 48), "Body", "middle", strong=True),
            Text((104, wire - 62), "never at the post", "middle", strong=True),
            Line(((97, wire - 51), (111, wire - 37))),
            Line(((111, wire - 51), (97, wire - 37))),
        ),
    )


def door_boot() -> Drawing:
    """The pair from body to door, with a loop on each side of the hinge."""
    hole = 92.0
    folds = 7
    left, right = 132.0, 250.0
    step = (right - left) / folds
    crest = tuple((left + step * number / 2, 14.0 if number % 2 else 22.0) for number in range(2 * folds + 1))
    return Drawing(
        title="Door boot. Each loop hangs lower than the hole it came from.",
        spoken=(
            "A speaker pair comes up inside the body's pillar, hangs in a loop lower than its hole, passes "
            "the hole, the rubber boot and the hole in the door, and hangs in a second loop inside the "
            "door. Water drips off the lowest point of each loop. The boot sits in its groove on both "
            "sides; no splice lies in it."
        ),
        height=250,
        shapes=(
            *cut(rectangle(left - 14, 34, 14, hole - 24 - 34)),
            *cut(rectangle(left - 14, hole + 24, 14, 100)),
            *cut(rectangle(right, 34, 14, hole - 24 - 34), falling=True),
            *cut(rectangle(right, hole + 24, 14, 100), falling=True),
            Polygon(
                (
                    *((x, hole - across) for x, across in crest),
                    *((x, hole + across) for x, across in reversed(crest)),
                ),
                fill="tint",
            ),
            *(
                Polygon(rectangle(x, hole + side * 22 - 5, 8, 10), fill="ink")
                for x in (left - 4, right - 4)
                for side in (-1, 1)
            ),
            Line(
                (
                    (20, 44),
                    (28, 96),
                    (46, 140),
                    (72, 152),
                    (94, 124),
                    (112, 98),
                    (142, hole),
                    (240, hole),
                    (270, 98),
                    (288, 124),
                    (312, 152),
                    (336, 140),
                    (352, 96),
                    (360, 44),
                ),
                "feed",
                smooth=True,
            ),
            *(
                shape
                for x in (70, 314)
                for shape in (Line(((x, 160), (x - 4, 169), (x, 174), (x + 4, 169), (x, 160))),)
            ),
            Text((70, 194), "drip", "middle"),
            Text((314, 194), "drip", "middle"),
            Text((4, 30), "speaker pair"),
            Text((191, 50), "rubber boot", "middle"),
            Text((191, 136), "in its groove", "middle"),
            Text((191, 184), "no splice inside", "middle"),
            Text((80, 236), "Body", "middle", strong=True),
            Text((304, 236), "Door", "middle", strong=True),
        ),
    )


def hold_up_branch() -> Drawing:
    """Branch fuse, isolator, node, and the capacitor's leg in its order."""
    line, node = 92.0, 206.0
    low: Stroke = "ground"
    return Drawing(
        title="Hold-up branch. One node behind the isolator; the capacitor hangs on a leg of its own.",
        spoken=(
            "From the block through the branch fuse and the isolator to one node. The node feeds the "
            "device, and through a fuse of 1 A and a relay its turn-on. From the node a leg goes down: the "
            "charge resistor with the by-pass diode across it, its stripe towards the node; then the "
            "capacitor's own fuse; then the capacitor, with a bleed terminal on each side; then ground."
        ),
        height=388,
        shapes=(
            Line(((60, line), (300, line)), "feed"),
            Line(((node, line), (node, 120)), "feed"),
            Line(((node - 24, 120), (node + 24, 120)), "feed"),
            Line(((node - 24, 120), (node - 24, 184), (node + 24, 184), (node + 24, 120)), "feed"),
            Line(((node, 184), (node, 287)), "feed"),
            Line(((node, 297), (node, 340)), low),
            # The turn-on, from the same node.
            Line(((262, line), (262, 28), (338, 28), (338, line - 22)), "signal"),
            *symbols.box(4, line - 22, 58, 44, ("Block",)),
            *symbols.fuse((94, line)),
            *symbols.diode((160, line)),
            *symbols.box(296, line - 22, 82, 44, ("Device",)),
            *symbols.fuse((290, 28), 32),
            Dot((node, line)),
            Dot((262, line)),
            *symbols.resistor((node - 24, 152), upright=True),
            *symbols.diode((node + 24, 152), turn=3),
            *symbols.fuse((node, 226), upright=True),
            *symbols.capacitor((node, 292)),
            *symbols.ground((node, 340)),
            *(
                shape
                for y, kind in ((264, "feed"), (320, "ground"))
                for shape in (
                    Line(((node, y), (node + 62, y)), "feed" if kind == "feed" else "ground"),
                    Arc((node + 68, y), 6, fill="paper"),
                    Dot((node, y)),
                )
            ),
            Text((94, line - 20), "branch fuse", "middle"),
            Text((168, line - 20), "isolator", "middle"),
            Text((node + 8, line + 20), "node", "start", strong=True),
            Text((268, 54), "1 A, relay"),
            Text((374, 18), "turn-on", "end"),
            Text((node - 40, 148), "charge", "end"),
            Text((node - 40, 164), "resistor", "end"),
            Text((node + 44, 144), "by-pass diode,"),
            Text((node + 44, 160), "stripe to the node"),
            Text((node - 20, 231), "capacitor's fuse", "end"),
            Text((node - 28, 297), "capacitor", "end", strong=True),
            Text((node + 84, 288), "bleed and"),
            Text((node + 84, 304), "measure here"),
            Text((node - 28, 352), "ground", "end"),
        ),
    )


def crimps() -> Drawing:
    """A good crimp and three bad ones, sawn through."""

    def names(x: float, y: float, head: str, *more: str) -> tuple[Shape, ...]:
        return (
            Text((x, y), head, "middle", strong=True),
            *(Text((x, y + 16 * number), words, "middle") for number, words in enumerate(more, 1)),
        )

    upper, lower, first, second = 60.0, 250.0, 96.0, 284.0
    return Drawing(
        title="Crimps, sawn through. Make two with a new tool or a new lug, and saw one.",
        spoken=(
            "Four sections. Good: barrel and strands are one solid face, without gaps. Bad: round strands "
            "with gaps between them, the die was too large or the cable too thin. Bad: the barrel is "
            "cracked and its metal stands out in fins, the die was too small. Bad: strands are missing, "
            "cut off or left outside."
        ),
        height=350,
        shapes=(
            *sawn.good(first, upper),
            *names(first, 136, "Good", "one solid face"),
            *sawn.gaps(second, upper),
            *names(second, 136, "Bad: gaps", "die too large, or", "cable too thin"),
            *sawn.cracked(first, lower),
            *names(first, 324, "Bad: crack, fins", "die too small"),
            *sawn.missing(second, lower),
            *names(second, 324, "Bad: strands missing", "cut, or left outside"),
        ),
    )
