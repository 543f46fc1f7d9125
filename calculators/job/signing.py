"""Signing a hold point: what is signed, told before it is, and what stands in its way."""

from calculators.job.sheet import CLOSED_RUNS, HOLD_POINTS, LOCKED, signed
from calculators.job.working import ProofLine, RunDone, Worked
from calculators.presenting.values import shown

FIRST_POWER = "H4"
"""From here on no answer of the job may warn of a danger; before it, none of those that are signed."""

PASSES = {True: "passes", False: "does not pass", None: "no reading, or no limit"}


def what_is_signed(worked: Worked, point: str) -> list[str]:
    """What a signature closes, a line each: sections, the answers of runs, and of the last one the proof."""
    lines = [f"{point}, {HOLD_POINTS[point]}."]
    sections = [name.replace("_", " ") for name in LOCKED.get(point, ()) if name in worked.job]
    if sections:
        lines.append(f"Closes what stands in the job under {', '.join(sections)}.")
    lines += [_answer(run) for run in _closed(worked, (point,))]
    if point == list(HOLD_POINTS)[-1]:
        lines += [_reading(line) for line in worked.proof]
    return lines


def hindrances(worked: Worked, point: str) -> list[str]:
    """Why a hold point cannot be signed yet: one before it that is open, or a danger. None: it can."""
    points = list(HOLD_POINTS)
    before = points[: points.index(point)]
    have = signed(worked.job["sheet"])
    found = [f"{name}, {HOLD_POINTS[name]}, comes first." for name in before if name not in have][:1]
    late = points.index(point) >= points.index(FIRST_POWER)
    looked_at = worked.runs.values() if late else _closed(worked, (*before, point))
    return found + [f"{run.name}: {run.danger}" for run in looked_at if run.danger]


def _closed(worked: Worked, points: tuple[str, ...]) -> list[RunDone]:
    slugs = {slug for point in points for slug in CLOSED_RUNS.get(point, ())}
    return [run for run in worked.runs.values() if run.calculator in slugs]


def _answer(run: RunDone) -> str:
    """A run's main answer as a page shows it."""
    if run.outcome is None:
        return f"{run.name}: no answer yet"
    outputs = [output for output in run.outcome.calculator.outputs if output.kind.data]
    main = next((output for output in outputs if output.kind.main), outputs[0])
    old = ", out of date: work it out again first" if run.standing == "stale" else ""
    words = shown(main, getattr(run.outcome.result, main.name))
    return f"{run.name}: {main.kind.label} {words}{old}".replace("\u00a0", " ")


def _reading(line: ProofLine) -> str:
    measured = "not measured" if line.measured is None else f"{line.measured:g} {line.unit}".strip()
    verdict = "exception, accepted" if line.passes is False and line.accepted else PASSES[line.passes]
    return f"{line.name}: {measured}, {verdict}"
