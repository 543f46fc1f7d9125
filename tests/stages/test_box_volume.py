"""A box to build: both ways round the sizes, boards that enclose what it says, sheets that can be sawn."""

from itertools import combinations
from math import ceil, inf, isclose, nextafter
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Outcome, run_values
from calculators.declaring.drawings import Dimension, Polygon
from calculators.stages import find_calculator
from calculators.vocabulary.box_advice import SAW_TILT, box_advice
from calculators.vocabulary.enclosures import Part, sheets_of

BOX = {"shape": "box", "width": 0.67, "depth": 0.27, "height": 0.122}
PRISM = {
    "shape": "prism",
    "sizes": "inside",
    "width": 0.42,
    "corners": [
        {"x": x, "y": y} for x, y in ((0, 0), (0.5, 0), (0.5, 0.12), (0.28, 0.2), (0.28, 0.35), (0, 0.35))
    ],
}

CROSSED = [{"x": x, "y": y} for x, y in ((0, 0), (0.5, 0.5), (0.5, 0), (0, 0.5))]
TALL = {"shape": "well", "diameter": 0.5, "bottom_diameter": 0.5, "height": 0.6, "panel": 0.006}


def run(**inputs: Any) -> Outcome:
    return run_values(find_calculator("box-volume"), inputs)


def refused(**inputs: Any) -> str:
    outcome = run(**inputs)
    assert outcome.errors
    return str(outcome.errors[0])


@pytest.mark.parametrize("ends", ["between", "over"])
@given(
    width=st.floats(0.2, 1),
    depth=st.floats(0.15, 0.8),
    height=st.floats(0.1, 0.6),
    panel=st.floats(0.006, 0.03),
)
def test_square_boards_enclose_the_gross_volume(
    ends: str, width: float, depth: float, height: float, panel: float
) -> None:
    """Boards laid together are the outside less the gross volume, and weigh as much."""
    result = run(
        shape="box", width=width, depth=depth, height=height, panel=panel, ends=ends, joint="butt"
    ).result
    boards = sum(part.pieces * part.length * part.width for part in result.parts) * panel
    assert boards == pytest.approx(width * depth * height - result.gross, rel=1e-9)
    assert result.gross == pytest.approx((width - 2 * panel) * (depth - 2 * panel) * (height - 2 * panel))
    assert result.mass == pytest.approx(boards * 680)


def test_outside_and_inside_are_the_same_box() -> None:
    outside = run(**BOX).result
    inside = run(**BOX | {"sizes": "inside", "width": 0.64, "depth": 0.24, "height": 0.092}).result
    assert inside.gross == pytest.approx(outside.gross)
    assert inside.mass == pytest.approx(outside.mass)
    for one, other in zip(inside.parts, outside.parts, strict=True):
        assert isclose(one.length, other.length)
        assert isclose(one.width, other.width)


@pytest.mark.parametrize("sizes", ["outside", "inside"])
def test_the_wall_of_a_round_box_is_as_wide_at_every_height(sizes: str) -> None:
    """Both sides taper alike, so what a cone of the middle of the wall holds is the same either way."""
    well = {"shape": "well", "sizes": sizes, "diameter": 0.56, "bottom_diameter": 0.5, "height": 0.12}
    view = run(**well, panel=0.015).result.view
    drawn = [shape.places for shape in view.shapes if isinstance(shape, Polygon)]
    outer, inner = drawn[-2:]
    (x1, y1), (x2, y2) = outer[1], outer[2]
    for x, y in inner[1:3]:
        assert x1 + (x2 - x1) * (y - y1) / (y2 - y1) - x == pytest.approx(15)
    assert y1 - inner[1][1] == pytest.approx(15)


def test_the_measured_board_decides() -> None:
    thin = run(**BOX, measured_thickness=0.0142).result
    assert thin.gross == pytest.approx(0.6416 * 0.2416 * 0.0936)
    assert not thin.advice
    odd = run(**BOX, measured_thickness=0.0139)
    assert [entry.about for entry in odd.advice] == ["measured_thickness"]
    assert run(**BOX).advice[0].about == "measured_thickness"


