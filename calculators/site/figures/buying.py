"""Figures for customers: what to ask first, what to look for, how to live with it. Schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Hatch, Line, Polygon, Shape, Text, rectangle
from calculators.physics import hearing
from calculators.site.figures.customers import BOTTOM, TOP, arrow, car
from calculators.site.figures.treatment import leader, lines
from calculators.vocabulary.upgrades import ONCE_WHOLE, UPGRADES, WHOLE


def hours_of_listening() -> Drawing:
    """How long in a week, by level, for a grown-up and a child: bars as long as the hours."""
    levels = (80, 85, 90, 95)
    most = 210.0 / hearing.weekly_listening_time(levels[0])
    shapes: list[Shape] = []
    said = []
    for number, level in enumerate(levels):
        top = 42.0 + 40 * number
        adult, child = (hearing.weekly_listening_time(level, allowed) for allowed in hearing.LISTENING)
        shapes += [
            Text((8, top + 17), f"{level}"),
            Polygon(rectangle(44, top, max(adult * most, 1.5), 13), fill="feed"),
            Polygon(rectangle(44, top + 15, max(child * most, 1.5), 9), fill="paper"),
            Text((52 + adult * most, top + 12), f"{adult / 3600:.3g} h"),
            Text((52 + child * most, top + 29), f"child {child / 3600:.2g} h"),
        ]
        said.append(f"at {level} dB(A) {adult / 3600:.3g} hours, a child {child / 3600:.2g}")
    return Drawing(
        title="Hours of music in a week by loudness, safe listening by WHO and ITU. Full bar: grown-up.",
        spoken="Bars of the hours in a week that ears stand: " + "; ".join(said) + ".",
        height=212,
        shapes=(Text((8, 24), "dB(A)"), Text((44, 24), "hours in a week"), *shapes),
    )


def first_things_first() -> Drawing:
    """The order of asking: check for nothing, mend, one upgrade, hear it, go on or stop."""
    return Drawing(
        title="Ask in this order. You may stop after every step.",
        spoken=(
            "Five steps from top to bottom: try what costs nothing; have a fault mended; have one thing "
            "done; hear and compare; go on, or stop. After each of the first four stands: good enough? Then "
            "stop."
        ),
        height=262,
        shapes=(
            *(
                shape
                for number, words in enumerate(
                    (
                        "try what costs nothing",
                        "have a fault mended",
                        "have one thing done",
                        "hear it, compare",
                        "the next, or stop",
                    )
                )
                for shape in (
                    Polygon(rectangle(8, 6 + 52 * number, 196, 34), fill="tint"),
                    Text((106, 28 + 52 * number), words, "middle"),
                )
            ),
            *(part for y in (40, 92, 144, 196) for part in arrow((106, y), (106, y + 18))),
            *(
                shape
                for y in (23, 75, 127, 179)
                for shape in (Line(((204, y), (232, y)), "signal"), Text((238, y + 5), "good? stop here"))
            ),
        ),
    )


def fuse_hand() -> Drawing:
    """The main fuse, a hand's width from the battery."""
    return Drawing(
        title="Question 7: the main fuse stands a hand's width or two from the battery.",
        spoken=(
            "A battery on the left. A cable runs from its plus pole to a fuse, one or two hands' widths "
            "away, and on from there to the back of the car. A hand between battery and fuse shows the "
            "distance."
        ),
        height=178,
        shapes=(
            Polygon(rectangle(14, 62, 108, 76), fill="tint"),
            Polygon(rectangle(92, 50, 16, 12), fill="feed"),
            Polygon(rectangle(28, 50, 16, 12), fill="ink"),
            Text((68, 106), "battery", "middle", strong=True),
            Text((100, 44), "+", "middle", strong=True),
            Line(((100, 50), (100, 30), (150, 30), (238, 78)), "feed"),
            Polygon(rectangle(238, 62, 56, 32), fill="paper"),
            Line(((246, 78), (258, 70), (274, 86), (286, 78)), "feed", smooth=True),
            Line(((294, 78), (370, 78)), "feed"),
            Line(((362, 72), (370, 78), (362, 84)), "feed"),
            Text((266, 54), "main fuse", "middle", strong=True),
            # Four fingers and a thumb.
            *(Polygon(rectangle(142 + 18 * number, 96, 16, 44), fill="paper") for number in range(4)),
            Line(((142, 140), (142, 162), (212, 162), (212, 140))),
            Line(((212, 148), (232, 126), (238, 132), (212, 162))),
            Text((252, 156), "a hand's width"),
            Text((252, 173), "or two"),
        ),
    )


def sheet_of_a_quote() -> Drawing:
    """What a quote shows, line by line."""
    rows = (
        ("Total, tax in it", "first, and in one sum"),
        ("Each part: hours, price", "names you can look up"),
        ("Done once: open, close", "counted once"),
        ("Cut, drilled, changed", "what stays for good"),
        ("Measuring and tuning", "hours of their own"),
        ("Not in it", "and who decides"),
    )
    return Drawing(
        title="Six things that stand on a quote you can compare.",
        spoken="A quote, six lines: " + "; ".join(f"{left}: {right}" for left, right in rows) + ".",
        height=36.0 + 32 * len(rows),
        shapes=(
            Polygon(rectangle(6, 8, 192, 20.0 + 32 * len(rows)), fill="paper"),
            *(
                shape
                for number, (left, right) in enumerate(rows)
                for shape in (
                    Text((16, 34 + 32 * number), left),
                    Line(((16, 42 + 32 * number), (188, 42 + 32 * number)), "thin"),
                    leader((192, 30 + 32 * number), (210, 30 + 32 * number)),
                    Text((216, 34 + 32 * number), right),
                )
            ),
        ),
    )


