"""Changing a job: `jobsheet` takes a job and a change, and gives another job. Nothing is changed in place."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declaring import Answer
from calculators.job.carrying import PutIn, put_in
from calculators.job.facts import SetFact, with_entries, with_fact
from calculators.job.reading import FACT, RUN, Job, JobError, checked
from calculators.job.sheet import VERSION, HoldPointName, signed
from calculators.job.working import Worked

TAKEN_BACK = "taken back"
NAMED = (FACT, RUN)


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


@dataclass(frozen=True, kw_only=True)
class TakeBack:
    """Go back to the job as it was; the history keeps what was changed, and that it was taken back."""

    before: Job
    by: str
    at: str


type Change = SetFact | PutIn | Sign | Store | Forget | TakeBack


def jobsheet(job: Job, change: Change) -> Job:
    """The job after a change, checked whole. Raises JobError, and then the job at hand is as it was."""
    sheet = job["sheet"]
    if isinstance(change, SetFact):
        return checked(with_fact(job, change))
    if isinstance(change, PutIn):
        return checked(put_in(job, change))
    if isinstance(change, TakeBack):
        return checked(_taken_back(job, change))
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


def begun(skeleton: Job, title: str) -> Job:
    """A new job: the runs and the proof of another one, without its facts, readings, answers and names."""
    sheet = skeleton["sheet"]
    runs = [
        {name: value for name, value in run.items() if name != "answer"} | {"inputs": _named(run["inputs"])}
        for run in sheet.get("runs", ())
    ]
    proof = [
        line | ({} if isinstance(line.get("measured"), str) else {"measured": None})
        for line in sheet.get("proof", ())
    ]
    return checked({"sheet": {"version": VERSION, "title": title, "runs": runs, "proof": proof}})


def _named(inputs: Mapping[str, Any]) -> dict[str, Any]:
    """Of a run's inputs, those that name a fact or an answer."""
    return {
        name: value for name, value in inputs.items() if isinstance(value, str) and value.startswith(NAMED)
    }


def _taken_back(job: Job, change: TakeBack) -> Job:
    history = job["sheet"].get("history", [])
    undone = history[len(change.before["sheet"].get("history", ())) :]
    entries = [_entry(change, entry["path"], entry["after"], entry["before"]) for entry in reversed(undone)]
    before = change.before
    have = signed(before["sheet"])
    for point, told in signed(job["sheet"]).items():
        if point in have:
            continue
        words = f"{told['by']}, {told['at']}"
        entries.append(_entry(change, f"hold_points.{point}", words, ""))
    return with_entries(before | {"sheet": before["sheet"] | {"history": history}}, entries)


def _entry(change: TakeBack, path: str, before: str, after: str) -> dict[str, str]:
    names = {"path": path, "before": before, "after": after}
    return names | {"by": change.by, "at": change.at, "reason": TAKEN_BACK}
