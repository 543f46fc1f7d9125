"""What a DXF file says, read back by the library that reads such files (ezdxf)."""

from io import StringIO
from math import dist
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import read as read_dxf
from ezdxf.lldxf.encoding import decode_dxf_unicode

from calculators.__main__ import main
from calculators.declaring import run_values
from calculators.declaring.drawings import Arc, Dimension, Drawing, Line, Polygon, Text, rectangle
from calculators.stages import find_calculator
from calculators.vocabulary.dxf import DXF_LAYERS, dxf


def read(text: str) -> Any:
    document = read_dxf(StringIO(text, newline=None))
    auditor = document.audit()
    assert not auditor.errors
    assert not auditor.fixes
    assert document.dxfversion == "AC1009"
    assert document.header["$INSUNITS"] == 4  # Millimetres.
    assert {*DXF_LAYERS} <= {layer.dxf.name for layer in document.layers}
    return document


def sides(document: Any, layer: str = "OUTLINES") -> list[tuple[float, float]]:
    """The sides of every rectangle of a layer, the shorter first, in mm."""
    found = []
    for outline in document.modelspace().query(f'POLYLINE[layer=="{layer}"]'):
        corners = [(point.x, point.y) for point in outline.points()]
        if len(corners) == 4 and outline.is_closed:
            first, second = dist(*corners[:2]), dist(*corners[1:3])
            found.append((min(first, second), max(first, second)))
    return found


def test_shapes_keep_their_millimetres_and_stand_upright() -> None:
    shapes = (
        Polygon(rectangle(10, 20, 300, 200)),
        Line(((0, 0), (30, 40)), "thin"),
        Arc((100, 100), 50),
        Arc((100, 100), 40, 0, 90),
        Text((10, 18), "Bottom, 15° × ½", "middle"),
        Dimension((10, 220), (310, 220), aside=20),
        Dimension((10, 20), (10, 220), aside=20, words="tall"),
    )
    space = read(dxf([Drawing("A", "a", 400, shapes, 500)])).modelspace()
    (outline,) = space.query('POLYLINE[layer=="OUTLINES"]')
    corners = [(point.x, point.y) for point in outline.points()]
    assert corners == [(10, -20), (310, -20), (310, -220), (10, -220)]
    (circle,), (arc,) = space.query("CIRCLE"), space.query("ARC")
    assert circle.dxf.radius == 50
    assert arc.end_point.isclose((140, -100))  # 0 points right, then down: the lower right quarter.
    assert arc.start_point.isclose((100, -140))
    (words,) = space.query('TEXT[layer=="WORDS"]')
    assert decode_dxf_unicode(words.dxf.text) == "Bottom, 15° × ½"
    across, up = space.query('POLYLINE[layer=="SIZES"]')
    # To the right of the way from start to end: under the box, and to the left of it.
    assert [(point.x, point.y) for point in across.points()] == [
        (10, -220),
        (10, -240),
        (310, -240),
        (310, -220),
    ]
    assert [(point.x, point.y) for point in up.points()] == [(10, -20), (-10, -20), (-10, -220), (10, -220)]
    length, tall = space.query('TEXT[layer=="SIZES"]')
    assert (length.dxf.text, length.dxf.rotation) == ("300.0", 0)
    assert (tall.dxf.text, tall.dxf.rotation) == ("tall", 90)  # Read from the right.


@pytest.mark.parametrize("shape", ["box", "wedge", "well"])
def test_boards_and_sheets_read_back_with_the_lengths_of_the_cut_list(shape: str) -> None:
    inputs = dict(find_calculator("box-volume").example) | {"shape": shape}
    inputs |= {"wedge": {"top_depth": 0.2}, "well": {"diameter": 0.56, "bottom_diameter": 0.52}}.get(
        shape, {}
    )
    inputs |= {"braces": [], "height": 0.16} if shape == "well" else {}
    outcome = run_values(find_calculator("box-volume"), inputs)
    assert not outcome.errors
    document = read(outcome.result.for_machine.contents.decode("ascii"))
    found = sides(document)
    for part in outcome.result.parts:
        wanted = pytest.approx((1000 * part.width, 1000 * part.length), abs=1e-3)
        assert sum(wanted == pair for pair in found) >= part.pieces, part.name
    # A machine that is given this layer cuts the parts, and neither a view nor the edge of a sheet.
    cut = document.modelspace().query('*[layer=="OUTLINES"]')
    assert len(cut) == len(found) == sum(part.pieces for part in outcome.result.parts)
    sheets = sides(document, "SHEETS")
    assert len(sheets) == outcome.result.sheets
    assert all(pytest.approx((1250, 2500)) == pair or pytest.approx((1230, 2480)) == pair for pair in sheets)


def test_sheets_of_a_treatment_read_back_too() -> None:
    calculator = find_calculator("treatment-plan")
    result = run_values(calculator, calculator.example).result
    found = sides(read(result.for_machine.contents.decode("ascii")), "SHEETS")
    assert pytest.approx((500, 800)) in found


def test_no_last_digit_turns_the_words_of_an_upright_size_round() -> None:
    for away in (-1e-13, 0.0, 1e-13):
        size = Dimension((10.0, 220.0), (10.0 + away, 20.0), aside=20)
        space = read(dxf([Drawing("A", "a", 400, (size,), 500)])).modelspace()
        (words,) = space.query('TEXT[layer=="SIZES"]')
        assert words.dxf.rotation == 90


def test_a_machine_gets_every_sheet_and_not_the_nine_of_the_picture() -> None:
    calculator = find_calculator("treatment-plan")
    panels = [
        {"place": "floor", "layer": "damping", "name": f"{n}", "width": 0.49, "height": 0.79}
        for n in range(11)
    ]
    inputs = dict(calculator.example) | {"panels": panels}
    result = run_values(calculator, inputs).result
    assert "first 9 of 11" in result.cutting_plan.title
    found = sides(read(result.for_machine.contents.decode("ascii")), "SHEETS")
    assert sum(pytest.approx((500, 800)) == pair for pair in found) == 11


def test_a_ring_reads_back_with_its_bore_and_its_screws_in_the_wood() -> None:
    calculator = find_calculator("driver-fit")
    inputs = dict(calculator.example) | {"ring": 0.19, "screw_circle": 0.166, "screws": 6}
    result = run_values(calculator, inputs).result
    space = read(result.for_machine.contents.decode("ascii")).modelspace()
    assert sorted(2 * circle.dxf.radius for circle in space.query("CIRCLE")) == [144, 190]
    middle = next(iter(space.query("CIRCLE"))).dxf.center
    crosses = [[*cross.points()] for cross in space.query('POLYLINE[layer=="HELP_LINES"]')]
    assert len(crosses) == 2 * 6
    for start, end in crosses:
        assert start.lerp(end).distance(middle) == pytest.approx(83, abs=1e-3)
    first, second = (start.lerp(end) for start, end in crosses[1:4:2])
    assert first.distance(second) == pytest.approx(83, abs=1e-3)  # Six on a circle stand a radius apart.
    assert len(result.paper) == 2  # 190 mm over sheets of 157.
    for wrong, field in (({"ring": 0.14}, "ring"), ({"screw_circle": 0.14}, "screw_circle")):
        assert [error.field for error in run_values(calculator, inputs | wrong).errors] == [field]
    assert run_values(calculator, calculator.example).result.for_machine is None


def test_the_command_line_writes_it(tmp_path: Path) -> None:
    path = tmp_path / "box.dxf"
    assert main(["box-volume", "--out", str(path)]) == 0
    assert sides(read(path.read_text(encoding="ascii")))