def trouble_spots() -> Drawing:
    """Where trouble shows first after work on a car."""
    return Drawing(
        title="Where trouble shows first. Look and listen here.",
        spoken=(
            "A car from above, its front at the left. Five places: the front, a battery that goes flat; the "
            "dashboard, a warning lamp; the doors, water in the footwell or a window that runs slowly; the "
            "trim, a rattle; the load floor, a smell or heat."
        ),
        height=226,
        shapes=(
            *car(),
            Polygon(rectangle(36, 94, 28, 20), fill="paper"),
            Text((6, 24), "flat battery"),
            leader((44, 28), (50, 92)),
            Arc((116, 132), 5, fill="feed"),
            Text((6, 200), "warning lamp"),
            leader((70, 186), (114, 138)),
            Arc((170, BOTTOM - 6), 5, fill="feed"),
            Text((124, 218), "water, slow window"),
            leader((176, 204), (172, 168)),
            Arc((190, TOP + 6), 5, fill="feed"),
            Text((152, 24), "a rattle"),
            leader((178, 28), (188, 42)),
            Arc((308, 105), 5, fill="feed"),
            Text((258, 24), "smell, heat"),
            leader((290, 28), (306, 98)),
        ),
    )


def comes_out_and_stays() -> Drawing:
    """What comes out again and what stays for good."""
    return Drawing(
        title="Full copper comes out again. Hatched stays for good.",
        spoken=(
            "A car from above, its front at the left. It comes out again: speakers, amplifier, processor, "
            "box, knob. It stays for good: damping sheets in the doors, the hole of a knob, holes of screws "
            "behind the trim."
        ),
        height=226,
        shapes=(
            *car(),
            *(
                Polygon(door, fill="paper")
                for door in (rectangle(150, TOP, 62, 10), rectangle(150, BOTTOM - 10, 62, 10))
            ),
            Hatch((rectangle(150, TOP, 62, 10), rectangle(150, BOTTOM - 10, 62, 10))),
            *(Arc((132, y), 9, fill="feed") for y in (TOP + 2, BOTTOM - 2)),
            Polygon(rectangle(284, 62, 46, 26), fill="feed"),
            Arc((308, 126), 22, fill="feed"),
            Arc((130, 105), 4, fill="ink"),
            Text((66, 28), "speakers: out", "middle"),
            leader((98, 32), (124, 40)),
            Text((186, 28), "sheets: stay", "middle"),
            leader((184, 32), (184, 44)),
            Text((300, 28), "electronics: out", "middle"),
            leader((300, 32), (304, 60)),
            Text((92, 198), "hole of a knob: stays", "middle"),
            leader((100, 184), (128, 110)),
            Text((284, 198), "box: out", "middle"),
            leader((288, 184), (302, 150)),
        ),
    )


def first_days() -> Drawing:
    """The first month on a line."""
    marks = (
        (24.0, "Day 1", "drive, park", "set the seat"),
        (124.0, "First days", "doors pressed", "shut, no wash"),
        (226.0, "Day 7", "list of what", "you noticed"),
        (330.0, "Day 30", "back for the", "free check"),
    )
    return Drawing(
        title="The first month.",
        spoken="A line of a month: "
        + "; ".join(f"{name}: {first} {second}" for _, name, first, second in marks)
        + ".",
        height=130,
        shapes=(
            Line(((14, 44), (366, 44)), "feed"),
            *(
                shape
                for x, name, first, second in marks
                for shape in (
                    Arc((x + 14, 44), 8, fill="paper"),
                    *lines(x + 14 if 24 < x < 330 else (44.0 if x == 24 else 334.0), 84, name, first, second),
                )
            ),
        ),
    )


def where_hours_go() -> Drawing:
    """Hours of a whole system, each part from its least to its most."""
    rows = [(UPGRADES[name].title, UPGRADES[name].least, UPGRADES[name].most) for name in WHOLE]
    rows += [("Once for every job", *ONCE_WHOLE)]
    scale = 92 / ONCE_WHOLE[1]
    shapes: list[Shape] = []
    for number, (name, least, most) in enumerate(rows):
        top = 12.0 + 30 * number
        shapes += [
            Text((4, top + 14), name),
            Polygon(rectangle(226, top + 2, least * scale, 14), fill="feed"),
            *(
                [Polygon(rectangle(226 + least * scale, top + 2, (most - least) * scale, 14), fill="paper")]
                if most > least
                else []
            ),
            Text((232 + most * scale, top + 14), f"{least:g}–{most:g} h" if most > least else f"{least:g} h"),
        ]
    return Drawing(
        title="Where the hours of a whole system go. Full: at least. Outline: at most.",
        spoken="Hours: " + "; ".join(f"{name} {least:g} to {most:g}" for name, least, most in rows) + ".",
        height=18.0 + 30 * len(rows),
        shapes=tuple(shapes),
    )


def radio_settings() -> Drawing:
    """What you turn on the car's radio afterwards, and what you leave."""

    def dial(x: float, name: str, *words: str) -> tuple[Shape, ...]:
        return (
            Arc((x, 56), 30, fill="tint"),
            Line(((x, 56), (x, 28))),
            *lines(x, 112, name, *words),
        )

    return Drawing(
        title="On your car's radio: turn the volume, leave tone and balance in the middle.",
        spoken=(
            "Three knobs of a car's radio. Volume: turn it as you like, up to the mark your fitter shows. "
            "Tone: in the middle. Balance and fader: in the middle. The tune rests on that."
        ),
        height=160,
        shapes=(
            *dial(64, "Volume", "as you like, up", "to the mark"),
            Arc((64, 56), 38, -60, 20, "feed"),
            *dial(190, "Tone", "in the middle"),
            *dial(316, "Balance", "in the middle"),
        ),
    )
