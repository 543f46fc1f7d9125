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
