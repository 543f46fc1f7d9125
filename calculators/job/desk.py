"""What a page asks of a job: its file goes in as text, and another file or the text of fields comes out.

Every question is pure: what the device keeps is the page's affair. What is wrong stands in ``errors``, each
with its place, and then nothing else is told but ``locked``, where a reason and initials would mend it, and
``linked``, where the reader chooses whether an input still follows from an answer.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from calculators.declaring import InputField, Kept, Number, Outcome, Steps, answer_of, steps_typed
from calculators.declaring.answers import plain
from calculators.job.by_file import file_inputs, marked, marks_of
from calculators.job.carrying import LinkedError, PutIn, carried, left_out, run_of, with_run_alone
from calculators.job.changing import Change, Forget, HasNone, Sign, Store, TakeBack, Unsign, begun, jobsheet
from calculators.job.entries import Accept, Measure, WriteLine, form_of, told_of
from calculators.job.examples import examples_of_runs
from calculators.job.facts import LockedError, has_fact, row_of
from calculators.job.printed import STALE, Printed
from calculators.job.reading import FACT, RUN, Job, JobError, read_file, with_known_inputs, write_job
from calculators.job.sheet import HOLD_POINTS, TWO_SIGN, signed, signers
from calculators.job.signing import closes_example, hindrances, what_is_signed
from calculators.job.working import Worked, fact, steps_out
from calculators.stages import find_calculator

UNTITLED = "Untitled"
MOST_FILES = 2
"""Job files that are at hand, read: before a change, and after it."""

type Told = dict[str, Any]
type WorkOut = Callable[[str, Mapping[str, str]], Steps[Outcome]]
"""Works the text of a form out, by the name of its calculator."""


def work_out_form(slug: str, typed: Mapping[str, str]) -> Steps[Outcome]:
    """A form without files, worked out."""
    return steps_typed(find_calculator(slug), typed)


@dataclass(frozen=True)
class Asked:
    """A question about a job: its texts by name, the release of the calculators that answer, and who works
    a form out: whoever asks has the files that it names.
    """

    given: Mapping[str, str]
    release: str
    work_out: WorkOut = work_out_form

    @property
    def job(self) -> Job:
        """The job that it is about. Raises JobError."""
        return _read(self.given["job"])

    def told_of(self, name: str) -> Any:
        """What was given as JSON under a name; the page's own, and so of the right form."""
        return json.loads(self.given.get(name) or "null")

    def signed_with(self) -> dict[str, str]:
        """By whom, and when."""
        return {"by": self.given.get("by", "").strip(), "at": self.given["at"]}


_jobs: dict[str, Job] = {}


def _read(text: str) -> Job:
    """A job file, its runs held against their calculators. Raises JobError."""
    return with_known_inputs(_at_hand(text))


def _at_hand(text: str) -> Job:
    """A job file read once for all forms of a page: nobody changes a job in place. Raises JobError."""
    return _jobs[text] if text in _jobs else _remembered(text, read_file(text.encode("utf-8", "replace")))


def _remembered(text: str, job: Job) -> Job:
    """The job that a file holds, at hand for whoever asks about that file next."""
    _jobs[text] = job
    while len(_jobs) > MOST_FILES:
        del _jobs[next(iter(_jobs))]
    return job


_last: dict[tuple[str, str], Worked] = {}


def _worked_out(text: str, release: str) -> Steps[Worked]:
    """A job file worked out. The last one is kept: after a change a page asks where that same file stands."""
    if (text, release) not in _last:
        worked = yield from steps_out(_read(text), release)
        _last.clear()
        _last[text, release] = worked
    return _last[text, release]


def told(
    question: str, given: Mapping[str, str], release: str, work_out: WorkOut = work_out_form
) -> Steps[Told]:
    """The reply to a question, as plain data."""
    try:
        reply: Told = yield from QUESTIONS[question](Asked(given, release, work_out))
    except JobError as error:
        reply = {
            "errors": [{"field": error.place, "message": error.message}],
            "locked": isinstance(error, LockedError),
            "linked": isinstance(error, LinkedError),
        }
    return reply


def _new(asked: Asked) -> Steps[Told]:
    """A job of that name, with nothing in it but what the runs of another one ask for."""
    yield from ()
    return _as_file(begun(asked.job, asked.given["title"].strip()))


def _taken(asked: Asked) -> Steps[Told]:
    """A file from outside, read whole; one of facts alone, without a sheet, only where ``sure`` is given.

    Who signed it elsewhere is told, and which day has not come yet: nobody here has checked that.
    """
    yield from ()
    job = asked.job
    if not asked.given.get("sure") and "sheet" not in json.loads(asked.given["job"]):
        return {"errors": [], "factsAlone": True}
    marks = [
        f"{point} {signers(mark)}, {mark['at']}{', a day to come' if mark['at'] > asked.given['at'] else ''}"
        for point, mark in signed(job["sheet"]).items()
    ]
    return _as_file(job) | {"signed": marks, "latest": _latest(job)}


