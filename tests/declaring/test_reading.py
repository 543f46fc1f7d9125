"""What a person may type, and what is asked back (the conventions of the calculators' contract)."""

import re
from contextlib import suppress
from dataclasses import dataclass
from decimal import Decimal
from math import inf, nan
from typing import Annotated, Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from calculators.declaring import (
    Bands,
    Calculator,
    Choice,
    Curve,
    CurveText,
    Flag,
    InputError,
    Number,
    Output,
    Rows,
    Text,
)
from calculators.declaring.curve_reading import read_curve
from calculators.declaring.numerals import figures
from calculators.declaring.quantities import COUNT, LENGTH, LEVEL, RATIO, TEMPERATURE
from calculators.declaring.reading import read_typed, read_values

WIDE = Number("Number", LEVEL, -1e6, 1e6)
SHELF = Number("Shelf depth", LENGTH, 0.05, 10, show="cm", usual=(0.2, 4), units=("m", "in"))
AIR = Number("Air", TEMPERATURE, -40, 60, units=("°F",))
SHARE = Number("Share", RATIO, 0, 1, show="%")
LAYERS = Number("Layers", COUNT, 1, 9, whole=True)
LOAD = Number("Load", LEVEL, 0, 99, optional=True, empty="none")
SIZE = Number("Size", LENGTH, 1, 4, options=(("small", 1.0), ("4 m²", 4.0)))


@dataclass(frozen=True)
class Shelf:
    """One shelf."""

    name: Annotated[str, Text("Name", longest=10)]
    depth: Annotated[float, SHELF]
    layers: Annotated[int, LAYERS] = 1


@dataclass(frozen=True)
class Result:
    """What it comes to."""

    total: Annotated[float, Output("Total", LENGTH)]


def bookcase(
    shelves: Annotated[tuple[Shelf, ...], Rows("Shelves", "shelf", at_least=1, at_most=3)],
    air: Annotated[float, AIR],
    load: Annotated[float | None, LOAD] = None,
    size: Annotated[float, SIZE] = 1.0,
    wood: Annotated[str, Choice("Wood", {"oak": "Oak", "red-pine": "Red pine"})] = "oak",
    doors: Annotated[bool, Flag("Doors")] = False,
    steps: Annotated[tuple[float, ...], Bands("Steps", LEVEL, -12, 12)] = (0.0,) * 31,
    curve: Annotated[Curve | None, CurveText("Curve", optional=True)] = None,
) -> Result:
    """A calculator with every kind of input."""
    return Result(sum(shelf.depth for shelf in shelves))


BOOKCASE = Calculator(bookcase, "Bookcase", (), (), (), {})
FORM = {"shelves[0].name": "top", "shelves[0].depth": "30", "air": "20"}
VALUES: dict[str, Any] = {"shelves": [{"name": "top", "depth": 0.3}], "air": 20}
POINTS = {"frequency": [20, 50, 100, 500, 1000], "level": [0, 1, 2, 3, 4]}


def typed_errors(**fields: str) -> dict[str, str]:
    form = {name.replace("__", ":"): text for name, text in fields.items()}
    return {error.field: error.message for error in read_typed(BOOKCASE, FORM | form).errors}


def value_errors(**values: Any) -> dict[str, str]:
    return {error.field: error.message for error in read_values(BOOKCASE, VALUES | values).errors}


@pytest.mark.parametrize(("text", "value"), [
    ("12.5", 12.5), ("12,5", 12.5), ("0,05", 0.05), (",5", 0.5), (".5", 0.5), ("12,", 12), ("12.", 12),
    ("3", 3), ("+3", 3), ("-3", -3), ("−3", -3), ("–3", -3), ("−3,5", -3.5), ("  7  ", 7), ("007", 7),
    ("1 200", 1200), ("1\u00a0200", 1200), ("1\u202f200", 1200), ("1\u2009200,5", 1200.5),
    ("12 345 678", None), ("٣", 3),
    ("1 000 000", 1e6), ("1e3", 1000), ("1E-2", 0.01), ("2.5e+2", 250), ("1.2000", 1.2), ("0,200", 0.2),
    ("0.200", 0.2), ("1200.000", 1200), ("３０", 30), ("１２．５", 12.5), ("٣٫٥", 3.5), ("－3", -3),
    ("1e-20", 0),
    ("12dB", 12), ("12 dB", 12), ("12 db", 12), ("1,2345", 1.2345), ("1234,567", 1234.567),
])  # fmt: skip
def test_numbers_that_are_read(text: str, value: float | None) -> None:
    if value is None:
        with pytest.raises(InputError, match="must be between"):
            WIDE.read_number("field", text)
    else:
        assert WIDE.read_number("field", text) == value


