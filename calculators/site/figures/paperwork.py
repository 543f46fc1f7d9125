"""Figures of the stages with customer and paper: schemes, not to scale."""

from collections.abc import Iterator

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Fill, Line, Place, Polygon, Shape, Stroke, Text, rectangle
from calculators.site.figures.treatment import lines


def box(left: float, top: float, width: float, *words: str, fill: Fill = "paper") -> Iterator[Shape]:
    """A box with a line or two in its middle, 17 a line."""
    height = 17.0 * len(words) + 9
    yield Polygon(rectangle(left, top, width, height), fill=fill)
    for number, line in enumerate(words):
        yield Text((left + width / 2, top + 17 + 17 * number), line, "middle", strong=number == 0)


def arrow(start: Place, end: Place, stroke: Stroke = "feed") -> Iterator[Shape]:
    """A straight line with a head at its end, across or down."""
    (x, y), (to_x, to_y) = start, end
    yield Line((start, end), stroke)
    if abs(to_x - x) >= abs(to_y - y):
        back = to_x - 7 if to_x > x else to_x + 7
        yield Line(((back, to_y - 4), end, (back, to_y + 4)), stroke)
    else:
        back = to_y - 7 if to_y > y else to_y + 7
        yield Line(((to_x - 4, back), end, (to_x + 4, back)), stroke)


def complaint_to_proof() -> Drawing:
    """How a wish becomes a test."""
    rows = (
        ("their words", "“it booms”"),
        ("where, when", "this song, step 18"),
        ("a test", "third octaves"),
        ("before", "50 Hz +9 dB"),
        ("after", "same test"),
    )
    shapes: list[Shape] = []
    for number, (title, words) in enumerate(rows):
        top = 6.0 + 56 * number
        shapes += [*box(120, top, 140, title, words, fill="tint" if number == 2 else "paper")]
        if number:
            shapes += [*arrow((190, top - 13), (190, top))]
    return Drawing(
        title="A complaint becomes a test, here one of the running job; it is read before and after.",
        spoken=(
            "Five boxes in a column. The customer's own words; where and when they hear it; a test that "
            "shows it; the reading before the work; the same test after it."
        ),
        height=284,
        shapes=tuple(shapes),
    )


def stays_or_returns() -> Drawing:
    """What can be put back, and what stays for good."""
    return Drawing(
        title="Before anything is cut: what goes back, and what stays for good.",
        spoken=(
            "Two columns. Goes back as it was: speakers, trim, spare wheel, plugs. Stays: each hole with "
            "place and size, each cut plate, glue on the floor. Each line has a customer's yes beside it."
        ),
        height=170,
        shapes=(
            *box(8, 6, 172, "goes back"),
            *box(200, 6, 172, "stays", fill="tint"),
            *lines(94, 56, "speakers, trim", "spare wheel, jack", "plugs, never cut", "settings, written"),
            *lines(
                286, 56, "hole 8 mm, where", "bracket on the sill", "glue under the mat", "coding, if any"
            ),
            Line(((190, 6), (190, 150)), "thin"),
            Text((190, 164), "one yes for each line, not one for all", "middle"),
        ),
    )


def walk_round() -> Drawing:
    """Eight views from outside, eight of trim, and the rest."""
    shapes: list[Shape] = [
        Polygon(((130, 60), (150, 44), (230, 44), (262, 60), (262, 112), (230, 128), (150, 128), (130, 112))),
        Polygon(rectangle(160, 56, 62, 60), "thin", fill="tint"),
        Text((191, 90), "trim 8", "middle"),
    ]
    places = (
        (80.0, 86.0), (100.0, 30.0), (191.0, 18.0), (290.0, 30.0),
        (312.0, 86.0), (290.0, 150.0), (191.0, 162.0), (100.0, 150.0),
    )  # fmt: skip
    for number, (x, y) in enumerate(places, 1):
        shapes += [Arc((x, y), 11, fill="paper"), Text((x, y + 5), str(number), "middle", strong=True)]
    shapes += [
        Text((190, 198), "cluster lit 1 · load bay 2 · battery 1 · door edges 4", "middle"),
        Text((190, 216), "24 views; no faces, no papers", "middle"),
    ]
    return Drawing(
        title="Twenty-four views, always in this order.",
        spoken=(
            "A vehicle from above with eight numbered places around it, eight views of trim inside, one of "
            "the cluster lit, two of the load bay, one of the battery, and four of the "
            "edges of the front doors: twenty-four."
        ),
        height=224,
        shapes=tuple(shapes),
    )


