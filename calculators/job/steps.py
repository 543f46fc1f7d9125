"""Steps of the lists behind the hold points: looked at before which one, done and checked by whom."""

from collections.abc import Mapping
from re import split
from typing import Any

from calculators.job.sheet import HOLD_POINTS, TWO_SIGN

STEPS = "work.steps"
"""Where the steps stand in a job."""

PAUSE = "after a pause"
"""What whoever works alone writes behind the name: common practice, no source."""

WHICH = "Looked at before: type H1 to H6 first."
WHO = "Done by: type who did it first."
NAME = "Checked by: type who checked it, a name or initials."
NOBODY = "Checked by: leave it empty until somebody has checked."
ALONE = (
    f"Checked by: somebody who did not do it. In a shop of one: “A, {PAUSE}”; never for a step of "
    f"{' or '.join(TWO_SIGN)}."
)
REFUSALS = frozenset({"no", "none", "nobody", "not", "not yet", "not checked", "not checked yet", "n/a"})


def fault_of_step(step: Mapping[str, Any]) -> tuple[str, str] | None:
    """The column that is wrong in a step, and why; None for one that may stand in a list.

    One that nobody has checked yet may stand there: its hold point waits for it.
    """
    point, by, checked = (str(step.get(name) or "").strip() for name in ("point", "by", "checked"))
    if point not in HOLD_POINTS:
        return "point", WHICH
    if not checked:
        return None
    if _plain(checked) in REFUSALS:
        return "checked", NOBODY
    if not _has_letters(checked):
        return "checked", NAME if any(map(str.isdigit, checked)) else NOBODY
    if not _has_letters(by):
        return "by", WHO
    if PAUSE in _plain(checked):
        return ("checked", ALONE) if point in TWO_SIGN else None
    return ("checked", ALONE) if _names(by) & _names(checked) else None


def steps_of(job: Mapping[str, Any]) -> list[Mapping[str, Any]]:
    """The steps of a job; none where no list of them stands there."""
    work = job.get("work")
    rows = work.get(STEPS.partition(".")[2]) if isinstance(work, Mapping) else None
    return [row for row in rows if isinstance(row, Mapping)] if isinstance(rows, list) else []


def badly_checked(job: Mapping[str, Any]) -> list[str]:
    """What is wrong with the steps of a file: of no hold point, or checked by nobody else."""
    faults = ((step, fault_of_step(step)) for step in steps_of(job))
    return [f"{step.get('what', '')}: {fault[1]}" for step, fault in faults if fault]


def _plain(words: str) -> str:
    """Words as they are compared: capitals, spaces and full stops forgiven."""
    return " ".join(words.replace(".", "").split()).casefold()


def _names(words: str) -> frozenset[str]:
    """The people that a cell names, apart by commas, signs or “and”."""
    return frozenset(filter(None, map(str.strip, split(r"[,;&+/]|\band\b", _plain(words)))))


def _has_letters(words: str) -> bool:
    return any(map(str.isalpha, words))
