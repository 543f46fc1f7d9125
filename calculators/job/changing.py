"""Changing a job: `jobsheet` takes a job and a change, and gives another job. Nothing is changed in place."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import isclose
from typing import Any

from calculators.declaring import Answer
from calculators.job.carrying import PutIn, put_in
from calculators.job.entries import Accept, Measure, WriteLine, accepted, measured, written
from calculators.job.facts import (
    MOST_WORDS,
    TAKEN_BACK,
    LockedError,
    SetFact,
    ask_why,
    locked_by,
    with_entries,
    with_fact,
    words_of_value,
)
from calculators.job.reading import FACT, RUN, Job, JobError, checked
from calculators.job.sheet import HOLD_POINTS, NONE, TWO_SIGN, VERSION, HoldPointName, signed, signers
from calculators.job.signing import closes_example, hindrances
from calculators.job.working import Worked, references, work_out
from calculators.stages import find_calculator

RENEWED = "worked out again"
NAMED = (FACT, RUN)
WHY_EXAMPLE = "type this vehicle's own, or give the reason why they are signed as they are."


@dataclass(frozen=True, kw_only=True)
class Sign:
    """Sign a hold point: by whom, and when; by two, where nobody works alone.

    It is refused while an earlier one is open, or an answer warns of a danger (`hindrances`). Where it closes
    values of the page's example it needs ``reason``, which goes into the history.
    """

    point: HoldPointName
    by: str
    at: str
    second: str = ""
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Unsign:
    """Take the last hold point's signature back, whatever came after it; the history keeps whose it was.

    It always needs ``reason`` and ``by``; an earlier one stays while a later one rests on it.
    """

    point: HoldPointName
    by: str
    at: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Store:
    """Keep the answers of runs, by the runs' names.

    One that comes in the place of another goes into the history, and behind a hold point it needs ``reason``
    and ``by``.
    """

    answers: Mapping[str, Answer]
    by: str = ""
    at: str = ""
    reason: str = ""


def kept(worked: Worked, renew: bool = False, at: str = "") -> Job:
    """The job with its answers kept; over one that is out of date only where that is asked for.

    What a signed hold point closes stays as it was kept even then: only a reason and initials replace it.
    """
    answers = {
        run.name: run.answer
        for run in worked.runs.values()
        if run.answer and (run.standing != "stale" or (renew and not locked_by(worked.job, run.name)))
    }
    return jobsheet(worked.job, Store(answers=answers, at=at))


@dataclass(frozen=True, kw_only=True)
class HasNone:
    """This job has no such answer, as of a box where there is none: its run goes, with reason and initials.

    A run that has an answer stays.
    """

    run: str
    by: str
    at: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Forget:
    """Erase who the customer is; the technical record stays."""


@dataclass(frozen=True, kw_only=True)
class TakeBack:
    """Go back to the job as it was; the history keeps what was changed, and that it was taken back.

    A signature, and what one closes, is taken back with ``reason`` and ``by`` alone.
    """

    before: Job
    by: str
    at: str
    reason: str = ""


type Change = (
    SetFact | PutIn | Measure | WriteLine | Accept | Sign | Unsign | Store | HasNone | Forget | TakeBack
)


def jobsheet(job: Job, change: Change) -> Job:
    """The job after a change, checked whole. Raises JobError, and then the job at hand is as it was."""
    sheet = job["sheet"]
    if isinstance(change, SetFact):
        return checked(with_fact(job, change))
    if isinstance(change, PutIn):
        return checked(put_in(job, change))
    if isinstance(change, Measure):
        return checked(measured(job, change))
    if isinstance(change, WriteLine):
        return checked(written(job, change))
    if isinstance(change, Accept):
        return checked(accepted(job, change))
    if isinstance(change, TakeBack):
        return checked(_taken_back(job, change))
    if isinstance(change, Sign):
        return checked(_signed(job, change))
    if isinstance(change, Unsign):
        return checked(_unsigned(job, change))
    if isinstance(change, Store):
        return checked(_stored(job, change))
    if isinstance(change, HasNone):
        return checked(_without(job, change))
    return checked(job | {"sheet": {name: value for name, value in sheet.items() if name != "customer"}})


def _signed(job: Job, change: Sign) -> Job:
    sheet, point = job["sheet"], change.point
    by, second = change.by.strip(), change.second.strip()
    if not by:
        raise JobError("by", "Somebody signs it: type the initials.")
    if point in TWO_SIGN and second.casefold() in ("", by.casefold()):
        raise JobError("second", f"{point} is never alone: two sign it, each with their own initials.")
    if point in signed(sheet):
        raise JobError(point, "This hold point is signed already.")
    last = max(signed(sheet).values(), key=lambda one: one["at"], default=None)
    if last and change.at[:10] < last["at"][:10]:
        words = (
            f"{last['point']} was signed on {last['at'][:10]}: look at the date of this device. "
            "If that signature has the wrong day, take it back, and sign anew."
        )
        raise JobError(point, f"{point} cannot be signed on {change.at[:10]}. {words}")
    worked = work_out(job, "")
    if found := hindrances(worked, point):
        raise JobError(point, f"{point} cannot be signed yet. {' '.join(found)}")
    of_example, reason = closes_example(worked, point), change.reason.strip()
    if of_example and not reason:
        raise JobError("reason", f"{point} closes values of the page's example: {WHY_EXAMPLE}")
    mark = {"point": point, "by": by, "at": change.at}
    two = {"second": second} if point in TWO_SIGN else {}
    after = job | {"sheet": sheet | {"hold_points": [*sheet.get("hold_points", ()), mark | two]}}
    if not of_example:
        return after
    words = f"{signers(mark | two)}, {change.at}"
    entry = {"path": f"hold_points.{point}", "before": "", "after": words, "by": by, "at": change.at}
    return with_entries(after, [entry | {"reason": reason[:MOST_WORDS]}])


def _unsigned(job: Job, change: Unsign) -> Job:
    have, point = signed(job["sheet"]), change.point
    if point not in have:
        raise JobError(point, "This hold point is not signed.")
    if point != max(have):
        raise JobError(point, f"{max(have)} is signed and rests on it: take that signature back first.")
    ask_why(point, point, change.by, change.reason)
    rest = [one for one in job["sheet"]["hold_points"] if one["point"] != point]
    entry = {
        "path": f"hold_points.{point}",
        "before": f"{signers(have[point])}, {have[point]['at']}",
        "after": "",
        "by": change.by,
        "at": change.at,
        "reason": f"{TAKEN_BACK}: {change.reason.strip()}"[:MOST_WORDS],
    }
    return with_entries(job | {"sheet": job["sheet"] | {"hold_points": rest}}, [entry])


def _without(job: Job, change: HasNone) -> Job:
    runs = job["sheet"].get("runs", ())
    if all(run["name"] != change.run for run in runs):
        raise JobError(change.run[:60], "The job has no such answer.")
    rest = [run for run in runs if run["name"] != change.run]
    needing = [run["name"] for run in rest if _names(run["inputs"], change.run)]
    needing += [line["name"] for line in job["sheet"].get("proof", ()) if _names(line, change.run)]
    if needing:
        raise JobError(change.run, f"Needed by {' and '.join(needing)}: look there first.")
    if work_out(job, "").runs[change.run].answer is not None:
        raise JobError(change.run, "It has an answer, so this job has one: change it, or take it back.")
    if not (change.reason.strip() and change.by.strip()):
        raise LockedError(change.run, "Say why this job has none, and give your initials.")
    slug = next(run["calculator"] for run in runs if run["name"] == change.run)
    entry = {
        "path": change.run, "before": slug, "after": NONE, "by": change.by, "at": change.at,
        "reason": change.reason.strip(),
    }  # fmt: skip
    return with_entries(job | {"sheet": job["sheet"] | {"runs": rest}}, [entry])


def _names(value: Any, run: str) -> bool:
    """Whether an answer of a run is named there."""
    return any(reference.partition(".")[0] == run for reference in references(value))


def _stored(job: Job, change: Store) -> Job:
    runs, entries = [], []
    for run in job["sheet"].get("runs", ()):
        name, answer, old = run["name"], change.answers.get(run["name"]), run.get("answer")
        if answer is not None and old is not None and not _same(old.get("values"), answer.values):
            ask_why(name, locked_by(job, name), change.by, change.reason)
            entries.append(
                {
                    "path": name,
                    "before": _main_figure(answer.calculator, old.get("values")),
                    "after": _main_figure(answer.calculator, answer.values),
                    "by": change.by,
                    "at": change.at,
                    "reason": change.reason.strip() or RENEWED,
                }
            )
        runs.append(run if answer is None else run | {"answer": answer.data()})
    return with_entries(job | {"sheet": job["sheet"] | {"runs": runs}}, entries)


def _same(one: Any, other: Any) -> bool:
    """Whether values are the same but for the last digits, in which browsers differ."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(_same(value, other[name]) for name, value in one.items())
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(_same, one, other))
    if isinstance(one, float) and isinstance(other, int | float):
        return isclose(one, other, rel_tol=1e-9, abs_tol=1e-15)
    return bool(one == other)


