"""Charts: a well-formed picture with the numbers behind it."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Axis, Band, Chart, OutputChart, Series
from calculators.presenting.charts import (
    HEIGHT,
    LEFT,
    PLOT_HEIGHT,
    PLOT_WIDTH,
    TOP,
    WIDTH,
    across,
    chart,
    minor_lines,
    ticks,
)
from calculators.stages import every_calculator
from tests.examples import example_outcome

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
    and calculator.slug not in {"tune", "guided-tune"}
    and (calculator.slug, output.name) != ("crossover", "phase_chart")
]
"""Of those that the examples draw; those of the tune and of a measured join draw none: their charts are in
their own tests.
"""


@pytest.mark.parametrize(
    ("calculator", "name"), CHARTS, ids=[f"{calculator.slug}-{name}" for calculator, name in CHARTS]
)
def test_charts_of_the_calculators(calculator, name) -> None:  # type: ignore[no-untyped-def]
    declared = getattr(example_outcome(calculator).result, name)
    root = drawn(declared)
    for element in root.iter():
        assert "style" not in element.attrib  # The security policy refuses it.
        assert not [key for key in element.attrib if key.startswith("on")]
    rows = table_of(root)[1:]
    assert len(rows) == len(declared.table_at or declared.at)
    assert all(len(row) == 1 + len(declared.series) for row in rows)
    assert all(len(series.values) == len(declared.at) for series in declared.series)
    assert list(root.iter("polyline"))


def points(declared: Chart, number: int = 1) -> list[list[tuple[float, float]]]:
    """Runs of one series as drawn, as places in the picture."""
    shown = [
        line for line in drawn(declared).iter("polyline") if f"dc-line-{number}" in line.get("class", "")
    ]
    return [
        [
            (float(across), float(down))
            for across, down in (point.split(",") for point in line.get("points", "").split())
        ]
        for line in shown
    ]


def test_a_line_ends_where_it_leaves_the_frame() -> None:
    """Drawn along the edge it would seem to stand there: a low-pass at -72 dB looked like -48."""
    fall = Chart(
        "Fall",
        Axis("Frequency", "Hz", 10, 1000, "logarithmic"),
        Axis("Level", "dB", -40, 0),
        (10.0, 100.0, 1000.0),
        (Series("Low", (0.0, -80.0, -160.0)),),
    )
    (run,) = points(fall)
    half_a_decade = LEFT + PLOT_WIDTH / 4
    assert run == [(LEFT, TOP), (pytest.approx(half_a_decade, abs=0.05), TOP + PLOT_HEIGHT)]


def test_a_point_half_way_between_two_tenths_lies_the_same_side_whatever_its_last_digit() -> None:
    """Another mathematics library gives another last digit: the page's chart must equal the live one."""
    half = 10 * (PLOT_HEIGHT - 40.05) / PLOT_HEIGHT
    told = {
        points(
            Chart(
                "Level",
                Axis("Place", "m", 0, PLOT_WIDTH),
                Axis("Level", "dB", 0, 10),
                (1.05 * (1 + digit), 100.0),
                (Series("Level", (half * (1 + digit), 5.0)),),
            )
        )[0][0]
        for digit in (-1e-15, 0.0, 1e-15)
    }
    assert len(told) == 1


def test_a_line_that_comes_back_into_the_frame_is_drawn_in_two_runs() -> None:
    dip = Chart(
        "Dip",
        Axis("Place", "m", 0, 4),
        Axis("Level", "dB", -10, 10),
        (0.0, 1.0, 2.0, 3.0, 4.0),
        (Series("Dip", (0.0, 0.0, -20.0, 0.0, 30.0)),),
    )
    runs = points(dip)
    assert [len(run) for run in runs] == [3, 3]
    bottom = TOP + PLOT_HEIGHT
    assert [runs[0][-1][1], runs[1][0][1], runs[1][-1][1]] == [bottom, bottom, TOP]


def test_the_line_that_matters_and_the_limits_are_marked_as_such() -> None:
    values = (0.0,) * 5
    target = Chart(
        "Target",
        PLAIN.x,
        PLAIN.y,
        AT,
        (
            Series("Target", values, "main"),
            Series("Above", values, "limit"),
            Series("Below", values, "limit"),
        ),
    )
    classes = [line.get("class") for line in drawn(target).iter("polyline")]
    assert classes == ["dc-line dc-line-main", "dc-line dc-line-limit", "dc-line dc-line-limit"]


@pytest.mark.parametrize(("low", "high", "labelled"), [(20, 20e3, 50), (20, 320, 80), (750, 12e3, 3000)])
def test_round_frequencies_can_be_found_by_a_line(low: float, high: float, labelled: float) -> None:
    axis = Axis("Frequency", "Hz", low, high, "logarithmic")
    assert any(mark == pytest.approx(labelled) for mark in ticks(axis))
    assert 7 <= len(ticks(axis)) <= 10
    for mark in (80, 300, 700, 3000):
        if low <= mark <= high:
            assert f"M{across(axis, mark):.1f} " in minor_lines(axis)


def test_reading_off_starts_where_the_chart_says() -> None:
    declared = Chart(PLAIN.title, PLAIN.x, PLAIN.y, AT, PLAIN.series, table_at=AT[1:], read_at=900.0)
    field = next(drawn(declared).iter("doorcard-read-off"))
    assert field.get("data-start") == "1"
    assert len(table_of(drawn(declared))) == 5


def test_a_level_that_means_nothing_is_not_given_as_a_number() -> None:
    y = Axis("Level", "dB", -48, 12, lowest=-60)
    declared = Chart("Null", PLAIN.x, y, AT, (Series("Sum", (0.0, -200.0, -59.9, 1.0, -60.1)),))
    assert [row[1] for row in table_of(drawn(declared))[1:]] == [
        "0.0",
        "below −60",
        "−59.9",
        "1.0",
        "below −60",
    ]
