"""What must hold for every cable, fuse and capacitor, whatever is typed: nothing burns, nothing halves.

More current, length or heat never gives a smaller cable; a longer dip never a smaller capacitor; a
fuse is never above what its cable carries. The long tests try 10,000 random inputs of each.
"""

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from calculators.declaring import Outcome, run_values
from calculators.physics import conductors
from calculators.physics.arrays import FloatArray
from calculators.stages import find_calculator
from tests.conftest import SOAK

many = settings(max_examples=10_000 if SOAK else 100, deadline=None)

TABLES = ["class-5", "class-5-tinned", "iso-6722", "gauge"]
METALS = ["copper", "copper-clad-aluminium"]
AREAS = [size.area for size in (*conductors.FLEXIBLE_SIZES.sizes, *conductors.GAUGE_SIZES.sizes)]
LARGEST = {"by-rating": 500.0, "blade": 40.0, "small-strip": 200.0, "large-strip": 500.0}
insulations = st.sampled_from(list(conductors.INSULATION_LIMITS))
amperes = st.floats(math.log(0.01), math.log(1000)).map(math.exp)


def run(slug: str, **inputs: Any) -> Outcome:
    return run_values(find_calculator(slug), {name.rstrip("_"): value for name, value in inputs.items()})


@st.composite
def cable_inputs(draw: Any) -> dict[str, Any]:
    return {
        "current": draw(amperes),
        "length": draw(st.floats(0.05, 50)),
        "supply": draw(st.floats(10, 30)),
        "allowed_drop": draw(st.floats(0.005, 0.2)),
        "return": draw(st.sampled_from(["cable", "body"])),
        "body_resistance": draw(st.floats(0, 0.01)),
        "extra": draw(st.floats(0, 0.01)),
        "ground": draw(st.floats(0, 10)),
        "conductor": draw(st.sampled_from(METALS)),
        "temperature": draw(st.none() | st.floats(-40, 125)),
        "route": "typed",
        "ambient": draw(st.floats(-40, 120)),
        "together": float(draw(st.integers(1, 12))),
        "insulation": draw(insulations),
        "table": draw(st.sampled_from(TABLES)),
        "load_fraction": draw(st.floats(0.5, 1)),
    }


def cable_size(inputs: dict[str, Any]) -> float:
    """The size answered; infinite where no cable will do."""
    outcome = run("cable", **inputs)
    if outcome.errors:
        assert [error.field for error in outcome.errors] in (["extra"], ["body_resistance"])
        return math.inf
    return math.inf if outcome.result.size is None else float(outcome.result.size)


@many
@given(
    inputs=cable_inputs(),
    name=st.sampled_from(["current", "length", "temperature", "ambient", "extra", "ground", "together"]),
    part=st.floats(0, 1),
)
def test_more_of_anything_never_gives_a_smaller_cable(inputs: dict[str, Any], name: str, part: float) -> None:
    kind = find_calculator("cable").input(name).kind
    assume(inputs[name] is not None)
    more = inputs[name] + part * (kind.high - inputs[name])  # type: ignore[union-attr]
    more = float(round(more)) if name == "together" else more
    assert cable_size({**inputs, name: more}) >= cable_size(inputs)


@many
@given(inputs=cable_inputs())
def test_a_return_by_cable_and_a_worse_metal_never_give_a_smaller_cable(inputs: dict[str, Any]) -> None:
    free = {**inputs, "return": "body", "body_resistance": 0.0, "ground": 0.0}
    assert cable_size({**inputs, "return": "cable"}) >= cable_size(free)
    assert cable_size({**inputs, "conductor": METALS[1]}) >= cable_size({**inputs, "conductor": METALS[0]})


@many
@given(inputs=cable_inputs(), area=st.sampled_from([None, *AREAS]))
def test_a_cable_answered_carries_its_load_and_its_fuse(inputs: dict[str, Any], area: float | None) -> None:
    outcome = run("cable", **inputs, area=area)
    assume(not outcome.errors)
    result = outcome.result
    dangers = [entry for entry in outcome.advice if entry.danger]
    if area is None and result.size is None:
        assert dangers
        return
    fits = result.fuse is not None and max(inputs["current"], result.fuse) <= result.continuous
    if area is None:
        assert fits
        assert result.drop <= inputs["supply"] * inputs["allowed_drop"] * (1 + 1e-6)
        assert result.drop_fraction <= inputs["allowed_drop"] * (1 + 1e-6)
    elif not fits:
        assert dangers
        assert outcome.advice[0].danger
    # Both ways of counting stand beside each other: nobody can halve the length unseen.
    assert result.one_way == inputs["length"]
    back = inputs["length"] if inputs["return"] == "cable" else inputs["ground"]
    assert result.loop == pytest.approx(inputs["length"] + back, rel=1e-12)


