"""Figures for customers: where an upgrade sits and what it does. Schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Hatch, Line, Place, Polygon, Shape, Text, rectangle
from calculators.site.figures.treatment import leader

TOP, BOTTOM = 42.0, 168.0
"""The sides of the car from above: it looks to the left, so its left side is the lower one."""


def car(wheel: float = 138.0) -> tuple[Shape, ...]:
    """A car from above, front at the left: body, glass, seats. ``wheel``: where the steering wheel stands."""
    body = (
        (44, TOP),
        (300, TOP),
        (352, TOP + 8),
        (366, 76),
        (366, 134),
        (352, BOTTOM - 8),
        (300, BOTTOM),
        (44, BOTTOM),
        (20, BOTTOM - 20),
        (14, 105),
        (20, TOP + 20),
    )
    return (
        Polygon(body),
        Line(((104, TOP + 8), (92, 105), (104, BOTTOM - 8)), "thin", smooth=True),
        Line(((340, TOP + 10), (346, 105), (340, BOTTOM - 10)), "thin", smooth=True),
        *(Polygon(rectangle(150, y, 44, 40), "thin", "tint") for y in (56, 114)),
        Polygon(rectangle(232, 54, 36, 102), "thin", "tint"),
        Line(((wheel, 122), (wheel, 148))),
    )


def head(x: float, y: float) -> tuple[Shape, ...]:
    """Somebody seen from above, nose to the left."""
    return Arc((x, y), 11, fill="paper"), Line(((x - 10, y - 4), (x - 16, y), (x - 10, y + 4)))


def quiet_doors() -> Drawing:
    """Where doors and floor are treated."""
    doors = tuple(rectangle(116, y, 96, 12) for y in (TOP, BOTTOM - 12))
    floor = rectangle(284, 56, 48, 98)
    return Drawing(
        title="Where it sits: inside the front doors, and under the carpet of the load floor.",
        spoken=(
            "A car from above, its front at the left. Hatched: the insides of both front doors, and the load "
            "floor at the back, under its carpet. Nothing of it is seen when the trim is on again."
        ),
        height=214,
        shapes=(
            *car(),
            *(Polygon(door, fill="paper") for door in (*doors, floor)),
            Hatch((*doors, floor)),
            *(Polygon(door) for door in (*doors, floor)),
            Text((164, 30), "inside the door", "middle"),
            Text((164, 190), "inside the door", "middle"),
            Text((308, 30), "floor, under carpet", "middle"),
            leader((308, 34), (308, 58)),
            Text((20, 208), "front"),
        ),
    )


def front_pair() -> Drawing:
    """Where the front speakers sit: four of them, and what each plays."""
    return Drawing(
        title="Where they sit: a large one in each front door, a small one at each end of the dashboard.",
        spoken=(
            "A car from above, its front at the left. A large speaker in each front door plays voices and "
            "drums. A small one at each end of the dashboard plays the high notes. All sit in the maker's "
            "places."
        ),
        height=214,
        shapes=(
            *car(),
            *(Arc((136, y), 11, fill="feed") for y in (TOP + 2, BOTTOM - 2)),
            *(Arc((108, y), 6, fill="feed") for y in (62, 148)),
            *head(172, 134),
            Text((154, 28), "large: voices, drums"),
            leader((152, 24), (142, 34)),
            Text((70, 28), "small:", "middle"),
            Text((30, 208), "small: high notes"),
            leader((92, 194), (106, 155)),
            leader((84, 34), (104, 56)),
            Text((200, 192), "in the maker's places"),
        ),
    )


def amplifier_way() -> Drawing:
    """Where the amplifier sits, and its way from the battery."""
    return Drawing(
        title="Where it sits: out of sight, fed from the battery by one thick cable with its own fuse.",
        spoken=(
            "A car from above, its front at the left. The battery is in front. A fuse stands a hand's width "
            "from it. One thick cable runs from the fuse along the side to the amplifier at the back."
        ),
        height=214,
        shapes=(
            *car(),
            Polygon(rectangle(36, 120, 30, 22), fill="paper"),
            Line(((66, 131), (78, 131))),
            Polygon(rectangle(78, 126, 16, 10), fill="feed"),
            Line(((94, 131), (104, 158), (300, 158), (306, 140)), "feed"),
            Polygon(rectangle(286, 104, 48, 36), fill="tint"),
            Text((51, 112), "battery", "middle"),
            Text((60, 192), "fuse: a hand's width away"),
            leader((84, 180), (86, 138)),
            Text((310, 96), "amplifier", "middle"),
            Text((258, 30), "about a shoebox lid", "middle"),
            leader((290, 34), (310, 84)),
        ),
    )


def bass_box() -> Drawing:
    """Where the subwoofer sits, from the side of the load floor."""
    floor = 110.0
    return Drawing(
        title="Where it sits: in the place of the spare wheel, or in a box that stands in the load space.",
        spoken=(
            "Two load spaces from the side. Left, the box lies where the spare wheel was: the floor stays "
            "flat, and a repair kit comes instead of the wheel. Right, the box stands on the floor: the "
            "spare wheel stays, and load space goes."
        ),
        height=218,
        shapes=(
            Text((88, 24), "Under the floor", "middle", strong=True),
            Text((288, 24), "On the floor", "middle", strong=True),
            *(
                shape
                for left in (8.0, 208.0)
                for shape in (
                    Line(((left, 40), (left, floor), (left + 34, floor))),
                    Line(
                        (
                            (left + 34, floor),
                            (left + 42, 158),
                            (left + 122, 158),
                            (left + 130, floor),
                            (left + 164, floor),
                        )
                    ),
                    Line(((left + 164, floor), (left + 150, 44))),
                )
            ),
            Line(((8, floor), (172, floor)), "thin"),
            Polygon(((48, 116), (132, 116), (127, 152), (53, 152)), fill="tint"),
            Arc((90, 130), 16, 180, 360),
            Line(((74, 130), (106, 130))),
            Polygon(rectangle(216, 58, 64, 50), fill="tint"),
            Line(((280, 70), (270, 76), (270, 92), (280, 98))),
            Polygon(rectangle(256, 124, 68, 28), "ground"),
            Text((90, 180), "spare wheel goes,", "middle"),
            Text((90, 198), "a repair kit comes", "middle"),
            Text((290, 180), "spare wheel stays,", "middle"),
            Text((290, 198), "load space goes", "middle"),
            Text((90, 94), "your load", "middle"),
            Text((318, 94), "load", "middle"),
        ),
    )


def box(left: float, top: float, width: float, *words: str, height: float = 54.0) -> tuple[Shape, ...]:
    """A part of a chain, with its name in it."""
    first = top + height / 2 + 5 - 8.5 * (len(words) - 1)
    return (
        Polygon(rectangle(left, top, width, height), fill="tint"),
        *(Text((left + width / 2, first + 17 * number), word, "middle") for number, word in enumerate(words)),
    )


def arrow(*places: Place) -> tuple[Shape, ...]:
    """A way with its head at the end, to the right or down."""
    x, y = places[-1]
    right = places[-2][1] == y
    barbs = ((x - 6, y - 5), (x, y), (x - 6, y + 5)) if right else ((x - 5, y - 6), (x, y), (x + 5, y - 6))
    return Line(places, "feed"), Line(barbs, "feed")


def chain() -> Drawing:
    """Where the processor stands: between the car's radio and the amplifier."""
    return Drawing(
        title="Where it stands: between radio and amplifier, with a way of its own to each speaker.",
        spoken=(
            "A chain from left to right: your car's radio, the sound processor, the amplifier. From the "
            "amplifier four ways lead to four groups of speakers, each set by itself: small left, small "
            "right, doors, bass."
        ),
        height=204,
        shapes=(
            *box(2, 74, 78, "your car's", "radio"),
            *arrow((80, 101), (104, 101)),
            *box(104, 74, 84, "processor"),
            *arrow((188, 101), (208, 101)),
            *box(208, 74, 72, "amplifier"),
            *(
                shape
                for y, name in ((30, "small left"), (78, "small right"), (126, "doors"), (174, "bass"))
                for shape in (Line(((280, 101), (296, y)), "feed"), Text((300, y + 5), name))
            ),
            Text((146, 154), "time, tone and", "middle"),
            Text((146, 171), "level of each", "middle"),
            leader((146, 140), (146, 130)),
        ),
    )


