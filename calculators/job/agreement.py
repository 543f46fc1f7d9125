"""Where two answers of a job contradict each other: no sheet prints one of them as the truth then."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import log
from re import IGNORECASE
from re import compile as pattern
from typing import Literal

from calculators.job.reading import Job
from calculators.job.run_done import RunDone
from calculators.job.sheet import NONE


@dataclass(frozen=True)
class Bought:
    """A cable to buy: its size in m², its fuse in A, what it is, and its name in the schedule."""

    size: float
    fuse: float | None
    kind: Literal["supply", "ground", "speaker"] = "supply"
    name: str = ""

    def stands_for(self, asked: "Bought", fuse_asked: bool) -> bool:
        """Whether it, a line of the schedule, is no thinner than what is asked, behind a fuse no larger.

        Where a fuse is what is asked, its rating must be the same.
        """
        both = self.fuse is not None and asked.fuse is not None
        smaller = both and not fuse_asked and (self.fuse or 0) < (asked.fuse or 0)
        thick = self.size >= asked.size * (1 - 1e-6)
        return self.kind == asked.kind and thick and (self.fuse == asked.fuse or smaller)

    @property
    def words(self) -> str:
        """Its size and its fuse."""
        unfused = " without a fuse" if self.kind == "supply" else ""
        return f"{1e6 * self.size:g} mm²" + (f" with a fuse of {self.fuse:g} A" if self.fuse else unfused)


SIZED = ("cable", "fuse", "speaker-lead")
"""Calculators whose cable, or its fuse, stands in the wiring schedule too."""

GROUND = pattern("ground(?![a-z])", IGNORECASE)
"""How the name of an answer begins that sizes a ground."""

WAYS_OUT = (
    "Mend the line that is meant, add the one that lacks, as of a knob's light, or work the answer out anew"
)
NAMED_OTHERWISE = (
    ". Is it a ground? Take it back, and put it in under a name that begins with “ground”: "
    "by any other it is held for a feed"
)


def contradictions(job: Job, runs: Mapping[str, RunDone]) -> list[str]:
    """What one answer says and another denies, in words that begin with the name of the run."""
    return [f"{name}: {what}" for name, what in (unscheduled(runs) | _denied(job, runs)).items()]


def unscheduled(runs: Mapping[str, RunDone]) -> dict[str, str]:
    """By name the feeds, fuses and leads, worked out by themselves, that no line of the job's wiring schedule
    stands for, each with what it is, the nearest line, and the ways out.

    A line stands for one of its kind, and is as thick or thicker, its fuse the same or smaller; for a fuse
    its rating is the same. Without a schedule there is nothing to stand in. A fuse is asked for itself: the
    feed that it guards has the same line. A ground stands for what is named a ground alone: it has no fuse,
    and would hide a feed that is too thin.
    """
    plans = _schedules(runs)
    asked = {run.name: wanted for run in runs.values() if plans and (wanted := _cable_of(run))}
    left = {}
    for slug in SIZED:
        free = [line for run in plans for line in _lines_of(run)]
        own = [name for name in asked if runs[name].calculator == slug]
        # The thickest first, each with the largest fuse that will do: no line is taken that another needs.
        for name in sorted(own, key=lambda name: -asked[name].size):
            suiting = [line for line in free if line.stands_for(asked[name], slug == "fuse")]
            if suiting:
                free.remove(max(suiting, key=lambda line: line.fuse or 0))
            else:
                named = slug != "cable" or GROUND.match(name)
                left[name] = _unlike(asked[name], free) + ("" if named else NAMED_OTHERWISE)
    return {name: left[name] for name in asked if name in left}


def _unlike(asked: Bought, free: Sequence[Bought]) -> str:
    """What no line stands for, beside the two nearest in size that are left, and how to mend it."""
    alike = [line for line in free if line.kind == asked.kind]
    nearest = sorted(alike, key=lambda line: abs(log(line.size / asked.size)))[:2]
    there = " or ".join(f"{line.name}, {line.words}" for line in nearest)
    return (
        f"{asked.words} is not in the wiring schedule{'; nearest there: ' * bool(there)}{there}. {WAYS_OUT}"
    )


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
    lines = zip(run.outcome.arguments["runs"], run.outcome.result.runs, strict=True)
    return [
        Bought(
            line.size, line.fuse, given.kind if given.kind in ("ground", "speaker") else "supply", line.name
        )
        for given, line in lines
        if line.size is not None
    ]


def _cable_of(run: RunDone) -> Bought | None:
    """The cable of a run that sizes one, or the fuse of one; None for any other.

    A ground is sized as a feed is, and has no fuse: its name tells it.
    """
    if run.outcome is None:
        return None
    given, result = run.outcome.arguments, run.outcome.result
    if run.calculator == "cable" and result.size is not None:
        ground = GROUND.match(run.name)
        return Bought(result.size, None, "ground") if ground else Bought(result.size, result.fuse)
    if run.calculator == "fuse" and result.rating is not None:
        return Bought(given["area"], result.rating)
    return Bought(given["area"], None, "speaker") if run.calculator == "speaker-lead" else None