@many
@given(
    current=amperes,
    area=st.sampled_from(AREAS),
    insulation=insulations,
    conductor=st.sampled_from(METALS),
    ambient=st.floats(-40, 120),
    load_fraction=st.floats(0.5, 1),
    length=st.floats(0.05, 50),
    fuse_type=st.sampled_from(list(LARGEST)),
    together=st.integers(1, 12).map(float),
)
def test_a_fuse_is_never_above_its_cable(
    current: float,
    area: float,
    insulation: str,
    conductor: conductors.Conductor,
    ambient: float,
    load_fraction: float,
    length: float,
    fuse_type: str,
    together: float,
) -> None:
    outcome = run(
        "fuse",
        current=current,
        area=area,
        insulation=insulation,
        conductor=conductor,
        route="typed",
        ambient=ambient,
        load_fraction=load_fraction,
        length=length,
        fuse_type=fuse_type,
        together=together,
    )
    assert not outcome.errors
    result = outcome.result
    limit = conductors.INSULATION_LIMITS[insulation]
    carried = conductors.continuous_current(area, limit, ambient, conductor, together)
    if result.rating is None:
        assert outcome.advice[0].danger
        wanted = current / load_fraction
        # Either the cable is too thin, or no fuse of this kind is as large.
        assert result.most is None or result.most < wanted or wanted > LARGEST[fuse_type]
    else:
        assert current / load_fraction * (1 - 1e-6) <= result.rating <= carried
        assert result.protected
        # IEC 60364-4-43, 433.1: what surely opens the fuse is at most 1.45 times what the cable carries.
        assert result.surely_opens <= 1.45 * carried * (1 + 1e-9)
    assert result.most is None or result.most <= carried


PLACES = ["Battery", "Block", "Amplifier", "Second amplifier", "Processor", "Stud", "Body"]


@st.composite
def schedules(draw: Any) -> list[dict[str, Any]]:
    """Feeds from the battery outward, each place fed once, and grounds under some of them."""
    runs = []
    for place in range(1, draw(st.integers(2, 5))):
        feed = {
            "name": f"Feed {place}",
            "start": PLACES[draw(st.integers(0, place - 1))],
            "end": PLACES[place],
            "length": draw(st.floats(0.05, 8)),
            "current": draw(st.floats(0.1, 250)),
            "area": draw(st.none() | st.sampled_from(AREAS)),
        }
        runs.append(feed)
        if draw(st.booleans()):
            ground = {"name": f"Ground {place}", "start": PLACES[place], "end": "Body", "kind": "ground"}
            runs.append({**feed, **ground, "area": draw(st.none() | st.sampled_from(AREAS))})
    return runs


@many
@given(
    runs=schedules(),
    ambient=st.floats(0, 110),
    conductor=st.sampled_from(METALS),
    table=st.sampled_from(TABLES),
)
def test_no_fuse_of_a_schedule_is_above_its_cable(
    runs: list[dict[str, Any]], ambient: float, conductor: conductors.Conductor, table: str
) -> None:
    outcome = run("wiring-schedule", runs=runs, ambient=ambient, conductor=conductor, table=table)
    assert not outcome.errors
    result = outcome.result
    for given_run, line in zip(runs, result.runs, strict=True):
        if line.size is None:
            assert line.fuse is None
            assert line.verdict == "no size is large enough"
            continue
        carried = conductors.continuous_current(line.size, 70.0, ambient, conductor)
        assert line.fuse is None or given_run["current"] <= line.fuse <= carried
        if line.verdict == "passes":
            assert given_run["current"] <= carried
            assert line.fuse is not None or given_run.get("kind") == "ground"
    if result.verdict == "all runs pass":
        assert not any(entry.danger for entry in outcome.advice)
        assert all(device.drop_fraction <= 0.03 * (1 + 1e-6) for device in result.devices)


