"""Drawings: by classes alone, spoken in full, inside their own frame, readable, and no data."""

import json
import re
from collections.abc import Iterator
from itertools import combinations
from math import hypot, radians, sin
from pathlib import Path
from typing import Any, get_args
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from calculators.declaring import Drawing, Outcome, Take, answer_of, run_values
from calculators.declaring.drawings import (
    PICTURE,
    Arc,
    Dimension,
    Dot,
    Hatch,
    Line,
    Moving,
    Place,
    Polygon,
    Pose,
    Shape,
    Text,
    rectangle,
    scale_bar,
)
from calculators.presenting import plain_text, results
from calculators.presenting.drawings import HATCH_STEP, SHAPES, drawing, hatch_strokes, picture
from calculators.presenting.values import description
from calculators.self_checks import BLOCKS, question
from calculators.self_checks.asking import Choice
from calculators.site.figures import FIGURES
from calculators.stages import CONTENTS, find_calculator
from tests.examples import outcome_of as example_of
from tests.running_job import schedule_of

STYLES = Path("docs/assets/doorcard/style/drawings.css").read_text(encoding="utf-8")
JOB = json.loads(Path("docs/job.json").read_text(encoding="utf-8"))
# Widths to count for a letter of each size, and the heights above and under its base line, in units of
# the picture: the mean of a line of text in the widest face that a phone shows.
LETTER, STRONG = (7.2, 11.0, 3.0), (8.6, 12.0, 4.0)


def coils(count: int, wiring: str) -> tuple[str, dict[str, Any]]:
    return "speaker-load", {"coils": [{"impedance": 4.0, "count": count}], "wiring": wiring}


DEEP = {
    "runs": [
        {
            **JOB["wiring"]["runs"][0],
            "name": f"A run with a long name {number}",
            "start": f"Distribution block no. {number}" if number else "Battery",
            "end": f"Distribution block no. {number + 1}",
            "current": 20.0 if number == 8 else None,
        }
        for number in range(9)
    ]
}
WORKED = [
    ("wiring-schedule", schedule_of(JOB)),
    ("wiring-schedule", DEEP),
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
    ("treatment-plan", dict(find_calculator("treatment-plan").example)),
    ("box-volume", dict(find_calculator("box-volume").example)),
    ("box-volume", {"shape": "well", "diameter": 0.56, "bottom_diameter": 0.5, "height": 0.12}),
]


def outcome_of(slug: str, inputs: dict[str, Any]) -> tuple[Outcome, Drawing]:
    outcome = run_values(find_calculator(slug), inputs)
    assert outcome.errors == ()
    name = next(
        output.name
        for output in outcome.calculator.outputs
        if "drawing" in type(output.kind).__name__.lower()
    )
    return outcome, getattr(outcome.result, name)


def heard_of(slug: str) -> tuple[Take, ...]:
    """The sounds of a demonstration's example; of a calculator without any, nothing."""
    sound = getattr(example_of(slug).result, "sound", None)
    return sound.takes if sound else ()


def asked_about() -> Iterator[tuple[str, str, int, Drawing]]:
    """The pictures of the self-checks, each as it is drawn for a few seeds."""
    for block, entry in BLOCKS.items():
        for name in entry.checks:
            for seed in range(4):
                asked = question(block, name, seed)
                if isinstance(asked, Choice) and asked.picture:
                    yield block, name, seed, asked.picture


ALL = {
    **{f"{slug} {number}": outcome_of(slug, inputs)[1] for number, (slug, inputs) in enumerate(WORKED)},
    **{name: draw() for name, draw in FIGURES.items()},
    **{f"{block} {name} {seed}": shown for block, name, seed, shown in asked_about()},
    **{
        f"{slug} {take.name}": take.picture
        for slug in CONTENTS["demonstrations"].slugs
        for take in heard_of(slug)
    },
}
each = pytest.mark.parametrize("name", ALL)


def places(shape: Shape) -> Iterator[Place]:
    match shape:
        case Line() | Polygon():
            yield from shape.places
        case Hatch():
            yield from (place for outline in shape.outlines for place in outline)
        case Dimension():
            yield from (shape.start, shape.end)
        case Text() | Dot():
            yield shape.place
        case Moving():
            return  # What moves may leave the frame, and is cut off there.
        case Arc():
            x, y = shape.centre
            if shape.end - shape.start >= 360:
                yield from ((x - shape.radius, y - shape.radius), (x + shape.radius, y + shape.radius))


