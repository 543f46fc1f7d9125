"""Sheets of paper that are joined: together they hold every line of the outline, once."""

from math import cos, dist, hypot, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import run_values
from calculators.declaring.drawings import Drawing, Line
from calculators.stages import find_calculator
from calculators.vocabulary import paper_sheets
from calculators.vocabulary.paper_sheets import FRAME_HEIGHT, FRAME_LEFT, FRAME_TOP, FRAME_WIDTH, full_size

CORNERS = st.lists(st.floats(20, 300), min_size=3, max_size=9)


def lines(sheet: Drawing) -> list[Line]:
    return [shape for shape in sheet.shapes if isinstance(shape, Line) and shape.stroke == "ink"]


@given(CORNERS)
def test_the_pieces_of_all_sheets_are_as_long_as_the_outline(reach: list[float]) -> None:
    outline = [
        (r * cos(2 * pi * number / len(reach)), r * sin(2 * pi * number / len(reach)))
        for number, r in enumerate(reach)
    ]
    sheets = full_size([outline], "Shape")
    around = sum(dist(outline[number - 1], outline[number]) for number in range(len(outline)))
    drawn = [line for sheet in sheets for line in lines(sheet)]
    assert sum(dist(*line.places) for line in drawn) == pytest.approx(around, rel=1e-9)
    for line in drawn:
        for x, y in line.places:
            assert FRAME_LEFT - 1e-6 <= x <= FRAME_LEFT + FRAME_WIDTH + 1e-6
            assert FRAME_TOP - 1e-6 <= y <= FRAME_TOP + FRAME_HEIGHT + 1e-6


def test_lines_go_on_where_the_next_sheet_begins() -> None:
    left, right = full_size([[(0, 0), (300, 0), (0, 100)]], "Shape")
    ends = {round(y, 6) for line in lines(left) for x, y in line.places if x == FRAME_LEFT + FRAME_WIDTH}
    starts = {round(y, 6) for line in lines(right) for x, y in line.places if x == FRAME_LEFT}
    assert ends == starts
    assert len(ends) == 2
    slope = next(line for line in lines(left) if all(a != b for a, b in zip(*line.places, strict=True)))
    assert dist(*slope.places) == pytest.approx(FRAME_WIDTH * hypot(300, 100) / 300)


def test_more_paper_than_anybody_joins_is_refused() -> None:
    large = {"shape": "box", "width": 1.0, "depth": 1.0, "height": 1.2, "on_paper": True}
    error = str(run_values(find_calculator("box-volume"), large).errors[0])
    assert error.startswith("on_paper: The section fills 40 sheets, 24 are the most")
    assert paper_sheets.MOST_SHEETS == 24
    small = run_values(find_calculator("box-volume"), large | {"depth": 0.3, "height": 0.4})
    assert len(small.result.paper) == 4  # type: ignore[union-attr]
    assert not run_values(find_calculator("box-volume"), large | {"on_paper": False}).result.paper  # type: ignore[union-attr]
