"""Changing a job: `jobsheet` takes a job and a change, and gives another job. Nothing is changed in place."""

from collections.abc import Mapping
from dataclasses import dataclass
from json import dumps
from typing import Any

from calculators.declaring import Answer
from calculators.job.reading import Job, JobError, checked
from calculators.job.sheet import LOCKED, HoldPointName, signed
from calculators.job.working import Worked, fact

MOST_WORDS = 400


@dataclass(frozen=True, kw_only=True)
class SetFact:
    """Put a value at a path of facts that is there; behind a hold point only with a reason."""

    path: str
    value: Any
    by: str
    at: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Sign:
    """Sign a hold point: by whom, and when."""

    point: HoldPointName
    by: str
    at: str


@dataclass(frozen=True, kw_only=True)
class Store:
    """Keep the answers of runs, by the runs' names."""

    answers: Mapping[str, Answer]


def kept(worked: Worked, renew: bool = False) -> Job:
    """The job with its answers kept; over one that is out of date only where that is asked for."""
    answers = {
        run.name: run.answer
        for run in worked.runs.values()
        if run.answer and (renew or run.standing != "stale")
    }
    return jobsheet(worked.job, Store(answers=answers))


@dataclass(frozen=True, kw_only=True)
class Forget:
    """Erase who the customer is; the technical record stays."""


type Change = SetFact | Sign | Store | Forget


def jobsheet(job: Job, change: Change) -> Job:
    """The job after a change, checked whole. Raises JobError, and then the job at hand is as it was."""
    sheet = job["sheet"]
    if isinstance(change, SetFact):
        return checked(_with_fact(job, change))
    if isinstance(change, Sign):
        if not change.by.strip():
            raise JobError("by", "Somebody signs it: type the initials.")
        if change.point in signed(sheet):
            raise JobError(change.point, "This hold point is signed already.")
        points = [*sheet.get("hold_points", ()), {"point": change.point, "by": change.by, "at": change.at}]
        return checked(job | {"sheet": sheet | {"hold_points": points}})
    if isinstance(change, Store):
        runs = [
            run | {"answer": change.answers[run["name"]].data()} if run["name"] in change.answers else run
            for run in sheet.get("runs", ())
        ]
        return checked(job | {"sheet": sheet | {"runs": runs}})
    return checked(job | {"sheet": {name: value for name, value in sheet.items() if name != "customer"}})


def locked_by(job: Job, path: str) -> str:
    """The signed hold point that closes a path of facts; an empty text where it is open."""
    section = path.partition(".")[0].partition("[")[0]
    have = signed(job["sheet"])
    return next((point for point, sections in LOCKED.items() if section in sections and point in have), "")


def _with_fact(job: Job, change: SetFact) -> Job:
    before = fact(job, change.path)
    point = locked_by(job, change.path)
    if point and not change.reason.strip():
        raise JobError(change.path, f"{point} is signed: give the reason for this change, and your initials.")
    if point and not change.by.strip():
        raise JobError(change.path, f"{point} is signed: give your initials with the reason.")
    if isinstance(before, dict | list) and type(before) is not type(change.value):
        raise JobError(change.path, "What stands there has another form.")
    entry = {
        "path": change.path,
        "before": _words(before),
        "after": _words(change.value),
        "by": change.by,
        "at": change.at,
        "reason": change.reason,
    }
    sheet = job["sheet"]
    steps = change.path.replace("[", ".").replace("]", "").split(".")
    changed: Job = _put(job, steps, change.value)
    return changed | {"sheet": sheet | {"history": [*sheet.get("history", ()), entry]}}


def _put(value: Any, steps: list[str], new: Any) -> Any:
    """A copy with one place in it changed; the rest is shared."""
    if not steps:
        return new
    if isinstance(value, list):
        number = int(steps[0])
        return [*value[:number], _put(value[number], steps[1:], new), *value[number + 1 :]]
    return value | {steps[0]: _put(value[steps[0]], steps[1:], new)}


def _words(value: Any) -> str:
    return dumps(value, ensure_ascii=False, allow_nan=False)[:MOST_WORDS]
