"""Values carried between a form and a job: what the job knows of its inputs, and an answer put into it.

Where an input's value stands in a job is told by the job's own run of that calculator, and else by the page,
whose form names the fact that it stands for.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import count
from typing import Any

from calculators.declaring import Answer, Calculator, File, InputError, InputField, Rows
from calculators.declaring.answers import plain
from calculators.declaring.inputs import Found
from calculators.declaring.reading import read_typed
from calculators.job.facts import SetFact, with_entries, with_fact, words_of_value
from calculators.job.reading import FACT, Job, JobError
from calculators.job.working import RunDone, references, resolved, work_out
from calculators.stages import find_calculator

EXAMPLE = "the page's example, kept as it was"
"""The reason of a value that nobody has typed for this vehicle."""


@dataclass(frozen=True)
class Carried:
    """What a job knows of an input: what its run holds or the page names, and the value that this gives."""

    source: Any
    value: Any


@dataclass(frozen=True, kw_only=True)
class PutIn:
    """Put a form's answer into the job: a fact for each input that has a path, the rest with its run.

    ``paths`` name the facts by input, for those that the job's run does not place. ``example`` are the inputs
    that hold what the page showed: the history says so. ``by``, ``at``, ``reason``: as of `SetFact`.
    """

    answer: Answer
    paths: Mapping[str, str]
    by: str
    at: str
    reason: str = ""
    example: frozenset[str] = frozenset()


def run_of(job: Job, slug: str, paths: Mapping[str, str]) -> Mapping[str, Any]:
    """The run that a form stands for: the job's first of that calculator, but for one that takes another fact
    where the page names one; where it has none, a new one without inputs.
    """
    runs = job["sheet"].get("runs", ())
    names = {run["name"] for run in runs}
    numbered = (slug if number == 1 else f"{slug}-{number}" for number in count(1))
    new = {"name": next(name for name in numbered if name not in names), "calculator": slug, "inputs": {}}
    return next((run for run in runs if run["calculator"] == slug and _fits(run["inputs"], paths)), new)


def _fits(inputs: Mapping[str, Any], paths: Mapping[str, str]) -> bool:
    return all(
        source == FACT + paths[name]
        for name, source in inputs.items()
        if name in paths and isinstance(source, str) and source.startswith(FACT)
    )


def carried(job: Job, slug: str, paths: Mapping[str, str]) -> dict[str, Carried]:
    """What the job knows of a calculator's inputs, by name; what it does not know or cannot read is left out.

    Raises JobError where the runs that it takes answers of cannot be worked out.
    """
    run = run_of(job, slug, paths)
    done = _worked(_with_run(job, run), run, "") if run["inputs"] else {}
    found = {}
    for entry in find_calculator(slug).inputs:
        sources = [run["inputs"][entry.name]] if entry.name in run["inputs"] else []
        sources += [FACT + paths[entry.name]] if entry.name in paths else []
        known = (_read(job, entry, source, done) for source in sources)
        first = next((one for one in known if one is not None), None)
        if first is not None:
            found[entry.name] = first
    return found


def put_in(job: Job, change: PutIn) -> Job:
    """The job with a form's values and the answer that they give there, unchecked. Raises JobError.

    A field shows fewer figures than the job holds: what was typed as the job's value is written there is that
    value.
    """
    answer = change.answer
    calculator = find_calculator(answer.calculator)
    if any(isinstance(entry.kind, File) for entry in calculator.inputs):
        raise JobError(
            answer.calculator, "It rests on a file, and a job holds none: keep the file beside it."
        )
    run = run_of(job, answer.calculator, change.paths)
    known = carried(job, answer.calculator, change.paths)
    inputs, entries = dict(run["inputs"]), []
    for entry in calculator.inputs:
        value = answer.inputs[entry.name]
        have = known.get(entry.name)
        if have is not None and value in (plain(have.value), _as_typed(calculator, entry, have.value)):
            inputs[entry.name] = have.source
            continue
        path = _path(run["inputs"].get(entry.name), change.paths.get(entry.name, ""))
        reason = change.reason or (EXAMPLE if entry.name in change.example else "")
        if path:
            fact = SetFact(path=path, value=_lean(entry, value), by=change.by, at=change.at, reason=reason)
            job = with_fact(job, fact, new=True)
            inputs[entry.name] = FACT + path
        elif entry.name in inputs or entry.required or value != plain(entry.default):
            before = inputs.get(entry.name)
            entries.append(
                {
                    "path": f"{run['name']}.{entry.name}",
                    "before": "" if before is None else words_of_value(before),
                    "after": words_of_value(value),
                    "by": change.by,
                    "at": change.at,
                    "reason": reason,
                }
            )
            inputs[entry.name] = _lean(entry, value)
    kept = {"name": run["name"], "calculator": run["calculator"], "inputs": inputs}
    done = _worked(_with_run(job, kept), kept, answer.release)[kept["name"]]
    if done.answer is None:
        raise JobError(done.name, done.why)
    return with_entries(_with_run(job, kept | {"answer": done.answer.data()}), entries)


def _with_run(job: Job, run: Mapping[str, Any]) -> Job:
    """The job with a run in the place of the one of its name, or as its last."""
    runs = job["sheet"].get("runs", ())
    if any(one["name"] == run["name"] for one in runs):
        runs = [run if one["name"] == run["name"] else one for one in runs]
    else:
        runs = [*runs, run]
    return job | {"sheet": job["sheet"] | {"runs": runs}}


def _as_typed(calculator: Calculator, entry: InputField, value: Any) -> Any:
    """A value as it comes back from the fields that it is written into."""
    reading = read_typed(calculator, entry.kind.write_text(entry.name, plain(value)))
    return plain(reading.arguments.get(entry.name))


def _path(source: Any, path: str) -> str:
    """The fact that an input stands for: its run's, or else the page's."""
    if isinstance(source, str) and source.startswith(FACT):
        return source.removeprefix(FACT)
    return path if source is None else ""


def _worked(job: Job, run: Mapping[str, Any], release: str) -> Mapping[str, RunDone]:
    """A run of the job and those that it rests on, worked out. Raises JobError."""
    runs = {one["name"]: one for one in job["sheet"]["runs"]}
    wanted = [run["name"]]
    for name in wanted:  # It grows as it goes.
        needs = {reference.partition(".")[0] for reference in references(runs[name]["inputs"])}
        wanted += [need for need in needs if need in runs and need not in wanted]
    sheet = job["sheet"] | {"runs": [runs[name] for name in wanted], "proof": []}
    return work_out(job | {"sheet": sheet}, release).runs


def _read(job: Job, entry: InputField, source: Any, done: Mapping[str, RunDone]) -> Carried | None:
    """What a source gives, as the input reads it; None for what is not there, or that it cannot take."""
    found = Found()
    try:
        value = entry.kind.read_value(entry.name, resolved(job, source, done), found)
    except (JobError, InputError):
        return None
    return None if found.errors else Carried(source, value)


def _lean(entry: InputField, value: Any) -> Any:
    """A value as a job keeps it: of rows, what their defaults do not say."""
    if not isinstance(entry.kind, Rows):
        return value
    columns = {column.name: column for column in entry.columns}
    return [
        {
            name: cell
            for name, cell in row.items()
            if columns[name].required or cell != plain(columns[name].default)
        }
        for row in value
    ]
