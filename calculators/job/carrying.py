"""Values carried between a form and a job: what the job knows of its inputs, and an answer put into it.

Where an input's value stands in a job is told by the job's own run of that calculator, and else by the page,
whose form names the fact that it stands for.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any, Literal

from calculators.declaring import Answer, Calculator, File, InputError, InputField, Rows
from calculators.declaring.answers import plain
from calculators.declaring.inputs import Found
from calculators.declaring.reading import read_typed
from calculators.job.by_file import (
    OF_NO_VEHICLE,
    Mark,
    figures_of,
    file_inputs,
    is_invented,
    is_mark,
    marks_of,
)
from calculators.job.examples import EXAMPLE, is_example, last_left, told_at
from calculators.job.facts import (
    SetFact,
    ask_why,
    closed_to,
    lacks_table,
    locked_by,
    why_words,
    with_entries,
    with_fact,
    words_of_value,
)
from calculators.job.reading import FACT, RUN, Job, JobError, is_run_name, with_known_inputs
from calculators.job.run_done import RunDone
from calculators.job.working import cut_links, references, resolved, work_out
from calculators.stages import find_calculator

type Links = Literal["", "keep", "cut"]


class LinkedError(JobError):
    """A value typed over the answer that its input follows from: the reader chooses which of them stands."""


@dataclass(frozen=True)
class Carried:
    """What a job knows of an input: what its run holds or the page names, and the value that this gives.

    ``example``: it came in as a page showed it, and nobody has typed it since.
    """

    source: Any
    value: Any
    example: bool = False


@dataclass(frozen=True, kw_only=True)
class PutIn:
    """Put a form's answer into the job: a fact for each input that has a path, the rest with its run.

    ``paths`` name the facts by input, for those that the job's run does not place. ``example`` are the inputs
    that hold what the page showed: the history says so. ``by``, ``at``, ``reason``: as of `SetFact`.
    ``links`` says what becomes of an input that follows from another answer where another value was typed:
    ``keep`` leaves that value out, ``cut`` takes it, with a reason and initials; else LinkedError asks.
    ``another`` is the reader's name of a run beside the job's first one: what differs there stays with it.
    ``files`` are the marks of the files that the answer rests on, by input: the job holds no more of them.
    """

    answer: Answer
    paths: Mapping[str, str]
    by: str
    at: str
    reason: str = ""
    example: frozenset[str] = frozenset()
    links: Links = ""
    another: str = ""
    files: Mapping[str, Mark] = field(default_factory=dict)


def run_of(job: Job, slug: str, paths: Mapping[str, str], another: str = "") -> Mapping[str, Any]:
    """The run that a form stands for: the job's first of that calculator, but for one that takes another fact
    where the page names one; where it has none, a new one without inputs.

    ``another`` names one beside it, in the reader's words. Raises JobError for a name that cannot be used.
    """
    runs = job["sheet"].get("runs", ())
    if another:
        return _named(runs, slug, another)
    names = {run["name"] for run in runs}
    numbered = (slug if number == 1 else f"{slug}-{number}" for number in count(1))
    new = {"name": next(name for name in numbered if name not in names), "calculator": slug, "inputs": {}}
    return next((run for run in runs if run["calculator"] == slug and _fits(run["inputs"], paths)), new)


def _named(runs: Iterable[Mapping[str, Any]], slug: str, words: str) -> Mapping[str, Any]:
    """A calculator's run by the name that a reader gives it; a new one where there is none."""
    name = "-".join("".join(sign if _in_word(sign) else " " for sign in words.lower()).split())
    if not is_run_name(name):
        raise JobError("another", "Name it with letters and digits, a letter first: rear feed.")
    have = next((run for run in runs if run["name"] == name), None)
    if have and have["calculator"] != slug:
        raise JobError("another", f"“{name}” is another answer of this job: take another name.")
    return have or {"name": name, "calculator": slug, "inputs": {}}


def _in_word(sign: str) -> bool:
    """Whether it is a letter, a digit, or a mark over or under one, of any alphabet."""
    return sign != "_" and f"a{sign}".isidentifier()


def _fits(inputs: Mapping[str, Any], paths: Mapping[str, str]) -> bool:
    return all(
        source == FACT + paths[name]
        for name, source in inputs.items()
        if name in paths and isinstance(source, str) and source.startswith(FACT)
    )


def carried(job: Job, slug: str, paths: Mapping[str, str], another: str = "") -> dict[str, Carried]:
    """What the job knows of a calculator's inputs, by name; what it does not know or cannot read is left out.

    Raises JobError where the runs that it takes answers of cannot be worked out.
    """
    run = run_of(job, slug, paths, another)
    done = _worked(job, run, "") if run["inputs"] else {}
    found = {}
    left = last_left(job)
    for entry in find_calculator(slug).inputs:
        sources = [run["inputs"][entry.name]] if entry.name in run["inputs"] else []
        sources += [FACT + paths[entry.name]] if entry.name in paths else []
        known = (_read(job, entry, source, done) for source in sources)
        first = next((one for one in known if one is not None), None)
        if first is not None:
            found[entry.name] = replace(first, example=is_example(job, run, entry.name, first.source, left))
    return found


