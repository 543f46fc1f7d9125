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
from calculators.job.facts import (
    TAKEN_BACK,
    SetFact,
    ask_why,
    closed_to,
    has_fact,
    lacks_table,
    locked_by,
    why_words,
    with_entries,
    with_fact,
    words_of_value,
)
from calculators.job.reading import FACT, RUN, Job, JobError, is_run_name
from calculators.job.working import RunDone, cut_links, fact, references, resolved, work_out
from calculators.stages import find_calculator

EXAMPLE = "the page's example, kept as it was"
"""Stands before the reason of a value that nobody has typed for this vehicle; it opens no hold point.

Job files hold it, and by it a job that was kept is read: it is never worded otherwise.
"""

OF_EXAMPLE = "Not yet this vehicle's: of an example in the handbook"
"""Stands over such values on what leaves the shop or goes to who works on the vehicle."""

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
    done = _worked(_with_run(job, run), run, "") if run["inputs"] else {}
    found = {}
    left = _last_left(job)
    for entry in find_calculator(slug).inputs:
        sources = [run["inputs"][entry.name]] if entry.name in run["inputs"] else []
        sources += [FACT + paths[entry.name]] if entry.name in paths else []
        known = (_read(job, entry, source, done) for source in sources)
        first = next((one for one in known if one is not None), None)
        if first is not None:
            found[entry.name] = replace(first, example=_is_example(job, run, entry.name, first.source, left))
    return found


type Left = Mapping[str, tuple[str, str]]


def _last_left(job: Job) -> Left:
    """What each place of the history was left as, in words, and why; after a taking back, as that left it."""
    left: dict[str, tuple[str, str]] = {}
    whys: dict[tuple[str, str], str] = {}
    for entry in job["sheet"].get("history", ()):
        path, after, why = entry["path"], entry["after"], entry.get("reason", "")
        if not why.startswith(TAKEN_BACK):
            whys[path, after] = why
        left[path] = (after, whys.get((path, after), ""))
    return left


def _is_example(job: Job, run: Mapping[str, Any], name: str, source: Any, left: Left) -> bool:
    """Whether a value came into the job as a page showed it, and nobody has typed it since."""
    if isinstance(source, str) and source.startswith(RUN):
        return False
    place = _told_at(run, name, source)
    of_fact = isinstance(source, str) and source.startswith(FACT)
    if of_fact and place not in left:
        place = place.partition("[")[0]  # A cell of a table that came in whole.
    after, why = left.get(place, ("", ""))
    if not why.startswith(EXAMPLE) or (of_fact and not has_fact(job, place)):
        return False
    return after == words_of_value(fact(job, place) if of_fact else source)


def examples_of_runs(job: Job) -> dict[str, str]:
    """The inputs that a job holds as a page showed them, in words, by the name of each run that has any."""
    left = _last_left(job)
    labels = {
        run["name"]: "; ".join(
            entry.kind.label
            for entry in find_calculator(run["calculator"]).inputs
            if entry.name in run["inputs"]
            and _is_example(job, run, entry.name, run["inputs"][entry.name], left)
        )
        for run in job["sheet"].get("runs", ())
    }
    return {name: words for name, words in labels.items() if words}


def examples_in(job: Job) -> tuple[str, ...]:
    """The same, a line for each run, by its title."""
    lines, runs, examples = [], job["sheet"].get("runs", ()), examples_of_runs(job)
    slugs = [run["calculator"] for run in runs]
    for run in runs:
        if run["name"] in examples:
            own = f" “{run['name']}”" if slugs.count(run["calculator"]) > 1 else ""
            lines.append(f"{find_calculator(run['calculator']).title}{own}: {examples[run['name']]}")
    return tuple(lines)


def _told_at(run: Mapping[str, Any], name: str, source: Any) -> str:
    """Where the history tells of an input: at its fact, or at its run's own place."""
    named = isinstance(source, str) and source.startswith(FACT)
    return source.removeprefix(FACT) if named else f"{run['name']}.{name}"


