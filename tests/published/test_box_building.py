"""Boxes to build: sums of rectangles, trapezia and cones by hand; boards by a handbook of plywood."""

from tests.published.rows import Row, check, every

PRISM = [(0, 0), (0.5, 0), (0.5, 0.12), (0.28, 0.2), (0.28, 0.35), (0, 0.35)]
BY_HAND = "Euclid: prism, cone; worked by hand"
PLYWOOD = "Handbook of Finnish Plywood, birch, 15 mm: 10.2 kg/m²"
BOX = {"shape": "box", "width": 0.67, "depth": 0.27, "height": 0.122}
WEDGE = {"shape": "wedge", "sizes": "inside", "width": 0.5, "depth": 0.26, "top_depth": 0.12, "height": 0.33}
SECTION = {
    "shape": "prism",
    "sizes": "inside",
    "width": 0.42,
    "corners": [{"x": x, "y": y} for x, y in PRISM],
}
# Inside 560 to 520 mm by 120 mm; with walls of 15 mm on all sides.
WELL = {"shape": "well", "sizes": "inside", "diameter": 0.56, "bottom_diameter": 0.52, "height": 0.12}

BOXES = [
    Row("D8-gross", "box-volume", BOX, "gross", 14.1312e-3, 1e-9, BY_HAND, "calc"),
    Row("D8-area", "box-volume", BOX, "board_area", 0.52924, 1e-8, BY_HAND, "calc"),
    Row("D8-mass", "box-volume", BOX, "mass", 5.398, 0.0005, BY_HAND + ", 680 kg/m³", "calc"),
    Row("D8-wedge", "box-volume", WEDGE, "gross", 31.350e-3, 1e-8, BY_HAND, "calc"),
    Row("D8-prism", "box-volume", SECTION, "gross", 55.944e-3, 1e-8, BY_HAND, "calc"),
    Row("BOX-well", "box-volume", WELL, "gross", 27.495e-3, 1e-6, BY_HAND, "calc"),
    # The boards of that box, by the handbook's mass of a square metre.
    Row(
        "D3-15",
        "box-volume",
        BOX,
        "mass",
        0.52924 * 10.2,
        0.001,
        PLYWOOD,
        "memory",
    ),
]


@every(BOXES)
def test_boxes(row: Row) -> None:
    check(row)
