"""Figures of the stage sound treatment: schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Dimension, Hatch, Line, Place, Polygon, Shape, Text, rectangle


def sheet(left: float, top: float, width: float, height: float, falling: bool = False) -> tuple[Shape, ...]:
    """A part that is cut through: paper, hatch, edge."""
    outline = rectangle(left, top, width, height)
    return Polygon(outline, "none", "paper"), Hatch((outline,), falling), Polygon(outline)


def leader(*places: Place) -> Line:
    """The help line from a name to its thing."""
    return Line(places, "thin")


def lines(x: float, y: float, head: str, *more: str) -> tuple[Shape, ...]:
    """A name, and what is to say of it under it."""
    return (
        Text((x, y), head, "middle", strong=True),
        *(Text((x, y + 17 * number), words, "middle") for number, words in enumerate(more, 1)),
    )


def sensor_kinds() -> Drawing:
    """The two kinds of side-impact sensor, and what each forbids."""
    top, tall = 40.0, 170.0
    return Drawing(
        title="Two kinds of side-impact sensor. Not known counts as pressure.",
        spoken=(
            "Two doors in section. Left, a pressure sensor on the inner skin: it feels the air between outer "
            "and inner skin, which a blow from outside squeezes. Nothing is sealed, stuck in or opened "
            "there. Right, an acceleration sensor at the foot of the pillar: it feels the knock. Nothing "
            "is stuck within 100 mm of it, and its bolts are not touched. A sensor that is not known "
            "counts as a pressure sensor."
        ),
        height=318,
        shapes=(
            *sheet(34, top, 8, tall),
            *sheet(128, top, 8, tall, falling=True),
            Polygon(rectangle(108, 112, 20, 26), fill="ink"),
            # The blow, and the air that it squeezes.
            Line(((4, 124), (28, 124)), "feed"),
            Line(((20, 117), (28, 124), (20, 131)), "feed"),
            *(Arc((58, 124), radius, -55, 55, "signal") for radius in (10, 22, 34)),
            Text((85, 62), "air", "middle"),
            Text((38, 30), "outside", "middle"),
            Text((132, 30), "cabin", "middle"),
            *sheet(212, top, 8, tall),
            *sheet(290, top, 8, tall, falling=True),
            *sheet(326, top, 16, tall),
            Polygon(rectangle(306, 160, 20, 22), fill="ink"),
            Arc((316, 171), 38, stroke="thin"),
            Text((334, 30), "pillar", "middle"),
            Text((362, 130), "100", "middle"),
            Text((362, 146), "mm", "middle"),
            Line(((182, 171), (206, 171)), "feed"),
            Line(((198, 164), (206, 171), (198, 178)), "feed"),
            *lines(86, 240, "Pressure", "It feels the air.", "Nothing sealed,", "stuck in or opened."),
            *lines(284, 240, "Acceleration", "It feels the knock.", "100 mm free,", "its bolts untouched."),
        ),
    )


def water_tray() -> Drawing:
    """Where the water goes in, runs and comes out, and where the tray stands."""
    return Drawing(
        title="Water test. In along the glass seal, out of the drain, none on the cabin side.",
        spoken=(
            "A door in section. A jug pours 1 litre along the outside of the glass seal. The water runs down "
            "the glass and the outer skin to the lowest point of the door and out of the drain, into a tray "
            "that stands under the door: out within 60 seconds, 0.9 litre or more after 2 minutes. On "
            "the cabin side of the membrane lies dry paper, and it stays dry."
        ),
        height=332,
        shapes=(
            # Glass, outer skin, inner skin, bottom fold with its drain.
            Polygon(rectangle(168, 16, 7, 196), fill="tint"),
            Line(((156, 66), (150, 110), (150, 200), (160, 250), (178, 262))),
            Line(((196, 66), (206, 110), (206, 262), (192, 262))),
            Arc((162, 62), 6, fill="ink"),
            Arc((184, 62), 6, fill="ink"),
            Line(((216, 92), (216, 250)), "signal"),
            # The water's way.
            Line(
                ((112, 38), (150, 48), (162, 74), (163, 150), (166, 236), (185, 258), (185, 300)),
                "feed",
                smooth=True,
            ),
            Line(((179, 290), (185, 300), (191, 290)), "feed"),
            Polygon(((60, 20), (102, 20), (112, 36), (102, 62), (60, 62))),
            Line(((60, 30), (46, 30), (46, 52), (60, 52))),
            Line(((120, 296), (120, 318), (252, 318), (252, 296))),
            Line(((120, 306), (252, 306)), "signal"),
            Text((81, 46), "1 L", "middle", strong=True),
            Text((4, 84), "in 20 s, along"),
            Text((4, 101), "the glass seal"),
            leader((102, 90), (156, 64)),
            Text((4, 164), "outer skin"),
            leader((80, 160), (149, 160)),
            Text((4, 248), "drain, marked"),
            leader((100, 250), (176, 262)),
            Text((4, 302), "tray, 2 L"),
            leader((74, 302), (119, 306)),
            Text((226, 40), "glass, up"),
            leader((222, 38), (176, 40)),
            Text((236, 128), "membrane, whole"),
            leader((232, 126), (217, 134)),
            Text((236, 186), "cabin side:"),
            Text((236, 203), "dry paper stays dry"),
            Text((262, 288), "out in 60 s"),
            Text((262, 305), "0.9 L or more", strong=True),
            Text((262, 322), "after 2 min"),
        ),
    )


def patch_middle() -> Drawing:
    """The outer skin from inside: sheets in the middle of its fields, and what stays clear of them."""
    return Drawing(
        title="Outer skin from inside. Middle of each field; clear of beam, drains, sensor.",
        spoken=(
            "The outer skin of a door, seen from inside. The door beam crosses it and parts it into an "
            "upper and a lower field. In the middle of each lies a damping sheet that covers half of it. "
            "The edges, the beam, 25 mm round each drain at the bottom and 100 mm round the acceleration "
            "sensor stay bare."
        ),
        height=286,
        shapes=(
            Polygon(((10, 44), (352, 20), (370, 52), (370, 216), (350, 240), (22, 240), (10, 222))),
            Polygon(((12, 110), (368, 158), (368, 176), (12, 128)), fill="paper"),
            Hatch((((12, 110), (368, 158), (368, 176), (12, 128)),)),
            Polygon(((98, 60), (290, 47), (290, 128), (98, 102)), fill="tint"),
            Polygon(((46, 152), (250, 180), (250, 224), (46, 206)), fill="tint"),
            Text((194, 88), "sheet", "middle", strong=True),
            Text((130, 192), "sheet", "middle", strong=True),
            Text((14, 104), "door beam"),
            Polygon(rectangle(322, 194, 16, 16), fill="ink"),
            Arc((330, 202), 36, stroke="thin"),
            Text((306, 272), "sensor: 100 mm", "middle"),
            leader((316, 259), (324, 238)),
            *(Arc((x, 240), 6, fill="ink") for x in (84, 214)),
            *(Arc((x, 240), 15, 180, 360, "thin") for x in (84, 214)),
            Text((140, 272), "drains: 25 mm", "middle"),
            leader((106, 260), (92, 247)),
            leader((176, 260), (206, 247)),
            Text((130, 16), "half of each field", "middle"),
            leader((150, 21), (160, 56)),
        ),
    )


def door_section() -> Drawing:
    """A door in section with its three layers."""
    top, tall = 34.0, 190.0
    return Drawing(
        title="Three layers: damped skin, sealed inner skin, decoupled card.",
        spoken=(
            "A door in section from outside to cabin: the outer skin with layer 1, a damping sheet in the "
            "middle of its field; the cavity with the glass and, at its lowest point, the drain, which "
            "stays open; the inner skin, its large hole closed by layer 2, a plate in sealant under a "
            "damping sheet, the upper sheet over the lower like tiles; the driver in its ring; layer 3, an "
            "absorber behind the driver, a gasket before it, fleece on the card's contacts; then the card."
        ),
        height=346,
        shapes=(
            *sheet(46, top, 8, tall),
            Polygon(rectangle(54, 70, 10, 96), fill="tint"),
            Polygon(rectangle(96, 16, 6, 120), fill="paper"),
            # Inner skin: above the hole, below it, and down to the fold with its drain.
            *sheet(172, top, 8, 30, falling=True),
            *sheet(172, 118, 8, 26, falling=True),
            *sheet(172, 206, 8, 18, falling=True),
            *sheet(54, 224, 46, 8),
            *sheet(122, 224, 58, 8),
            Line(((111, 218), (111, 248)), "feed"),
            Line(((105, 240), (111, 248), (117, 240)), "feed"),
            # Layer 2 over the upper hole.
            Polygon(rectangle(180, 56, 6, 70), fill="ink"),
            Polygon(rectangle(186, 92, 8, 52), fill="tint"),
            Polygon(
                ((186, 42), (194, 42), (194, 84), (202, 92), (202, 104), (194, 104), (186, 92)), fill="tint"
            ),
            # The driver, its ring, the absorber behind it, the gasket before it.
            Polygon(rectangle(180, 144, 14, 10), fill="paper"),
            Polygon(rectangle(180, 196, 14, 10), fill="paper"),
            Polygon(((194, 150), (150, 164), (132, 164), (132, 186), (150, 186), (194, 200)), fill="paper"),
            Polygon(rectangle(64, 168, 20, 52), fill="tint"),
            Polygon(rectangle(196, 144, 30, 9), fill="tint"),
            Polygon(rectangle(196, 197, 30, 9), fill="tint"),
            # The card, and fleece where it touches.
            Line(((226, 28), (226, 148)), "ink"),
            Line(((226, 202), (226, 232)), "ink"),
            Polygon(rectangle(204, 112, 22, 8), fill="tint"),
            Text((4, 20), "outside"),
            Text((236, 20), "cabin"),
            Text((4, 276), "1", strong=True),
            Text((20, 276), "damping, middle of the field"),
            Text((20, 112), "1", "middle", strong=True),
            leader((28, 108), (58, 116)),
            Text((4, 298), "2", strong=True),
            Text((20, 298), "plate in sealant, sheets like tiles"),
            Text((4, 320), "3", strong=True),
            Text((20, 320), "absorber, gasket, fleece on contacts"),
            Text((124, 252), "drain: open"),
            Text((108, 24), "glass"),
            Text((244, 78), "2", strong=True),
            leader((240, 76), (204, 92)),
            Text((244, 122), "3", strong=True),
            leader((240, 120), (227, 117)),
            Text((244, 160), "3", strong=True),
            leader((240, 156), (227, 150)),
            Text((262, 160), "gasket"),
            Text((244, 226), "card"),
            leader((240, 222), (227, 218)),
            Text((110, 208), "3", "middle", strong=True),
            leader((102, 204), (85, 200)),
            Text((150, 178), "driver", "middle"),
        ),
    )


def gasket_ring() -> Drawing:
    """The driver's front gasket, loose and pressed by the card."""

    def pair(left: float, thick: float, head: str, *more: str) -> tuple[Shape, ...]:
        face = 96.0
        return (
            *sheet(left, face, 120, 16),
            Polygon(rectangle(left + 34, face - 8, 86, 8), fill="ink"),
            Polygon(rectangle(left + 48, face - 8 - thick, 34, thick), fill="tint"),
            Text((left + 60, face + 34), "ring on the skin", "middle"),
            *lines(left + 60, 166, head, *more),
        )

    card = 96.0 - 8 - 26
    return Drawing(
        title="Front gasket. By a third to a half thinner under the card; clay says how wide the gap is.",
        spoken=(
            "Two sections of the driver's ring with its frame. Left, the closed-cell strip as cut, one and a "
            "half times as thick as the gap. Right, the card presses it to the gap: by 30 to 50 percent. The "
            "line round the driver is unbroken."
        ),
        height=220,
        shapes=(
            *pair(30, 40, "As cut", "one and a half", "times the gap"),
            *pair(220, 26, "Under the card", "6.5 to 8 mm:", "by 33 to 46 %"),
            *sheet(206, card - 10, 148, 10, falling=True),
            Text((280, card - 20), "card", "middle"),
            Text((95, 36), "strip, closed cells", "middle"),
            Dimension((164, 48), (164, 88), aside=0.001, words="12 mm"),
        ),
    )


