"""Figures of the stage fabrication."""

from calculators.declaring import Drawing
from calculators.declaring.drawings import Line, Place, Polygon, Shape, Text
from calculators.site.figures.treatment import sheet


def box_joints() -> Drawing:
    """A good corner of a box and two bad ones, cut through; the inside is at the lower right."""

    def screw(x: float, top: float, length: float) -> tuple[Shape, ...]:
        """A countersunk screw from above; its point tapers."""
        return (
            Polygon(((x - 7, top), (x + 7, top), (x + 3, top + 6), (x - 3, top + 6)), fill="ink"),
            Polygon(
                ((x - 3, top + 6), (x + 3, top + 6), (x + 2, top + length - 8), (x, top + length),
                 (x - 2, top + length - 8)),
                fill="ink",
            ),
        )  # fmt: skip

    def names(x: float, *lines: str) -> tuple[Shape, ...]:
        return tuple(
            Text((x, 168 + 17 * number), words, "middle", strong=number == 0)
            for number, words in enumerate(lines)
        )

    def corner(left: float, gap: float, screw_at: float) -> tuple[Shape, ...]:
        upright: tuple[float, float] = (left, 36 + gap)
        return (
            *sheet(left, 10, 100, 26),
            *sheet(upright[0], upright[1], 26, 146 - upright[1], falling=True),
            *screw(left + screw_at, 10, 62),
        )

    good: tuple[Place, ...] = ((36, 36), (52, 36), (36, 52))
    return Drawing(
        title="Box corners, cut through, inside at the lower right. Glue holds and seals; screws only clamp.",
        spoken=(
            "Three corners in section. Good: the boards touch over their whole width in glue, the screw "
            "stands in the middle of the lower board, and a fillet of sealant lies in the inside corner. "
            "Bad, a gap: the boards do not touch, the screw holds them apart, and air leaks. Bad, screw "
            "off: it comes out of the board's side and splits it."
        ),
        height=206,
        shapes=(
            *corner(10, 0, 13),
            Polygon(good, fill="ink"),
            Line(((10, 36), (36, 36)), "feed"),
            Text((58, 66), "fillet"),
            Line(((57, 62), (47, 46)), "thin"),
            *corner(142, 9, 13),
            Text((180, 66), "air"),
            Line(((202, 56), (184, 44), (166, 41), (134, 41)), "signal", smooth=True),
            *corner(270, 0, 24),
            *names(60, "Good", "glue all over,", "screw centred"),
            *names(192, "Bad: gap", "it whistles", "at full travel"),
            *names(320, "Bad: screw off", "the edge", "splits"),
        ),
    )