def put_in(job: Job, change: PutIn) -> Job:
    """The job with a form's values and the answer that they give there, unchecked. Raises JobError.

    A field shows fewer figures than the job holds: what was typed as the job's value is written there is that
    value.
    """
    answer = change.answer
    if is_invented(answer.calculator, answer.inputs):
        raise JobError(answer.calculator, OF_NO_VEHICLE)
    run = run_of(job, answer.calculator, change.paths, change.another)
    known = carried(job, answer.calculator, change.paths, change.another)
    added = run not in job["sheet"].get("runs", ())
    closed = _closed_by(job, change, run, known)
    if added:
        ask_why(run["name"], closed, change.by, change.reason)
    fields = _fields_of(job, change, run, known)
    job, inputs, entries = _with_fields(job, change, run, fields, closed)
    _ask_of_links(run, fields)
    kept = {"name": run["name"], "calculator": run["calculator"], "inputs": inputs}
    if marks_of(kept, find_calculator(answer.calculator)):
        stand = {one.entry.name: plain(one.have.value) for one in fields if one.have and one.fate == "stands"}
        kept["answer"] = figures_of(answer, {**answer.inputs, **stand})
    done = _worked(job, kept, answer.release)[kept["name"]]
    if done.answer is None and not any(one.waits for one in fields):
        raise JobError(done.name, done.why)
    held = {} if done.answer is None else {"answer": done.answer.data()}
    if closed and added and not entries:
        entries = [_told(change, run["name"], "", f"one more answer of {answer.calculator}")]
    return with_entries(_with_run(job, kept | held), entries)


def _closed_by(job: Job, change: PutIn, run: Mapping[str, Any], known: Mapping[str, Carried]) -> str:
    """The signed hold point behind which a run is changed, or is one more: what was signed is all there was.

    An empty text where it is open.
    """
    calculator = find_calculator(change.answer.calculator)
    if run not in job["sheet"].get("runs", ()):
        return closed_to(job, calculator.slug)
    return locked_by(job, run["name"]) if _answered(calculator, run, known) else ""


type Fate = Literal["stands", "follows", "linked", "asked", "typed"]
"""What becomes of a field: it stands as the job has it; it goes on following from another answer, or follows
from it again; the reader is asked whether it does; or what was typed is taken.
"""


@dataclass(frozen=True)
class _Field:
    """A field of a form that is put in, beside what the job has in its place.

    ``source`` is what the run has there, and ``have`` what that gives. ``link`` is the answer that it follows
    from, or followed from until a value was typed over it. ``new`` is what the job is to keep.
    """

    entry: InputField
    place: str
    source: Any
    have: Carried | None
    link: str
    new: Any
    fate: Fate

    @property
    def waits(self) -> bool:
        """Whether it is to follow from an answer that is not what the job has there by now."""
        linked = self.fate in ("follows", "linked")
        return linked and (self.have is None or self.have.source != self.link)


def _fields_of(job: Job, change: PutIn, run: Mapping[str, Any], known: Mapping[str, Carried]) -> list[_Field]:
    """The fields of a form, without a file that the job has already. Raises JobError for one not at hand."""
    calculator, links, fields = find_calculator(change.answer.calculator), cut_links(job) | _links(run), []
    for entry in calculator.inputs:
        value, source = change.answer.inputs[entry.name], run["inputs"].get(entry.name)
        new: Any = change.files.get(entry.name) if isinstance(entry.kind, File) else _lean(entry, value)
        if isinstance(entry.kind, File) and new == source:
            if value is not None and new is None:
                raise JobError(entry.name, f"{entry.kind.label}: the file is not at hand: choose it again.")
            continue
        place, have = f"{run['name']}.{entry.name}", known.get(entry.name)
        link = links.get(place, "")
        same = have is not None and value in (plain(have.value), _as_typed(calculator, entry, have.value))
        stands = have is not None and same and (have.source == source or source != link)
        fate: Fate = "stands" if stands else _fate(change, entry.name, source, link)
        fields.append(_Field(entry, place, source, have, link, link if fate == "linked" else new, fate))
    return fields


def _fate(change: PutIn, name: str, source: Any, link: str) -> Fate:
    """What becomes of a field that does not stand as the job has it."""
    if not link:
        return "typed"
    if change.links == "keep" or (source == link and name in change.example):
        return "follows" if source == link else "linked"
    return "typed" if change.links == "cut" and change.reason.strip() and change.by.strip() else "asked"


