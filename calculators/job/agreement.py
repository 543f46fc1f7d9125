"""Where two answers of a job contradict each other: no sheet prints one of them as the truth then."""

from collections.abc import Mapping
from math import isclose

from calculators.job.reading import Job
from calculators.job.run_done import RunDone
from calculators.job.sheet import NONE

type Bought = tuple[bool, float, float | None]
"""A cable to buy: whether it is a speaker's, its size in m², and its fuse in A."""

SIZED = ("cable", "fuse", "speaker-lead")
"""Calculators whose cable, or its fuse, stands in the wiring schedule too."""


def contradictions(job: Job, runs: Mapping[str, RunDone]) -> list[str]:
    """What one answer says and another denies, in words that begin with the name of the run."""
    return [f"{name}: {what}" for name, what in (unscheduled(runs) | _denied(job, runs)).items()]


def unscheduled(runs: Mapping[str, RunDone]) -> dict[str, str]:
    """By name the feeds, fuses and leads, worked out by themselves, that no line of the job's wiring schedule
    stands for, each with what it is.

    A line stands for one of its kind, size and fuse; without a schedule there is nothing to stand in. A
    fuse is asked for itself: the feed that it guards has the same line.
    """
    plans = _schedules(runs)
    lines = [line for run in plans for line in _lines_of(run)]
    free = {slug: list(lines) for slug in SIZED}
    left = {}
    for run in runs.values() if plans else ():
        wanted = _cable_of(run)
        if wanted is None:
            continue
        found = next((line for line in free[run.calculator] if _alike(line, wanted)), None)
        if found:
            free[run.calculator].remove(found)
        else:
            left[run.name] = f"{_words(wanted)} is not in the wiring schedule"
    return left


def said_none(job: Job, runs: Mapping[str, RunDone]) -> dict[str, str]:
    """By name the answers that were taken out because this job has none, each with its calculator."""
    last = {entry["path"]: entry for entry in job["sheet"].get("history", ())}
    return {
        name: entry["before"] for name, entry in last.items() if entry["after"] == NONE and name not in runs
    }


def _denied(job: Job, runs: Mapping[str, RunDone]) -> dict[str, str]:
    """A capacitor in the wiring schedule of a job of which it was said that nothing is pre-charged."""
    legs = [
        entry.name
        for run in _schedules(runs)
        if run.outcome
        for entry in run.outcome.arguments["runs"]
        if entry.kind == "capacitor"
    ]
    charged = any(run.calculator == "pre-charge" for run in runs.values())
    said = [name for name, slug in said_none(job, runs).items() if slug == "pre-charge"]
    what = f"this job has none, and the wiring schedule has a capacitor: {', '.join(legs)}"
    return dict.fromkeys(said, what) if legs and not charged else {}


def _schedules(runs: Mapping[str, RunDone]) -> list[RunDone]:
    return [run for run in runs.values() if run.calculator == "wiring-schedule" and run.outcome]


def _lines_of(run: RunDone) -> list[Bought]:
    """The lines of a wiring schedule."""
    assert run.outcome is not None
    pairs = [entry.kind == "speaker" for entry in run.outcome.arguments["runs"]]
    lines = zip(pairs, run.outcome.result.runs, strict=True)
    return [(pair, line.size, line.fuse) for pair, line in lines if line.size is not None]


def _cable_of(run: RunDone) -> Bought | None:
    """The cable of a run that sizes one, or the fuse of one; None for any other."""
    if run.outcome is None:
        return None
    given, result = run.outcome.arguments, run.outcome.result
    if run.calculator == "cable" and result.size is not None:
        return (False, result.size, result.fuse)
    if run.calculator == "fuse" and result.rating is not None:
        return (False, given["area"], result.rating)
    return (True, given["area"], None) if run.calculator == "speaker-lead" else None


def _alike(one: Bought, other: Bought) -> bool:
    """Whether two are the same kind of cable, of one size and fuse."""
    return one[0] == other[0] and one[2] == other[2] and isclose(one[1], other[1], rel_tol=1e-6)


def _words(cable: Bought) -> str:
    _, size, fuse = cable
    return f"{1e6 * size:g} mm²" + (f" with a fuse of {fuse:g} A" if fuse else "")
