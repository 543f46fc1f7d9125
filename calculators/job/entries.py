"""What is written into a job by hand: readings of the proof, lines of its sheets, and what was accepted.

Each is a change, as `jobsheet` makes it, behind a signed hold point with a reason and initials.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from calculators.declaring import InputError, Number
from calculators.declaring.quantities import (
    COUNT,
    CURRENT,
    LEVEL,
    POWER,
    RATIO,
    RESISTANCE,
    SOUND_LEVEL,
    TIME,
    VOLTAGE,
)
from calculators.job.accepting import mark_of
from calculators.job.facts import (
    LAST,
    MOST_WORDS,
    SetFact,
    ask_why,
    has_fact,
    locked_by,
    with_entries,
    with_fact,
    words_of_value,
)
from calculators.job.reading import FACT, RUN, Job, JobError
from calculators.job.run_done import RunDone
from calculators.job.sheet import ACCEPTED_BY, HOLD_POINTS, is_day, signed
from calculators.job.steps import STEPS, fault_of_step
from calculators.job.working import Worked, fact, work_out
from calculators.stages import find_calculator
from calculators.vocabulary.names import name_key

TYPED = Number("The number", COUNT, -1e9, 1e9)
"""A number typed by hand, in the unit that its place names."""

QUANTITIES = {
    unit.symbol: quantity
    for quantity in (RATIO, COUNT, LEVEL, POWER, RESISTANCE, TIME, VOLTAGE, CURRENT)
    for unit in quantity.units
}
"""What a line of the proof measures, by the unit that it is told in; a word without a unit is a count."""


@dataclass(frozen=True)
class Lines:
    """Lines of a sheet that are facts: what one of them is, and the words of each column.

    The sheets speak to the customer; ``in_form`` are the words of columns that the fitter's form asks with.
    ``choices`` are the words that a column may hold; one of ``days`` holds a day, or nothing.
    """

    one: str
    columns: Mapping[str, str]
    numbers: frozenset[str] = frozenset()
    in_form: Mapping[str, str] = field(default_factory=dict)
    choices: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    days: frozenset[str] = frozenset()

    @property
    def asked(self) -> dict[str, str]:
        """The words of each column in the form."""
        return {**self.columns, **self.in_form}


POLARITY = "tuning.polarity"
CHANNELS = {"delay": "speakers", "level-trim": "channels"}
"""The rows of a calculator that name the channels of the processor."""

LINES: Mapping[str, Lines] = {
    "brief.complaints": Lines(
        "Complaint, in the customer's words",
        {"words": "In your words", "test": "Test", "before": "Before", "after": "After", "says": "You say"},
        in_form={"words": "In the customer's words", "says": "The customer says"},
    ),
    "condition.facts": Lines("Condition", {"what": "What", "found": "Found"}),
    "condition.windows": Lines(
        "Window", {"name": "Window", "down": "Down, s", "up": "Up, s"}, frozenset({"down", "up"})
    ),
    "condition.marks": Lines("Mark on the vehicle", {"where": "Where", "what": "What"}),
    "condition.faults": Lines(
        "Fault found at the survey",
        {"what": "Fault found", "told": "Told on", "mends": "Who mends it, and who pays"},
        in_form={"told": "Told on, as 2031-05-14"},
        days=frozenset({"told"}),
    ),
    "quote.stays": Lines("What stays for good", {"what": "What", "where": "Where"}),
    STEPS: Lines(
        "Step done and checked",
        {"what": "Step", "point": "Hold point", "by": "Done by", "checked": "Checked by"},
        in_form={
            "point": "Looked at before, H1 to H6",
            "checked": "Checked by, somebody else",
        },
        choices={"point": tuple(HOLD_POINTS)},
    ),
    POLARITY: Lines(
        "Polarity of a channel, in the processor",
        {"channel": "Channel", "polarity": "Polarity"},
        in_form={"polarity": "Polarity, normal or reversed"},
        choices={"polarity": ("normal", "reversed")},
    ),
    "faults.cases": Lines(
        "Fault after the work",
        {
            "what": "Fault, and when it shows",
            "readings": "Tests and readings",
            "cure": "Cure",
            "again": "Undone: back; done again: gone",
            "pays": "Who pays",
        },
    ),
}
"""Lines that a reader writes, by the path of their facts."""


USUAL_LEVEL = "Usual level at the driver's ear"
READINGS: Mapping[str, tuple[str, str, Number]] = {
    USUAL_LEVEL: ("brief.usual_level", "dB(A)", Number(USUAL_LEVEL, SOUND_LEVEL, 30, 120)),
}
"""Readings that no line of the proof holds: the fact, its unit and what is typed, by what they are called."""


@dataclass(frozen=True, kw_only=True)
class Measure:
    """A reading of a line of the proof, as it was typed; an empty one takes it out.

    ``limit`` is that of this vehicle, for a line that asks for one: an empty one leaves it as it is.
    """

    line: str
    reading: str
    by: str
    at: str
    reason: str = ""
    limit: str = ""


@dataclass(frozen=True, kw_only=True)
class WriteLine:
    """A line of `LINES`: a new one where ``number`` is empty, and in place of that one otherwise.

    Without any cell that one is taken out. Cells that no form has stay.
    """

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
    reason: str = ""


def measured(job: Job, change: Measure) -> Job:
    """The job with a reading in its proof, or one of `READINGS`, unchecked. Raises JobError."""
    if change.line in READINGS:
        path, _, kind = READINGS[change.line]
        value = number_of(change.line, change.reading, kind)
        fact_read = SetFact(path=path, value=value, by=change.by, at=change.at, reason=change.reason)
        return with_fact(job, fact_read, new=True)
    lines = job["sheet"].get("proof", ())
    old = next((line for line in lines if line["name"] == change.line), None)
    if old is None:
        raise JobError(change.line[:60], "The proof has no such line.")
    if change.limit.strip():
        job = _limited(job, old, change)
        if not change.reading.strip():
            return job
    before, reading = old.get("measured"), _in_unit_of(old, change.line, change.reading)
    if reading is not None and reading < 0 and old.get("most") is not None and old.get("least") is None:
        raise JobError(change.line, f"{change.line}: it cannot be under 0: look at the sign.")
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


def _limited(job: Job, line: Mapping[str, Any], change: Measure) -> Job:
    """The job with the limit that a line asks for. Raises JobError for a line that asks for none."""
    path = _limit_asked(job, line)
    if not path:
        raise JobError(change.line, "This line asks for no limit.")
    limit = _in_unit_of(line, f"Limit of {change.line}", change.limit)
    there = SetFact(path=path, value=limit, by=change.by, at=change.at, reason=change.reason)
    return with_fact(job, there, new=True)


def _limit_asked(job: Job, line: Mapping[str, Any]) -> str:
    """The fact, not there yet, that a line of the proof takes a limit from; an empty text for none."""
    named = [str(line.get(end)) for end in ("least", "most") if str(line.get(end)).startswith(FACT)]
    paths = [words.removeprefix(FACT) for words in named]
    return next((path for path in paths if not has_fact(job, path)), "")


def written(job: Job, change: WriteLine) -> Job:
    """The job with a line of a sheet written, unchecked. Raises JobError."""
    lines = LINES.get(change.path)
    if lines is None:
        raise JobError(change.path[:60], "There are no such lines.")
    row = {
        name: _cell(lines, name, words, change.cells[name])
        for name, words in lines.asked.items()
        if change.cells.get(name, "").strip()
    }
    first, words = next(iter(lines.asked.items()))
    if first not in row and (row or not change.number):
        raise JobError(words, f"{words}: type it first.")
    have = fact(job, change.path) if has_fact(job, change.path) else []
    if not isinstance(have, list):
        raise JobError(words, "What stands there has another form.")
    there = change.number.isascii() and change.number.isdigit() and int(change.number) < len(have)
    if change.number and not there:
        raise JobError(words, "That line is not there any more: look again.")
    place = int(change.number) if there else len(have)
    _ask_sense(change.path, row, [*have[:place], *have[place + 1 :]])
    unseen = {name: cell for name, cell in _cells(have, place).items() if name not in lines.columns}
    value = [*have[:place], *([unseen | row] if row else []), *have[place + 1 :]]
    # What was signed is all that there was: one more line is a change, the first one too.
    points = {str(cells.get("point")) for cells in (_cells(have, place), row)} & set(signed(job["sheet"]))
    closed = locked_by(job, change.path) or min(points, default="")
    ask_why(change.path, closed, change.by, change.reason)
    return with_fact(
        job,
        SetFact(path=change.path, value=value, by=change.by, at=change.at, reason=change.reason),
        new=True,
    )


def _ask_sense(path: str, row: Mapping[str, Any], others: list[Any]) -> None:
    """Nothing for a row that may stand beside others. Raises JobError for a wrong step, a second polarity."""
    if row and path == STEPS and (fault := fault_of_step(row)):
        raise JobError(*fault)
    channels = {name_key(str(other.get("channel", ""))) for other in others if isinstance(other, Mapping)}
    if path == POLARITY and name_key(str(row.get("channel", ""))) in channels:
        raise JobError("channel", "Channel: this one has a line already: choose that line, and change it.")


def accepted(job: Job, change: Accept) -> Job:
    """The job with an exception, unchecked: a reading or a verdict as it is now. Raises JobError.

    A danger is accepted by nobody, and what passes needs no exception. Behind the last hold point it needs a
    reason and initials.
    """
    worked = work_out(job, "")
    line = next((line for line in worked.out_of_tolerance if line.name == change.what), None)
    if change.what not in acceptable(worked):
        raise JobError(change.what[:60], "Nothing of that name is out of tolerance and can be accepted.")
    for words, typed in (("Why it stands", change.why), (ACCEPTED_BY, change.accepted)):
        if not typed.strip():
            raise JobError(words, f"{words}: type it first.")
    ask_why(change.what, LAST if LAST in signed(job["sheet"]) else "", change.by, change.reason)
    entry = {"what": change.what, "why": change.why.strip(), "accepted": change.accepted.strip()}
    run = worked.runs.get(change.what)
    held: dict[str, Any] = {} if line is None else {"value": line.measured}
    if line is None and run and run.answer:
        held = {"said": run.fault[:MOST_WORDS], "mark": mark_of(run.answer)}
    had = job["sheet"].get("exceptions", ())
    told = {
        "path": f"exception: {change.what}"[:120],
        "before": next((words_of_value(one) for one in had if one["what"] == change.what), ""),
        "after": words_of_value(entry | held),
        "by": change.by,
        "at": change.at,
        "reason": change.reason.strip(),
    }
    others = [one for one in had if one["what"] != change.what]
    return with_entries(job | {"sheet": job["sheet"] | {"exceptions": [*others, entry | held]}}, [told])


def acceptable(worked: Worked) -> list[str]:
    """What is out of tolerance and can be accepted: lines of the proof, and verdicts without a danger."""
    runs = [name for name, _ in worked.failing if not worked.runs[name].danger]
    return [*(line.name for line in worked.out_of_tolerance), *runs]


def _in_unit_of(line: Mapping[str, Any], place: str, typed: str) -> float | None:
    """A number in the unit of a line of the proof, though it was typed in another of the same quantity."""
    symbol = line.get("unit", "")
    quantity = QUANTITIES.get(symbol)
    if quantity is None:
        return number_of(place, typed)
    number = number_of(place, typed, Number("The number", quantity, -1e9, 1e9, show=symbol or None))
    return None if number is None else float(quantity.unit(symbol).to_typed(number))


def number_of(place: str, typed: str, kind: Number = TYPED) -> float | None:
    """A number as it was typed, read as any field is; None for an empty text. Raises JobError."""
    if not typed.strip():
        return None
    try:
        return kind.read_number(place, typed)
    except InputError as error:
        raise JobError(place, f"{place}: {error.message.removeprefix(place).strip()}") from None


def _cells(rows: list[Any], place: int) -> Mapping[str, Any]:
    """The cells of a row by their names; none of one that is not there, or is no row."""
    row = rows[place] if place < len(rows) else None
    return row if isinstance(row, Mapping) else {}


def _cell(lines: Lines, name: str, words: str, typed: str) -> str | float | None:
    """A cell as it is kept. Raises JobError for a wrong number or day, or a word that its column has not."""
    if name in lines.numbers:
        return _no_less(words, number_of(words, typed))
    if name in lines.days and typed.strip() and not is_day(typed.strip()):
        raise JobError(words, f"{words}: “{typed.strip()}” is no day.")
    choices = lines.choices.get(name)
    if choices is None:
        return typed.strip()
    found = next((word for word in choices if word.casefold() == typed.strip().casefold()), None)
    if found is None:
        raise JobError(words, f"{words}: type {' or '.join(choices)}.")
    return found


def _no_less(place: str, number: float | None) -> float | None:
    """A number of 0 or more. Raises JobError."""
    if number is not None and number < 0:
        raise JobError(place, f"{place}: it cannot be under 0.")
    return number


def told_of(worked: Worked) -> dict[str, Any]:
    """What can be written into a job, for its page: with what stands there."""
    job = worked.job
    stored = {line["name"]: line for line in job["sheet"].get("proof", ())}
    apart = (
        {"line": name, "unit": unit, "limit": "", "reading": _text(_fact_at(job, path)), "asks": False}
        for name, (path, unit, _) in READINGS.items()
    )
    return {
        "proof": [
            *apart,
            *(
                {
                    "line": line.name,
                    "unit": line.unit,
                    "limit": line.limit,
                    "reading": _text(line.measured),
                    "asks": bool(_limit_asked(job, stored[line.name])),
                }
                for line in worked.proof
                if not str(stored[line.name].get("measured")).startswith(RUN)
            ),
        ],
        "lines": [
            {
                "path": path,
                "one": lines.one,
                "columns": [
                    {"name": name, "words": words, "known": _known(worked, path, name)}
                    for name, words in lines.asked.items()
                ],
                "rows": [
                    {name: _text(_cells(have, place).get(name)) for name in lines.columns}
                    for have in [_rows(job, path)]
                    for place in range(len(have))
                ],
            }
            for path, lines in LINES.items()
        ],
        "acceptable": acceptable(worked),
        "unanswered": [
            {"name": run.name, "form": form_of(worked, run)}
            for run in worked.runs.values()
            if run.standing == "refused"
        ],
    }


def form_of(worked: Worked, run: RunDone) -> dict[str, str]:
    """The form that works a run out, its title, and the run's name if that is not the one that the form opens
    by itself.
    """
    first = next(one.name for one in worked.runs.values() if one.calculator == run.calculator)
    return {
        "calculator": run.calculator,
        "title": find_calculator(run.calculator).title,
        "another": "" if run.name == first else run.name,
    }


def _known(worked: Worked, path: str, column: str) -> list[str]:
    """What a column is offered: the words that it may hold, or the channels that the job knows."""
    if (path, column) != (POLARITY, "channel"):
        return list(LINES[path].choices.get(column, ()))
    named = (
        str(row.name).strip()
        for run in worked.runs.values()
        if run.outcome and run.calculator in CHANNELS
        for row in run.outcome.arguments[CHANNELS[run.calculator]]
    )
    return list(dict.fromkeys(filter(None, named)))


def _fact_at(job: Job, path: str) -> Any:
    """A fact; None where there is none."""
    return fact(job, path) if has_fact(job, path) else None


def _rows(job: Job, path: str) -> list[Any]:
    """The lines at a path of facts; none where no list stands there."""
    have = _fact_at(job, path)
    return have if isinstance(have, list) else []


def _text(value: Any) -> str:
    """A value as it is typed, so that it reads back as it is."""
    if value is None:
        return ""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    return TYPED.write_number(value) if number else str(value)