def test_what_is_inside_comes_off_and_lining_does_not() -> None:
    result = run(
        **BOX,
        driver_displacement=0.0012,
        port_diameter=0.08,
        port_length=0.2,
        braces=[{"length": 0.24, "width": 0.092, "cut_out": 0.008, "pieces": 2}],
        terminal_displacement=0.0001,
        fill=1.15,
    ).result
    taken = 1.2 + 1.005310 + 2 * (0.24 * 0.092 - 0.008) * 15 + 0.1
    assert 1000 * result.taken == pytest.approx(taken, abs=1e-5)
    assert 1000 * result.net == pytest.approx(14.1312 - taken, abs=1e-5)
    assert result.acts_as == pytest.approx(1.15 * result.net)


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"shape": "box", "width": 0.5, "depth": 0.3}, "height: This shape needs it."),
        ({"shape": "wedge", "width": 0.5, "depth": 0.3, "height": 0.3}, "top_depth: This shape needs it."),
        ({"shape": "well", "diameter": 0.5, "height": 0.3}, "bottom_diameter: This shape needs it."),
        ({"shape": "prism", "width": 0.4}, "corners: A section has three corners or more."),
        (BOX | {"height": 0.03}, "depth: This box does not close: walls of this thickness leave no room."),
        (BOX | {"width": 0.03}, "width: The two ends leave no room between them."),
        (PRISM | {"corners": CROSSED}, "corners: This box does not close: the sides cross"),
        (BOX | {"driver_displacement": 0.02}, "driver_displacement: What is inside takes 20.0 L"),
        (BOX | {"braces": [{"length": 0.1, "width": 0.1, "cut_out": 0.02}]}, "braces[0].cut_out: The window"),
        (BOX | {"sheet_length": 0.6}, "sheet_length: No sheet of this size holds the part “Bottom, top”"),
        (TALL, "height: More than 60 parts"),
    ],
)  # fmt: skip
def test_what_cannot_be_built_is_said_at_its_field(inputs: dict[str, Any], words: str) -> None:
    assert refused(**inputs).startswith(words)


def test_a_well_is_a_danger_and_a_steep_edge_is_said() -> None:
    outcome = run(shape="well", diameter=0.56, bottom_diameter=0.52, height=0.12)
    assert [entry.about for entry in outcome.advice if entry.danger] == ["shape"]
    wedge = run(shape="wedge", sizes="inside", width=0.5, depth=0.26, top_depth=0.12, height=0.33)
    assert "joint" in [entry.about for entry in wedge.advice]
    assert "joint" not in [entry.about for entry in run(**PRISM, joint="mitre").advice]


def test_the_drawing_is_to_scale_and_says_the_outside() -> None:
    view = run(**PRISM).result.view
    shown = [shape for shape in view.shapes if isinstance(shape, Dimension)]
    assert [dimension.shown() for dimension in shown] == ["530 mm", "380 mm", "450 mm", "200 mm"]
    assert all(dimension.words == "" for dimension in shown)


@given(
    parts=st.lists(
        st.tuples(st.floats(0.03, 1.2), st.floats(0.03, 0.6), st.integers(1, 4)), min_size=1, max_size=10
    ),
    kerf=st.floats(0, 0.008),
    grain=st.booleans(),
)
def test_parts_lie_apart_by_the_kerf_and_every_cut_runs_through(
    parts: list[tuple[float, float, int]], kerf: float, grain: bool
) -> None:
    """Nothing overlaps or lies in the trim; grain is kept; each layout falls apart by straight cuts alone."""
    listed = [Part(f"Part {number}", *part) for number, part in enumerate(parts)]
    plan = sheets_of(listed, 2.5, 1.25, 0.01, kerf, grain)
    laid = [placed.owner for sheet in plan.cut for placed in sheet]
    assert sorted(laid) == sorted(number for number, part in enumerate(listed) for _ in range(part.count))
    assert not plan.whole
    area = sum((p.length + kerf) * (p.width + kerf) * p.count for p in listed)
    assert plan.count >= ceil(area / ((2.48 + kerf) * (1.23 + kerf)) - 1e-9)
    for sheet in plan.cut:
        for p in sheet:
            assert p.x >= 0.01 - 1e-9
            assert p.y >= 0.01 - 1e-9
            assert p.x + p.width <= 2.49 + 1e-9
            assert p.y + p.height <= 1.24 + 1e-9
            assert not grain or p.width >= p.height - 1e-9
        for p, q in combinations(sheet, 2):
            gap = max(q.x - p.x - p.width, p.x - q.x - q.width, q.y - p.y - p.height, p.y - q.y - q.height)
            assert gap >= kerf - 1e-9
        assert sawn([(p.x, p.y, p.x + p.width, p.y + p.height) for p in sheet])


