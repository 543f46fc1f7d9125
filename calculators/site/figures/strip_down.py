"""Figures of the stage strip-down: schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Dimension, Hatch, Line, Place, Polygon, Shape, Text, rectangle
from calculators.site.figures.treatment import leader, lines, sheet


def crossed(x: float, y: float, size: float = 8.0) -> tuple[Shape, ...]:
    """Two strokes over what is wrong."""
    return (
        Line(((x - size, y - size), (x + size, y + size)), "feed"),
        Line(((x - size, y + size), (x + size, y - size)), "feed"),
    )


def clip_and_lever() -> Drawing:
    """Where a lever lifts a card, and where it breaks it."""
    steel = 118.0

    def clip(x: float) -> tuple[Shape, ...]:
        return (
            Polygon(rectangle(x - 12, steel - 30, 24, 8), fill="paper"),
            Polygon(
                (
                    (x - 4, steel - 22),
                    (x + 4, steel - 22),
                    (x + 8, steel + 6),
                    (x, steel + 24),
                    (x - 8, steel + 6),
                ),
                fill="paper",
            ),
        )

    def panel(left: float) -> tuple[Shape, ...]:
        holes = (left + 34, left + 134)
        return (
            *sheet(left, steel, holes[0] - 9 - left, 10),
            *sheet(holes[0] + 9, steel, holes[1] - holes[0] - 18, 10),
            *sheet(holes[1] + 9, steel, left + 168 - holes[1] - 9, 10),
            *(shape for hole in holes for shape in clip(hole)),
        )

    return Drawing(
        title="Lever. At the clip's foot, 50 mm from it at most; never midway between two.",
        spoken=(
            "Two sections through a door card on its clips. Left, right: a forked plastic lever lies under "
            "the foot of one clip and lifts the card straight off the steel there. Right, wrong: the lever "
            "stands midway between two clips; the card bends, and its clip towers break, while both clips "
            "stay in the steel."
        ),
        height=222,
        shapes=(
            *panel(8),
            *panel(204),
            # Right: the fork at the clip's foot.
            Line(((8, steel - 46), (26, steel - 42), (60, steel - 34), (176, steel - 34))),
            Line(((8, steel - 38), (26, steel - 34), (60, steel - 26), (176, steel - 26))),
            Polygon(((12, steel - 8), (62, steel - 18), (62, steel - 23), (12, steel - 14)), fill="tint"),
            Polygon(((62, steel - 18), (96, steel - 24), (96, steel - 25), (62, steel - 23)), fill="tint"),
            # Wrong: midway, the card bent up between its clips.
            Line(
                (
                    (204, steel - 34),
                    (238, steel - 34),
                    (288, steel - 58),
                    (338, steel - 34),
                    (372, steel - 34),
                ),
                smooth=True,
            ),
            Line(
                (
                    (204, steel - 28),
                    (238, steel - 28),
                    (288, steel - 51),
                    (338, steel - 28),
                    (372, steel - 28),
                ),
                smooth=True,
            ),
            Polygon(((262, steel - 4), (268, steel), (292, steel - 48), (284, steel - 50)), fill="tint"),
            *crossed(288, steel - 78),
            Text((92, 24), "plastic lever, fork", "middle"),
            leader((40, 30), (26, steel - 14)),
            Text((290, 24), "the card's back cracks", "middle"),
            leader((330, 30), (336, steel - 36)),
            Text((112, steel + 44), "clip", "middle"),
            leader((98, steel + 36), (52, steel + 20)),
            *lines(92, 184, "At the clip's foot", "straight, bottom first"),
            *lines(288, 184, "Midway: never", "one more screw? look"),
        ),
    )


def no_drill_zones() -> Drawing:
    """The running job's vehicle from above: both routes and what stays red."""

    def zone(*places: Place) -> tuple[Shape, ...]:
        return Polygon(places, "thin"), Hatch((places,))

    left, right = 208.0, 60.0
    return Drawing(
        title="Bay plan of the running job. Hatched: no drill, 100 mm round what lies there.",
        spoken=(
            "A petrol estate car seen from above, its front to the left. The power feed runs from the "
            "battery at the front left through the bulkhead's grommet and along the left sill to the "
            "amplifier behind the rear axle. The signal leads run along the right sill. Hatched, where "
            "nothing is drilled: both rows of pillars with belts and curtain airbags, the tunnel with "
            "exhaust and pipes, the tank before the rear axle, the fuel pipe under the rear 300 mm of the "
            "left sill, and the spare-wheel well over the silencer. In an electric or plug-in vehicle all "
            "of floor, sills, tunnel and well are hatched."
        ),
        height=322,
        shapes=(
            Polygon(
                (
                    (24, 66),
                    (40, 46),
                    (110, 38),
                    (330, 38),
                    (352, 50),
                    (360, 80),
                    (360, 188),
                    (352, 218),
                    (330, 230),
                    (110, 230),
                    (40, 222),
                    (24, 202),
                ),
                fill="paper",
            ),
            # Tunnel, tank, well, the sill's rear end, pillars.
            *zone((108, 124), (236, 124), (236, 144), (108, 144)),
            *zone((236, 92), (276, 92), (276, 176), (236, 176)),
            Arc((322, 134), 28, stroke="thin"),
            Hatch((tuple((322 + 28 * x, 134 + 28 * y) for x, y in OCTAGON),)),
            *zone((222, left - 6), (262, left - 6), (262, left + 20), (222, left + 20)),
            *(Polygon(rectangle(x, y, 14, 10), fill="ink") for x in (104, 176, 268) for y in (38, 220)),
            # Bulkhead, battery, amplifier.
            Line(((100, 40), (100, 228))),
            Polygon(rectangle(46, 176, 34, 26), fill="tint"),
            Polygon(rectangle(286, 66, 44, 20), fill="tint"),
            Line(
                ((80, 188), (112, 188), (124, left), (270, left), (292, 180), (308, 86)), "feed", smooth=True
            ),
            Line(
                ((144, 104), (154, 98), (160, 84), (172, right), (264, right), (286, 74)),
                "signal",
                smooth=True,
            ),
            Polygon(rectangle(116, 92, 28, 20)),
            Text((8, 24), "front"),
            Text((190, 24), "pillars: belts, airbags", "middle"),
            leader((116, 28), (112, 38)),
            leader((184, 28), (183, 38)),
            Text((166, 116), "tunnel"),
            Text((176, right + 20), "signal, right"),
            Text((308, 60), "amplifier", "middle"),
            Text((104, 86), "source"),
            Text((112, 184), "power, left sill"),
            leader((150, 189), (156, left - 2)),
            Text((150, 262), "fuel pipe: 300 mm", "middle", strong=True),
            leader((206, 248), (240, left + 12)),
            Text((300, 262), "well, silencer", "middle"),
            leader((306, 248), (318, 158)),
            Text((256, 192), "tank", "middle"),
            Text((63, 166), "battery", "middle"),
            Text((8, 262), "bulkhead"),
            leader((44, 248), (98, 214)),
            Text((8, 290), "Electric or plug-in: floor, sills, tunnel and well", strong=False),
            Text((8, 310), "are hatched whole.", strong=True),
        ),
    )


