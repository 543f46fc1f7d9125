"""Figures of the stage tuning."""

from typing import Literal

from calculators.declaring import Drawing
from calculators.declaring.drawings import (
    Arc,
    Dimension,
    Dot,
    Line,
    Place,
    Polygon,
    Shape,
    Text,
    rectangle,
    scale_bar,
)
from calculators.vocabulary import symbols

WIDTH = 2470.0
"""Millimetres across the plan of the cabin."""


def cabin_tapes() -> Drawing:
    """The cabin from above: a tape from each cone to the point between the ears."""
    ear_point = (870.0, 1160.0)
    cones: dict[str, Place] = {
        "Left tweeter": (590, 560),
        "Left woofer": (540, 900),
        "Right tweeter": (1880, 560),
        "Right woofer": (1930, 900),
        "Subwoofer": (1560, 2480),
    }

    def seat(left: float, top: float, width: float) -> tuple[Shape, ...]:
        return (
            Polygon(rectangle(left, top, width, 480), "thin", "tint"),
            Polygon(rectangle(left, top + 480, width, 110), "thin", "tint"),
        )

    def head() -> tuple[Shape, ...]:
        x, y = ear_point
        return (
            Arc(ear_point, 95, fill="paper"),
            Line(((x - 30, y - 90), (x, y - 130), (x + 30, y - 90))),
            Line(((x - 95, y), (x - 125, y))),
            Line(((x + 95, y), (x + 125, y))),
        )

    return Drawing(
        title="Tapes from above, each straight from the middle of a cone to the point between the ears.",
        spoken=(
            "Plan of an invented cabin. Straight tapes run from the middle of the left and right tweeters, "
            "the left and right door woofers and the subwoofer behind the rear seat to one point, midway "
            "between the ears of the person in the left front seat."
        ),
        height=2850,
        width=WIDTH,
        shapes=(
            Line(
                (
                    (560, 420),
                    (470, 760),
                    (450, 1400),
                    (460, 2200),
                    (520, 2640),
                    (1235, 2700),
                    (1950, 2640),
                    (2010, 2200),
                    (2020, 1400),
                    (2000, 760),
                    (1910, 420),
                    (1235, 330),
                    (560, 420),
                ),
                smooth=True,
            ),
            Line(((520, 640), (1235, 540), (1950, 640)), "thin", smooth=True),
            *seat(620, 960, 500),
            *seat(1350, 960, 500),
            *seat(600, 1800, 1270),
            Polygon(rectangle(1340, 2440, 440, 180), fill="paper"),
            *head(),
            *(Line((place, ear_point), "feed") for place in cones.values()),
            *(
                Arc(place, 60 if "woofer" in name else 36, fill="paper")
                for name, place in cones.items()
                if name != "Subwoofer"
            ),
            Line(((1420, 2440), (1480, 2490), (1640, 2490), (1700, 2440))),
            Arc(ear_point, 22, stroke="none", fill="ink"),
            Text((545, 300), "Left tweeter", "middle"),
            Text((1925, 300), "Right tweeter", "middle"),
            Text((10, 870), "Left"),
            Text((10, 975), "woofer"),
            Text((2060, 870), "Right"),
            Text((2060, 975), "woofer"),
            Text((1290, 2590), "Subwoofer", "end"),
            Text((1235, 200), "Front", "middle", strong=True),
            scale_bar(20, 2800, WIDTH),
        ),
    )


