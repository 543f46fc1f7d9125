"""No number that is none leaves a calculator, whatever part of its answer it stands in."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from math import inf, nan
from typing import Annotated, Any

import numpy as np
import pytest

from calculators import browser
from calculators.declaring import (
    Advice,
    Axis,
    Band,
    Calculator,
    Chart,
    Curve,
    Drawing,
    Kept,
    Made,
    Number,
    Output,
    OutputBrief,
    OutputChart,
    OutputCurve,
    OutputDrawing,
    OutputFile,
    OutputPaper,
    OutputRows,
    OutputSound,
    OutputText,
    Series,
    Text,
    run_typed,
)
from calculators.declaring.drawings import Arc, Dimension, Line, Moving, Pose
from calculators.declaring.finite import first_without_number
from calculators.declaring.listening import Listening, Take
from calculators.declaring.money import Money
from calculators.declaring.outputs import OutputFlag, OutputKind, OutputList, OutputMoney
from calculators.declaring.quantities import LENGTH
from calculators.physics import wav

AXIS = Axis("Level", "dB", 0.0, 1.0)
CHART = Chart(
    "Level", AXIS, AXIS, (0.0, 1.0), (Series("a", (0.0, None)),), (Band("b", 0.0, 1.0),), (0.0,), 0.0
)
DRAWING = Drawing("A board", "Four sides.", 100.0, (Line(((0.0, 0.0), (1.0, 1.0))),))
CURVE = Curve((20.0, 30.0), (0.0, 1.0), (0.0, 1.0), 0.001)
NOTHING = Made("a.bin", "application/octet-stream", 0, lambda: iter(()))
SOUND = Listening((Take("a", "", DRAWING, NOTHING),))


@dataclass(frozen=True)
class Row:
    """A line of a table."""

    name: Annotated[str, OutputText("Name")]
    size: Annotated[float | None, Output("Size", LENGTH)]


@dataclass(frozen=True)
class All:
    """One output of every kind."""

    number: Annotated[float | None, Output("A number", LENGTH)] = 1.0
    text: Annotated[str, OutputText("A text", brief="short")] = (
        "information: nanometres, infinite, an inferior Nan"
    )
    short: Annotated[str, OutputBrief("In short")] = "one"
    money: Annotated[Money | None, OutputMoney("An amount")] = None
    flag: Annotated[bool, OutputFlag("A flag")] = True
    list: Annotated[tuple[float, ...], OutputList("A list", LENGTH)] = (1.0, 0.0)
    rows: Annotated[tuple[Row, ...], OutputRows("A table")] = (Row("a", None),)
    curve: Annotated[Curve | None, OutputCurve("A curve")] = CURVE
    chart: Annotated[Chart, OutputChart("A chart")] = CHART
    drawing: Annotated[Drawing, OutputDrawing("A drawing")] = DRAWING
    paper: Annotated[tuple[Drawing, ...], OutputPaper("A sheet")] = (DRAWING,)
    file: Annotated[Made | None, OutputFile("A file")] = NOTHING
    sound: Annotated[Listening, OutputSound("A sound")] = SOUND
    advice: tuple[Advice, ...] = ()


LABELS = {
    "number": "A number", "text": "A text", "short": "In short", "money": "An amount", "flag": "A flag",
    "list": "A list", "rows": "A table", "curve": "A curve", "chart": "A chart", "drawing": "A drawing",
    "paper": "A sheet", "file": "A file", "sound": "A sound", "advice": "A note",
}  # fmt: skip


def shapes(*made: Any) -> dict[str, Drawing]:
    return {"drawing": replace(DRAWING, shapes=made)}


def file_of(media_type: str, words: str) -> Made:
    return Made.whole("a", media_type, words.encode())


PLANTED: list[Callable[[float], dict[str, Any]]] = [
    lambda bad: {"number": bad},
    lambda bad: {"number": np.float64(bad)},
    lambda bad: {"number": np.float32(bad)},
    lambda bad: {"number": np.longdouble(bad)},
    lambda bad: {"number": complex(1.0, bad)},
    lambda bad: {"number": complex(bad, 1.0)},
    lambda bad: {"number": np.complex64(bad)},
    lambda bad: {"text": f"{bad:.2f} mm of board"},
    lambda bad: {"text": f"a board of {-bad:g}"},
    lambda bad: {"short": f"{bad:.1f} mm"},
    lambda bad: {"money": Money(f"{bad}", "1.00")},
    lambda bad: {"money": Money("1.00", f"{bad} of money")},
    lambda bad: {"flag": bad},
    lambda bad: {"list": (1.0, bad)},
    lambda bad: {"list": (np.float64(bad), 1.0)},
    lambda bad: {"list": (np.float32(bad), 1.0)},
    lambda bad: {"list": np.array([[1.0, 2.0], [3.0, bad]])},
    lambda bad: {"list": np.array(bad)},
    lambda bad: {"list": frozenset({1.0, bad})},
    lambda bad: {"list": {"a": (1.0, bad)}},
    lambda bad: {"list": {bad: 1.0}},
    lambda bad: {"rows": (Row("a", 1.0), Row("b", bad))},
    lambda bad: {"rows": (Row(f"{bad} mm", 1.0),)},
    lambda bad: {"curve": replace(CURVE, frequency=(20.0, bad))},
    lambda bad: {"curve": replace(CURVE, level=(bad, 0.0))},
    lambda bad: {"curve": replace(CURVE, phase=(0.0, bad))},
    lambda bad: {"curve": replace(CURVE, arrival=bad)},
    lambda bad: {"chart": replace(CHART, at=(0.0, bad))},
    lambda bad: {"chart": replace(CHART, series=(Series("a", (None, bad)),))},
    lambda bad: {"chart": replace(CHART, y=replace(AXIS, high=bad))},
    lambda bad: {"chart": replace(CHART, bands=(Band("b", bad, 1.0),))},
    lambda bad: {"chart": replace(CHART, table_at=(bad,))},
    lambda bad: {"chart": replace(CHART, read_at=bad)},
    lambda bad: {"drawing": replace(DRAWING, height=bad)},
    lambda bad: {"drawing": replace(DRAWING, spoken=f"A board of {bad:.0f} mm.")},
    lambda bad: shapes(Line(((0.0, 0.0), (bad, 1.0)))),
    lambda bad: shapes(Arc((0.0, 0.0), bad)),
    lambda bad: shapes(Dimension((0.0, 0.0), (1.0, 1.0), words=f"{bad:.0f} mm")),
    lambda bad: shapes(Moving((Arc((0.0, 0.0), 1.0),), (Pose(0.0, (bad, 0.0)),), 1.0)),
    lambda bad: {"paper": (DRAWING, replace(DRAWING, width=bad))},
    lambda bad: {"file": file_of("text/csv", f"1,{bad}\r\n")},
    lambda bad: {"file": file_of("text/csv; charset=utf-8", f"1,{bad}\r\n")},
    lambda bad: {"file": file_of("image/svg+xml", f'<circle r="{bad}"/>')},
    lambda bad: {"file": file_of("application/json", '{"a": NaN}' if bad != bad else '{"a": -Infinity}')},
    lambda bad: {"file": replace(NOTHING, holds=(NOTHING, file_of("text/plain", f"{bad}")))},
    lambda bad: {"sound": Listening((Take("a", f"{bad:.1f} dB softer", DRAWING, NOTHING),))},
    lambda bad: {"sound": Listening((Take("a", "", replace(DRAWING, height=bad), NOTHING),))},
    lambda bad: {"advice": (Advice("length", f"It is {bad:.0f} mm too long."),)},
]  # fmt: skip


def calculator_of(result: All) -> Calculator:
    def board(
        length: Annotated[float, Number("Length", LENGTH, 0, 1)], name: Annotated[str, Text("Name")] = ""
    ) -> All:
        """A board."""
        return result

    return Calculator(board, "Board", (), (), (), {"length": 1})


def test_every_kind_of_output_is_planted_in() -> None:
    kinds = {type(output.kind) for output in calculator_of(All()).outputs}
    known = OutputKind.__subclasses__()
    assert kinds == {*known, *(deeper for each in known for deeper in each.__subclasses__())}
    assert {name for plant in PLANTED for name in plant(nan)} == LABELS.keys()


class Side(Enum):
    """A word of a program's own."""

    LEFT = 1


