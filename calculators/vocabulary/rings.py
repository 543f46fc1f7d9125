"""The ring under a driver at its true size: on paper to cut by, and as a drawing for a machine."""

from dataclasses import dataclass
from math import cos, pi, sin

from calculators.declaring import Drawing, InputError
from calculators.declaring.drawings import Arc, Line, Place, Shape
from calculators.vocabulary.paper_sheets import full_size

CIRCLE_CORNERS = 120
"""Of a circle on paper: up to 500 mm across it is drawn within 0.1 mm."""
ROUND_IT = 5.0
HALF_CROSS = 2.0
"""Half of a cross where a screw goes, mm."""


@dataclass(frozen=True)
class Ring:
    """Diameters in mm: of the bore, of the outside, and of the circle of so many screws (0: none)."""

    bore: float
    outside: float
    screw_circle: float
    screws: int

    @property
    def holes(self) -> list[Place]:
        """Middles of the screws round the ring's own middle, the first one upwards."""
        turns = (2 * pi * number / self.screws for number in range(self.screws))
        return [(self.screw_circle / 2 * sin(turn), self.screw_circle / 2 * cos(turn)) for turn in turns]

    def paper(self) -> tuple[Drawing, ...]:
        """Sheets to print, with a cross for each screw."""
        circles = [
            [
                (reach / 2 * cos(2 * pi * n / CIRCLE_CORNERS), reach / 2 * sin(2 * pi * n / CIRCLE_CORNERS))
                for n in range(CIRCLE_CORNERS)
            ]
            for reach in (self.outside, self.bore)
        ]
        return full_size([*circles, *(cross for hole in self.holes for cross in _cross(hole))], "Ring at 1:1")

    def drawing(self) -> Drawing:
        """Whole circles, and the crosses."""
        middle = self.outside / 2 + ROUND_IT
        shapes: list[Shape] = [Arc((middle, middle), reach / 2) for reach in (self.outside, self.bore)]
        shapes += [
            Line(tuple((middle + x, middle - y) for x, y in cross), "thin")
            for hole in self.holes
            for cross in _cross(hole)
        ]
        spoken = f"A ring, {self.outside:.1f} mm outside, {self.bore:.1f} mm bore, {self.screws} screws."
        return Drawing("Ring", spoken, 2 * middle, tuple(shapes), 2 * middle)


def ring_of(bore: float, outside: float, screw_circle: float | None, screws: int) -> Ring:
    """The ring of diameters in m. Raises InputError beside the field of one that lies in no wood."""
    if outside <= bore:
        raise InputError("ring", f"The ring is wider than its bore: over {1e3 * bore:.1f} mm.")
    if screw_circle is None:
        return Ring(1e3 * bore, 1e3 * outside, 0.0, 0)
    if not bore < screw_circle < outside:
        message = f"The screws go into the ring: between {1e3 * bore:.1f} and {1e3 * outside:.1f} mm."
        raise InputError("screw_circle", message)
    return Ring(1e3 * bore, 1e3 * outside, 1e3 * screw_circle, screws)


def _cross(place: Place) -> list[list[Place]]:
    x, y = place
    return [[(x - HALF_CROSS, y), (x + HALF_CROSS, y)], [(x, y - HALF_CROSS), (x, y + HALF_CROSS)]]