def _stands(asked: Asked) -> Steps[Told]:
    """Where the job stands: what is out of date, what can be signed and written, if it names anybody."""
    worked = yield from _worked_out(asked.given["job"], asked.release)
    return _standing(worked) | {"release": asked.release}


def _renewed(asked: Asked) -> Steps[Told]:
    """The job with all answers worked out again."""
    worked = yield from _worked_out(asked.given["job"], asked.release)
    answers = {run.name: run.answer for run in worked.runs.values() if run.answer}
    reason = asked.given.get("reason", "")
    return _as_file(jobsheet(asked.job, Store(answers=answers, reason=reason, **asked.signed_with())))


def _signed(asked: Asked) -> Steps[Told]:
    point: Any = asked.given["point"]
    words = {name: asked.given.get(name, "") for name in ("second", "reason")}
    return (yield from _changed(asked, Sign(point=point, **words, **asked.signed_with())))


def _unsigned(asked: Asked) -> Steps[Told]:
    point: Any = asked.given["point"]
    reason = asked.given.get("reason", "")
    return (yield from _changed(asked, Unsign(point=point, reason=reason, **asked.signed_with())))


def _taken_back(asked: Asked) -> Steps[Told]:
    before = _read(asked.given["before"])
    reason = asked.given.get("reason", "")
    return (yield from _changed(asked, TakeBack(before=before, reason=reason, **asked.signed_with())))


def _measured(asked: Asked) -> Steps[Told]:
    given, reason = asked.given, asked.given.get("reason", "")
    words = {"line": given["line"], "reading": given["reading"], "limit": given.get("limit", "")}
    change = Measure(**words, reason=reason, **asked.signed_with())
    return (yield from _changed(asked, change))


def _written(asked: Asked) -> Steps[Told]:
    given, reason = asked.given, asked.given.get("reason", "")
    change = WriteLine(
        path=given["path"],
        number=given["number"],
        cells=asked.told_of("cells"),
        reason=reason,
        **asked.signed_with(),
    )
    return (yield from _changed(asked, change))


def _accepted(asked: Asked) -> Steps[Told]:
    given, reason = asked.given, asked.given.get("reason", "")
    words = {name: given[name] for name in ("what", "why", "accepted")}
    change = Accept(**words, reason=reason, **asked.signed_with())
    return (yield from _changed(asked, change))


def _has_none(asked: Asked) -> Steps[Told]:
    change = HasNone(run=asked.given["run"], reason=asked.given.get("reason", ""), **asked.signed_with())
    return (yield from _changed(asked, change))


def _erased(asked: Asked) -> Steps[Told]:
    """The job without who the customer is."""
    return (yield from _changed(asked, Forget()))


def _put(asked: Asked) -> Steps[Told]:
    """A form's values and its answer put into the job."""
    calculator = find_calculator(asked.given["calculator"])
    outcome = yield from asked.work_out(calculator.slug, asked.told_of("fields"))
    if outcome.errors:
        return {"errors": [{"field": error.field, "message": error.message} for error in outcome.errors]}
    files = {}
    for entry in file_inputs(calculator):
        if isinstance(kept := outcome.arguments[entry.name], Kept):
            files[entry.name] = yield from marked(kept)
    example = frozenset(asked.told_of("example") or ())
    links: Any = asked.given.get("links", "")
    change = PutIn(
        answer=answer_of(outcome, asked.release),
        paths=asked.told_of("paths") or {},
        reason=asked.given.get("reason", "").strip(),
        example=example,
        links=links,
        another=asked.given.get("another", "").strip(),
        files=files,
        **asked.signed_with(),
    )
    former = marks_of(run_of(asked.job, calculator.slug, change.paths, change.another), calculator)
    told = yield from _changed(asked, change)
    after = _read(told["job"])
    left = left_out(after, change)
    labels = [entry.kind.label for entry in calculator.inputs if entry.name in example]
    return told | {
        "example": [label for label in labels if label not in left],
        "left": left,
        "beside": [mark["name"] for mark in files.values()],
        "others": [mark["name"] for name, mark in former.items() if files.get(name) != mark],
        "moved": _moved(asked.job, after),
    }


def _fields(asked: Asked) -> Steps[Told]:
    """The text of a form's fields for what the job knows of its inputs, and where each value comes from.

    A page waits for it: no calculator is looked at but the form's own and those whose answers it takes.
    """
    yield from ()
    job, slug, paths = _at_hand(asked.given["job"]), asked.given["calculator"], asked.told_of("paths") or {}
    another, calculator = asked.given.get("another", ""), find_calculator(asked.given["calculator"])
    known, run = carried(job, slug, paths, another), run_of(job, slug, paths, another)
    inputs = [entry for entry in calculator.inputs if entry.name in known]
    examples = examples_of_runs(with_run_alone(job, run))
    return {
        "errors": [],
        "place": _place(job, run),
        "chosen": [
            {"name": name, "file": mark["name"], "size": mark["size"]}
            for name, mark in marks_of(run, calculator).items()
        ],
        "inputs": [
            {
                "name": entry.name,
                "from": _run_named(known[entry.name].source),
                "row": _row_named(job, known[entry.name].source),
                "example": known[entry.name].example,
                "rests_on_example": _run_named(known[entry.name].source) in examples,
                "fields": _texts(entry, plain(known[entry.name].value)),
            }
            for entry in inputs
        ],
    }