def lettered(declared: Drawing) -> list[tuple[str, float, float, float, float]]:
    """Every line of text as it is drawn: words, left, top, right, bottom."""
    found = []
    for element in ElementTree.fromstring(picture(declared)).iter("text"):
        names = (element.get("class") or "").split()
        letter, above, below = STRONG if "dc-strong" in names else LETTER
        words = element.text or ""
        x, y, reach = float(element.get("x", "")), float(element.get("y", "")), letter * len(words)
        left = x - reach * (0.5 if "dc-middle" in names else 1.0 if "dc-end" in names else 0.0)
        found.append((words, left, y - above, left + reach, y + below))
    return found


@each
def test_drawn_by_classes_that_the_style_sheet_knows(name: str) -> None:
    drawn = drawing(ALL[name])
    assert "style" not in drawn
    assert "<script" not in drawn
    assert " id=" not in drawn
    names = {part for group in re.findall(r'class="([^"]+)"', drawn) for part in group.split()}
    assert all(f".{part}" in STYLES for part in names)


@each
def test_everything_lies_inside_the_frame(name: str) -> None:
    declared = ALL[name]
    for shape in declared.shapes:
        for x, y in places(shape):
            assert 0 <= x <= declared.width, shape
            assert 0 <= y <= declared.height, shape
    for words, left, top, right, bottom in lettered(declared):
        assert left >= -1, words
        assert right <= PICTURE + 1, words
        assert top >= -1, words
        assert bottom <= declared.height / declared.unit + 1, words


@each
def test_no_line_of_text_lies_over_another(name: str) -> None:
    for first, second in combinations(lettered(ALL[name]), 2):
        apart = (
            first[3] <= second[1] or second[3] <= first[1] or first[4] <= second[2] or second[4] <= first[2]
        )
        assert apart, (first, second)


@pytest.mark.parametrize(("slug", "inputs"), WORKED)
def test_spoken_and_no_data(slug: str, inputs: dict[str, Any]) -> None:
    outcome, declared = outcome_of(slug, inputs)
    assert drawing(declared) in results.result_html(outcome)
    root = ElementTree.fromstring(picture(declared))
    assert root.get("role") == "img"
    assert root.get("aria-label") == declared.spoken
    assert declared.spoken in " ".join(plain_text.result_text(outcome).split())
    answer = answer_of(outcome, "0.0.0+test")
    json.dumps(answer.data())
    assert not {"picture", "diagram"} & answer.values.keys()
    assert "drawing" in {
        output["kind"].removeprefix("output") for output in description(outcome.calculator)["outputs"]
    }


def test_words_from_outside_are_escaped() -> None:
    hostile = '<b>"&'
    declared = Drawing(
        title=hostile,
        spoken=hostile,
        height=50,
        shapes=(Text((0, 40), hostile), Dimension((0, 0), (9, 9), words=hostile)),
    )
    drawn = drawing(declared)
    assert hostile not in drawn
    assert drawn.count("&lt;b&gt;&quot;&amp;") == 4


def test_every_shape_can_be_drawn() -> None:
    assert set(SHAPES) == set(get_args(Shape.__value__))


def test_what_moves_is_told_in_units_of_the_picture() -> None:
    dot = Arc((500, 250), 50)
    poses = (Pose(0.0), Pose(1.0, (100, -50), 1.5, seen=False))
    drawn = picture(Drawing("", "", 500, (Moving((dot,), poses, 2.0, (500, 250)),), width=760))
    assert '<g data-poses="0 0 0 1 1;1 50 -25 1.5 0" data-centre="250 125" data-seconds="2"><path' in drawn


def test_width_makes_the_scale_and_letters_keep_their_size() -> None:
    shapes = (
        Line(((0, 0), (1900, 950))),
        Dimension((0, 500), (1234.4, 500), aside=100),
        Arc((950, 500), 190),
        Text((1900, 950), "end", "end"),
    )
    drawn = picture(Drawing("", "", 950, shapes, width=1900))
    assert 'viewBox="0 0 380 190"' in drawn
    assert 'd="M0 0L380 190"' in drawn
    assert ">1234 mm<" in drawn
    assert "a38 38 0 1 1 76 0" in drawn
    assert '<text class="dc-end" x="380" y="190">' in drawn


