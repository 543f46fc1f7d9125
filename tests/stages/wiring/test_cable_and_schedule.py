"""Cable size and the wiring schedule choose the same cable for one feed and its way back."""

from itertools import product
from typing import Any

import pytest

from calculators.declaring import run_values
from calculators.presenting.inputs import shown_input
from calculators.stages import find_calculator
from calculators.vocabulary.surroundings import ROUTE_AIR
from tests.asking import answer, run

CURRENTS = (1.0, 5.0, 8.0, 10.0, 15.0, 18.5, 20.0, 30.0, 45.0, 54.0, 60.0, 80.0, 100.0)
LENGTHS = (0.5, 1.5, 3.0, 4.5, 6.0)
ROUTES = (("carpet", "general-pvc"), ("engine-bay", "vehicle-class-c"))


def scheduled(current: float, length: float, way: str, route: str, insulation: str, **more: Any) -> Any:
    """A schedule of a feed and its ground alone: half a metre to the body, or all the way to the battery.

    A ground to the body lies under carpet, whatever the feed goes through.
    """
    lies = {"air": ROUTE_AIR[route], "insulation": insulation}
    feed = {"name": "Feed", "start": "Battery", "end": "Amplifier", "length": length, "current": current}
    back = {"name": "Ground", "start": "Amplifier", "kind": "ground", "insulation": insulation}
    home = {"end": "Body", "length": 0.5} if way == "body" else {"end": "Battery", "length": length, **lies}
    return answer("wiring-schedule", runs=[feed | lies, back | home], **more)


@pytest.mark.parametrize("way", ["body", "cable"])
@pytest.mark.parametrize(("route", "insulation"), ROUTES)
def test_both_choose_one_cable_for_one_load(way: str, route: str, insulation: str) -> None:
    """With nothing typed but the load: the defaults of both pages are one set."""
    for current, length in product(CURRENTS, LENGTHS):
        there = {"route": route, "insulation": insulation}
        alone = answer("cable", current=current, length=length, **{"return": way}, **there)
        schedule = scheduled(current, length, way, **there)
        line, (device,) = schedule.runs[0], schedule.devices
        case = f"{current:g} A, {length:g} m"
        assert alone.size == (None if line.size is None else pytest.approx(line.size)), case
        if alone.size is not None:
            assert (alone.fuse, device.verdict) == (line.fuse, "passes"), case
            # The ground in its cooler air loses a little less than in the feed's.
            assert device.drop <= alone.drop * (1 + 1e-9) <= 1.08 * device.drop, case


@pytest.mark.parametrize(("current", "length"), [(45.0, 4.5), (80.0, 6.0)])
def test_a_ground_cable_counts_in_both(current: float, length: float) -> None:
    """Sizes that its half a metre decides."""
    body = {"body_resistance": 0.0018}
    with_it = answer("cable", current=current, length=length, **{"return": "body"}, **body)
    without = answer("cable", current=current, length=length, ground=0.0, **{"return": "body"}, **body)
    line = scheduled(current, length, "body", "carpet", "general-pvc", **body).runs[0]
    assert with_it.size == pytest.approx(line.size)
    assert with_it.size > without.size
    assert (with_it.loop, without.loop) == pytest.approx((length + 0.5, length))


def test_a_ground_cable_that_is_not_counted_is_not_told_as_counted() -> None:
    """Nobody typed it: half a metre by the body, none by cable, and the printed values say which."""
    load = {"current": 60.0, "length": 3.0}
    by_body = load | {"return": "body"}
    assert answer("cable", **by_body).loop == answer("cable", **by_body, ground=0.5).loop == 3.5
    assert answer("cable", **load).loop == answer("cable", **load, ground=5.0).loop == 6.0
    field = next(entry for entry in find_calculator("cable").inputs if entry.name == "ground")
    assert shown_input(field, None) == "0.5 m where the body is the return"


def test_joints_left_open_are_those_of_each_cable() -> None:
    cold = {
        "current": 20.0,
        "length": 3.0,
        "area": 10e-6,
        "route": "typed",
        "ambient": 20.0,
        "temperature": 20.0,
    }
    by_cable = answer("cable", **cold)
    assert by_cable.resistance == pytest.approx(6 * 0.00191 + 0.001)
    body = {"return": "body", "body_resistance": 0.002}
    assert answer("cable", **cold, **body).resistance == pytest.approx(3.5 * 0.00191 + 0.0005 + 0.002)
    typed = answer("cable", **cold, **body, ground=2.0, extra=0.0)
    assert typed.resistance == pytest.approx(5 * 0.00191 + 0.002)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({}, "0.5 mΩ of joints and 3.3 mΩ of body. Measure, and type it. Mend"),
        ({"extra": 0.001}, "figure of yours: 3.3 mΩ of body. Measure"),
        ({"extra": 0.001, "body_resistance": 0.0033}, "no cable can help. Mend the joints"),
    ],
)
def test_what_no_cable_can_mend_is_told_with_what_nobody_typed(more: dict[str, Any], words: str) -> None:
    asked = {"current": 120.0, "length": 3.0, "return": "body"} | more
    (error,) = run_values(find_calculator("cable"), asked).errors
    assert error.field == "body_resistance"
    assert words in error.message


def test_the_longest_route_leaves_the_ground_cable_out() -> None:
    asked = {"current": 60.0, "area": 25e-6, "return": "body", "body_resistance": 0.001}
    longest = answer("cable", **asked, length=3.0).longest
    at_it = answer("cable", **asked, length=longest)
    assert at_it.drop == pytest.approx(0.03 * 13.5)
    # A ground of ten metres loses more than is allowed by itself: no route is left.
    assert answer("cable", **asked, length=3.0, ground=10.0).longest is None


def test_a_block_that_hands_on_all_it_gets_is_told_of_nothing() -> None:
    feeds = [("Main feed", "Battery", "Block"), ("Branch", "Block", "Amplifier")]
    runs = [
        {"name": name, "start": start, "end": end, "length": 1.0, "current": 20.0}
        for name, start, end in feeds
    ]
    home = {"name": "Ground", "start": "Amplifier", "end": "Body", "kind": "ground", "length": 0.5}
    outcome = run("wiring-schedule", runs=[*runs, home])
    assert not [entry.message for entry in outcome.advice if "more than is on the list" in entry.message]
