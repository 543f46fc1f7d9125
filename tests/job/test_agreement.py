"""Answers of a job that contradict each other: named before first power, and on no sheet as the truth."""

import copy
from pathlib import Path
from typing import Any

import pytest

from calculators.job.agreement import Bought
from calculators.job.changing import HasNone, jobsheet
from calculators.job.reading import read_job
from calculators.job.signing import hindrances
from calculators.job.working import Worked, work_out
from tests.job.sheet_words import on_paper

JOB = read_job(Path("docs/job.json").read_bytes())
THIN_FEED: dict[str, Any] = {"current": 18.5, "length": 6.0, "route": "carpet"}
OTHER_FUSE: dict[str, Any] = {"current": 40.0, "area": 35e-6}


def with_other(name: str, calculator: str, inputs: dict[str, Any]) -> Worked:
    """The running job's schedule, whose main feed is 35 mm² behind 70 A, beside another answer."""
    job = copy.deepcopy(JOB)
    runs = [run for run in job["sheet"]["runs"] if run["name"] == "wiring"]
    job["sheet"]["runs"] = [*runs, {"name": name, "calculator": calculator, "inputs": inputs}]
    return work_out(job, "")


def printed(done: Worked, name: str) -> str:
    return " ".join(on_paper(done, name))


@pytest.mark.parametrize(
    ("name", "calculator", "inputs", "words"),
    [
        ("feed", "cable", THIN_FEED, "with a fuse of 25 A is not in the wiring schedule"),
        ("main-fuse", "fuse", OTHER_FUSE, "35 mm² with a fuse of 50 A is not in the wiring schedule"),
    ],
)
def test_a_feed_or_fuse_that_the_schedule_contradicts_is_named_and_the_fuse_left_to_the_pen(
    name: str, calculator: str, inputs: dict[str, Any], words: str
) -> None:
    done = with_other(name, calculator, inputs)
    (said,) = done.contradictions
    assert said.startswith(f"{name}: ")
    assert words in said
    assert said in done.missing
    for point in ("H4", "H6"):
        assert [found for found in hindrances(done, point) if found.startswith(said)]
    assert not [found for found in hindrances(done, "H3") if found.startswith(said)]
    for sheet in ("glove-box-card", "handover"):
        assert "70 A" not in printed(done, sheet)
        assert "Main fuse" in printed(done, sheet)
    schedule = printed(done, "wiring-schedule")
    assert schedule.index("Fit nothing by this sheet yet") < schedule.index(said) < schedule.index("70")


def test_a_fuse_and_its_feed_are_one_line_of_the_schedule() -> None:
    done = work_out(JOB, "")
    assert {"feed", "feed-fuse", "wiring"} <= set(done.runs)
    assert done.contradictions == []
    assert "70 A" in printed(done, "glove-box-card")
    assert "Fit nothing" not in printed(done, "wiring-schedule")


def with_main_feed(area: float) -> Worked:
    job = copy.deepcopy(JOB)
    next(run for run in job["wiring"]["runs"] if run["name"] == "Main feed")["area"] = area
    return work_out(job, "")


def test_a_feed_thicker_than_asked_agrees_and_a_thinner_one_does_not() -> None:
    thick = with_main_feed(50e-6)
    assert thick.contradictions == []
    assert "70 A" in printed(thick, "glove-box-card")
    thin = with_main_feed(25e-6)
    assert len(thin.contradictions) == 2, (
        "the feed and its fuse: the amplifier's ground, 35 mm², hides neither"
    )
    for words in thin.contradictions:
        assert "35 mm² with a fuse of 70 A is not in the wiring schedule; nearest there: " in words
        assert "Main feed, 25 mm² without a fuse or Amplifier feed, 25 mm² with a fuse of 70 A. Mend" in words