def microphone_places() -> Drawing:
    """The places of the microphone about a head, from above and from the side, true to scale."""
    width, above, beside = 620.0, (140.0, 210.0), (410.0, 210.0)

    def mark(middle: Place, aside: float, down: float, fill: Literal["paper", "ink", "feed"]) -> Arc:
        return Arc((middle[0] + aside, middle[1] + down), 8, fill=fill)

    def near(middle: Place) -> tuple[Shape, ...]:
        return tuple(
            Arc((middle[0] + aside, middle[1] + down), 4, fill="feed")
            for aside, down in ((30, 0), (-30, 0), (0, 30), (0, -30))
        )

    def face(middle: Place) -> tuple[Shape, ...]:
        x, y = middle
        return Arc(middle, 88, stroke="thin"), Line(
            ((x - 14, y - 86), (x, y - 104), (x + 14, y - 86)), "thin"
        )

    return Drawing(
        title="Seven places for levels; one fixed point, and four within 30 mm of it, for time and joins.",
        spoken=(
            "Left, a head from above: the fixed point is midway between the ears. Open marks stand 100 mm "
            "forward, back, left and right of it, small filled ones 30 mm. Right, the same from the side: "
            "open marks 50 mm above and below the fixed point, and 100 mm forward and back."
        ),
        height=462,
        width=width,
        shapes=(
            Text((above[0], 18), "From above", "middle", strong=True),
            Text((beside[0], 18), "From the left", "middle", strong=True),
            *face(above),
            Arc(beside, 88, stroke="thin"),
            Line(
                (
                    (beside[0] - 86, beside[1] - 14),
                    (beside[0] - 104, beside[1] + 8),
                    (beside[0] - 86, beside[1] + 20),
                ),
                "thin",
            ),
            *(mark(above, *place, "paper") for place in ((0, -100), (0, 100), (-100, 0), (100, 0))),
            *(mark(beside, *place, "paper") for place in ((-100, 0), (100, 0), (0, -50), (0, 50))),
            *near(above),
            mark(above, 0, 0, "ink"),
            mark(beside, 0, 0, "ink"),
            Dimension(above, (above[0] + 100, above[1]), aside=-140),
            Dimension((beside[0], beside[1] - 50), beside, aside=-120),
            Text((above[0] - 20, 90), "front", "end"),
            Text((beside[0] - 114, 150), "front", "middle"),
            Arc((30, 394), 8, fill="ink"),
            Text((46, 402), "fixed point"),
            Arc((180, 394), 8, fill="paper"),
            Text((196, 402), "levels"),
            Arc((290, 394), 4, fill="feed"),
            Text((306, 402), "30 mm: time, joins"),
            scale_bar(20, 454, width),
        ),
    )


def loop_back() -> Drawing:
    """What is recorded beside the microphone: the player's line output, or a feed behind the tap."""

    def row(top: float, number: str, player: tuple[str, ...], between: tuple[str, ...]) -> tuple[Shape, ...]:
        return (
            Text((4, top + 30), number, strong=True),
            *symbols.box(18, top, 78, 46, player),
            Line(((96, top + 23), (160, top + 23)), "signal"),
            *symbols.box(160, top, 82, 46, ("Processor,", "amplifier")),
            Line(((242, top + 23), (284, top + 23)), "signal"),
            *symbols.box(284, top, 84, 46, ("Speaker",)),
            # The loop, from between player and processor.
            Line(((128, top + 23), (128, top + 98), (160, top + 98)), "feed"),
            Dot((128, top + 23)),
            *symbols.box(160, top + 75, 82, 46, between),
            Line(((242, top + 98), (284, top + 98)), "feed"),
            *symbols.box(284, top + 75, 84, 46, ("Interface,", "channel 2")),
        )

    return Drawing(
        title="The loop on channel 2: 1 a player's line output, 2 a feed of the factory unit behind the tap.",
        spoken=(
            "Two schemes. In the first a player's line output goes to processor, amplifier and speaker, and "
            "by a plain cable to channel 2 of the interface. In the second the factory unit's feed goes to "
            "the processor, and through the isolating tap, ten kilohm in each leg and 2.2 kilohm across, to "
            "channel 2. In both the microphone is on channel 1. Nothing leads from an amplifier's output "
            "to the interface."
        ),
        height=306,
        shapes=(
            *row(8, "1", ("Player,", "line out"), ("Cable",)),
            *row(152, "2", ("Unit,", "feed"), ("Isolating", "tap")),
            Text((190, 296), "Microphone: channel 1, in both", "middle", strong=True),
        ),
    )