def near_and_far() -> Drawing:
    """The near door is heard first; let it wait, and the voice moves."""

    def seat(left: float, near: str, far: str, spot: Place) -> tuple[Shape, ...]:
        """A cabin from above, its front at the top."""
        return (
            Line(
                (
                    (left, 176),
                    (left, 62),
                    (left + 24, 34),
                    (left + 136, 34),
                    (left + 160, 62),
                    (left + 160, 176),
                )
            ),
            *(Arc((x, 112), 9, fill="feed") for x in (left + 3, left + 157)),
            Arc((left + 46, 146), 12, fill="paper"),
            Line(((left + 42, 135), (left + 46, 129), (left + 50, 135))),
            Line(((left + 12, 116), (left + 34, 138)), "signal"),
            Line(((left + 148, 115), (left + 60, 142)), "signal"),
            Arc(spot, 6, stroke="feed", fill="feed"),
            Arc(spot, 13, 150, 210, "feed"),
            Arc(spot, 13, -30, 30, "feed"),
            Text((left + 4, 194), near),
            Text((left + 156, 194), far, "end"),
        )

    return Drawing(
        title="From above, front at the top. The copper spot is where the singer seems to stand.",
        spoken=(
            "Two cabins from above, somebody in the left seat. Left, nothing is set: the near door is heard "
            "first, and the singer seems to stand in it. Right, the near door waits until the far one has "
            "come: the singer stands between straight ahead and the middle of the dashboard."
        ),
        height=204,
        shapes=(
            Text((88, 22), "Near door first", "middle", strong=True),
            Text((290, 22), "Timed for one seat", "middle", strong=True),
            *seat(8, "first", "last", (26, 84)),
            *seat(210, "waits", "last", (280, 52)),
        ),
    )