@pytest.mark.parametrize(
    ("line", "asked", "cable", "fuse"),
    [
        ((35e-6, 70.0), (35e-6, 70.0), True, True),
        ((50e-6, 70.0), (35e-6, 70.0), True, True),
        ((50e-6, 60.0), (35e-6, 70.0), True, False),  # Smaller than the fuse asked for: it would blow.
        ((50e-6, 80.0), (35e-6, 70.0), False, False),
        ((25e-6, 70.0), (35e-6, 70.0), False, False),
        ((25e-6, 60.0), (35e-6, 70.0), False, False),
        ((50e-6, None), (35e-6, 70.0), False, False),
        ((50e-6, 70.0), (35e-6, None), False, False),
    ],
)
def test_a_line_stands_for_no_thicker_cable_and_no_smaller_fuse(
    line: tuple[float, float | None], asked: tuple[float, float | None], cable: bool, fuse: bool
) -> None:
    assert Bought(*line).stands_for(Bought(*asked), fuse_asked=False) is cable
    assert Bought(*line).stands_for(Bought(*asked), fuse_asked=True) is fuse
    assert not Bought(*line, kind="speaker").stands_for(Bought(*asked), fuse_asked=False)


def test_a_thin_feed_takes_no_line_that_a_thicker_one_needs() -> None:
    """The amplifier's 25 mm² stands for the thin feed, and the main feed's 35 mm² stays for its own."""
    job = copy.deepcopy(JOB)
    thin = {"current": 53.7, "length": 0.2, "supply": 13.5}
    job["sheet"]["runs"].insert(0, {"name": "amplifier-feed", "calculator": "cable", "inputs": thin})
    done = work_out(job, "")
    found = done.runs["amplifier-feed"].outcome
    assert found is not None
    assert found.result.size < 35e-6
    assert found.result.fuse == 70
    assert done.contradictions == []


def test_a_ground_is_held_against_grounds_by_its_size_and_by_its_name_alone() -> None:
    ground: dict[str, Any] = {"current": 54.0, "length": 0.3}
    assert with_other("ground", "cable", ground).contradictions == []
    thick = ground | {"length": 10.0}
    (named,) = with_other("rear earth", "cable", thick).contradictions
    assert "Is it a ground? Take it back, and put it in under a name that begins with “ground”" in named
    (said,) = with_other("ground 2", "cable", thick).contradictions
    assert "Is it a ground?" not in said
    assert said.startswith(
        "ground 2: 70 mm² is not in the wiring schedule; nearest there: Amplifier ground, 35 mm²"
    )
    assert (
        with_other("grounds-feed", "cable", thick).contradictions[0].startswith("grounds-feed: 70 mm² with a")
    )


def test_a_fuse_without_a_line_is_told_to_add_one() -> None:
    (said,) = with_other("light-fuse", "fuse", {"current": 0.5, "area": 1e-6}).contradictions
    assert "add the one that lacks, as of a knob's light" in said
    job = copy.deepcopy(JOB)
    light = {"name": "Knob light", "start": "Dimmed line", "end": "Knob", "length": 1.0, "kind": "wake-up"}
    job["wiring"]["runs"].append(light | {"current": 0.5, "area": 1e-6})
    fuse = {"name": "light-fuse", "calculator": "fuse", "inputs": {"current": 0.5, "area": 1e-6}}
    job["sheet"]["runs"].append(fuse)
    assert work_out(job, "").contradictions == [], "the way that is told is one"


def test_a_capacitor_in_the_schedule_of_a_job_that_has_none_is_named() -> None:
    job = copy.deepcopy(JOB)
    next(run for run in job["sheet"]["runs"] if run["name"] == "pre-charge")["inputs"] = {}
    job = jobsheet(job, HasNone(run="pre-charge", by="A", at="2031-05-21 10:00", reason="none fitted"))
    done = work_out(job, "")
    (said,) = done.contradictions
    assert said == "pre-charge: this job has none, and the wiring schedule has a capacitor: Capacitor leg"
    assert [found for found in hindrances(done, "H4") if found.startswith(said)]
    assert "A capacitor behind it stays charged" in printed(done, "glove-box-card"), "the safer of the two"
    job["wiring"]["runs"] = [run for run in job["wiring"]["runs"] if run.get("kind") != "capacitor"]
    assert not [words for words in work_out(job, "").contradictions if words.startswith("pre-charge")]