def floor_layers() -> Drawing:
    """The floor in section: three layers, and the feet that stand on steel."""
    steel = 206.0
    foot, leg = 150.0, 304.0
    return Drawing(
        title="Floor. Seat feet and a child seat's leg stand on the maker's floor, never on foam.",
        spoken=(
            "The floor in section. On the steel lie damping sheets on half of each field, over them a soft "
            "layer of 6 to 10 mm, over that the barrier with its edges overlapped 30 mm and taped, then the "
            "carpet. All layers are cut out 10 mm round the seat foot, which is bolted steel on steel, and "
            "round the place of the child seat's support leg, which stands on what the maker put there. The "
            "child seat's tether runs free over the floor to its own anchor."
        ),
        height=320,
        shapes=(
            *sheet(6, steel, 368, 10),
            # Layers left of the foot, between foot and leg, and right of the leg.
            *(
                shape
                for left, right in ((6, foot - 24), (foot + 24, leg - 22), (leg + 22, leg + 48))
                for shape in (
                    Polygon(rectangle(left + 12, steel - 8, (right - left) * 0.55, 8), fill="ink"),
                    Polygon(rectangle(left, steel - 24, right - left, 16), "thin"),
                    Polygon(rectangle(left, steel - 32, right - left, 8), fill="tint"),
                    Polygon(rectangle(left, steel - 40, right - left, 8), fill="paper"),
                )
            ),
            # The seat foot with its bolt.
            Polygon(rectangle(foot - 14, steel - 12, 28, 12), fill="paper"),
            Polygon(rectangle(foot - 8, steel - 22, 16, 10), fill="ink"),
            Line(((foot, steel - 12), (foot, steel + 22))),
            Line(((foot - 10, steel - 12), (foot - 26, steel - 84))),
            Line(((foot + 10, steel - 12), (foot - 6, steel - 84))),
            # The support leg, and the tether over the seat's back to its anchor.
            Polygon(rectangle(leg - 12, steel - 6, 24, 6), fill="ink"),
            Line(((leg, steel - 6), (leg, steel - 120))),
            Line(((leg - 60, steel - 120), (leg + 30, steel - 120), (leg + 30, steel - 186))),
            Line(((leg + 30, steel - 180), (leg + 62, steel - 150), (leg + 62, steel - 42)), "signal"),
            Polygon(rectangle(leg + 56, steel - 42, 12, 42), fill="ink"),
            Text((leg + 20, steel - 176), "tether, to its anchor", "end"),
            Text((foot - 16, steel - 94), "seat foot", "middle", strong=True),
            Text((leg - 10, steel - 62), "support leg", "end", strong=True),
            Text((leg - 66, steel - 126), "child seat", "end"),
            Text((8, 254), "carpet"),
            leader((54, 248), (66, steel - 36)),
            Text((8, 276), "barrier, 4 to 5 kg/m²"),
            leader((100, 262), (106, steel - 28)),
            Text((208, 254), "soft layer, 6 to 10 mm"),
            leader((240, 241), (240, steel - 16)),
            Text((190, 276), "damping, half the field"),
            leader((198, 262), (200, steel - 4)),
            Text((8, 304), "0 mm under feet, belt anchors, pedal box, leg"),
        ),
    )