@pytest.mark.parametrize(("text", "inches"), [
    ("41 1/2", 41.5), ('34 1/2"', 34.5), ("5/8 in", 0.625), ("2'10\"", 34),
    ("2′ 10-1/4″", 34.25), ("34\"", 34),
])  # fmt: skip
def test_inches_are_read_as_a_tape_prints_them(text: str, inches: float) -> None:
    tape = Number("Distance", LENGTH, 0, 10, "in")
    assert tape.read_number("field", text) == pytest.approx(inches * 0.0254, abs=1e-12)


@pytest.mark.parametrize("text", ["41 1/0", "1/2/3", "41 1/2 cm", "9" * 5000 + " 1/2"])
def test_what_no_tape_prints_is_asked_back(text: str) -> None:
    with pytest.raises(InputError):
        Number("Distance", LENGTH, 0, 10, "in").read_number("field", text)


@pytest.mark.parametrize(("text", "words"), [
    ("1,200", "can be read in two ways: type 1200 or 1.2."),
    ("1.200", "can be read in two ways: type 1200 or 1.2."),
    ("1,234", "can be read in two ways: type 1234 or 1.2340."),
    ("１,２００", "can be read in two ways: type 1200 or 1.2."),
    ("٣,٤٥٦", "can be read in two ways: type 3456 or 3.4560."),
    ("1,234.5", "without a thousands mark, like 1234.5."),
    ("12.345,6", "without a thousands mark, like 12345.6."),
    ("1.234,5", "without a thousands mark, like 1234.5."),
    ("12.345.678", "can be read in two ways: type 12345678"),
    ("1,2.5", "is not one number"),
    ("−1,200", "can be read in two ways"),
    ("12,345,678", "can be read in two ways: type 12345678"),
    ("1.200,5", "can be read in two ways"), ("1,200.5", "can be read in two ways"),
    ("", "Type a number for number"), ("   ", "Type a number"),
    ("twelve", "is not a number"), ("nan", "is not a number"), ("inf", "is not a number"),
    ("-inf", "is not a number"), ("Infinity", "is not a number"), ("--3", "is not a number"),
    ("1.2.3", "is not a number"), ("1 2", "is not one number"), ("12 34", "is not one number"),
    ("1e", "no unit of level"), ("0x10", "no unit of level"), ("12 V", "no unit of level: use dB"),
    ("5 m", "no unit of level"), ("1_000", "no unit of level"),
    ("1e400", "must be between"), ("-1e400", "must be between"),
    ("1e999999999999999999999", "is not a number"), ("1e1000000", "is not a number"),
    ("9" * 400, "must be between"), ("9" * 401, "is not a number"),
    ("½", "is not a number"), ("<b>", "is not a number"),
    ("x" * 500, "…” is not a number"), ("1\n2", "no unit of level"), ("\x00", "is not a number"),
])  # fmt: skip
def test_numbers_that_are_asked_back(text: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        WIDE.read_number("field", text)
    assert caught.value.field == "field"
    assert words in caught.value.message
    assert len(caught.value.message) < 200


MARKS = st.sampled_from([(",", "."), (".", ","), (" ", ","), (" ", "."), ("", "."), ("", ",")])


@given(st.decimals(-999_999, 999_999, places=3), st.integers(0, 3), MARKS)
def test_a_number_is_read_as_meant_or_what_is_proposed_is(
    meant: Decimal, places: int, marks: tuple[str, str]
) -> None:
    """However people part thousands and decimals: never another number without a word."""
    meant = round(meant, places)
    thousands, point = marks
    text = f"{meant:,.{places}f}".replace(",", "T").replace(".", point).replace("T", thousands)
    try:
        assert WIDE.read_number("field", text) == float(meant)
    except InputError as error:
        proposals = re.findall(r"-?\d+(?:\.\d+)?(?=\.$| or )", error.message)
        assert float(meant) in [WIDE.read_number("field", proposal) for proposal in proposals]


def test_a_point_is_the_decimal_point_where_thousands_are_out_of_range() -> None:
    assert SHELF.read_number("field", "12.125") == 0.12125
    with pytest.raises(InputError, match=r"type 1000 or 1\."):
        SHELF.read_number("field", "1.000")


@given(st.decimals("0.001", 999, places=3))
def test_what_a_form_writes_reads_back(value: Decimal) -> None:
    assert WIDE.read_number("field", WIDE.write_number(float(value))) == float(value)


@pytest.mark.parametrize(("kind", "text", "chosen", "value"), [
    (SHELF, "85", None, 0.85), (SHELF, "85", "cm", 0.85), (SHELF, "0,85", "m", 0.85),
    (SHELF, "850mm", None, 0.85), (SHELF, "850 mm", "in", 0.85), (SHELF, "10in", None, 0.254),
    (SHELF, '10"', None, 0.254), (SHELF, "10 inches", None, 0.254), (SHELF, "1'", None, 0.3048),
    (SHELF, "10", "in", 0.254), (AIR, "20", None, 20.0), (AIR, "68", "°F", 20.0), (AIR, "68°F", None, 20.0),
    (AIR, "68 F", None, 20.0), (AIR, "-40F", None, -40.0), (SHARE, "80", None, 0.8),
    (SHARE, "80%", None, 0.8),
    (SHARE, "12,5 %", None, 0.125), (LAYERS, "3", None, 3.0), (LAYERS, "3,0", None, 3.0),
    (LOAD, "", None, None), (LOAD, "  ", None, None), (SIZE, "small", None, 1.0), (SIZE, "4 m²", None, 4.0),
])  # fmt: skip
def test_units_options_and_empty_fields(
    kind: Number, text: str, chosen: str | None, value: float | None
) -> None:
    assert kind.read_number("field", text, chosen) == value


@pytest.mark.parametrize(("kind", "text", "chosen", "message"), [
    (SHELF, "4", None, "Shelf depth must be between 5 cm and 1000 cm."),
    (SHELF, "11", "m", "Shelf depth must be between 0.05 m and 10 m."),
    (SHELF, "1", "in", "Shelf depth must be between 1.969 in and 393.7 in."),
    (SHELF, "1mm", "m", "Shelf depth must be between 50 mm and 10000 mm."),
    (AIR, "200", "°F", "Air must be between −40 °F and 140 °F."),
    (SHARE, "101", None, "Share must be between 0 % and 100 %."),
    (LAYERS, "2.5", None, "Layers must be a whole number."),
    (SHELF, "3", "parsec", "“parsec” is no unit of length."),
    (SHELF, "3 parsec", None, "“parsec” is no unit of length: use m, cm, mm, in, ft."),
    (LAYERS, "3 kg", None, "“kg” is no unit of count: type the number alone."),
])  # fmt: skip
def test_messages_say_what_to_do_in_the_unit_typed(
    kind: Number, text: str, chosen: str | None, message: str
) -> None:
    with pytest.raises(InputError) as caught:
        kind.read_number("field", text, chosen)
    assert caught.value.message == message


@given(st.text())
@example("1" * 5000 + "e" + "9" * 5000)
@example("1,,2")
@example(",")
def test_any_text_is_a_number_in_range_or_an_error(text: str) -> None:
    value: float | None = 0.0
    with suppress(InputError):
        value = WIDE.read_number("field", text)
    assert value is not None
    assert WIDE.low <= value <= WIDE.high


@given(st.floats(-1e6, 1e6), st.sampled_from([".", ","]))
def test_a_number_printed_is_read_back(value: float, point: str) -> None:
    digits = f"{value:.4f}".replace(".", point)
    assert WIDE.read_number("field", digits) == float(f"{value:.4f}")


def test_a_form_becomes_arguments() -> None:
    form = FORM | {
        "shelves[].depth:unit": "m", "shelves[0].depth": "0.4",
        "shelves[1].name": " low ", "shelves[1].depth": "30cm", "shelves[1].layers": "2",
        "air": "68", "air:unit": "°F", "load": "", "size": "4 m²", "wood": "red-pine", "doors": "yes",
        "curve": "Hz dB\n20 0\n50 1\n100 2\n500 3\n1000 4",
        **{f"steps[{index}]": str(index - 15) for index in range(3, 28)},
        **{f"steps[{index}]": "0" for index in (0, 1, 2, 28, 29, 30)},
    }  # fmt: skip
    reading = read_typed(BOOKCASE, form)
    assert reading.errors == ()
    assert reading.arguments["shelves"] == (Shelf("top", 0.4), Shelf("low", 0.3, 2))
    assert reading.arguments["air"] == 20.0
    assert reading.arguments["load"] is None
    assert reading.arguments["size"] == 4.0
    assert reading.arguments["wood"] == "red-pine"
    assert reading.arguments["doors"] is True
    assert reading.arguments["steps"][27] == 12.0
    assert reading.arguments["curve"] == Curve((20, 50, 100, 500, 1000), (0, 1, 2, 3, 4))


def test_values_become_the_same_arguments() -> None:
    shelves = [{"name": "top", "depth": 0.4}, {"name": "low", "depth": 0.3, "layers": 2}]
    values = {
        "shelves": shelves, "air": 20, "load": None, "size": 4, "wood": "red-pine", "doors": True,
        "steps": list(range(-12, 13)) + [0] * 6, "curve": POINTS | {"phase": [0] * 5},
    }  # fmt: skip
    reading = read_values(BOOKCASE, values)
    assert reading.errors == ()
    assert reading.arguments["shelves"] == (Shelf("top", 0.4), Shelf("low", 0.3, 2))
    assert reading.arguments["steps"][24] == 12.0
    assert reading.arguments["curve"].phase == (0.0,) * 5


def test_defaults_are_left_to_the_function() -> None:
    assert set(read_typed(BOOKCASE, FORM).arguments) == {"shelves", "air"}
    assert read_values(BOOKCASE, VALUES).errors == ()


@pytest.mark.parametrize(("field", "text", "words"), [
    ("air", "", "Type a number for air."), ("air", "hot", "is not a number"),
    ("air", "61", "−40 °C and 60 °C"),
    ("shelves[0].depth", "", "Type a number for shelf depth."),
    ("shelves[0].depth", "2", "between 5 cm and 1000 cm"), ("shelves[0].layers", "1.5", "whole number"),
    ("shelves[0].name", "x" * 11, "10 letters at most"), ("size", "5", "one of: small, 4 m²"),
    ("wood", "Oak", "one of: oak, red-pine"), ("wood", "", "one of"), ("doors", "perhaps", "type yes or no"),
    ("steps[4]", "13", "between"), ("curve", "20 0", "at least 5 points"), ("curve", "none", "No line holds"),
    ("nonsense", "1", "no such input"), ("shelves[0].height", "1", "no such input"),
    ("laod", "1", "There is no such input."), ("wodo", "1", "no such input. Nearest by name: wood, doors."),
    ("shelves[0].lairs", "1", "no such input. Nearest by name: layers."),
    ("shelves[0]", "1", "no such input"), ("air[0]", "1", ""),
    ("speakers[0].name", "x", "no such input"), ("shelves[x].name", "x", "no such input"),
    ("shelves[07].name", "x", "no such input"), ("shelves[0٣].name", "x", "no such input"),
    ("shelves[1].name\n", "x", "no such input"), ("shelves[0].", "x", "no such input"),
    ("air:unit", "parsec", "no unit of temperature"), ("wood:unit", "m", "no such input"),
    ("shelves[0].depth:unit", "m", "no such input"), ("shelves[].name:unit", "m", "no such input"),
    ("height:unit", "m", "no such input"), (":unit", "m", "no such input"),
    ("shelves[2].name", "x", "Shelves: number 2 is missing."),
    ("shelves[9999].name", "x", "missing"), ("shelves[" + "9" * 5000 + "].name", "x", "no such input"),
])  # fmt: skip
def test_an_error_stands_at_its_field(field: str, text: str, words: str) -> None:
    bands = {f"steps[{index}]": "0" for index in range(31)} if field.startswith("steps") else {}
    errors = typed_errors(**bands | {field: text})
    places = {field, "shelves[1].depth", field.partition("[")[0], field.removesuffix(":unit")}
    at = [name for name in errors if name in places]
    assert at, errors
    assert words in " ".join(errors.values())


def test_bands_do_not_close_up_over_a_gap() -> None:
    """Thirty-one numbers with the sixth left out and one too many stand at other bands."""
    bands = {f"steps[{index}]": "0" for index in range(32) if index != 5}
    assert typed_errors(**bands) == {"steps": "Steps: number 6 is missing."}


def test_an_unknown_column_is_named_as_it_was_given() -> None:
    errors = value_errors(shelves=[{"name": "a", "depth": 1, "depth.": 2}])
    assert errors == {"shelves[0].depth.": "There is no such input."}


def test_all_errors_are_told_at_once() -> None:
    errors = typed_errors(**{"air": "61", "shelves[0].depth": "x", "wood": "ash"})
    assert list(errors) == ["shelves[0].depth", "air", "wood"]


def test_a_missing_input_is_named() -> None:
    assert [error.field for error in read_typed(BOOKCASE, {}).errors] == ["shelves", "air"]
    assert [error.field for error in read_values(BOOKCASE, {}).errors] == ["shelves", "air"]
    assert value_errors(shelves=[{"name": "a"}]) == {"shelves[0].depth": "Shelf depth is missing."}


@pytest.mark.parametrize(("count", "fine"), [(0, False), (1, True), (3, True), (4, False)])
def test_rows_are_counted(count: int, fine: bool) -> None:
    errors = value_errors(shelves=[{"name": "a", "depth": 1}] * count)
    assert errors == ({} if fine else {"shelves": "Shelves: give 1 to 3."})


@pytest.mark.parametrize("wrong", [nan, inf, -inf, 1e308, 10**400, "20", None, True, [], {}, [20]])
def test_values_that_are_no_number_in_range(wrong: Any) -> None:
    assert list(value_errors(air=wrong)) == ["air"]
    assert list(value_errors(shelves=[{"name": "a", "depth": wrong}])) == ["shelves[0].depth"]
    assert list(value_errors(steps=[wrong] + [0] * 30)) == ["steps[0]"]


@pytest.mark.parametrize(("name", "wrong"), [
    ("shelves", 1), ("shelves", "ab"), ("shelves", [1]), ("shelves", {}), ("shelves", None),
    ("wood", 1), ("wood", None), ("wood", ["oak"]), ("doors", "yes"), ("doors", 1), ("doors", None),
    ("steps", []), ("steps", [0] * 30), ("steps", [0] * 32), ("steps", 0), ("steps", None),
    ("steps", "0" * 31),
    ("curve", "20 0"), ("curve", []), ("curve", {"frequency": [1, 2, 3, 4, 5]}),
    ("curve", POINTS | {"level": [0, 1, 2]}), ("curve", POINTS | {"phase": [0]}),
    ("curve", POINTS | {"level": [0, 1, 2, 3, nan]}), ("curve", POINTS | {"level": [0, 1, 2, 3, "x"]}),
    ("curve", POINTS | {"level": "12345"}), ("curve", POINTS | {"level": [True, 1, 2, 3, 4]}),
    ("curve", POINTS | {"level": 3}), ("curve", POINTS | {"level": None}),
    ("curve", POINTS | {"frequency": [1, 2, 2, 3, 4]}), ("curve", POINTS | {"frequency": [0, 1, 2, 3, 4]}),
    ("curve", POINTS | {"frequency": [5, 4, 3, 2, 1]}), ("curve", POINTS | {"frequency": [1, 2, 3, 4, inf]}),
    ("curve", {"frequency": [], "level": []}), ("curve", POINTS | {"level": [10**400, 0, 0, 0, 0]}),
])  # fmt: skip
def test_values_of_the_wrong_shape(name: str, wrong: Any) -> None:
    assert list(value_errors(**{name: wrong})) == [name]


def test_a_unit_typed_in_a_box_of_another_is_told() -> None:
    """Who types "5.8 cm" where metres stand may have meant 5.8 m, or read the wrong line of the tape."""
    form = FORM | {"shelves[].depth:unit": "m", "shelves[0].depth": "25 cm", "air:unit": "°F", "air": "68"}
    told = [(entry.about, entry.message) for entry in read_typed(BOOKCASE, form).advice]
    assert told == [("shelves[0].depth", "Shelf depth: “25 cm” is read as 0.25 m.")]
    for typed in ("0.25", "0.25 m", "0.25 metres"):
        assert read_typed(BOOKCASE, form | {"shelves[0].depth": typed}).advice == ()


def test_a_note_speaks_the_unit_that_was_chosen() -> None:
    form = FORM | {"shelves[].depth:unit": "in", "shelves[0].depth": "160"}
    (note,) = read_typed(BOOKCASE, form).advice
    assert note.message == "Shelf depth is usually between 7.875 in and 157.4 in. Is this right?"


def test_a_note_stands_beside_an_unusual_number() -> None:
    note = "Shelf depth is usually between 20 cm and 400 cm. Is this right?"
    for reading in (
        read_typed(BOOKCASE, FORM | {"shelves[0].depth": "500"}),
        read_values(BOOKCASE, VALUES | {"shelves": [{"name": "a", "depth": 5}]}),
    ):
        assert reading.errors == ()
        assert [(entry.about, entry.message) for entry in reading.advice] == [("shelves[0].depth", note)]
    assert read_values(BOOKCASE, VALUES).advice == ()


@pytest.mark.parametrize("text", [
    "20 1.5\n50 -2\n100 3\n500 4\n1000 5",
    "20\t1.5\n50\t-2\n100\t3\n500\t4\n1000\t5",
    "20;1.5\n50;-2\n100;3\n500;4\n1000;5",
    "20,1.5\n50,-2\n100,3\n500,4\n1000,5",
    "20, 1.5\n50, -2\n100, 3\n500, 4\n1000, 5",
    "20,0; 1,5\n50,0; −2,0\n100; 3\n500; 4\n1000; 5",
    "20,0\t1,5\n50,0\t−2,0\n100\t3\n500\t4\n1000\t5",
    "* measured in the workshop\nFreq(Hz) SPL(dB)\n\n20 1.5\r\n50 -2\r\n100 3\n500 4\n1000 5\n\n",
    "\"Hz\",\"dB\"\n20,1.5\n50,-2\n100,3\n500,4\n1000,5",
    "\ufeff20 1.5\n50 -2\n100 3\n500 4\n1000 5",
    "2e1 1.5\n5.0e+01 -2\n1e2 3\n500 4\n1e3 5",
])  # fmt: skip
def test_curves_of_two_columns(text: str) -> None:
    assert read_curve("curve", text) == Curve((20, 50, 100, 500, 1000), (1.5, -2, 3, 4, 5))


@pytest.mark.parametrize("text", [
    "20 1 90\n50 2 -90\n100 3 0\n500 4 10\n1000 5 20",
    "20, 1, 90\n50, 2, -90\n100, 3, 0\n500, 4, 10\n1000, 5, 20",
    "20,1,90\n50,2,-90\n100,3,0\n500,4,10\n1000,5,20",
    "20;1;90\n50;2;-90\n100;3;0\n500;4;10\n1000;5;20",
])  # fmt: skip
def test_curves_of_three_columns(text: str) -> None:
    wanted = Curve((20, 50, 100, 500, 1000), (1, 2, 3, 4, 5), (90, -90, 0, 10, 20))
    assert read_curve("curve", text) == wanted


@pytest.mark.parametrize(("text", "words"), [
    ("", "No line"), ("Hz dB", "No line"), ("20", "No line"), ("20 1\n50 2 3", "same number of columns"),
    ("1 2\n" * 60_000, "too long"),
    ("1,000 80\n2,000 81\n3,000 82", "Line 1: “1,000” can be read in two ways: type 1000 or 1."),
    ("20 80\n1,250.5 81\n2000 82", "Line 2: .* without a thousands mark, like 1250.5"),
    ("1,000,80\n1,250,81\n1,600,82", "can be read in two ways: part the columns by semicolons"),
    ("1 000 80\n1 250 81\n1 600 82", "can be read in two ways: part the columns by semicolons"),
    ("20,5,80,5\n25,0,81,5", "can be read in two ways: part the columns by semicolons"),
    ("100;;5\n200;;6", "Line 1: a column is empty"),
    ("1_000 80\n2_000 81", "Line 1: “1_000” is not a number"),
    ("1.2.3 4\n5 6", "Line 1: “1.2.3” is not a number"),
])  # fmt: skip
def test_curves_that_are_asked_back(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_curve("curve", text)


def test_a_decimal_comma_in_one_line_is_one_in_all() -> None:
    text = "20,5 80,125\n50,25 81,000\n100 82,5\n500 83\n1000,000 84"
    assert read_curve("curve", text) == Curve((20.5, 50.25, 100, 500, 1000), (80.125, 81, 82.5, 83, 84))


def test_sound_levels_of_three_digits_are_columns() -> None:
    text = "20,100,90\n50,105,80\n100,98,70\n500,101,60\n1000,100,50"
    assert read_curve("curve", text).level == (100, 105, 98, 101, 100)


def test_a_curve_is_written_to_its_last_figure() -> None:
    curve = {"frequency": [20.0, 31.123456789, 1e15, 1e17, 1e22], "level": [-1 / 3, 0.0, 1e-9, 80.0, -120.5]}
    text = CurveText("Curve").write_text("c", curve)["c"]
    assert read_curve("c", text) == Curve(tuple(curve["frequency"]), tuple(curve["level"]))


@pytest.mark.parametrize("text", ["nan 1", "20 nan", "inf 1", "20 1e400"])
def test_curves_with_numbers_that_are_not_finite(text: str) -> None:
    lines = f"{text}\n50 2\n100 3\n500 4\n1000 5\n2000 6"
    reading = read_typed(BOOKCASE, FORM | {"curve": lines})
    curve = reading.arguments.get("curve")
    assert [error.field for error in reading.errors] == ["curve"] or len(curve.frequency) == 5


@given(st.dictionaries(st.text(), st.text(), max_size=8))
@example({"shelves[0].name[0]": "", ":unit": "", "shelves[].depth:unit": "x"})
def test_any_form_is_read_or_refused(form: dict[str, str]) -> None:
    reading = read_typed(BOOKCASE, FORM | form)
    assert {"shelves", "air"} <= set(reading.arguments) or reading.errors


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=5), inner, max_size=4),
    max_leaves=8,
)
NAMES = st.sampled_from([entry.name for entry in BOOKCASE.inputs])


