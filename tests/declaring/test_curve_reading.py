"""The arrival that a pasted curve's first line says."""

from math import inf, nan
from typing import Any

import pytest

from calculators.declaring import CurveText, InputError
from calculators.declaring.answers import plain
from calculators.declaring.curve_reading import read_curve
from calculators.declaring.inputs.kind import Found


@pytest.mark.parametrize(("head", "arrival"), [
    ("Rear subwoofer; seat 1; point 1; arrival 6.3 ms; positive", 6.3e-3),
    ("; arrival 6,3 ms", 6.3e-3), ("# Arrival −0.25 ms", -0.25e-3), ("arrival 0 ms", 0.0),
    ("no arrival", None)])  # fmt: skip
def test_a_curve_says_its_arrival_in_its_first_line(head: str, arrival: float | None) -> None:
    curve = read_curve("curve", f"{head}\n20 1 90\n50 2 -90\n100 3 0\n500 4 10\n1000 5 20")
    assert curve.arrival == arrival
    written = CurveText("Curve").write_text("c", plain(curve))["c"]
    assert read_curve("c", written) == curve
    assert CurveText("Curve").read_value("c", plain(curve), Found()) == curve


@pytest.mark.parametrize("arrival", [nan, inf, 11.0, 10**400, True, "soon"])
def test_an_arrival_that_cannot_be_is_refused(arrival: Any) -> None:
    value = {"frequency": [1, 2, 3, 4, 5], "level": [0] * 5, "arrival": arrival}
    with pytest.raises(InputError):
        CurveText("Curve").read_value("c", value, Found())
    with pytest.raises(InputError, match="Two arrivals"):
        read_curve("c", "; arrival 1 ms\n20 1\n50 2\n; arrival 2 ms\n100 3")


@pytest.mark.parametrize(("text", "words"), [
    ("1.000\t80,2\n2.000\t79,8", "Line 1: “1.000” can be read in two ways: type 1000 or 1"),
    ("20\t80\n1.000\t79", "Line 2: “1.000” can be read in two ways: type 1000 or 1"),
    ("1.000 80\n16.000 79", "Line 1: “1.000” can be read in two ways: type 1000 or 1"),
    ("999\t72\n1'000\t73", "Line 2: “1'000” is not a number"),
    ("20\t70\n100\t#N/A\n200\t80", "Line 2: “#N/A” is not a number"),
    ("20 70\n100 —9\n200 80", "Line 2: “—9” is not a number"),
    ("800,70\n1k,71", "Line 2: “1k” is not a number"),
    ("20\t\t70\n30\t\t71", "Line 1: a column is empty")])  # fmt: skip
def test_what_would_be_read_too_low_or_left_out_is_refused(text: str, words: str) -> None:
    with pytest.raises(InputError, match=words):
        read_curve("curve", text)


@pytest.mark.parametrize(("text", "frequencies"), [
    ("1\u202f000,00\t80,2\n16\u00a0000,00\t79,8", (1000, 16000)),
    ("1 000,00;80,2\n16 000,00;79,8", (1000, 16000)),
    ("100\t100\t100\n200\t100\t110", (100, 200)),
    ("20.000\t80.2\n120.000\t79.8", (20, 120)),
    ("1,500\t80,2\n16,5\t79,8", (1.5, 16.5)),
    ("2026-11-28 at 10:20\n20, 80\n30, 81\n; 2 points", (20, 30))])  # fmt: skip
def test_tabs_and_semicolons_part_columns_and_blanks_then_thousands(
    text: str, frequencies: tuple[float, ...]
) -> None:
    assert read_curve("curve", text).frequency == frequencies


def test_a_curve_that_stays_as_it_is_from_key_to_key_is_read_once() -> None:
    text = "20 80\n40 81\n80 82"
    assert read_curve("curve", text) is read_curve("curve", text)
    assert read_curve("curve", text + "\n160 83") != read_curve("curve", text)
    for _ in range(2):
        with pytest.raises(InputError, match="No line holds"):
            read_curve("curve", "nothing")


def test_a_curve_that_is_too_long_is_told_how_long_it_may_be() -> None:
    with pytest.raises(InputError, match=r"at most 200,000 letters, some 10,000 lines\. Export it with"):
        read_curve("curve", "20.0001 80.1\n" * 20_000)