@pytest.mark.parametrize(
    "sound",
    [
        np.float32(1),
        np.int64(1),
        np.bool_(False),
        np.array([1.0, 2.0]),
        1j,
        {"a": 1.0},
        {1.0},
        Side.LEFT,
        Side,
        sum,
    ],
)
def test_what_holds_only_numbers_is_sound(sound: Any) -> None:
    assert first_without_number(All(number=sound), {}) is None


def test_an_answer_without_any_stands() -> None:
    assert run_typed(calculator_of(All()), {"length": "1 m"}).errors == ()


@pytest.mark.parametrize("bad", [nan, inf, -inf])
@pytest.mark.parametrize("plant", PLANTED)
def test_an_answer_with_one_is_refused_in_words(plant: Callable[[float], dict[str, Any]], bad: float) -> None:
    planted = plant(bad)
    outcome = run_typed(calculator_of(All(**planted)), {"length": "1 m"})
    assert outcome.result is None
    (error,) = outcome.errors
    assert error.field == "length"
    assert error.message.startswith(f"“{LABELS[next(iter(planted))]}” comes out as no number, so nothing")
    data = browser.reply({"want": ["html", "answer"]}, outcome, [])
    assert "comes out as no number" in data
    assert '"answer": null' in data


def test_words_of_the_readers_own_are_not_judged() -> None:
    """Somebody calls a board so; a number beside it is still judged."""
    board = calculator_of(All(text="nan: 1 m"))
    assert run_typed(board, {"length": "1 m", "name": "nan"}).errors == ()
    assert [error.field for error in run_typed(board, {"length": "1 m", "name": "na"}).errors] == ["length"]
    worse = calculator_of(All(text="nan: 1 m", number=nan))
    assert "“A number”" in run_typed(worse, {"length": "1 m", "name": "nan"}).errors[0].message
    listed = b"2 m\nnan; 1 m\n"
    file = Kept("a", "a.txt", len(listed), lambda start, count: listed[start : start + count])
    assert first_without_number(All(text="nan: 1 m"), {"file": file}) is None
    assert first_without_number(All(text="nan: 1 m"), {"file": replace(file, size=4)}) == "text"


def test_a_calculator_without_inputs_is_refused_too() -> None:
    def board() -> All:
        """A board."""
        return All(number=nan)

    assert [error.field for error in run_typed(Calculator(board, "Board", (), (), (), {}), {}).errors] == [""]


@pytest.mark.parametrize("bad", [nan, inf, -inf])
@pytest.mark.parametrize(("bits", "floating"), [(16, False), (24, False), (32, True)])
def test_no_sound_is_written_with_a_sample_that_is_no_number(bad: float, bits: int, floating: bool) -> None:
    with pytest.raises(ValueError, match="no number"):
        wav.encoded(np.array([[0.0], [bad]]), bits, floating)
