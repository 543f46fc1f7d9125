"""What a newcomer could forget: held for every calculator, and named by it."""

import re
from pathlib import Path

import pytest

from calculators import stages
from calculators.__main__ import main
from calculators.declaring import Calculator
from calculators.stages import CONTENTS, Stage, every_calculator, find_calculator

ROOT = Path(__file__).resolve().parents[2]
FENCE = re.compile(r"^```(?:calculator|worked|look-up)\n(\S+)", re.MULTILINE)

NOTHING_PUBLISHED = {
    "charging-budget": "a sum of currents; no table of it exists",
    "wiring-schedule": "its figures are those of cable and fuse, held there",
    "graphic-equaliser": "held against two solvers of a reference library",
    "read-back": "compares two lists: fault by fault in tests/stages/tuning/test_read_back.py",
    "guided-tune": "says what comes next; its sums are held in tests/stages/tuning/test_guided_tune.py",
    "fir-correction": "held against SciPy and the cookbook in tests/physics/test_fir_corrections.py",
    "equaliser-headroom": "held against the response on a dense grid",
    "job-sheet": "it works other calculators out",
    "target-curve": "taste: common practice, no source",
    "first-upgrade": "one fitter's experience: common practice, no source",
}
"""Calculators without a row under tests/published, each with the reason."""

HANDS = (
    "survey",
    "design",
    "treatment",
    "fabrication",
    "wiring",
    "pick_up",
    "commissioning",
    "tuning",
    "verification",
    "handover",
)
"""Stages in which a hand acts on what a calculator answers."""
TYPED, READ = "typed into the processor", "read, and nothing is done by it"
NO_HAND = {
    "cabin-gain": "an estimate",
    "driver-parameters": "small signals, on a bench",
    "slot-speed": "a size for the drawing; the saw is the enclosure's",
    "leak-return": "a finger on a cone",
    "gain-chain": "gains on paper; gain-voltage sets them",
    "flatten": TYPED,
    "delay": TYPED,
    "delay-two-seats": TYPED,
    "all-pass": TYPED,
    "crossover": TYPED,
    "acoustic-slope": TYPED,
    "sub-alignment": TYPED,
    "filter": TYPED,
    "level-trim": "typed, and never upwards",
    "starting-trim": "typed, and never upwards",
    "loudness-contour": "a guide for a knob's range",
    "graphic-equaliser": TYPED,
    "equaliser-headroom": "typed, and never upwards",
    "target-curve": TYPED,
    "phase-and-join": READ,
    "opposed-band": READ,
    "off-axis": READ,
    "voice-place": READ,
    "curve-average": READ,
    "curve-smooth": READ,
    "curve-compare": READ,
    "spatial-spread": READ,
}
"""Calculators there without a caution, each with the reason; the page of the step has its own."""

every = pytest.mark.parametrize("calculator", every_calculator(), ids=lambda entry: entry.slug)


PUBLISHED = "".join(path.read_text("utf-8") for path in (ROOT / "tests" / "published").glob("test_*.py"))
SHOWN = {slug for page in (ROOT / "docs").rglob("*.md") for slug in FENCE.findall(page.read_text("utf-8"))}


@every
def test_has_a_published_value_or_a_reason(calculator: Calculator) -> None:
    slug = calculator.slug
    published, excused = f'"{slug}"' in PUBLISHED, slug in NOTHING_PUBLISHED
    assert published != excused, (
        f"{slug} needs a row under tests/published, or its reason in NOTHING_PUBLISHED (not both)"
    )


@every
def test_has_a_caution_where_a_hand_acts_or_is_named(calculator: Calculator) -> None:
    bare = not calculator.cautions and calculator.stage in HANDS
    assert bare == (calculator.slug in NO_HAND), (
        f"{calculator.slug}: give it cautions=(…) of cautions.py, or name it in NO_HAND (not both)"
    )


@every
def test_stands_on_a_page(calculator: Calculator) -> None:
    shown = calculator.slug in SHOWN
    assert shown, f"no page under docs/ shows {calculator.slug}: add a calculator fence to one"


def test_a_file_that_contents_forgot_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    tuning = CONTENTS["tuning"]
    without = Stage(tuning.title, tuple(slug for slug in tuning.slugs if slug != "level-trim"))
    monkeypatch.setitem(stages.CONTENTS, "tuning", without)
    place = r"calculators/stages/tuning/level_trim\.py, but CONTENTS .* does not list it"
    with pytest.raises(KeyError, match=place):
        find_calculator("level-trim")
    assert main(["level-trim"]) == 2
    assert re.search(place, capsys.readouterr().err)


@pytest.mark.parametrize(("typed", "meant"), [("level-trims", "level-trim"), ("crosover", "crossover")])
def test_a_name_mistyped_is_told_with_the_one_it_is_like(typed: str, meant: str) -> None:
    with pytest.raises(KeyError, match=f"called '{typed}'. Perhaps {meant}. There are: "):
        find_calculator(typed)


@pytest.mark.parametrize("name", ["", "-", "__init__", "../tuning/delay", "delay.delay", "no-such", "é"])
def test_a_name_that_is_none_is_said_to_be_none(name: str) -> None:
    with pytest.raises(KeyError, match=r"There is no calculator called '.*'\..* There are: "):
        find_calculator(name)
