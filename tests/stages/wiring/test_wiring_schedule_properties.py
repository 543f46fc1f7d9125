"""Random schedules: what could burn never passes, and the network agrees with one built anew.

The long tests draw ten thousand.
"""

import random
from typing import Any

import numpy as np
import pytest

from calculators.declaring import run_values
from calculators.physics import conductors
from calculators.stages import find_calculator
from calculators.vocabulary import cabling
from tests.conftest import SOAK

TABLES = ["class-5", "class-5-tinned", "iso-6722", "gauge"]
METALS = ["copper", "copper-clad-aluminium"]
AREAS = [size.area for size in (*conductors.FLEXIBLE_SIZES.sizes, *conductors.GAUGE_SIZES.sizes)]


def random_schedule(draw: random.Random) -> dict[str, Any]:
    """Feeds from the battery outward, wake-up lines, grounds by stud, bus or two ways at once, and pairs."""
    fed, runs = ["Battery"], []

    def add(kind: str, start: str, end: str, current: float | None, longest: float) -> None:
        run = {"name": f"{kind} {len(runs)}", "kind": kind, "start": start, "end": end, "current": current}
        run["length"] = round(draw.uniform(0.05, longest), 2)
        run["area"] = draw.choice(AREAS) if draw.random() < 0.15 else None
        # A run from the battery says how hot it lies, nearly always.
        airs = (
            [None, 20.0, 40.0, 40.0, 60.0, 85.0]
            if start == "Battery"
            else [None, None, None, 20.0, 60.0, 85.0]
        )
        run["air"] = draw.choice(airs)
        run["insulation"] = draw.choice(["as-below", "vehicle-class-b", "vehicle-class-c", "silicone"])
        runs.append(run)

    for device in ("Block", "Amplifier", "Second amplifier", "Processor")[: draw.randint(1, 4)]:
        add("feed", draw.choice(fed), device, round(draw.uniform(0.1, 60), 1), 6)
        fed.append(device)
    starts = {run["start"] for run in runs}
    for run in runs:
        if run["end"] in starts and draw.random() < 0.7:
            run["current"] = None
    if draw.random() < 0.3:
        add("capacitor", draw.choice(fed[1:]), "Capacitor", round(draw.uniform(0.5, 20), 1), 1)
    if draw.random() < 0.3:
        start = draw.choice(["Accessory", *fed[1:]])
        add("wake-up", start, draw.choice([name for name in fed[1:] if name != start] or ["Lamp"]), 0.1, 4)
    homes = ["Stud", "Bus", "Bus", "Body"] if draw.random() < 0.5 else ["Stud", "Body"]
    for device in fed[1:]:
        for _ in range(draw.choice([0, *[1] * 14, 2])):
            typed = draw.choice([None, None, None, round(draw.uniform(0.1, 60), 1)])
            add("ground", device, draw.choice(homes), typed, 1)
    if any(run["end"] == "Bus" for run in runs):
        add("ground", "Bus", draw.choice(["Body", "Body", "Body", "Battery"]), None, 3)
    if draw.random() < 0.5:
        add("speaker", fed[-1], "Woofer", round(draw.uniform(0.5, 20), 1), 6)
    return {
        "runs": runs,
        "supply": draw.choice([12.6, 13.5, 14.4]),
        "allowed_drop": draw.choice([0.03, 0.05, 0.1]),
        "body_resistance": draw.uniform(1e-5, 0.004),
        "joint_resistance": draw.choice([0.0, 0.0003, 0.0005]),
        "ambient": draw.choice([20.0, 40.0, 60.0]),
        "conductor": draw.choice(["copper", "copper", *METALS]),
        "table": draw.choice(TABLES),
        "load_fraction": draw.choice([0.75, 0.8]),
    }


def carried(inputs: dict[str, Any], run: dict[str, Any], area: float) -> float:
    """Ampere a cable of the schedule may carry."""
    air = inputs["ambient"] if run["air"] is None else run["air"]
    sheath = "general-pvc" if run["insulation"] == "as-below" else run["insulation"]
    return conductors.continuous_current(area, conductors.INSULATION_LIMITS[sheath], air, inputs["conductor"])