def _with_fields(
    job: Job, change: PutIn, run: Mapping[str, Any], fields: list[_Field], closed: str
) -> tuple[Job, dict[str, Any], list[dict[str, str]]]:
    """The job with its facts as the fields have them, the run's inputs, and what the history tells of these.

    Raises LockedError where a hold point is signed and no reason is given.
    """
    inputs: dict[str, Any] = dict(run["inputs"])
    entries: list[dict[str, str]] = []
    for one in fields:
        name = one.entry.name
        if one.have and one.fate == "stands":
            inputs[name] = one.have.source
            if one.have.example and name not in change.example:  # Typed, as it stands: from now on yours.
                words = words_of_value(plain(one.have.value))
                entries.append(_told(change, told_at(run, name, one.have.source), words, words))
        if one.fate not in ("linked", "typed"):
            continue
        note = EXAMPLE if name in change.example else ""
        # What another run has for itself leaves the fact, which is the first one's, as it is.
        path = "" if change.another else _path(job, one.source, change.paths.get(name, ""))
        if path:
            ask_why(one.place, closed, change.by, change.reason)
            typed = SetFact(path=path, value=one.new, by=change.by, at=change.at, reason=change.reason)
            job = with_fact(job, typed, new=True, note=note)
            inputs[name] = FACT + path
        elif name in inputs or not _goes_without_saying(one.entry, change.answer):
            ask_why(one.place, closed, change.by, change.reason)
            before = "" if one.source is None else words_of_value(one.source)
            entries.append(_told(change, one.place, before, words_of_value(one.new), note))
            inputs[name] = one.new
    return job, inputs, entries


def _goes_without_saying(entry: InputField, answer: Answer) -> bool:
    """Whether an input holds its default, which a run does not keep."""
    return not entry.required and answer.inputs[entry.name] == plain(entry.default)


def _ask_of_links(run: Mapping[str, Any], fields: list[_Field]) -> None:
    """Raises LinkedError where fields were typed over answers that they follow from."""
    words = " ".join(
        f"{one.entry.kind.label} follows from the answer “{one.link.removeprefix(RUN).partition('.')[0]}”: "
        "typing over it cuts that, and it follows no more."
        for one in fields
        if one.fate == "asked"
    )
    if words:
        raise LinkedError(run["name"], f"{words} Keep it linked, or give your reason and initials.")


def _told(change: PutIn, path: str, before: str, after: str, note: str = "") -> dict[str, str]:
    """An entry of the history."""
    names = {"path": path, "before": before, "after": after, "by": change.by, "at": change.at}
    return names | {"reason": why_words(note, change.reason)}


def left_out(job: Job, change: PutIn) -> list[str]:
    """Labels of the inputs that follow from another answer, where the form held another value than that."""
    calculator = find_calculator(change.answer.calculator)
    run = run_of(job, calculator.slug, change.paths, change.another)
    stored = run.get("answer", {}).get("inputs", {})
    return [
        entry.kind.label
        for entry in calculator.inputs
        if f"{run['name']}.{entry.name}" in _links(run)
        and change.answer.inputs[entry.name]
        not in (stored.get(entry.name), _as_typed(calculator, entry, stored.get(entry.name)))
    ]


def _links(run: Mapping[str, Any]) -> dict[str, str]:
    """The answers that a run's inputs follow from, by the inputs' places."""
    return {
        f"{run['name']}.{name}": source
        for name, source in run["inputs"].items()
        if isinstance(source, str) and source.startswith(RUN)
    }


def _answered(calculator: Calculator, run: Mapping[str, Any], known: Mapping[str, Carried]) -> bool:
    """Whether a run has all that it needs, so that a signature may rest on its answer."""
    inputs = run["inputs"]
    files = {entry.name for entry in file_inputs(calculator)}
    given = all(
        is_mark(source) if name in files else name in known and known[name].source == source
        for name, source in inputs.items()
    )
    return bool(inputs) and given and all(e.name in inputs for e in calculator.inputs if e.required)


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


def _path(job: Job, source: Any, path: str) -> str:
    """The fact that an input stands for: its run's, or else the page's. No cell of a table to come."""
    if isinstance(source, str) and source.startswith(FACT):
        return source.removeprefix(FACT)
    return path if source is None and not lacks_table(job, path) else ""


def with_run_alone(job: Job, run: Mapping[str, Any]) -> Job:
    """The job with that run, in the place of the one of its name, those that it rests on and no other.

    Raises JobError for one that has an input which its calculator has not.
    """
    runs = {one["name"]: one for one in _with_run(job, run)["sheet"]["runs"]}
    wanted = [run["name"]]
    for name in wanted:  # It grows as it goes.
        needs = {reference.partition(".")[0] for reference in references(runs[name]["inputs"])}
        wanted += [need for need in needs if need in runs and need not in wanted]
    sheet = job["sheet"] | {"runs": [runs[name] for name in wanted], "proof": []}
    return with_known_inputs(job | {"sheet": sheet})


def _worked(job: Job, run: Mapping[str, Any], release: str) -> Mapping[str, RunDone]:
    """A run in the job and those that it rests on, worked out. Raises JobError."""
    return work_out(with_run_alone(job, run), release).runs


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
