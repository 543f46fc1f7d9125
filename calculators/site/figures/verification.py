"""Figures of the stage verification: schemes, not to scale."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Dimension, Line, Polygon, Shape, Text, rectangle
from calculators.site.figures.treatment import leader, lines, sheet


def contacts() -> Drawing:
    """A contact that rattles, and the three ways to silence it."""
    face = 72.0

    def pair(left: float, gap: float) -> tuple[Shape, ...]:
        return (
            *sheet(left, face, 80, 10),
            *sheet(left, face - gap - 10, 80, 10, falling=True),
        )

    return Drawing(
        title="A gap that opens and shuts rattles. Part it, press it or fasten it.",
        spoken=(
            "Four sections, each of a card over a panel. First, wrong: they nearly touch, so that the gap "
            "opens and shuts with the tone and knocks. Second: parted, 5 mm free, they cannot meet. Third: "
            "pressed, with felt or foam between them, compressed by a third to a half, so that they never "
            "part. Fourth: fastened, a screw or a clip holds them together."
        ),
        height=166,
        shapes=(
            *pair(4, 3),
            Line(((20, 22), (20, 50)), "feed"),
            Line(((15, 30), (20, 22), (25, 30)), "feed"),
            Line(((15, 42), (20, 50), (25, 42)), "feed"),
            Text((34, 40), "shakes"),
            *pair(100, 26),
            Dimension((140, face - 26), (140, face), aside=0.001, words="5 mm"),
            *pair(196, 16),
            Polygon(rectangle(210, face - 16, 52, 16), fill="tint"),
            Text((236, 16), "felt, foam", "middle"),
            leader((236, 21), (236, face - 10)),
            *pair(292, 0),
            Polygon(rectangle(326, face - 16, 12, 40), fill="ink"),
            Polygon(rectangle(318, face - 20, 28, 8), fill="ink"),
            Text((332, 16), "screw, clip", "middle"),
            leader((332, 21), (332, face - 21)),
            *lines(44, 118, "Rattles", "never a gap", "that shuts"),
            *lines(140, 118, "Parted", "5 mm free"),
            *lines(236, 118, "Pressed", "by a third", "to a half"),
            *lines(332, 118, "Fastened", "no play left"),
        ),
    )