def of_the_network(runs: list[dict[str, Any]]) -> list[int]:
    """Places of feeds, of wake-up lines, and of grounds."""
    return [
        place for place, run in enumerate(runs) if run["kind"] in {"feed", "capacitor", "ground", "wake-up"}
    ]


def terminals(runs: list[dict[str, Any]], place: int) -> tuple[Any, Any]:
    """The two nodes of a run; the battery's poles are one node, None."""
    feeds = {run["end"]: place for place, run in enumerate(runs) if run["kind"] in {"feed", "capacitor"}}
    grounds = {run["start"] for run in runs if run["kind"] == "ground"}

    def home(name: str) -> str | None:
        return None if name == "Battery" else f"minus of {name}" if name in grounds else "the body"

    run = runs[place]
    if run["kind"] == "ground":
        return home(run["start"]), home(run["end"])
    return feeds.get(run["start"]), place


def nodal(inputs: dict[str, Any], result: Any) -> tuple[dict[int, float], float]:
    """Volts lost at the end of each feed, and in the body: nodal analysis, written down anew."""
    runs, lines = inputs["runs"], result.runs
    network = of_the_network(runs)
    sizes = {size.area: size for size in cabling.TABLES[inputs["table"]].sizes}
    edges: list[tuple[Any, Any, float]] = []
    for place in network:
        run, line = runs[place], lines[place]
        size = sizes.get(line.size) or cabling.size_like(line.size, cabling.TABLES[inputs["table"]])
        air = inputs["ambient"] if run["air"] is None else run["air"]
        sheath = "general-pvc" if run["insulation"] == "as-below" else run["insulation"]
        limit = conductors.INSULATION_LIMITS[sheath]
        current = 0.0 if run["kind"] == "capacitor" else line.current  # It flows for seconds.
        warm = conductors.loaded_temperature(size.area, current, air, limit, inputs["conductor"])
        ohms = conductors.run_resistance(size.resistance, run["length"], warm, inputs["conductor"], 0.0)
        start, end = terminals(runs, place)
        # The joint of a ground to the body is in the body's own figure.
        joint = 0.0 if end == "the body" else inputs["joint_resistance"]
        edges.append((start, end, ohms + joint))
    edges.append(("the body", None, inputs["body_resistance"]))
    nodes = {end: place for place, end in enumerate({end for edge in edges for end in edge[:2]} - {None})}
    conductance, given_ = np.zeros((len(nodes), len(nodes))), np.zeros(len(nodes))
    for start, end, ohms in edges:
        for one, other in ((start, end), (end, start)):
            if one is not None:
                conductance[nodes[one], nodes[one]] += 1 / ohms
                if other is not None:
                    conductance[nodes[one], nodes[other]] -= 1 / ohms
    minus = {place: f"minus of {runs[place]['end']}" for place in network if runs[place]["kind"] != "ground"}
    minus = {place: name if name in nodes else "the body" for place, name in minus.items()}
    for place, name in minus.items():
        drawn = drawn_at_the_end(runs, place)
        given_[nodes[place]] -= drawn
        given_[nodes[name]] += drawn
    volts = np.linalg.solve(conductance, given_)
    feeds = {place: float(volts[nodes[name]] - volts[nodes[place]]) for place, name in minus.items()}
    return feeds, float(volts[nodes["the body"]])


def planned(runs: list[dict[str, Any]], place: int) -> float:
    handed = sum(planned(runs, other) for other in handed_on(runs, place))
    own = 0.0 if runs[place]["kind"] == "capacitor" else runs[place]["current"] or 0.0
    return max(handed, own)


def with_bursts(runs: list[dict[str, Any]], place: int) -> float:
    """Ampere at the moment a capacitor fills."""
    bursts = [other for other in handed_on(runs, place) if runs[other]["kind"] == "capacitor"]
    beyond = [other for other in handed_on(runs, place) if runs[other]["kind"] == "feed"]
    return (
        planned(runs, place)
        + sum(runs[other]["current"] for other in bursts)
        + sum(with_bursts(runs, other) - planned(runs, other) for other in beyond)
    )