def _main_figure(slug: str, values: Any) -> str:
    """The main answer of a run in words, or its first one; an empty text where it has none."""
    outputs = [output for output in find_calculator(slug).outputs if output.kind.data]
    first = next((output for output in outputs if output.kind.main), outputs[0])
    if not isinstance(values, Mapping) or first.name not in values:
        return ""
    return f"{first.kind.label}: {words_of_value(values[first.name])}"[:MOST_WORDS]


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
    before, have = change.before, signed(change.before["sheet"])
    points = [point for point in HOLD_POINTS if (point in have) != (point in signed(job["sheet"]))]
    points += [locked_by(job, entry["path"]) for entry in undone]
    ask_why("taking back", next(filter(None, points), ""), change.by, change.reason)
    entries = [_entry(change, entry["path"], entry["after"], entry["before"]) for entry in reversed(undone)]
    for point, told in signed(job["sheet"]).items():
        if point in have:
            continue
        words = f"{signers(told)}, {told['at']}"
        entries.append(_entry(change, f"hold_points.{point}", words, ""))
    return with_entries(before | {"sheet": before["sheet"] | {"history": history}}, entries)


def _entry(change: TakeBack, path: str, before: str, after: str) -> dict[str, str]:
    reason = f"{TAKEN_BACK}: {change.reason.strip()}" if change.reason.strip() else TAKEN_BACK
    names = {"path": path, "before": before, "after": after}
    return names | {"by": change.by, "at": change.at, "reason": reason[:MOST_WORDS]}