def quote_needs() -> Drawing:
    """Which line of a quote hangs on which."""
    return Drawing(
        title="What is struck takes with it what hangs on it. Shared work stays.",
        spoken=(
            "A box amplifier and supply, below it subwoofer and processor, which need it, and below the "
            "processor the tuning, which needs that. Doors and front speakers stand alone. Under all a bar: "
            "survey, strip and refit, proof, handover are shared and counted once."
        ),
        height=212,
        shapes=(
            *box(150, 6, 130, "amplifier"),
            *box(96, 66, 106, "bass"),
            *box(232, 66, 106, "processor"),
            *box(232, 124, 106, "tuning"),
            *box(6, 6, 106, "doors"),
            *box(6, 124, 120, "front speakers"),
            *arrow((180, 32), (180, 66)),
            *arrow((256, 32), (256, 66)),
            *arrow((285, 92), (285, 124)),
            *box(6, 178, 368, "survey, strip, refit, proof, handover: once", fill="tint"),
        ),
    )


def bay_plan() -> Drawing:
    """Two people, two days, a night, a third day."""
    shapes: list[Shape] = []
    for day, left in enumerate((40.0, 156.0, 288.0)):
        shapes += [
            Text((left, 14), f"day {day + 1}", strong=True),
            Polygon(rectangle(left, 24, 96 if day < 2 else 78, 22), fill="tint"),
            Polygon(rectangle(left, 54, (96, 52, 40)[day], 22), fill="tint"),
        ]
    shapes += [
        Text((6, 41), "A", strong=True),
        Text((6, 71), "B", strong=True),
        Polygon(rectangle(136, 22, 20, 56), fill="ink"),
        Polygon(rectangle(252, 22, 36, 56), fill="ink"),
        Text((146, 98), "cure", "middle"),
        Text((270, 98), "cold, log", "middle"),
        *(Line(((x, 18), (x, 84)), "feed") for x in (58.0, 120.0, 176.0, 222.0, 360.0)),
        *(
            Text((x, 120), words, "middle")
            for x, words in ((58.0, "H2"), (120.0, "H3"), (176.0, "H4"), (222.0, "H5"), (356.0, "H6"))
        ),
    ]
    return Drawing(
        title="Two people, two days, a night that nobody can buy, a third day for the proof.",
        spoken=(
            "Two strips of bars, A and B, over three days, with hold points H2 and H3 on the first day, "
            "H4 and H5 on the second, H6 at the end of the third. Between the days two dark bars: a cure, "
            "and a cold night with the logger on."
        ),
        height=130,
        shapes=tuple(shapes),
    )


def trays() -> Drawing:
    """Five trays by the order of work."""
    names = ("left door", "right door", "power", "signal", "floor")
    shapes: list[Shape] = []
    for number, name in enumerate(names):
        left = 6.0 + 74.5 * number
        shapes += [
            Polygon(rectangle(left, 30, 68, 54), fill="tint"),
            Text((left + 34, 52), str(number + 1), "middle", strong=True),
            Text((left + 34, 74), name, "middle"),
            Line(((left + 50, 16), (left + 55, 24), (left + 66, 6)), "feed"),
        ]
    shapes.append(Text((190, 108), "in the lid: the list, ticked by who fits it", "middle"))
    return Drawing(
        title="Five trays, each ticked by the one who will fit it.",
        spoken="Five trays in a row: left door, right door, power, signal, floor, each with a tick over it.",
        height=118,
        shapes=tuple(shapes),
    )


