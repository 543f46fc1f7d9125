"""One job from empty to finished and printed, each value typed once: forms, lines, readings, signatures."""

import json
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from calculators.declaring import answer_of, run_typed
from calculators.declaring.answers import plain
from calculators.job.carrying import PutIn, carried
from calculators.job.changing import Sign, begun, jobsheet
from calculators.job.entries import LINES, READINGS, Accept, Measure, WriteLine, told_of
from calculators.job.facts import has_fact
from calculators.job.papers import papers
from calculators.job.printing import page
from calculators.job.reading import FACT, Job, read_job
from calculators.job.working import Worked, fact, work_out

JOB = read_job(Path("docs/job.json").read_bytes())
RUNS = JOB["sheet"]["runs"]
POINTS = JOB["sheet"]["hold_points"]
AT = POINTS[0]["at"]
LOOMS = "condition", "airbag_looms"
"""Ticked by the pen on the card: no form asks for it."""
CORNERS = [
    {"name": f"corner-{join}", "calculator": "crossover", "inputs": {
        "family": f"job:crossovers.{join}.family", "slope": f"job:crossovers.{join}.slope",
        "low_pass": f"job:crossovers.{join}.frequency",
    }}
    for join in ("tweeter", "subwoofer")
]  # fmt: skip
"""The forms of two joins: what they put in stands on the tuning sheet."""


@cache
def whole() -> Worked:
    """The running job with those two."""
    return work_out(JOB | {"sheet": JOB["sheet"] | {"runs": [*RUNS, *CORNERS]}}, "")


def typed_into(job: Job, run: Mapping[str, Any]) -> tuple[Job, list[str]]:
    """The job with a run's form put in, and the places that were typed: the job fills in all others."""
    name, sources, outcome = run["name"], run["inputs"], whole().runs[run["name"]].outcome
    assert outcome is not None
    calculator, arguments = outcome.calculator, outcome.arguments
    paths = {key: value.removeprefix(FACT) for key, value in sources.items() if str(value).startswith(FACT)}
    known = carried(job, calculator.slug, paths)
    fields: dict[str, str] = {}
    typed = []
    for entry in calculator.inputs:
        value = plain(known[entry.name].value if entry.name in known else arguments[entry.name])
        fields |= entry.kind.write_text(entry.name, value)
        if entry.name not in known and entry.name in sources:
            typed.append(paths.get(entry.name, f"{name}.{entry.name}"))
    answer = answer_of(run_typed(calculator, fields), "")
    return jobsheet(job, PutIn(answer=answer, paths=paths, by="A", at=AT)), typed


def lines_written(job: Job, path: str) -> Job:
    """The job with the running job's lines of a sheet."""
    for row in fact(JOB, path) if has_fact(JOB, path) else ():
        cells = {name: f"{value:g}" if isinstance(value, float) else value for name, value in row.items()}
        change = WriteLine(path=path, number="", cells=cells, by="A", at=AT)
        job = jobsheet(job, change)
    return job


def reading_of_the_running_job(name: str) -> float:
    """What it holds for a reading that is no line of the proof."""
    path = READINGS[name][0]
    assert has_fact(JOB, path), f"{name} is typed: give the running job its {path} in docs/job.json"
    return float(fact(JOB, path))


def readings_typed(job: Job) -> tuple[Job, list[str]]:
    """The job with every reading of the proof, and its vehicle's limits."""
    typed = []
    asked = {entry["line"]: entry["asks"] for entry in told_of(work_out(job, ""))["proof"]}
    measured = {line.name: line for line in whole().proof}
    for name, wants in asked.items():
        line = measured.get(name)
        reading = line.measured if line else reading_of_the_running_job(name)
        limit = f"{line.most:g}" if line and wants else ""
        change = Measure(line=name, reading=f"{reading:g}", limit=limit, by="A", at=AT)
        job = jobsheet(job, change)
        typed.append(name)
    return job, typed


def test_a_job_goes_from_empty_to_finished_sheets_and_no_value_is_typed_twice() -> None:
    job, typed = begun(JOB, "Bay 3"), []
    for run in (*RUNS, *CORNERS):
        job, places = typed_into(job, run)
        typed += places
    for path in LINES:
        job = lines_written(job, path)
    job, readings = readings_typed(job)
    typed += readings
    (entry,) = JOB["sheet"]["exceptions"]
    words = {name: entry[name] for name in ("what", "why", "accepted")}
    job = jobsheet(job, Accept(**words, by="A", at=AT))
    for point in POINTS:
        job = jobsheet(job, Sign(**point))
    assert len(typed) == len(set(typed)), "a value is typed once"
    printed_there = printed(job)
    worked = work_out(read_job(json.dumps(job).encode()), "")
    assert (worked.missing, worked.finished) == ([], True)
    for name, made in printed(JOB).items():
        alike(printed_there[name], made)


def alike(one: str, other: str) -> None:
    """Two sheets are the same but for the last digit of a figure: a field shows nine."""
    texts, others = (re.split(r"(\d+\.\d+)", sheet) for sheet in (one, other))
    assert texts[::2] == others[::2]
    assert [float(figure) for figure in texts[1::2]] == pytest.approx(
        list(map(float, others[1::2])), abs=1.1e-3
    )


def printed(job: Job) -> dict[str, str]:
    """All sheets, with the looms ticked."""
    section, name = LOOMS
    job = job | {section: job[section] | {name: JOB[section][name]}}
    return {paper.name: page(paper, "Bay 3", "", "") for paper in papers(work_out(job, ""))}
