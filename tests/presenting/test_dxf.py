"""What a DXF file says, read back by the library that reads such files (ezdxf)."""

from io import StringIO
from math import dist
from pathlib import Path
from typing import Any

import pytest
from ezdxf.filemanagement import read as read_dxf

from calculators.__main__ import main
from calculators.declaring import run_values
from calculators.declaring.drawings import Arc, Dimension, Drawing, Line, Polygon, Text, rectangle
from calculators.presenting.dxf import dxf, is_to_scale
from calculators.stages import find_calculator


def read(text: str) -> Any:
    document = read_dxf(StringIO(text))
    assert not document.audit().errors
    assert document.header["$INSUNITS"] == 4  # Millimetres.
    return document


def sides(document: Any, layer: str = "OUTLINES") -> list[tuple[float, float]]:
    """The sides of every rectangle of a layer, the shorter first, in mm."""
    found = []
    for outline in document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]'):
        corners = [(x, y) for x, y, *_ in outline.get_points()]
        if len(corners) == 4 and outline.closed:
            first, second = dist(*corners[:2]), dist(*corners[1:3])
            found.append((min(first, second), max(first, second)))
    return found


def test_shapes_keep_their_millimetres_and_stand_upright() -> None:
    shapes = (
        Polygon(rectangle(10, 20, 300, 200)),
        Line(((0, 0), (30, 40)), "thin"),
        Arc((100, 100), 50),
        Arc((100, 100), 40, 0, 90),
        Text((10, 18), "Bottom", "middle"),
        Dimension((10, 220), (310, 220), aside=20),
    )
    space = read(dxf([Drawing("A", "a", 400, shapes, 500)])).modelspace()
    (outline,) = space.query('LWPOLYLINE[layer=="OUTLINES"]')
    assert [point[:2] for point in outline.get_points()] == [(10, -20), (310, -20), (310, -220), (10, -220)]
    (circle,), (arc,) = space.query("CIRCLE"), space.query("ARC")
    assert circle.dxf.radius == 50
    assert arc.end_point.isclose((140, -100))  # 0 points right, then down: the lower right quarter.
    assert arc.start_point.isclose((100, -140))
    (size,) = space.query("DIMENSION")
    assert size.get_measurement() == pytest.approx(300)


@pytest.mark.parametrize("shape", ["box", "wedge", "well"])
def test_boards_and_sheets_read_back_with_the_lengths_of_the_cut_list(shape: str) -> None:
    inputs = dict(find_calculator("box-volume").example) | {"shape": shape}
    inputs |= {"wedge": {"top_depth": 0.2}, "well": {"diameter": 0.56, "bottom_diameter": 0.52}}.get(
        shape, {}
    )
    inputs |= {"braces": [], "height": 0.16} if shape == "well" else {}
    outcome = run_values(find_calculator("box-volume"), inputs)
    assert not outcome.errors
    assert all(map(is_to_scale, outcome.drawings))
    document = read(dxf(outcome.drawings))
    found = sides(document)
    for part in outcome.result.parts:
        wanted = pytest.approx((1000 * part.width, 1000 * part.length), abs=1e-6)
        assert sum(wanted == pair for pair in found) >= part.pieces, part.name
    assert sum(pytest.approx((1250, 2500)) == pair or pytest.approx((1230, 2480)) == pair for pair in found)


def test_the_command_line_writes_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "box.dxf"
    assert main(["box-volume", "--out", str(path)]) == 0
    assert sides(read(path.read_text(encoding="utf-8")))
    assert main(["delay", "--out", str(tmp_path / "delay.dxf")]) == 2
    assert "no drawing to scale" in capsys.readouterr().err
