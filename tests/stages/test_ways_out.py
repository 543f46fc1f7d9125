"""Whoever follows an advice by its own figures is told no more of it: no circle, and no other danger."""

import re

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from calculators.declaring import Outcome
from tests.asking import run
from tests.conftest import SOAK
from tests.stages.wiring.test_wiring_schedule import feed, ground, schedule

many = settings(max_examples=2000 if SOAK else 100, deadline=None)


def told(outcome: Outcome, *about: str) -> str:
    """What is told of these, in one text; what is unusual is no fault."""
    words = [each.message for each in outcome.advice if each.about in about]
    return " ".join(each for each in words if "Is this right?" not in each)


def figure(pattern: str, text: str) -> float | None:
    found = re.search(pattern, text)
    return None if found is None else float(found[1])


@many
@given(
    current=st.floats(0.5, 450),
    area=st.sampled_from([1.5e-6, 4e-6, 16e-6, 35e-6, 95e-6, 120e-6]),
    kind=st.sampled_from(["by-rating", "blade", "small-strip", "large-strip"]),
    route=st.sampled_from(["carpet", "engine-bay"]),
    insulation=st.sampled_from(["vehicle-class-b", "vehicle-class-c", "silicone"]),
)
@example(current=60.0, area=120e-6, kind="blade", route="carpet", insulation="vehicle-class-b")
@example(current=3.0, area=1.5e-6, kind="large-strip", route="carpet", insulation="vehicle-class-b")
def test_a_fuse_or_a_cable_that_is_named_suits(
    current: float, area: float, kind: str, route: str, insulation: str
) -> None:
    inputs = {"current": current, "area": area, "fuse_type": kind, "route": route, "insulation": insulation}
    text = told(run("fuse", **inputs), "rating")
    if not text:
        return
    if "by its rating" in text:
        inputs["fuse_type"] = "by-rating"
        after = run("fuse", **inputs)
        assert after.result.rating == figure(r"does: ([\d.]+) A", text)
    elif (size := figure(r"a cable of ([\d.]+) mm²", text)) is not None:
        after = run("fuse", **{**inputs, "area": size * 1e-6})
        assert after.result.rating is not None
    else:
        assert "no size of this one does" in text or "None goes over 500 A" in text
        return
    assert told(after, "rating") == ""


def test_a_battery_too_weak_to_open_a_fuse_is_told() -> None:
    text = told(run("fuse", current=54.0, area=35e-6, battery_resistance=0.2), "fault_passes")
    # Cold it has five times the ohm of a warm one, or so: far under 1.35 × 70 A.
    assert "this battery gives" in text
    assert "larger cable" not in text
    assert "larger cable" in told(run("fuse", current=40.0, area=16e-6, length=50.0), "fault_passes")


@many
@given(
    current=st.floats(5, 150),
    area=st.sampled_from([1.5e-6, 6e-6, 16e-6, 35e-6]),
    length=st.floats(0.5, 8),
)
def test_a_cable_that_is_said_to_pass_does(current: float, area: float, length: float) -> None:
    inputs = {"current": current, "length": length, "insulation": "vehicle-class-c", "extra": 1e-4}
    text = told(run("cable", **inputs, area=area), "area")
    size = figure(r"([\d.]+) mm² passes", text)
    assert (size is None) is (text == "" or told(run("cable", **inputs), "size") != "")
    if size is not None:
        assert told(run("cable", **inputs, area=size * 1e-6), "area") == ""


@many
@given(
    alternator=st.floats(40, 300),
    idle_fraction=st.floats(0.3, 0.8),
    vehicle_load=st.floats(10, 80),
    system_current=st.floats(0, 200),
)
def test_a_budget_is_kept_by_the_alternator_or_the_system_that_is_named(
    alternator: float, idle_fraction: float, vehicle_load: float, system_current: float
) -> None:
    inputs = {
        "alternator": alternator, "idle_fraction": idle_fraction, "vehicle_load": vehicle_load,
        "system_current": system_current,
    }  # fmt: skip
    about = ("driving_surplus", "idle_surplus", "idle_share")
    text = told(run("charging-budget", **inputs), *about)
    assume(text)
    larger = figure(r"alternator of (\d+) A", text)
    assert larger is not None
    if larger <= 1000:
        assert told(run("charging-budget", **{**inputs, "alternator": larger}), *about) == ""
    less = figure(r"system of ([\d.]+) A", text)
    if less is None:
        assert vehicle_load >= 0.8 * idle_fraction * alternator - 0.1
        assert "no system at all" in text
    else:
        assert told(run("charging-budget", **{**inputs, "system_current": less}), *about) == ""