OCTAGON = (
    (1.0, 0.0),
    (0.71, 0.71),
    (0.0, 1.0),
    (-0.71, 0.71),
    (-1.0, 0.0),
    (-0.71, -0.71),
    (0.0, -1.0),
    (0.71, -0.71),
)


def edge_and_airbag() -> Drawing:
    """A cable over a sheet's edge, bare and guarded; and a pillar with its airbag."""
    face = 92.0
    return Drawing(
        title="Edges are guarded, and a pillar's cover is no channel: the airbag lies there.",
        spoken=(
            "Left, above: a cable through a hole in a sheet with nothing at its edge, crossed out; it wears "
            "through. Below: the same in a grommet, with a clip within 50 mm on both sides. Right: a pillar "
            "cut across. Between the steel and the cover lies the folded curtain airbag. A cable in that "
            "room is crossed out, in front of the airbag and behind it. The way is round it: through the "
            "dash or the maker's own channel."
        ),
        height=300,
        shapes=(
            # Bare edge.
            *sheet(70, 20, 10, 28),
            *sheet(70, 66, 10, 34),
            Line(((8, 44), (66, 60), (84, 66), (160, 84)), "feed", smooth=True),
            *crossed(75, 58, 12),
            Text((92, 34), "bare edge"),
            # Grommet and two clips.
            *sheet(70, 150, 10, 30),
            *sheet(70, 212, 10, 34),
            Polygon(rectangle(63, 174, 24, 10), fill="ink"),
            Polygon(rectangle(63, 208, 24, 10), fill="ink"),
            Line(((8, 196), (166, 196)), "feed"),
            *(Arc((x, 196), 8, 180, 360) for x in (26, 126)),
            *(Line(((x - 8, 196), (x - 8, 214), (x + 6, 214))) for x in (26, 126)),
            Dimension((80, 240), (126, 240), aside=0.001, words="50 mm"),
            Text((88, 164), "grommet"),
            Text((8, 282), "each edge guarded", strong=True),
            # The pillar, cut across.
            Polygon(((214, 60), (300, 40), (330, face), (296, 130), (220, 118)), fill="paper"),
            Hatch(
                (
                    ((214, 60), (300, 40), (330, face), (296, 130), (220, 118)),
                    ((222, 68), (296, 50), (318, face), (290, 120), (228, 110)),
                )
            ),
            Polygon(((222, 68), (296, 50), (318, face), (290, 120), (228, 110))),
            Arc((284, 160), 17, fill="tint"),
            Arc((284, 160), 11, stroke="thin"),
            Arc((284, 160), 5, stroke="thin"),
            Line(((206, 128), (214, 164), (248, 188), (300, 194), (336, 168), (344, 118)), smooth=True),
            Arc((240, 150), 5, fill="feed"),
            Arc((318, 148), 5, fill="feed"),
            *crossed(240, 150),
            *crossed(318, 148),
            Text((270, 90), "pillar", "middle"),
            Text((196, 222), "curtain airbag"),
            leader((250, 210), (278, 176)),
            Text((310, 222), "cover"),
            leader((330, 210), (318, 186)),
            Text((196, 250), "no cable in here:"),
            Text((196, 267), "not behind the bag,"),
            Text((196, 284), "not before it", strong=True),
        ),
    )
