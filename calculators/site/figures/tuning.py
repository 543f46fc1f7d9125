"""Figures of the stage tuning."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Arc, Line, Place, Polygon, Shape, Text, rectangle, scale_bar

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