@st.composite
def dips(draw: Any) -> dict[str, Any]:
    start = draw(st.floats(11, 15))
    isolator = draw(st.floats(0, 0.7))
    profile = draw(st.sampled_from(["gap", "measured"]))
    return {
        "power": draw(st.none() | st.floats(0.1, 1000)),
        "current": draw(st.floats(0.01, 50)),
        "start": start,
        "minimum": draw(st.floats(5, start - isolator - 0.5)),
        "duration": draw(st.floats(0.005, 5)),
        "profile": profile,
        "dip": draw(st.floats(0, start - 0.1)) if profile == "measured" else None,
        "esr": draw(st.floats(0, 0.02)),
        "isolator": isolator,
    }


@settings(max_examples=10_000 if SOAK else 60, deadline=None)
@given(dip=dips(), longer=st.floats(1, 4))
def test_a_longer_dip_never_gives_a_smaller_capacitor(dip: dict[str, Any], longer: float) -> None:
    first, second = (
        run("hold-up", **{**dip, "duration": duration}).result
        for duration in (dip["duration"], dip["duration"] * longer)
    )
    if first.capacitance is None:
        assert second.capacitance is None
    elif second.capacitance is not None:
        # The search stops within 1e-5 of the capacitance.
        assert second.capacitance >= first.capacitance * (1 - 3e-5)


def solved(dip: dict[str, Any], farad: float, supply: Callable[[float], float]) -> Callable[[Any], Any]:
    """Device voltage by an adaptive solver; the circuit written down anew, without resistance."""

    def slope(time: float, state: FloatArray) -> list[float]:
        voltage = float(state[0])
        if voltage <= supply(time) - dip["isolator"]:
            return [0.0]
        return [-(dip["current"] + dip["power"] / max(voltage, 0.5)) / farad]

    end = {"level-i": 1.11, "measured": dip["duration"] + 0.01, "gap": dip["duration"]}[dip["profile"]]
    path = solve_ivp(
        slope,
        (0, end),
        [dip["start"] - dip["isolator"]],
        rtol=1e-8,
        atol=1e-10,
        max_step=5e-4,
        dense_output=True,
    )
    assert path.success
    return lambda time: np.maximum(path.sol(time)[0], [supply(t) - dip["isolator"] for t in time])


def level_one(time: float) -> float:
    """ISO 16750-2 level I, 12 V: 8 V for 15 ms, then 10.5 V with 2 Hz and 2 V peak to peak for 1 s."""
    if time <= 0.07:
        return float(np.interp(time, [0, 0.005, 0.02, 0.07], [12, 8, 8, 10.5]))
    if time <= 1.07:
        return 10.5 + math.sin(2 * math.pi * 2 * (time - 0.07))
    return float(np.interp(time, [1.07, 1.11], [10.5, 12]))


BASE = {"power": 14.0, "current": 0.5, "isolator": 0.35, "duration": 1.5, "derate": 0.25}


@pytest.mark.parametrize(
    ("dip", "supply"),
    [
        ({**BASE, "profile": "gap", "start": 12.1, "minimum": 9.0}, lambda time: 0.0),
        (
            {**BASE, "profile": "measured", "start": 12.1, "minimum": 9.0, "dip": 8.2},
            lambda time: float(np.interp(time, [0, 0.005, 1.505, 1.51], [12.1, 8.2, 8.2, 12.1])),
        ),
        ({**BASE, "profile": "level-i", "start": 12.0, "minimum": 10.0}, level_one),
        ({**BASE, "profile": "level-i", "start": 12.0, "minimum": 9.4}, level_one),
    ],
)
def test_hold_up_agrees_with_an_adaptive_solver(
    dip: dict[str, Any], supply: Callable[[float], float]
) -> None:
    result = run("hold-up", **dip).result
    kept = result.to_buy * 0.75
    assert kept == pytest.approx(result.capacitance)
    at = np.array(result.chart.at)
    # The chart draws straight lines between its points, so its points alone are held.
    expected = solved(dip, kept, supply)(at)
    steep = (at < 0.08) | (at > at[-1] - 0.05)
    assert np.array(result.chart.series[0].values)[~steep] == pytest.approx(expected[~steep], rel=1e-3)
    fine = np.linspace(0, at[-1], 20_001)
    for ratio in (0.999, 1.0, 1.001):
        lowest = float(solved(dip, kept * ratio, supply)(fine).min())
        assert lowest == pytest.approx(dip["minimum"], rel=1e-3)
        if ratio != 1.0:
            assert (lowest > dip["minimum"]) == (ratio > 1.0)
