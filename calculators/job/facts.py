"""Facts of a job: one of them changed, the change in the history, and the hold points that close them."""

import re
from dataclasses import dataclass
from json import dumps
from typing import Any

from calculators.job.reading import NAME, Job, JobError
from calculators.job.sheet import CLOSED_RUNS, HOLD_POINTS, LOCKED, MOST_HISTORY, signed
from calculators.job.working import fact, path_parts

MOST_WORDS = 400
TAKEN_BACK = "taken back"
"""How the history says of a change that it was undone. Job files hold it: it is never worded otherwise."""
LAST = list(HOLD_POINTS)[-1]
PROVEN = ("proof: ", "exception: ")
"""How the history names readings of the proof and what was accepted: the last hold point closes them."""


class LockedError(JobError):
    """A change behind a signed hold point without a reason, or without initials."""


@dataclass(frozen=True, kw_only=True)
class SetFact:
    """Put a value at a path of facts that is there; behind a hold point only with a reason and initials."""

    path: str
    value: Any
    by: str
    at: str
    reason: str = ""


def locked_by(job: Job, path: str) -> str:
    """The signed hold point that closes a path of the history: a fact, a run, the proof; or an empty text."""
    section = path.partition(".")[0].partition("[")[0]
    runs = {run["name"]: run["calculator"] for run in job["sheet"].get("runs", ())}
    have = signed(job["sheet"])
    if path.startswith(PROVEN):
        return LAST if LAST in have else ""
    closing = (point for point in HOLD_POINTS if section in LOCKED.get(point, ()) and point in have)
    return min(filter(None, (next(closing, ""), closed_to(job, runs.get(section, "")))), default="")


def closed_to(job: Job, slug: str) -> str:
    """The signed hold point that closes the runs of a calculator; an empty text where they are open."""
    have = signed(job["sheet"])
    closing = (point for point in HOLD_POINTS if slug in CLOSED_RUNS.get(point, ()))
    return next((point for point in closing if point in have), "")


def ask_why(path: str, point: str, by: str, reason: str) -> None:
    """Nothing where no hold point closes it. Raises LockedError without a reason, or without initials."""
    if point and not reason.strip():
        raise LockedError(path, f"{point} is signed: give the reason for this change, and your initials.")
    if point and not by.strip():
        raise LockedError(path, f"{point} is signed: give your initials with the reason.")


def with_fact(job: Job, change: SetFact, new: bool = False, note: str = "") -> Job:
    """The job with a fact changed, or made where ``new`` allows that; unchecked. Raises JobError.

    A signature closes what stood there: what is not there yet, such as a first reading, is made without a
    reason. ``note`` stands in the history before the reason.
    """
    steps = path_parts(change.path)
    if steps[0] == "sheet":
        raise JobError(change.path[:60], "This is no fact.")
    there = not new or has_fact(job, change.path)
    before = fact(job, change.path) if there else None
    if there:
        ask_why(change.path, locked_by(job, change.path), change.by, change.reason)
    if isinstance(before, dict | list) and type(before) is not type(change.value):
        raise JobError(change.path, "What stands there has another form.")
    changed: Job = _put(change.path, job, steps, change.value)
    entry = {
        "path": change.path,
        "before": "" if before is None else words_of_value(before),
        "after": words_of_value(change.value),
        "by": change.by,
        "at": change.at,
        "reason": why_words(note, change.reason),
    }
    return with_entries(changed, [entry])


def without_fact(job: Job, path: str) -> Job:
    """The job as it would be without a fact that is there, its history untouched: for a look, not to keep."""
    blank: Job = _put(path, job, path_parts(path), None)
    return blank


def with_entries(job: Job, entries: list[dict[str, str]]) -> Job:
    """The job with more in its history. Raises JobError where that is full."""
    sheet = job["sheet"]
    history = [*sheet.get("history", ()), *entries]
    if entries and len(history) > MOST_HISTORY:
        raise JobError("history", "The history is full: keep this job as a file and begin another.")
    return job | {"sheet": sheet | {"history": history}}


def why_words(note: str, reason: str) -> str:
    """Why a value was changed, as the history tells it."""
    return ": ".join(filter(None, (note, reason.strip())))[:MOST_WORDS]


CELL = re.compile(r"(?P<row>(?P<table>[a-z0-9_.]+)\[\d+\])\.[a-z0-9_]+")


def row_of(path: str) -> str:
    """The row that a cell of a table stands in, as ``feeds.map[0]``; an empty text for any other fact."""
    found = CELL.fullmatch(path)
    return found["row"] if found else ""


def lacks_table(job: Job, path: str) -> bool:
    """Whether it is a cell of a table that the job has not yet."""
    found = CELL.fullmatch(path)
    return found is not None and not has_fact(job, found["table"])


def has_fact(job: Job, path: str) -> bool:
    """Whether the job has a fact at a path."""
    try:
        fact(job, path)
    except JobError:
        return False
    return True


def words_of_value(value: Any) -> str:
    """A value as the history tells it."""
    return dumps(value, ensure_ascii=False, allow_nan=False)[:MOST_WORDS]


def _put(path: str, value: Any, steps: list[str], new: Any) -> Any:
    """A copy with one place in it changed, or made; the rest is shared."""
    if not steps:
        return new
    first, rest = steps[0], steps[1:]
    if isinstance(value, list) and first.isascii() and first.isdigit() and int(first) < len(value):
        number = int(first)
        return [*value[:number], _put(path, value[number], rest, new), *value[number + 1 :]]
    if isinstance(value, dict) and NAME.fullmatch(first):
        return value | {first: _put(path, value.get(first, {}), rest, new)}
    raise JobError(path[:60], "There is no place for it in the job.")