@given(width=st.floats(10, 20000))
def test_a_scale_bar_is_a_round_length_that_fits(width: float) -> None:
    bar = scale_bar(0, 0, width)
    length = bar.end[0] - bar.start[0]
    assert width / 9 < length <= width / 3
    assert float(f"{length:.0e}") == pytest.approx(length)
    assert f"{length:.0e}"[0] in "125"


@given(
    left=st.floats(0, 50),
    top=st.floats(0, 50),
    width=st.floats(60, 250),
    height=st.floats(60, 250),
    hole=st.floats(0.1, 0.8),
    slope=st.sampled_from((-1, 1)),
)
def test_a_hatch_fills_its_outline_and_spares_its_hole(
    left: float, top: float, width: float, height: float, hole: float, slope: int
) -> None:
    """Length of all strokes times the distance between them is the area, to a few strokes."""
    inner = rectangle(
        left + width * (1 - hole) / 2, top + height * (1 - hole) / 2, width * hole, height * hole
    )
    strokes = list(hatch_strokes((rectangle(left, top, width, height), inner), slope))
    drawn = sum(hypot(x2 - x1, y2 - y1) for (x1, y1), (x2, y2) in strokes) * HATCH_STEP / 2**0.5
    assert drawn == pytest.approx(width * height * (1 - hole**2), abs=2 * HATCH_STEP * max(width, height))
    for start, end in strokes:
        x, y = (start[0] + end[0]) / 2, (start[1] + end[1]) / 2
        assert left <= x <= left + width
        assert top <= y <= top + height
        assert not (inner[0][0] < x < inner[2][0] and inner[0][1] < y < inner[2][1])


@given(start=st.floats(0, 360), turn=st.floats(1, 359), radius=st.floats(1, 150))
def test_an_arc_goes_the_way_it_says(start: float, turn: float, radius: float) -> None:
    """Read back from SVG's own words: its chord, and which of the two ways round is taken."""
    drawn = picture(Drawing("", "", 380, (Arc((190, 190), radius, start, start + turn),)))
    found = re.search(r"M(\S+) (\S+)A(\S+) \S+ 0 ([01]) 1 (\S+) ([^\"]+)\"", drawn)
    assert found is not None
    x1, y1, size, large, x2, y2 = (float(word) for word in found.groups())
    chord = 2 * radius * sin(radians(turn / 2))
    assert hypot(x2 - x1, y2 - y1) == pytest.approx(chord, abs=0.3)
    assert size == pytest.approx(radius, abs=0.06)
    assert large == (turn > 180)


def test_the_schedule_is_drawn_with_its_sizes_and_fuses() -> None:
    outcome, declared = outcome_of("wiring-schedule", schedule_of(JOB))
    words = [shape.words for shape in declared.shapes if isinstance(shape, Text)]
    for line in outcome.result.runs:
        if line.drop is None:
            continue  # Speaker pairs and signal lines are not of the supply.
        assert f"{line.size * 1e6:.3g} mm², {line.length:.3g} m" in words
        assert line.end in words
        assert line.fuse is None or f"fuse {line.fuse:g} A" in words
    assert sum(word.startswith("fuse ") for word in words) == 8
    assert words.count("Battery") == 1
    assert words.count("Ground stud") + words.count("Body") == 4
    # All of it comes home: every device has its way back, and the body leads on to the battery.
    assert "Battery is grounded to Body, 1.8 mΩ, 55.5 A." in declared.spoken
    for device in outcome.result.devices:
        assert f"{device.name} is grounded to " in declared.spoken


def test_each_conductor_is_drawn_as_its_kind() -> None:
    """A feed for every fuse, a dashed line for every ground, from a place to the next."""
    outcome, declared = outcome_of("wiring-schedule", schedule_of(JOB))
    wires = [shape for shape in declared.shapes if isinstance(shape, Line) and len(shape.places) == 3]
    grounds = [wire for wire in wires if wire.stroke == "ground"]
    grounded = [line for line in outcome.result.runs if line.fuse is None and line.drop is not None]
    # Each ground is two lines, to the strip and from it; the body's way home is one more.
    assert len(grounds) == 2 * (len(grounded) + 1)
    assert sum(wire.stroke == "feed" for wire in wires) == 8