def _place(job: Job, run: Mapping[str, Any]) -> Told | None:
    """The run whose place a form's answer takes, with the main figure that is kept; None for a new run."""
    if run not in job["sheet"].get("runs", ()):
        return None
    answer, calculator = run.get("answer", {}), find_calculator(run["calculator"])
    main = next((output for output in calculator.outputs if output.kind.main), None)
    if main is None or not isinstance(answer.get("values"), dict):
        return {"name": run["name"], "figure": ""}
    printed = Printed(calculator, answer["values"], answer["inputs"], STALE)
    return {"name": run["name"], "figure": printed.words(main.kind, printed.value(main.name))}


def _changed(asked: Asked, change: Change) -> Steps[Told]:
    """The job after a change, and what is out of date by it."""
    before = asked.job
    job = jobsheet(before, change)
    history = len(job["sheet"].get("history", ())) - len(before["sheet"].get("history", ()))
    file = _as_file(job)
    worked = yield from _worked_out(file["job"], asked.release)
    return file | _standing(worked) | {"changes": history}


def _standing(worked: Worked) -> Told:
    have = signed(worked.job["sheet"])
    last = max(have, default="")
    return {
        "errors": [],
        "stale": [
            {
                "name": run.name,
                "why": run.why,
                "form": form_of(worked, run) if run.files else None,
                "files": list(run.files),
            }
            for run in worked.stale
        ],
        "lost": [{"name": run.name, "why": run.why} for run in worked.lost],
        "open": [
            {
                "point": point,
                "what": HOLD_POINTS[point],
                "lines": what_is_signed(worked, point),
                "stops": hindrances(worked, point),
                "two": point in TWO_SIGN,
                "of_example": closes_example(worked, point),
            }
            for point in worked.unsigned
        ],
        "latest": _latest(worked.job),
        "last": {"point": last, "words": f"{signers(have[last])}, {have[last]['at']}"} if last else None,
        "entries": told_of(worked),
        "finished": worked.finished,
        "customer": bool(worked.job["sheet"].get("customer")),
    }


def _latest(job: Job) -> str:
    """When a job was last changed or signed, as it says itself; an empty text where it says nothing."""
    dated = [*job["sheet"].get("history", ()), *job["sheet"].get("hold_points", ())]
    return max((entry["at"] for entry in dated), default="")


def _as_file(job: Job) -> Told:
    text = write_job(job).decode()
    _remembered(text, job)
    return {"errors": [], "job": text, "title": job["sheet"]["title"].strip() or UNTITLED}


def _run_named(source: Any) -> str:
    """The run whose answer a value is; an empty text for one that was typed."""
    named = isinstance(source, str) and source.startswith(RUN)
    return source.removeprefix(RUN).partition(".")[0] if named else ""


def _row_named(job: Job, source: Any) -> str:
    """The name of the row whose cell a value is; an empty text for any other value."""
    row = row_of(source.removeprefix(FACT)) if isinstance(source, str) and source.startswith(FACT) else ""
    found = fact(job, row) if row and has_fact(job, row) else {}
    return str(found.get("name", "")) if isinstance(found, dict) else ""


def _moved(before: Job, after: Job) -> list[str]:
    """Answers that take a cell of a row in which another name stands than before, in words."""
    words = []
    for run in after["sheet"].get("runs", ()):
        title = find_calculator(run["calculator"]).title
        for source in run["inputs"].values():
            had, has = _row_named(before, source), _row_named(after, source)
            if had and has and had != has:
                words.append(f"{title} took {had}; now {has} stands in that row: look which feed it is.")
    return list(dict.fromkeys(words))


def _texts(entry: InputField, value: Any) -> dict[str, str]:
    """The fields of a form that hold a value, in the units that they are first shown in."""
    units = {entry.name: entry.kind} | {
        f"{entry.name}[].{column.name}": column.kind for column in entry.columns
    }
    chosen = {
        f"{name}:unit": kind.units_offered()[0]
        for name, kind in units.items()
        if isinstance(kind, Number) and len(kind.units_offered()) > 1
    }
    return entry.kind.write_text(entry.name, value) | chosen


QUESTIONS: Mapping[str, Callable[[Asked], Steps[Told]]] = {
    "new": _new,
    "take": _taken,
    "stand": _stands,
    "renew": _renewed,
    "sign": _signed,
    "unsign": _unsigned,
    "measure": _measured,
    "write": _written,
    "accept": _accepted,
    "none": _has_none,
    "take-back": _taken_back,
    "erase": _erased,
    "put": _put,
    "fields": _fields,
}