def road_proof() -> Drawing:
    """The order of the last proof."""
    steps = ("dry", "lamps", "codes", "doors", "torque")
    shapes: list[Shape] = []
    for number, word in enumerate(steps):
        shapes += box(6 + 75 * number, 10, 66, word)
    shapes += [
        *arrow((190, 36), (190, 62)),
        *box(60, 62, 260, "road, 20 min: 30, 50, 80, 110 km/h", fill="tint"),
        *arrow((190, 88), (190, 112)),
        *box(60, 112, 120, "codes again"),
        *box(200, 112, 120, "H6, by another"),
    ]
    return Drawing(
        title="Standing first, then the road, then the codes once more.",
        spoken=(
            "Five boxes in a row: dry, lamps, codes, doors, torque. An arrow down to the road, twenty "
            "minutes at four speeds. Below it codes again, and hold point H6, signed by another person."
        ),
        height=146,
        shapes=tuple(shapes),
    )


def demo_order() -> Drawing:
    """Quiet first; what can be switched, and what cannot."""
    return Drawing(
        title="Complaints first; switch only what can be switched.",
        spoken=(
            "A box at the top: the complaints, quiet. Below it two columns. Switched at equal loudness, one "
            "at a time: delay, equaliser, subwoofer, presets. Not switched, shown by the measurement of "
            "before: treatment, speakers, amplifier."
        ),
        height=174,
        shapes=(
            *box(90, 6, 200, "their complaints, quietly", fill="tint"),
            *arrow((150, 32), (100, 56)),
            *arrow((230, 32), (280, 56)),
            *lines(100, 76, "switched, matched", "delay", "equaliser", "subwoofer, presets"),
            *lines(280, 76, "shown as measured", "treatment", "speakers", "amplifier"),
            Line(((190, 62), (190, 140)), "thin"),
            Text((190, 164), "fixed · better · same · worse", "middle", strong=True),
        ),
    )


def glove_box_card() -> Drawing:
    """The only sheet that is in the vehicle in a year."""
    return Drawing(
        title="The card in the glove box: the only sheet still there in a year.",
        spoken=(
            "A small card with four lines: main fuse and how it comes out; what stays charged, and for how "
            "long; what a garage must not touch; whom to call, with date and version."
        ),
        height=158,
        shapes=(
            Polygon(rectangle(60, 8, 260, 138), fill="paper"),
            Text((190, 32), "Added sound system", "middle", strong=True),
            Text((74, 58), "main fuse: where, and how it comes out"),
            Text((74, 80), "stays charged: what, for how long"),
            Text((74, 102), "ask before: processor, battery"),
            Text((74, 124), "call: shop, date, version"),
        ),
    )


def visit_list() -> Drawing:
    """A figure of handover beside a figure of today."""
    rows = (
        ("drop, same current", "±20 %"),
        ("asleep", "5 mA"),
        ("each torque", "no turn"),
        ("read-back", "0"),
    )
    shapes: list[Shape] = [
        Text((14, 22), "measured", strong=True),
        Text((206, 22), "handover", "middle", strong=True),
        Text((270, 22), "today", "middle", strong=True),
        Text((336, 22), "within", "middle", strong=True),
    ]
    for number, (name, limit) in enumerate(rows):
        y = 50 + 28 * number
        shapes += [
            Line(((10, y - 18), (370, y - 18)), "thin"),
            Text((14, y), name),
            Polygon(rectangle(184, y - 14, 44, 18), fill="tint"),
            Polygon(rectangle(248, y - 14, 44, 18)),
            Text((336, y), limit, "middle"),
        ]
    return Drawing(
        title="A visit lays today's figures beside those of handover.",
        spoken=(
            "A table with four lines: drop at the same current within 20 per cent, current asleep within "
            "5 mA, each torque without a turn, read-back without a difference; a box for "
            "handover and an empty one for today."
        ),
        height=146,
        shapes=tuple(shapes),
    )