def handed_on(runs: list[dict[str, Any]], place: int) -> list[int]:
    return [
        other
        for other in of_the_network(runs)
        if runs[place]["kind"] == "feed"
        and runs[other]["kind"] != "ground"
        and runs[other]["start"] == runs[place]["end"]
    ]


def drawn_at_the_end(runs: list[dict[str, Any]], place: int) -> float:
    left = planned(runs, place) - sum(planned(runs, other) for other in handed_on(runs, place))
    return left if left > 1e-9 else 0.0


def test_no_schedule_that_could_burn_ever_passes() -> None:
    passed = 0
    count = 10_000 if SOAK else 150
    for seed in range(count):
        inputs = random_schedule(random.Random(seed))
        outcome = run_values(find_calculator("wiring-schedule"), inputs)
        assert not outcome.errors, (seed, outcome.errors)
        result, runs = outcome.result, inputs["runs"]
        ok = result.verdict == "all runs pass"
        passed += ok
        if ok:
            assert not any(entry.danger for entry in outcome.advice), seed
            assert all(run["air"] is not None for run in runs if run["start"] == "Battery"), seed
            assert not any(run["kind"] == "ground" and run["end"] == "Battery" for run in runs), seed
        for place, (typed, line) in enumerate(zip(runs, result.runs, strict=True)):
            if line.size is None:
                assert not ok, seed
                assert line.fuse is None, seed
                continue
            may = carried(inputs, typed, line.size)
            assert line.fuse is None or line.current <= line.fuse <= may, seed
            if typed["kind"] == "feed":
                assert line.fuse is None or with_bursts(runs, place) <= line.fuse * (1 + 1e-9), seed
            if line.verdict != "passes":
                assert not ok, seed
                continue
            assert max(line.current, typed["current"] or 0.0) * (1 - 0.01) <= may, seed
            assert (line.fuse is None) == (typed["kind"] in {"ground", "speaker"}), seed
            if typed["kind"] == "ground":
                assert_ground_is_thick_enough(inputs, result, place, seed)
        if all(result.runs[place].size is not None for place in of_the_network(runs)):
            volts, body = nodal(inputs, result)
            assert result.body_drop == pytest.approx(abs(body), rel=1e-9, abs=1e-9), seed
            for device in result.devices:
                place = next(
                    i
                    for i, typed in enumerate(runs)
                    if (typed["kind"], typed["end"]) == ("feed", device.name)
                )
                assert device.drop == pytest.approx(volts[place], rel=1e-9, abs=1e-9), seed
                assert not ok or volts[place] <= inputs["supply"] * inputs["allowed_drop"] * (1 + 1e-6), seed
    # Neither side of the verdict is empty.
    assert 0.1 * count < passed < 0.9 * count


def assert_ground_is_thick_enough(inputs: dict[str, Any], result: Any, place: int, seed: int) -> None:
    """Each device that comes home by this ground: its feed, its fuse; and the sum of what arrives."""
    runs, lines = inputs["runs"], result.runs
    ground, line = runs[place], lines[place]
    at = {ground["start"]} | {
        run["start"] for run in runs if run["kind"] == "ground" and run["end"] == ground["start"]
    }
    may, arriving = carried(inputs, ground, line.size), 0.0
    for other in of_the_network(runs):
        if runs[other]["kind"] != "ground" and runs[other]["end"] in at:
            assert lines[other].size is None or line.size >= lines[other].size * (1 - 1e-9), seed
            assert lines[other].fuse is None or may >= lines[other].fuse, seed
            arriving += drawn_at_the_end(runs, other)
    sole = sum(run["kind"] == "ground" and run["start"] in at for run in runs) == len(
        {run["start"] for run in runs if run["kind"] == "ground" and run["start"] in at}
    )
    if sole:
        assert line.current == pytest.approx(arriving, abs=1e-6), seed
        assert may >= arriving * (1 - 1e-9), seed
