"""What is written into a job by hand: readings of the proof, lines of its sheets, and what was accepted.

Each is a change, as `jobsheet` makes it, behind a signed hold point with a reason and initials.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calculators.job.facts import SetFact, ask_why, has_fact, with_entries, with_fact, words_of_value
from calculators.job.reading import FACT, RUN, Job, JobError
from calculators.job.sheet import HOLD_POINTS, signed
from calculators.job.working import Worked, fact, work_out

MOST_READING = 1e9
LAST = list(HOLD_POINTS)[-1]


@dataclass(frozen=True)
class Lines:
    """Lines of a sheet that are facts: what one of them is, and the words of each column."""

    one: str
    columns: Mapping[str, str]
    numbers: frozenset[str] = frozenset()


LINES: Mapping[str, Lines] = {
    "brief.complaints": Lines(
        "Complaint, in the customer's words",
        {"words": "In your words", "test": "Test", "before": "Before", "after": "After", "says": "You say"},
    ),
    "condition.facts": Lines("Condition", {"what": "What", "found": "Found"}),
    "condition.windows": Lines(
        "Window", {"name": "Window", "down": "Down, s", "up": "Up, s"}, frozenset({"down", "up"})
    ),
    "condition.marks": Lines("Mark on the vehicle", {"where": "Where", "what": "What"}),
    "quote.stays": Lines("What stays for good", {"what": "What", "where": "Where"}),
}
"""Lines that a reader writes, by the path of their facts."""


@dataclass(frozen=True, kw_only=True)
class Measure:
    """A reading of a line of the proof, as it was typed; an empty one takes it out."""

    line: str
    reading: str
    by: str
    at: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class WriteLine:
    """A line of `LINES`: a new one where ``number`` is empty, and in place of that one otherwise."""

    path: str
    number: str
    cells: Mapping[str, str]
    by: str
    at: str
    reason: str = ""


@dataclass(frozen=True, kw_only=True)
class Accept:
    """Something out of tolerance that the customer accepted: who, on which day, and why it stands."""

    what: str
    why: str
    accepted: str
    by: str
    at: str


def measured(job: Job, change: Measure) -> Job:
    """The job with a reading in its proof, unchecked. Raises JobError."""
    lines = job["sheet"].get("proof", ())
    old = next((line for line in lines if line["name"] == change.line), None)
    if old is None:
        raise JobError(change.line[:60], "The proof has no such line.")
    before, reading = old.get("measured"), number_of(change.line, change.reading)
    if isinstance(before, str) and before.startswith(RUN):
        raise JobError(change.line, "It is an answer of this job: it is worked out, not typed.")
    if isinstance(before, str):
        path = before.removeprefix(FACT)
        there = SetFact(path=path, value=reading, by=change.by, at=change.at, reason=change.reason)
        return with_fact(job, there, new=True)
    if before is not None:
        ask_why(change.line, LAST if LAST in signed(job["sheet"]) else "", change.by, change.reason)
    proof = [line | {"measured": reading} if line is old else line for line in lines]
    entry = {
        "path": f"proof: {change.line}"[:120],
        "before": "" if before is None else words_of_value(before),
        "after": "" if reading is None else words_of_value(reading),
        "by": change.by,
        "at": change.at,
        "reason": change.reason.strip(),
    }
    return with_entries(job | {"sheet": job["sheet"] | {"proof": proof}}, [entry])


def written(job: Job, change: WriteLine) -> Job:
    """The job with a line of a sheet written, unchecked. Raises JobError."""
    lines = LINES.get(change.path)
    if lines is None:
        raise JobError(change.path[:60], "There are no such lines.")
    row = {
        name: number_of(words, change.cells[name]) if name in lines.numbers else change.cells[name].strip()
        for name, words in lines.columns.items()
        if change.cells.get(name, "").strip()
    }
    first, words = next(iter(lines.columns.items()))
    if first not in row:
        raise JobError(words, f"{words}: type it first.")
    have = fact(job, change.path) if has_fact(job, change.path) else []
    if not isinstance(have, list):
        raise JobError(words, "What stands there has another form.")
    there = change.number.isascii() and change.number.isdigit() and int(change.number) < len(have)
    if change.number and not there:
        raise JobError(words, "That line is not there any more: look again.")
    rows = [row if place == int(change.number or -1) else one for place, one in enumerate(have)]
    value = rows if there else [*rows, row]
    return with_fact(
        job,
        SetFact(path=change.path, value=value, by=change.by, at=change.at, reason=change.reason),
        new=True,
    )


def accepted(job: Job, change: Accept) -> Job:
    """The job with an exception, unchecked: a reading as it is now, or a verdict. Raises JobError.

    A danger is accepted by nobody, and what passes needs no exception.
    """
    worked = work_out(job, "")
    line = next((line for line in worked.out_of_tolerance if line.name == change.what), None)
    if change.what not in acceptable(worked):
        raise JobError(change.what[:60], "Nothing of that name is out of tolerance and can be accepted.")
    for words, typed in (("Why", change.why), ("Accepted by, on", change.accepted)):
        if not typed.strip():
            raise JobError(words, f"{words}: type it first.")
    entry = {"what": change.what, "why": change.why.strip(), "accepted": change.accepted.strip()}
    held = {} if line is None else {"value": line.measured}
    others = [one for one in job["sheet"].get("exceptions", ()) if one["what"] != change.what]
    return job | {"sheet": job["sheet"] | {"exceptions": [*others, entry | held]}}


def acceptable(worked: Worked) -> list[str]:
    """What is out of tolerance and can be accepted: lines of the proof, and verdicts without a danger."""
    runs = [name for name, _ in worked.failing if not worked.runs[name].danger]
    return [*(line.name for line in worked.out_of_tolerance), *runs]


def number_of(place: str, typed: str) -> float | None:
    """A number as it was typed, with a comma or a point; None for an empty text. Raises JobError."""
    text = typed.strip().replace(",", ".").replace("\N{MINUS SIGN}", "-")
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        raise JobError(place, f"{place}: “{typed.strip()[:20]}” is no number.") from None
    if not abs(number) <= MOST_READING:
        raise JobError(place, f"{place}: the number is too large.")
    return number


def told_of(worked: Worked) -> dict[str, Any]:
    """What can be written into a job, for its page: with what stands there."""
    job = worked.job
    stored = {line["name"]: line for line in job["sheet"].get("proof", ())}
    return {
        "proof": [
            {
                "line": line.name,
                "unit": line.unit,
                "limit": line.limit,
                "reading": "" if line.measured is None else f"{line.measured:.12g}",
            }
            for line in worked.proof
            if not str(stored[line.name].get("measured")).startswith(RUN)
        ],
        "lines": [
            {
                "path": path,
                "one": lines.one,
                "columns": [{"name": name, "words": words} for name, words in lines.columns.items()],
                "rows": [
                    {name: _text(row.get(name)) for name in lines.columns}
                    for row in _rows(job, path)
                    if isinstance(row, dict)
                ],
            }
            for path, lines in LINES.items()
        ],
        "acceptable": acceptable(worked),
        "unanswered": [run.name for run in worked.runs.values() if run.standing == "refused"],
    }


def _rows(job: Job, path: str) -> list[Any]:
    """The lines at a path of facts; none where no list stands there."""
    have = fact(job, path) if has_fact(job, path) else []
    return have if isinstance(have, list) else []


def _text(value: Any) -> str:
    if value is None:
        return ""
    return f"{value:.12g}" if isinstance(value, float) else str(value)