def even_tone() -> Drawing:
    """A response with a hump and a hole: the hump is cut, the hole stays."""
    before: tuple[Place, ...] = (
        (20, 112), (50, 104), (78, 56), (104, 100), (140, 112),
        (196, 108), (222, 168), (246, 110), (300, 104), (360, 116),
    )  # fmt: skip
    after: tuple[Place, ...] = (
        (20, 110), (60, 108), (104, 108), (140, 110),
        (196, 110), (222, 168), (246, 112), (300, 110), (360, 114),
    )  # fmt: skip
    return Drawing(
        title="Loudness of every note, low to high. A note that booms is turned down; a hole stays a hole.",
        spoken=(
            "A curve of loudness from low notes on the left to high notes on the right. Before, dashed: a "
            "hump where one note booms, and a hole where two sounds cancel. After, full: the hump is gone, "
            "the hole is still there."
        ),
        height=226,
        shapes=(
            Line(((14, 20), (14, 196), (370, 196)), "thin"),
            Line(before, "ground", smooth=True),
            Line(after, "feed", smooth=True),
            Text((110, 46), "booms: turned down"),
            leader((106, 46), (86, 58)),
            Text((242, 160), "two sounds cancel:"),
            Text((242, 177), "no setting fills it"),
            leader((240, 158), (228, 164)),
            Text((14, 214), "low notes"),
            Text((370, 214), "high notes", "end"),
            Text((366, 92), "after", "end"),
        ),
    )


