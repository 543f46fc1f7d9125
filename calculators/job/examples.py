"""What a job holds as a page showed it, until somebody types there: told as an example's, and nobody's."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from calculators.job.facts import TAKEN_BACK, has_fact, without_fact, words_of_value
from calculators.job.reading import FACT, RUN, Job
from calculators.job.working import Worked, fact, order_of, references
from calculators.stages import find_calculator

EXAMPLE = "the page's example, kept as it was"
"""Stands before the reason of a value that nobody has typed for this vehicle; it opens no hold point.

Job files hold it, and by it a job that was kept is read: it is never worded otherwise.
"""

OF_EXAMPLE = "Not yet this vehicle's: of an example in the handbook"
"""Stands over such values on what leaves the shop or goes to who works on the vehicle."""

EMPTY: tuple[Any, ...] = (None, "", [], {})

type Left = Mapping[str, tuple[str, str]]


def last_left(job: Job) -> Left:
    """What each place of the history was left as, in words, and why; after a taking back, as that left it."""
    left: dict[str, tuple[str, str]] = {}
    whys: dict[tuple[str, str], str] = {}
    for entry in job["sheet"].get("history", ()):
        path, after, why = entry["path"], entry["after"], entry.get("reason", "")
        if not why.startswith(TAKEN_BACK):
            whys[path, after] = why
        left[path] = (after, whys.get((path, after), ""))
    return left


def is_example(job: Job, run: Mapping[str, Any], name: str, source: Any, left: Left) -> bool:
    """Whether a value came into the job as a page showed it, and nobody has typed it since.

    A field that the page shows empty holds nothing of anybody's.
    """
    if isinstance(source, str) and source.startswith(RUN):
        return False
    place = told_at(run, name, source)
    of_fact = isinstance(source, str) and source.startswith(FACT)
    if of_fact and place not in left:
        place = place.partition("[")[0]  # A cell of a table that came in whole.
    after, why = left.get(place, ("", ""))
    if not why.startswith(EXAMPLE) or (of_fact and not has_fact(job, place)):
        return False
    value = fact(job, place) if of_fact else source
    return value not in EMPTY and after == words_of_value(value)


def examples_of_runs(job: Job) -> dict[str, str]:
    """The inputs that a job holds as a page showed them, in words, by the name of each run that has any.

    What follows from the answer of such a run is none of this vehicle's either. Raises JobError for runs that
    rest on each other in a circle.
    """
    left = last_left(job)
    runs = {run["name"]: run for run in job["sheet"].get("runs", ())}
    found: dict[str, str] = {}
    for name in order_of(runs):
        words = _examples_of(job, runs[name], left, found)
        if words:
            found[name] = "; ".join(words)
    return found


def _examples_of(job: Job, run: Mapping[str, Any], left: Left, before: Mapping[str, str]) -> list[str]:
    """A run's inputs that are an example's, in words; ``before`` are those of runs that it may rest on."""
    words = []
    for entry in find_calculator(run["calculator"]).inputs:
        if entry.name not in run["inputs"]:
            continue
        source = run["inputs"][entry.name]
        if is_example(job, run, entry.name, source, left):
            words.append(entry.kind.label)
        elif rests_on := next((name for name in _runs_named(source) if name in before), ""):
            words.append(f"{entry.kind.label}, which follows from “{rests_on}”")
    return words


def _runs_named(source: Any) -> Iterator[str]:
    """The runs whose answers an input takes."""
    return (reference.partition(".")[0] for reference in references(source))


def examples_in(job: Job) -> tuple[str, ...]:
    """The same, a line for each run, by its title."""
    lines, runs, examples = [], job["sheet"].get("runs", ()), examples_of_runs(job)
    slugs = [run["calculator"] for run in runs]
    for run in runs:
        if run["name"] in examples:
            own = f" “{run['name']}”" if slugs.count(run["calculator"]) > 1 else ""
            lines.append(f"{find_calculator(run['calculator']).title}{own}: {examples[run['name']]}")
    return tuple(lines)


def without_examples(worked: Worked) -> Worked:
    """The job as it would be without what is an example's: no such fact, and no answer that rests on one."""
    job, left = worked.job, last_left(worked.job)
    for run in worked.job["sheet"].get("runs", ()):
        for name, source in run["inputs"].items():
            if (
                isinstance(source, str)
                and source.startswith(FACT)
                and is_example(job, run, name, source, left)
            ):
                job = without_fact(job, source.removeprefix(FACT))
    return replace(worked, job=job).without(examples_of_runs(worked.job))


def told_at(run: Mapping[str, Any], name: str, source: Any) -> str:
    """Where the history tells of an input: at its fact, or at its run's own place."""
    named = isinstance(source, str) and source.startswith(FACT)
    return source.removeprefix(FACT) if named else f"{run['name']}.{name}"