@many
@given(capacity=st.floats(10, 120), charge=st.none() | st.floats(0.51, 1), drawn=st.floats(0.005, 0.08))
@example(capacity=20.0, charge=None, drawn=0.06)
def test_a_drain_that_is_named_lasts_a_week(capacity: float, charge: float | None, drawn: float) -> None:
    inputs = {"capacity": capacity, "state_of_charge": charge, "drains": [{"name": "All", "current": drawn}]}
    text = told(run("battery-drain", **inputs), "days")
    assume(text)
    if "charge it" in text:
        assert charge is not None
        inputs["state_of_charge"] = 0.9
    if (most := figure(r"may be ([\d.]+) mA", text)) is not None:
        assert most >= 10
        inputs["drains"] = [{"name": "All", "current": most / 1000}]
    elif "larger battery" in text:
        inputs["capacity"] = capacity * 8  # 80 mA in place of the 10 mA that any vehicle draws.
    assert told(run("battery-drain", **inputs), "days") == ""


@many
@given(
    impedance=st.sampled_from([1.0, 2.0, 4.0, 8.0]),
    coils=st.integers(1, 2),
    count=st.integers(1, 4),
    minimum=st.sampled_from([1.0, 2.0, 4.0, 8.0]),
    bridged=st.booleans(),
    wiring=st.sampled_from(["best", "series", "parallel"]),
)
def test_a_wiring_that_is_named_is_legal(
    impedance: float, coils: int, count: int, minimum: float, bridged: bool, wiring: str
) -> None:
    inputs = {
        "coils": [{"name": "", "impedance": impedance, "count": count, "coils_each": coils}],
        "amplifier_minimum": minimum, "bridged": bridged, "wiring": wiring,
    }  # fmt: skip
    outcome = run("speaker-load", **inputs)
    text = told(outcome, "load")
    assume(text)
    best = run("speaker-load", **{**inputs, "wiring": "best"})
    if "Wire the coils another way" in text:
        assert figure(r"([\d.]+) Ω\.$", text) == float(f"{best.result.load:.3g}")
        assert told(best, "load") == ""
    else:
        assert told(best, "load") != ""
        if "not bridged" in text:
            assert told(run("speaker-load", **{**inputs, "bridged": False}), "load") == ""


@many
@given(
    mass=st.floats(1, 60),
    height=st.floats(0.02, 0.4),
    sheet=st.floats(0.0007, 0.002),
    bolt=st.sampled_from([0.005, 0.006, 0.008]),
    bolt_class=st.sampled_from(["4.8", "8.8"]),
)
def test_a_thing_as_light_as_is_named_is_held(
    mass: float, height: float, sheet: float, bolt: float, bolt_class: str
) -> None:
    inputs = {
        "mass": mass, "row_spacing": 0.3, "centre_height": height, "sheet": sheet, "bolt": bolt,
        "bolt_class": bolt_class, "holes": "maker", "drive": "fuel", "anchors": "clear", "washer": 0.03,
    }  # fmt: skip
    text = told(run("fixing-load", **inputs), "margin")
    assume(text)
    lighter = figure(r"mass: ([\d.]+) kg", text)
    assert lighter is not None
    assert told(run("fixing-load", **{**inputs, "mass": lighter}), "margin") == ""


def test_where_a_device_loses_most_is_told_and_a_larger_cable_there_helps() -> None:
    runs = [
        feed("Battery", "Block", 20.0, area=35e-6),
        feed("Block", "Amplifier", area=4e-6, length=4.0),
        ground("Amplifier", area=10e-6),
    ]
    outcome = schedule(*runs, allowed_drop=0.03)
    (text,) = (entry.message for entry in outcome.advice if entry.about == "devices")
    drops = {run.name: run.drop for run in outcome.result.runs}
    assert f"most of it in Block to Amplifier, {drops['Block to Amplifier']:.3f} V: a larger cable" in text
    after = schedule(runs[0], {**runs[1], "area": 10e-6}, runs[2], allowed_drop=0.03)
    assert not [entry for entry in after.advice if entry.about == "devices"]
    body = schedule(*runs, allowed_drop=0.03, body_resistance=0.05)
    assert "most of it in the body, 1.000 V: a better ground point" in " ".join(
        entry.message for entry in body.advice if entry.about == "devices"
    )