def put_in(job: Job, change: PutIn) -> Job:
    """The job with a form's values and the answer that they give there, unchecked. Raises JobError.

    A field shows fewer figures than the job holds: what was typed as the job's value is written there is that
    value.
    """
    answer = change.answer
    calculator = find_calculator(answer.calculator)
    if is_invented(answer.calculator, answer.inputs):
        raise JobError(answer.calculator, OF_NO_VEHICLE)
    run = run_of(job, answer.calculator, change.paths, change.another)
    known = carried(job, answer.calculator, change.paths, change.another)
    added = run not in job["sheet"].get("runs", ())
    closed = locked_by(job, run["name"]) if _answered(calculator, run, known) else ""
    if added:  # What was signed is all that there was: one more is a change.
        closed = closed_to(job, answer.calculator)
        ask_why(run["name"], closed, change.by, change.reason)
    links = cut_links(job) | _links(run)
    inputs, entries, asked, waits = dict(run["inputs"]), [], [], False
    worked_from = dict(answer.inputs)
    for entry in calculator.inputs:
        value = answer.inputs[entry.name]
        have = known.get(entry.name)
        source = run["inputs"].get(entry.name)
        place = f"{run['name']}.{entry.name}"
        link = links.get(place, "")
        new: Any = change.files.get(entry.name) if isinstance(entry.kind, File) else _lean(entry, value)
        if isinstance(entry.kind, File) and new == source:
            if value is not None and new is None:
                raise JobError(entry.name, f"{entry.kind.label}: the file is not at hand: choose it again.")
            continue
        same = have is not None and value in (plain(have.value), _as_typed(calculator, entry, have.value))
        if have is not None and same and (have.source == source or source != link):
            inputs[entry.name], worked_from[entry.name] = have.source, plain(have.value)
            if have.example and entry.name not in change.example:  # Typed, as it stands: from now on yours.
                words = words_of_value(plain(have.value))
                entries.append(_told(change, _told_at(run, entry.name, have.source), words, words))
            continue
        if link and (change.links == "keep" or (source == link and entry.name in change.example)):
            waits |= have is None or have.source != link
            if source == link:
                continue
            new = link
        elif link and not (change.links == "cut" and change.reason.strip() and change.by.strip()):
            asked.append((entry.kind.label, link.removeprefix(RUN).partition(".")[0]))
            continue
        # What another run has for itself leaves the fact, which is the first one's, as it is.
        path = "" if change.another else _path(job, source, change.paths.get(entry.name, ""))
        note = EXAMPLE if entry.name in change.example else ""
        if path:
            ask_why(place, closed, change.by, change.reason)
            typed = SetFact(path=path, value=new, by=change.by, at=change.at, reason=change.reason)
            job = with_fact(job, typed, new=True, note=note)
            inputs[entry.name] = FACT + path
        elif entry.name in inputs or entry.required or value != plain(entry.default):
            ask_why(place, closed, change.by, change.reason)
            before = "" if source is None else words_of_value(source)
            entries.append(_told(change, place, before, words_of_value(new), note))
            inputs[entry.name] = new
    if asked:
        words = " ".join(
            f"{label} follows from the answer “{name}”: typing over it cuts that, and it follows no more."
            for label, name in asked
        )
        raise LinkedError(run["name"], f"{words} Keep it linked, or give your reason and initials.")
    kept = {"name": run["name"], "calculator": run["calculator"], "inputs": inputs}
    if marks_of(kept, calculator):
        kept["answer"] = figures_of(answer, worked_from)
    done = _worked(_with_run(job, kept), kept, answer.release)[kept["name"]]
    if done.answer is None and not waits:
        raise JobError(done.name, done.why)
    held = {} if done.answer is None else {"answer": done.answer.data()}
    if closed and added and not entries:
        entries.append(_told(change, run["name"], "", f"one more answer of {answer.calculator}"))
    return with_entries(_with_run(job, kept | held), entries)


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
