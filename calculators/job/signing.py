"""Signing a hold point: what is signed, told before it is, and what stands in its way."""

from collections.abc import Mapping
from typing import Any

from calculators.job.agreement import said_none
from calculators.job.examples import OF_EXAMPLE, examples_of_runs
from calculators.job.facts import LAST
from calculators.job.run_done import RunDone
from calculators.job.sheet import CLOSED_RUNS, HOLD_POINTS, LOCKED, signed
from calculators.job.steps import fault_of_step, steps_of
from calculators.job.working import ProofLine, Worked
from calculators.presenting.values import shown

FIRST_POWER = "H4"
"""From here on no answer of the job may warn of a danger; before it, none of those that are signed."""

MEND = "Mend it, or write the exception first."

FIRST = "H1"
"""What it closes is agreed with the customer: it has no list of steps."""

NO_STEPS = "No step stands in its list: nothing says what was done, and who checked it."

PASSES = {True: "passes", False: "does not pass", None: "no reading, or no limit"}


def what_is_signed(worked: Worked, point: str) -> list[str]:
    """What a signature closes, a line each: sections, the answers of runs, and of the last one the proof.

    Beside an answer stands which of its values are the page's example's.
    """
    lines = [f"{point}, {HOLD_POINTS[point]}."]
    sections = [name.replace("_", " ") for name in LOCKED.get(point, ()) if name in worked.job]
    if sections:
        lines.append(f"Closes what stands in the job under {', '.join(sections)}.")
    examples = examples_of_runs(worked.job)
    lines += [_answer(run) + _of_example(examples.get(run.name)) for run in _closed(worked, (point,))]
    lines += [f"This job has none: {name}." for name in _without(worked, point)]
    steps = _steps(worked, point)
    lines += [
        f"{row.get('what', '')}: done by {row.get('by') or '–'}, checked by {row.get('checked') or '–'}"
        for row in steps
    ]
    if not steps and point != FIRST:
        lines.append(NO_STEPS)
    if point == LAST:
        lines += [_reading(line) for line in worked.proof]
    return lines


def closes_example(worked: Worked, point: str) -> bool:
    """Whether a signature closes values of the page's example: then it is given with a reason."""
    examples = examples_of_runs(worked.job)
    return any(run.name in examples for run in _closed(worked, (point,)))


def hindrances(worked: Worked, point: str) -> list[str]:
    """Why a hold point cannot be signed yet; none: it can.

    One before it is open; an answer warns of a danger; one that it closes is missing, out of date or a
    verdict that nobody accepted; a step of its list is done and not checked by somebody else, or a step
    belongs to no hold point; from first power on, answers contradict
    each other; before the keys, a line of the proof is empty or out of tolerance.
    """
    points = list(HOLD_POINTS)
    before = points[: points.index(point)]
    have = signed(worked.job["sheet"])
    found = [f"{name}, {HOLD_POINTS[name]}, comes first." for name in before if name not in have][:1]
    late = points.index(point) >= points.index(FIRST_POWER)
    closed = _closed(worked, (*before, point))
    looked_at = worked.runs.values() if late else closed
    found += [f"{run.name}: {run.danger}" for run in looked_at if run.danger]
    found += [words for run in closed for words in _not_ready(worked, run)]
    found += [f"{words}. Mend what is wrong." for words in worked.contradictions if late]
    found += _unchecked(worked, point)
    return found + (_unproven(worked) if point == LAST else [])


def _not_ready(worked: Worked, run: RunDone) -> list[str]:
    """What is wrong with an answer that is signed, besides a danger."""
    if run.outcome is None:
        return [f"{run.name}: no answer yet: work it out, or say that this job has none."]
    found = [f"{run.name}: out of date: work it out again first."] if run.standing == "stale" else []
    failing = dict(worked.failing)
    if run.name in failing and not run.danger:
        found.append(f"{run.name}: {failing[run.name]}. {MEND}")
    return found


def _steps(worked: Worked, point: str) -> list[Mapping[str, Any]]:
    """The list of a hold point: who did each step, and who checked it."""
    return [row for row in steps_of(worked.job) if row.get("point") == point]


def _unchecked(worked: Worked, point: str) -> list[str]:
    """Steps of a hold point that nobody, or nobody else, has checked; those of none stand before each."""
    found = []
    for row in steps_of(worked.job):
        fault = fault_of_step(row)
        lost = fault is not None and fault[0] == "point"
        if fault and (lost or row.get("point") == point):
            found.append(f"{row.get('what', '')}: {fault[1]}")
        elif row.get("point") == point and not str(row.get("checked") or "").strip():
            found.append(f"{row.get('what', '')}: not checked yet.")
    return found


def _unproven(worked: Worked) -> list[str]:
    """Lines of the proof without a reading or a limit, and those that do not pass."""
    outside = [f"{line.name}: does not pass. {MEND}" for line in worked.out_of_tolerance]
    return [*(f"{words}." for words in worked.unproven), *outside]


def _closed(worked: Worked, points: tuple[str, ...]) -> list[RunDone]:
    slugs = {slug for point in points for slug in CLOSED_RUNS.get(point, ())}
    return [run for run in worked.runs.values() if run.calculator in slugs]


def _without(worked: Worked, point: str) -> list[str]:
    """Answers that a hold point would close, and that were taken out: this job has none."""
    none = said_none(worked.job, worked.runs)
    return [name for name, slug in none.items() if slug in CLOSED_RUNS.get(point, ())]


def _answer(run: RunDone) -> str:
    """A run's main answer as a page shows it."""
    if run.outcome is None:
        return f"{run.name}: no answer yet"
    outputs = [output for output in run.outcome.calculator.outputs if output.kind.data]
    main = next((output for output in outputs if output.kind.main), outputs[0])
    old = ", out of date: work it out again first" if run.standing == "stale" else ""
    words = shown(main, getattr(run.outcome.result, main.name))
    return f"{run.name}: {main.kind.label} {words}{old}".replace("\u00a0", " ")


def _of_example(labels: str | None) -> str:
    return f". {OF_EXAMPLE} ({labels})." if labels else ""


def _reading(line: ProofLine) -> str:
    measured = "not measured" if line.measured is None else f"{line.measured:g} {line.unit}".strip()
    verdict = "exception, accepted" if line.passes is False and line.accepted else PASSES[line.passes]
    return f"{line.name}: {measured}, {verdict}"
