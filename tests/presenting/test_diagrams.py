"""Diagrams: drawn by classes alone, spoken in full, inside their own frame, and no data."""

import json
import re
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest

from calculators.declaring import Box, Diagram, Label, Outcome, Wire, answer_of, run_values
from calculators.presenting import plain_text, results
from calculators.presenting.diagrams import diagram, picture
from calculators.presenting.values import description
from calculators.stages import find

STYLES = Path("docs/assets/doorcard/doorcard.css").read_text(encoding="utf-8")
JOB = json.loads(Path("docs/job.json").read_text(encoding="utf-8"))
# Widest letter of the smallest face a phone shows, in the diagram's own units.
LETTER = 6.6


def coils(count: int, wiring: str) -> tuple[str, dict[str, Any]]:
    return "speaker-load", {"coils": [{"impedance": 4.0, "count": count}], "wiring": wiring}


DRAWN = [
    ("wiring-schedule", JOB["wiring"]),
    coils(1, "parallel"),
    coils(2, "series"),
    coils(8, "series"),
    coils(8, "parallel"),
    coils(8, "series-parallel"),
    ("speaker-load", {"coils": [{"impedance": 4.0, "count": 3, "coils_each": 2}], "amplifier_minimum": 1.0}),
    (
        "speaker-load",
        {"coils": [{"impedance": 2.0, "count": 4, "coils_each": 2}], "wiring": "parallel-series"},
    ),
    ("speaker-load", {"coils": [{"impedance": 8.0, "count": 2, "coils_each": 4}], "wiring": "series"}),
]


def outcome_of(slug: str, inputs: dict[str, Any]) -> tuple[Outcome, Diagram]:
    outcome = run_values(find(slug), inputs)
    assert outcome.errors == ()
    name = next(
        output.name
        for output in outcome.calculator.outputs
        if "diagram" in type(output.kind).__name__.lower()
    )
    return outcome, getattr(outcome.result, name)


@pytest.mark.parametrize(("slug", "inputs"), DRAWN)
def test_drawn_by_classes_that_the_style_sheet_knows(slug: str, inputs: dict[str, Any]) -> None:
    outcome, declared = outcome_of(slug, inputs)
    drawn = diagram(declared)
    assert drawn in results.result(outcome)
    assert "style" not in drawn
    assert "<script" not in drawn
    names = {name for group in re.findall(r'class="([^"]+)"', drawn) for name in group.split()}
    # A plain box and a label at the start of its place need no rule of their own.
    inherited = {"dc-box-plain", "dc-box-coil", "dc-label", "dc-label-start", "dc-wire-plus"}
    assert all(f".{name}" in STYLES for name in names - inherited)


@pytest.mark.parametrize(("slug", "inputs"), DRAWN)
def test_everything_lies_inside_the_frame(slug: str, inputs: dict[str, Any]) -> None:
    _, declared = outcome_of(slug, inputs)
    assert declared.width <= 360
    for box in declared.boxes:
        assert box.x >= 0
        assert box.x + box.width <= declared.width
        assert box.y >= 0
        assert box.y + box.height <= declared.height
        assert all(LETTER * len(line) <= box.width for line in box.lines)
    for wire in declared.wires:
        assert all(0 <= x <= declared.width and 0 <= y <= declared.height for x, y in wire.places)
    for label in declared.labels:
        reach = LETTER * len(label.words)
        left = label.x - {"start": 0.0, "middle": reach / 2, "end": reach}[label.anchor]
        assert left >= 0
        assert left + reach <= declared.width
        assert 8 <= label.y <= declared.height


@pytest.mark.parametrize(("slug", "inputs"), DRAWN)
def test_spoken_and_no_data(slug: str, inputs: dict[str, Any]) -> None:
    outcome, declared = outcome_of(slug, inputs)
    root = ElementTree.fromstring(picture(declared))
    assert root.get("role") == "img"
    assert root.get("aria-label") == declared.spoken
    printed = " ".join(plain_text.outcome(outcome).split())
    assert declared.spoken in printed
    answer = answer_of(outcome, "0.0.0+test")
    json.dumps(answer.data())
    assert not {"picture", "diagram"} & answer.values.keys()
    assert "diagram" in {
        output["kind"].removeprefix("output") for output in description(outcome.calculator)["outputs"]
    }


def test_words_from_outside_are_escaped() -> None:
    hostile = '<b>"&'
    declared = Diagram(
        hostile,
        100,
        50,
        hostile,
        (Box(0, 0, 50, 20, (hostile,)),),
        (Wire(((0, 0), (9, 9))),),
        (Label(0, 40, hostile),),
    )
    drawn = diagram(declared)
    assert hostile not in drawn
    assert drawn.count("&lt;b&gt;&quot;&amp;") == 4


def test_the_schedule_is_drawn_with_its_sizes_and_fuses() -> None:
    outcome, declared = outcome_of("wiring-schedule", JOB["wiring"])
    words = [line for box in declared.boxes for line in box.lines] + [
        label.words for label in declared.labels
    ]
    for line in outcome.result.runs:
        if line.drop is None:
            continue  # Speaker pairs and signal lines are not of the supply.
        assert f"{line.size * 1e6:.3g} mm², {line.length:.3g} m" in words
        assert line.end in words
        assert line.fuse is None or f"fuse {line.fuse:g} A" in words
    assert sum(box.kind == "battery" for box in declared.boxes) == 1
    assert sum(box.kind == "fuse" for box in declared.boxes) == 8
    assert sum(box.kind == "ground" for box in declared.boxes) == 4
    # All of it comes home: every device has its way back, and the body leads on to the battery.
    assert "Battery is grounded to Body, 1.8 mΩ, 55.5 A." in declared.spoken
    for device in outcome.result.devices:
        assert f"{device.name} is grounded to " in declared.spoken