def held_over() -> Drawing:
    """A restart at the lights: the battery dips, the processor does not."""
    return Drawing(
        title="Engine starts again at the lights. The battery dips for a moment; the processor stays awake.",
        spoken=(
            "Voltage over time. The battery's line dips deep while the engine starts, under the line where a "
            "processor falls asleep. The processor's own line, fed by the hold-up part, sinks only a little "
            "and stays above."
        ),
        height=200,
        shapes=(
            Line(((14, 14), (14, 170), (370, 170)), "thin"),
            Line(((14, 44), (128, 44), (136, 136), (160, 128), (190, 60), (220, 44), (366, 44)), "ground"),
            Line(((14, 40), (128, 40), (150, 62), (190, 72), (214, 46), (366, 40)), "feed"),
            Line(((14, 98), (366, 98)), "thin"),
            Text((366, 114), "below: asleep", "end"),
            Text((240, 72), "processor, held up"),
            leader((236, 70), (200, 68)),
            Text((172, 146), "battery"),
            leader((170, 142), (162, 134)),
            Text((130, 188), "engine starts", "middle"),
            Text((366, 188), "seconds", "end"),
        ),
    )


def bass_dial() -> Drawing:
    """The knob and its mark."""
    x, y = 190.0, 104.0
    return Drawing(
        title="The mark is the tuned value. Turn from it to taste, and back to it.",
        spoken=(
            "A knob with a scale from less bass on the left to more bass on the right. A copper mark on the "
            "scale shows the value at which the system was tuned; the knob stands there."
        ),
        height=196,
        shapes=(
            Arc((x, y), 62, 140, 400, "thin"),
            Arc((x, y), 42, fill="tint"),
            Line(((x, y), (x + 12, y - 40))),
            Polygon(((x + 17, y - 60), (x + 30, y - 82), (x + 6, y - 84)), "feed", "feed"),
            Text((x + 38, 26), "mark: as tuned", strong=True),
            Text((96, 168), "less bass", "middle"),
            Text((290, 168), "more bass", "middle"),
            Text((x, 188), "for talk", "middle"),
        ),
    )


def two_heads() -> Drawing:
    """One seat exactly, or two seats fairly."""

    def cabin(left: float, spots: tuple[Place, ...]) -> tuple[Shape, ...]:
        return (
            Line(
                (
                    (left, 156),
                    (left, 66),
                    (left + 24, 40),
                    (left + 136, 40),
                    (left + 160, 66),
                    (left + 160, 156),
                )
            ),
            *(
                shape
                for x in (left + 44, left + 116)
                for shape in (Arc((x, 132), 12, fill="paper"), Line(((x - 4, 121), (x, 115), (x + 4, 121))))
            ),
            *(Arc(spot, 6, stroke="feed", fill="feed") for spot in spots),
        )

    return Drawing(
        title="The copper spots are where each of the two hears the singer.",
        spoken=(
            "Two cabins from above, two people in front. Left, set for the driver: the driver hears the "
            "singer ahead, the other one hears the singer in the door beside them. Right, set for two: each "
            "hears the singer a little to their own side of the middle."
        ),
        height=210,
        shapes=(
            Text((88, 22), "Set for one", "middle", strong=True),
            Text((290, 22), "Set for two", "middle", strong=True),
            *cabin(8, ((70, 60), (156, 96))),
            *cabin(210, ((272, 62), (308, 62))),
            Line(((52, 118), (66, 70)), "signal"),
            Line(((126, 122), (150, 100)), "signal"),
            Line(((256, 114), (270, 74)), "signal"),
            Line(((324, 114), (310, 74)), "signal"),
            Text((88, 180), "exact here,", "middle"),
            Text((88, 197), "worse beside you", "middle"),
            Text((290, 180), "fair to both,", "middle"),
            Text((290, 197), "exact for nobody", "middle"),
        ),
    )