@given(
    st.dictionaries(NAMES | st.text(), JSON | st.lists(st.fixed_dictionaries({"depth": JSON})), max_size=4)
)
def test_any_json_is_read_or_refused(values: dict[str, Any]) -> None:
    reading = read_values(BOOKCASE, VALUES | values)
    for error in reading.errors:
        assert error.message.endswith(".")
    assert set(VALUES) <= set(reading.arguments) or reading.errors


@pytest.mark.parametrize(("value", "count", "text"), [
    (20_000.0, 4, "20000"), (12_589.25, 4, "12590"), (63.0957, 4, "63.1"), (80.0, 4, "80"),
    (1350.0, 3, "1350"), (4.125e-6, 3, "0.00000413"), (0.0, 3, "0"), (-0.5, 3, "-0.5"),
])  # fmt: skip
def test_figures_have_no_exponent(value: float, count: int, text: str) -> None:
    assert figures(value, count) == text


@pytest.mark.parametrize("text", ["1" * 401, "9" * 10_000, "1 " * 210, "1,234,567." + "8" * 400])
def test_a_number_too_long_for_a_person_is_refused_in_few_words(text: str) -> None:
    with pytest.raises(InputError) as caught:
        WIDE.read_number("number", text)
    assert f"“{text[:20]}…”" in caught.value.message
    assert len(caught.value.message) < 200


def test_of_many_unknown_inputs_the_first_few_are_told() -> None:
    many = {f"unknown{number}": "1" for number in range(1000)}
    rows = [{"name": "a", "depth": 1.0} | many]
    for reading in (read_typed(BOOKCASE, many), read_values(BOOKCASE, many | {"shelves": rows, "air": 20})):
        told = [error.field for error in reading.errors if "no such input" in error.message]
        assert "unknown0" in told
        assert len(told) <= 20