def sawn(parts: list[tuple[float, float, float, float]]) -> bool:
    """Whether parts come apart by cuts that each run from edge to edge of what is left."""
    if len(parts) == 1:
        return True
    for axis in (0, 1):
        order = sorted(parts, key=lambda part: part[axis])
        for number in range(1, len(order)):
            if max(part[axis + 2] for part in order[:number]) <= order[number][axis] + 1e-9:
                return sawn(order[:number]) and sawn(order[number:])
    return False


def test_a_part_that_would_only_fit_against_the_grain_is_refused() -> None:
    tall = {
        "shape": "box",
        "width": 1.4,
        "depth": 0.3,
        "height": 0.3,
        "sheet_length": 1.25,
        "sheet_width": 2.5,
    }
    assert "No sheet of this size" in refused(**tall)
    assert run(**tall, keep_grain=False).errors == ()


def test_each_ring_of_a_tapered_box_is_cut_to_its_place() -> None:
    """600 to 500 mm in 150 mm: a third of a mm of radius for each mm up, so 15 mm of board take 5 more."""
    found = run(shape="well", diameter=0.6, bottom_diameter=0.5, height=0.15, panel=0.015).result
    rings = [part for part in found.parts if "Ring" in part.name]
    assert [part.length for part in rings] == pytest.approx([0.52 + 0.01 * step for step in range(8)])
    assert {part.edges for part in rings} == {"round, 20.0 mm wide"}
    assert rings[0].name == "3. Ring 1 from the floor"
    sides = {part.name: part.length for part in found.parts}
    assert (sides["1. Lid"], sides["2. Floor"]) == pytest.approx((0.6, 0.51))
    straight = run(shape="well", diameter=0.6, bottom_diameter=0.6, height=0.15).result
    assert [(part.pieces, part.edges) for part in straight.parts][-1] == (8, "round, 15.0 mm wide")


def test_rings_that_stand_over_the_height_are_said() -> None:
    """100 mm less two boards of 18 are 64: four rings make 72."""
    over = run(shape="well", diameter=0.5, bottom_diameter=0.5, height=0.1, panel=0.018)
    (said,) = (entry.message for entry in over.advice if entry.about == "height")
    assert "stand 8.0 mm over the height: plane the top one to 10.0 mm" in said
    whole = run(shape="well", diameter=0.5, bottom_diameter=0.5, height=0.108, panel=0.018)
    assert "height" not in [entry.about for entry in whole.advice]


@pytest.mark.parametrize(
    ("inputs", "words"),
    [
        ({"braces": [{"length": 1.2, "width": 0.5}]}, "braces[0].length: No brace as long"),
        ({"braces": [{"length": 0.6, "width": 0.5}]}, "braces[0].width: No brace as wide"),
        ({"port_diameter": 0.05, "port_length": 1.0}, "port_length: No straight port as long"),
        ({"port_diameter": 0.1, "port_length": 0.2}, "port_diameter: No port as wide"),
    ],
)  # fmt: skip
def test_what_does_not_go_inside_is_refused(inputs: dict[str, Any], words: str) -> None:
    assert refused(**BOX | inputs).startswith(words)


def test_a_round_box_holds_a_board_as_broad_as_it_is_wide() -> None:
    well = {"shape": "well", "diameter": 0.5, "bottom_diameter": 0.5, "height": 0.12}
    assert not run(**well, braces=[{"length": 0.4, "width": 0.2, "cut_out": 0.02}]).errors
    assert refused(**well, braces=[{"length": 0.6, "width": 0.2}]).startswith("braces[0].length")


def test_a_last_digit_neither_steepens_an_edge_nor_lays_a_part_elsewhere() -> None:
    """It is another one on another machine."""
    mitred, steep = (
        box_advice("box", "mdf", 0.015, 0.015, 5.0, [Part("End", 0.3, 0.2, tilt=tilt)], 0.0)
        for tilt in (nextafter(SAW_TILT, inf), SAW_TILT + 0.1)
    )
    assert [one.about for one in steep] == [*(one.about for one in mitred), "joint"]
    sides = (0.67, 0.27, 2), (0.67, 0.0554, 2), (0.24, 0.0554, 2), (0.24, 0.092, 2)

    def layout(end: float) -> object:
        parts = [
            Part(str(number), length, nextafter(width, end), count)
            for number, (length, width, count) in enumerate(sides)
        ]
        return sheets_of(parts, 2.5, 1.25, 0.01, 0.0032, True).cut

    assert layout(0.0) == layout(inf)
