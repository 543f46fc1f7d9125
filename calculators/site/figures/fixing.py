"""Figures of adaptors, pods, false floor and what holds them: schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Dimension, Line, Polygon, Shape, Text, rectangle
from calculators.site.figures.treatment import leader, lines, sheet


def driver_ring() -> Drawing:
    """A driver on its ring, cut through, with the clearances that are measured."""
    return Drawing(
        title="Driver on its ring. Behind it 10 mm or more, in front its travel and 3 mm.",
        spoken=(
            "A door in section, outside at the left. From left to right: the glass; at least 10 mm of air; "
            "the magnet of the driver; the inner skin; the ring, bedded in sealant, its rear bore "
            "chamfered by 45 degrees so that the basket's windows stay open; the driver's frame; a gasket "
            "of closed cells to the card. Between the surround and the grille lie the travel to the stop "
            "and 3 mm. The ring holds no water: its lowest point is open where the maker's drain is."
        ),
        height=312,
        shapes=(
            Polygon(rectangle(52, 22, 7, 208), fill="tint"),
            *sheet(198, 26, 8, 48, falling=True),
            *sheet(198, 192, 8, 40, falling=True),
            # Bed of sealant, ring with its chamfer.
            Polygon(rectangle(206, 50, 4, 24), fill="ink"),
            Polygon(rectangle(206, 192, 4, 24), fill="ink"),
            Polygon(((210, 50), (236, 50), (236, 86), (224, 86), (210, 72)), fill="tint"),
            Polygon(((210, 216), (236, 216), (236, 180), (224, 180), (210, 194)), fill="tint"),
            # Driver: frame, basket, magnet, surround.
            Polygon(
                (
                    (236, 88), (186, 106), (186, 100), (132, 100),
                    (132, 166), (186, 166), (186, 160), (236, 178),
                ),
                fill="paper",
            ),
            Polygon(rectangle(236, 60, 6, 32), fill="ink"),
            Polygon(rectangle(236, 174, 6, 32), fill="ink"),
            Line(((240, 92), (251, 99), (240, 108), (222, 133), (240, 158), (251, 167), (240, 174))),
            # Gasket, card, grille.
            Polygon(rectangle(242, 60, 30, 10), fill="tint"),
            Polygon(rectangle(242, 196, 30, 10), fill="tint"),
            Line(((272, 26), (272, 76))),
            Line(((272, 190), (272, 232))),
            Line(((272, 76), (272, 190)), "signal"),
            Dimension((59, 133), (132, 133), aside=0.001, words="10 mm +"),
            Text((4, 18), "outside"),
            Text((34, 252), "glass", "middle"),
            leader((44, 240), (54, 226)),
            Text((146, 138), "magnet"),
            Text((94, 42), "inner skin"),
            leader((166, 40), (197, 44)),
            Text((86, 70), "sealant bed"),
            leader((166, 66), (206, 60)),
            Text((66, 252), "ring, rear edge 45°"),
            leader((200, 246), (215, 190)),
            Text((286, 44), "card"),
            leader((284, 42), (273, 44)),
            Text((286, 68), "gasket"),
            leader((284, 66), (270, 65)),
            Text((286, 126), "travel to"),
            Text((286, 143), "the stop"),
            Text((286, 160), "+ 3 mm", strong=True),
            leader((284, 138), (256, 122)),
            Text((4, 282), "opening: cut-out +1.0, −0 mm"),
            Text((4, 302), "lowest point open where the maker's drain is"),
        ),
    )  # fmt: skip


def tweeter_place() -> Drawing:
    """A tweeter on its bracket under the factory grille of a dash-top corner."""
    return Drawing(
        title="Tweeter in the factory place: screwed to a bracket, sealed to the grille, its lead tied.",
        spoken=(
            "The corner of a dashboard in section, the windscreen slanting over it. In the opening lies "
            "the factory grille, 40 percent open or more. Under it a ring of foam seals the tweeter's face "
            "to the grille. The tweeter is screwed to a bracket of plastic rated for 100 degrees Celsius, "
            "which uses the factory's own screw points. Its capacitor is tied to the bracket, and its lead "
            "has a strain relief. Left and right stand equally deep, within 1 mm."
        ),
        height=310,
        shapes=(
            Line(((8, 30), (150, 112)), "ink"),
            Line(((8, 36), (146, 116)), "thin"),
            *sheet(60, 128, 96, 10),
            *sheet(262, 128, 110, 10),
            # Grille, foam ring, tweeter, bracket.
            Line(((156, 130), (262, 130)), "signal"),
            Line(((156, 136), (262, 136)), "signal"),
            Polygon(rectangle(176, 138, 14, 12), fill="tint"),
            Polygon(rectangle(228, 138, 14, 12), fill="tint"),
            Polygon(rectangle(170, 150, 78, 10), fill="paper"),
            Polygon(rectangle(188, 160, 42, 30), fill="ink"),
            Polygon(((120, 138), (130, 138), (130, 160), (188, 160), (188, 170), (120, 170)), fill="paper"),
            Polygon(((298, 138), (288, 138), (288, 160), (230, 160), (230, 170), (298, 170)), fill="paper"),
            Polygon(rectangle(122, 124, 6, 14), fill="ink"),
            Polygon(rectangle(290, 124, 6, 14), fill="ink"),
            Polygon(rectangle(240, 174, 40, 14), fill="tint"),
            Line(
                ((220, 190), (226, 204), (250, 196), (280, 182), (310, 190), (330, 214), (372, 222)),
                smooth=True,
            ),
            Polygon(rectangle(298, 180, 8, 16), fill="ink"),
            Text((150, 62), "windscreen: it reflects"),
            leader((148, 60), (84, 72)),
            Text((150, 92), "grille, 40 % open or more"),
            leader((210, 98), (208, 128)),
            Text((4, 196), "foam ring"),
            leader((70, 190), (176, 146)),
            Text((4, 220), "bracket, 100 °C"),
            leader((112, 214), (140, 170)),
            Text((4, 244), "tweeter, screwed"),
            leader((122, 238), (196, 190)),
            Text((160, 262), "capacitor and lead, tied"),
            leader((250, 250), (258, 189)),
            leader((300, 250), (302, 197)),
            Text((4, 296), "left and right equally deep, within 1 mm", strong=True),
        ),
    )  # fmt: skip


def box_in_well() -> Drawing:
    """A box in the spare-wheel well, the false floor over it, and what lies below."""

    def bracket(left: float, bolt: float) -> tuple[Shape, ...]:
        return (
            *sheet(left, 142, 30, 7, falling=True),
            Polygon(rectangle(bolt - 9, 124, 18, 6), fill="ink"),
            Polygon(rectangle(bolt - 3, 130, 6, 24), fill="ink"),
            Polygon(rectangle(bolt - 8, 149, 16, 6), fill="ink"),
        )

    return Drawing(
        title="Box in the well. Box to structure by its own bolts; the floor stands on its own feet.",
        spoken=(
            "The rear of a vehicle in section. The false floor lies on feet of its own on the load bay's "
            "metal and touches the box nowhere. The box hangs in the spare-wheel well, its rim bolted to "
            "brackets of structural steel into the maker's threads; no bolt end points down towards the "
            "tank. Over the cone there is room for its travel and 12 mm more; under the box 10 mm of air, "
            "where the well's floor gets hotter than 60 degrees Celsius. The drain plug stays free. Below "
            "the well, in the rear crush zone, lie silencer and tank: no hole through it."
        ),
        height=356,
        shapes=(
            # Load bay's metal and the well.
            Line(((4, 112), (50, 112), (62, 248), (318, 248), (330, 112), (376, 112))),
            Line(((4, 117), (46, 117), (58, 253), (322, 253), (334, 117), (376, 117)), "thin"),
            # The floor on its feet.
            *sheet(14, 70, 352, 12),
            Polygon(rectangle(20, 82, 16, 30), fill="paper"),
            Polygon(rectangle(344, 82, 16, 30), fill="paper"),
            # Brackets and bolts, the box's rim over them.
            *bracket(54, 70),
            *bracket(296, 310),
            *sheet(60, 130, 64, 12),
            *sheet(256, 130, 64, 12),
            *sheet(92, 142, 10, 84),
            *sheet(278, 142, 10, 84),
            *sheet(92, 226, 196, 10),
            # Driver.
            Polygon(((128, 134), (252, 134), (216, 164), (216, 196), (164, 196), (164, 164)), fill="paper"),
            Line(((124, 130), (136, 124), (148, 132), (190, 146), (232, 132), (244, 124), (256, 130))),
            Polygon(rectangle(180, 246, 18, 8), fill="ink"),
            # What lies below.
            Polygon(rectangle(84, 276, 92, 28), fill="tint"),
            Polygon(rectangle(204, 276, 112, 28), fill="tint"),
            Text((130, 295), "silencer", "middle"),
            Text((260, 295), "tank", "middle"),
            Text((4, 18), "floor, on its own feet"),
            leader((60, 24), (60, 70)),
            leader((26, 24), (28, 84)),
            Text((196, 18), "travel + 12 mm or more"),
            leader((250, 24), (236, 100)),
            leader((236, 100), (240, 122)),
            Text((190, 184), "driver", "middle"),
            Text((4, 162), "box:"),
            Text((4, 179), "own"),
            Text((4, 196), "bolts"),
            leader((38, 158), (61, 146)),
            Text((4, 328), "10 mm of air over 60 °C"),
            leader((40, 314), (74, 242)),
            Text((198, 328), "drain plug free"),
            leader((190, 255), (190, 322), (196, 324)),
            Text((4, 347), "no hole in the well: rear crush zone", strong=True),
        ),
    )


def fixing_joint() -> Drawing:
    """A good joint and two bad ones, cut through; what gives way first is marked."""

    def bolt(x: float, top: float, length: float, nut: float | None) -> tuple[Shape, ...]:
        below = () if nut is None else (Polygon(rectangle(x - 10, nut, 20, 9), fill="ink"),)
        return (
            Polygon(rectangle(x - 10, top - 9, 20, 9), fill="ink"),
            Polygon(rectangle(x - 4, top, 8, length), fill="ink"),
            *below,
        )

    def washer(x: float, y: float, width: float) -> Polygon:
        return Polygon(rectangle(x - width / 2, y, width, 4), fill="paper")

    good, thin, board = 64.0, 190.0, 318.0
    return Drawing(
        title="Three joints. The bolt never fails first: sheet, insert or board does.",
        spoken=(
            "Three joints in section, each pulled upwards. Good: a bracket lies on a crossmember of thick "
            "steel, bolted through with a plate of 40 by 40 by 3 mm behind it. Bad: the same bolt in body "
            "sheet of 0.7 mm under a plain washer; the sheet tears round the bolt or lets the washer "
            "through long before the bolt breaks. Bad: a screw into a board, which holds in no crash at "
            "all."
        ),
        height=276,
        shapes=(
            *(
                Line(((x, 44), (x, 14)), "feed")
                for x in (good, thin, board)
            ),
            *(
                Line(((x - 6, 24), (x, 14), (x + 6, 24)), "feed")
                for x in (good, thin, board)
            ),
            # Good: bracket, crossmember, plate, nut.
            *sheet(good - 46, 66, 92, 10, falling=True),
            *sheet(good - 58, 76, 116, 22),
            washer(good, 62, 30),
            *bolt(good, 62, 52, 105),
            Polygon(rectangle(good - 38, 98, 76, 7), fill="tint"),
            # Thin: bracket, body sheet, washer, nut; the tear.
            *sheet(thin - 40, 66, 80, 10, falling=True),
            *(
                Polygon(
                    tuple(
                        (thin + side * x, y)
                        for x, y in ((56, 80), (14, 80), (6, 72), (6, 77), (12, 84), (56, 84))
                    ),
                    fill="feed",
                )
                for side in (-1, 1)
            ),
            washer(thin, 62, 30),
            *bolt(thin, 62, 40, 90),
            washer(thin, 86, 26),
            # Board: screw alone.
            *sheet(board - 40, 66, 80, 8, falling=True),
            *sheet(board - 56, 78, 112, 34),
            *bolt(board, 62, 36, None),
            Line(((board - 9, 80), (board - 9, 100)), "feed"),
            Line(((board + 9, 80), (board + 9, 100)), "feed"),
            *lines(good, 148, "Good", "thick steel,", "plate 40 × 40 × 3,", "half counted,", "2 × the load"),
            *lines(thin, 148, "Bad", "0.7 mm sheet,", "plain washer:", "the sheet tears"),
            *lines(board, 148, "Bad", "screw in board:", "no figure", "for a crash"),
            Text((4, 264), "Shown only if the weakest part has a source."),
        ),
    )  # fmt: skip
