"""Charts: a well-formed picture with the numbers behind it."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Axis, Band, Chart, OutputChart, Series, run_values
from calculators.presenting.charts import HEIGHT, WIDTH, chart
from calculators.stages import every_calculator

AT = (20.0, 100.0, 1000.0, 5000.0, 20000.0)
PLAIN = Chart(
    "Response <of> the & shelf",
    Axis("Frequency", "Hz", 20, 20000, "logarithmic"),
    Axis("Level", "dB", -48, 12, decimals=2),
    AT,
    (Series("As it is", (-3.0, -80.0, None, 6.125, 40.0)), Series('"Wanted"', (0.0,) * 5)),
    (Band("Overlap", 80, 200), Band("Too loud", 6, 12, "y")),
)


def drawn(declared: Chart) -> ElementTree.Element:
    return ElementTree.fromstring(chart(declared))


def table_of(root: ElementTree.Element) -> list[list[str]]:
    return [["".join(cell.itertext()) for cell in row] for row in root.iter("tr")]


def test_the_table_holds_what_the_lines_show() -> None:
    assert table_of(drawn(PLAIN)) == [
        ["Frequency, Hz", "As it is, dB", '"Wanted", dB'],
        ["20", "−3.00", "0.00"],
        ["100", "−80.00", "0.00"],
        ["1000", "", "0.00"],
        ["5000", "6.12", "0.00"],
        ["20000", "40.00", "0.00"],
    ]


def test_a_missing_value_breaks_the_line() -> None:
    lines = [line for line in drawn(PLAIN).iter("polyline") if "dc-line-1" in line.get("class", "")]
    assert [len(line.get("points", "").split()) for line in lines] == [2, 2]


def test_the_picture_has_a_name_and_a_legend() -> None:
    root = drawn(PLAIN)
    picture = next(root.iter("svg"))
    assert picture.get("role") == "img"
    assert "Response <of> the & shelf" in picture.get("aria-label", "")
    assert [item.text for item in root.iter("li")] == ["As it is", '"Wanted"', "Overlap", "Too loud"]


@given(
    st.lists(st.none() | st.floats(-1e9, 1e9), min_size=5, max_size=5),
    st.sampled_from(["linear", "logarithmic"]),
    st.floats(-1e6, 1e6),
    st.floats(1e-3, 1e6),
    st.text(),
)
def test_any_chart_stays_in_its_frame(
    values: list[float | None], scale: str, low: float, span: float, label: str
) -> None:
    x = Axis("Place", "m", 1, 30000, scale)  # type: ignore[arg-type]
    root = drawn(Chart(label, x, Axis(label, "dB", low, low + span), AT, (Series(label, tuple(values)),)))
    for line in root.iter("polyline"):
        for point in line.get("points", "").split():
            left, top = map(float, point.split(","))
            assert 0 <= left <= WIDTH
            assert 0 <= top <= HEIGHT


CHARTS = [
    (calculator, output.name)
    for calculator in every_calculator()
    for output in calculator.outputs
    if isinstance(output.kind, OutputChart)
]


@pytest.mark.parametrize(
    ("calculator", "name"), CHARTS, ids=[f"{calculator.slug}-{name}" for calculator, name in CHARTS]
)
def test_charts_of_the_calculators(calculator, name) -> None:  # type: ignore[no-untyped-def]
    declared = getattr(run_values(calculator, calculator.example).result, name)
    root = drawn(declared)
    for element in root.iter():
        assert "style" not in element.attrib  # The security policy refuses it.
        assert not [key for key in element.attrib if key.startswith("on")]
    rows = table_of(root)[1:]
    assert len(rows) == len(range(0, len(declared.at), declared.table_every))
    assert all(len(row) == 1 + len(declared.series) for row in rows)
    assert all(len(series.values) == len(declared.at) for series in declared.series)
    assert list(root.iter("polyline"))
