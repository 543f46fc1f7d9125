"""Working a job out: every run in the order in which they rest on each other, and what is left to do."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from json import dumps
from math import inf
from typing import Any
from warnings import warn

from calculators.declaring import (
    Answer,
    Outcome,
    Steps,
    Working,
    answer_of,
    drain,
    run_values,
)
from calculators.declaring.answers import plain
from calculators.declaring.reading import read_values
from calculators.declaring.running import with_defaults
from calculators.job.accepting import mark_of
from calculators.job.agreement import contradictions
from calculators.job.by_file import (
    OF_NO_VEHICLE,
    Mark,
    is_damaged,
    is_invented,
    marks_of,
    stored_answer,
    with_stand_ins,
)
from calculators.job.reading import FACT, MOST_RUNS, RUN, Job, JobError
from calculators.job.run_done import RunDone, Standing
from calculators.job.sheet import HOLD_POINTS, badly_signed, signed
from calculators.job.steps import badly_checked
from calculators.presenting.values import find_value
from calculators.stages import find_calculator

FAULT_IN_RUN = "A run of a job went wrong"
"""How the warning of a calculator's own fault begins; `pyproject.toml` makes an error of it in tests."""


@dataclass(frozen=True)
class ProofLine:
    """One line of the proof: what was measured against its limits; None where it is missing.

    ``accepted`` says whether the customer accepted this reading, or a worse one, as an exception.
    ``without`` names the limits that are
    asked for and are not there: a line that lost one cannot pass.
    """

    name: str
    unit: str
    measured: float | None
    least: float | None
    most: float | None
    accepted: bool
    without: tuple[str, ...] = ()

    @property
    def limit(self) -> str:
        """Its limits in words."""
        if self.least is not None and self.most is not None:
            words = f"{self.least:g} to {self.most:g} {self.unit}".strip()
        elif self.least is not None:
            words = f"{self.least:g} {self.unit}".strip() + " or more"
        else:
            words = "" if self.most is None else f"{self.most:g} {self.unit}".strip() + " or less"
        return words

    @property
    def passes(self) -> bool | None:
        """Whether it lies within its limits; None where it was not measured, or has no limit."""
        if self.measured is None or (self.least is None and self.most is None):
            return None
        if self.without:
            return None
        above = self.least is None or self.measured >= self.least
        return above and (self.most is None or self.measured <= self.most)


@dataclass(frozen=True)
class Worked:
    """A whole job, worked out."""

    job: Job
    runs: Mapping[str, RunDone]
    proof: tuple[ProofLine, ...]
    unsigned: tuple[str, ...]

    @property
    def stale(self) -> list[RunDone]:
        """Runs whose stored answer no longer holds."""
        return [run for run in self.runs.values() if run.standing == "stale"]

    @property
    def missing(self) -> list[str]:
        """What is not there yet, or not yet agreed: answers, a proof, its readings and limits, checks and
        signatures.
        """
        refused = [f"{run.name}: {run.why}" for run in self.runs.values() if run.standing == "refused"]
        points = [f"{point}, {HOLD_POINTS[point]}: not signed" for point in self.unsigned]
        wrong = [*badly_checked(self.job), *badly_signed(self.job["sheet"])]
        return [*refused, *self.cut, *self.contradictions, *self.unproven, *wrong, *points]

    @property
    def lost(self) -> list[RunDone]:
        """Runs that have an answer in the file, and none any more for the facts at hand."""
        kept = {run["name"] for run in self.job["sheet"].get("runs", ()) if "answer" in run}
        return [run for run in self.runs.values() if run.standing == "refused" and run.name in kept]

    @property
    def unproven(self) -> list[str]:
        """Lines of the proof that say nothing yet: without a reading, or a limit."""
        if not self.proof:
            return ["proof: no line"]
        return [
            f"{line.name}: {'not measured' if line.measured is None else 'no limit'}"
            for line in self.proof
            if line.passes is None
        ]

    @cached_property
    def contradictions(self) -> list[str]:
        """Answers that contradict each other."""
        return contradictions(self.job, self.runs)

    @property
    def cut(self) -> list[str]:
        """Inputs that no longer follow from the answer that they followed from, and that nobody accepted."""
        accepted = accepted_in(self.job)
        return [
            f"{place}: typed over the answer “{link.removeprefix(RUN).partition('.')[0]}”, follows it no more"
            for place, link in cut_links(self.job).items()
            if place not in accepted and place.partition(".")[0] in self.runs
        ]

    @property
    def out_of_tolerance(self) -> list[ProofLine]:
        """Lines of the proof that do not pass, and that nobody accepted."""
        return [line for line in self.proof if line.passes is False and not line.accepted]

    @cached_property
    def failing(self) -> list[tuple[str, str]]:
        """Runs, each with what is wrong: a danger, which nobody can accept, or a verdict nobody accepted."""
        marks = {entry["what"]: entry.get("mark", "") for entry in self.job["sheet"].get("exceptions", ())}
        found = []
        for run in self.runs.values():
            if run.danger:
                found.append((run.name, run.danger))
            elif run.fault and run.name not in marks:
                found.append((run.name, run.fault))
            elif run.fault and run.answer and marks[run.name] != mark_of(run.answer):
                found.append((run.name, f"{run.fault}: accepted for another answer: accept it again"))
        return found

    def without(self, names: Collection[str]) -> "Worked":
        """The same, where these runs have no answer: a line of the proof has no limit of theirs."""
        runs = {
            name: replace(run, outcome=None, answer=None, standing="refused") if name in names else run
            for name, run in self.runs.items()
        }
        return replace(self, runs=runs, proof=_proof(self.job, runs))

    @property
    def finished(self) -> bool:
        """Whether nothing is stale, missing, out of tolerance or failing."""
        return not (self.stale or self.missing or self.out_of_tolerance or self.failing)


def accepted_in(job: Job) -> set[str]:
    """What the customer accepted as exceptions."""
    return {entry["what"] for entry in job["sheet"].get("exceptions", ())}


def cut_links(job: Job) -> dict[str, str]:
    """The answers that inputs of runs followed from until a value was typed over them, by place."""
    cut: dict[str, str] = {}
    for entry in job["sheet"].get("history", ()):
        before, after = (entry[name].strip('"') for name in ("before", "after"))
        if before.startswith(RUN):
            cut[entry["path"]] = before
        if after.startswith(RUN):
            cut.pop(entry["path"], None)
    return cut


def work_out(job: Job, release: str) -> Worked:
    """Every run from the facts at hand, as `steps_out` does."""
    return drain(steps_out(job, release))


def steps_out(job: Job, release: str) -> Steps[Worked]:
    """Every run from the facts at hand, step by step; of an unknown release none is older.

    Raises JobError for runs that rest on each other in a circle.
    """
    runs = {run["name"]: run for run in job["sheet"].get("runs", ())}
    done: dict[str, RunDone] = {}
    for count, name in enumerate(order_of(runs)):
        yield Working(f"Working out {name}", count / len(runs))
        done[name] = _by_itself(job, runs[name], done, release)
    have = signed(job["sheet"])
    return Worked(
        job,
        {name: done[name] for name in runs},
        _proof(job, done),
        tuple(point for point in HOLD_POINTS if point not in have),
    )


def order_of(runs: Mapping[str, Mapping[str, Any]]) -> Sequence[str]:
    """The names of the runs, each after those whose answers it takes. Raises JobError."""
    needs: dict[str, set[str]] = {}
    for name, run in runs.items():
        needs[name] = {reference.partition(".")[0] for reference in references(run["inputs"])}
        unknown = sorted(needs[name] - set(runs))
        if unknown:
            raise JobError(f"run {name}", f"There is no run called “{unknown[0][:40]}”.")
    try:
        return tuple(TopologicalSorter(needs).static_order())
    except CycleError as error:
        circle = " and ".join(dict.fromkeys(error.args[1]))
        raise JobError("sheet.runs", f"{circle} rest on each other.") from None


def references(value: Any) -> Iterator[str]:
    """The answers that an input names, without their mark."""
    if isinstance(value, str) and value.startswith(RUN):
        yield value.removeprefix(RUN)
    elif isinstance(value, dict):
        for entry in value.values():
            yield from references(entry)
    elif isinstance(value, list):
        for entry in value:
            yield from references(entry)


def path_parts(path: str) -> list[str]:
    """The names and row numbers of a dotted path, in order: ``geometry.driver[0].distance``."""
    return path.replace("[", ".").replace("]", "").split(".")


def fact(job: Job, path: str) -> Any:
    """The fact at a dotted path, rows by number: ``geometry.driver[0].distance``. Raises JobError."""
    value: Any = {name: section for name, section in job.items() if name != "sheet"}
    for step in path_parts(path):
        if isinstance(value, dict) and step in value:
            value = value[step]
        elif isinstance(value, list) and step.isascii() and step.isdigit() and int(step) < len(value):
            value = value[int(step)]
        else:
            raise JobError(path[:60], "The job has no such fact.")
    return value


def resolved(job: Job, value: Any, done: Mapping[str, RunDone]) -> Any:
    """An input with every fact and answer that it names put in. Raises JobError for one that is not there."""
    if isinstance(value, str) and value.startswith(FACT):
        return fact(job, value.removeprefix(FACT))
    if isinstance(value, str) and value.startswith(RUN):
        name, _, path = value.removeprefix(RUN).partition(".")
        run = done.get(name)
        if run is not None and run.files:
            raise JobError(value[:60], f"{name} rests on a file: nothing follows from it in a job.")
        if run is None or run.outcome is None:
            raise JobError(value[:60], f"{name} has no answer.")
        try:
            return plain(find_value(run.outcome, path)[1])
        except (KeyError, IndexError, AttributeError, TypeError):
            raise JobError(value[:60], f"{name} gives no such answer.") from None
    if isinstance(value, dict):
        return {name: resolved(job, entry, done) for name, entry in value.items()}
    if isinstance(value, list):
        return [resolved(job, entry, done) for entry in value]
    return value


def _by_itself(job: Job, run: Mapping[str, Any], done: Mapping[str, RunDone], release: str) -> RunDone:
    """One run; a calculator that fails inside takes its own answer away, and not the whole job.

    Any exception is caught here and nowhere else: it is our fault, and never silent. The run is refused, the
    fault goes to the console as a warning, and the tests make an error of that. An import that fails is no
    fault of the calculator: in the browser it has the worker fetch the module and ask again.
    """
    try:
        return _done(job, run, done, release)
    except ImportError:
        raise
    except Exception as error:
        name, slug = run["name"], run["calculator"]
        fault = type(error).__name__
        warn(f"{FAULT_IN_RUN}: {name} ({slug}), {fault}: {error}", RuntimeWarning, stacklevel=2)
        why = f"something went wrong inside this calculator ({fault}): tell whoever keeps this handbook"
        return RunDone(name, slug, None, None, "refused", why)


def _done(job: Job, run: Mapping[str, Any], done: Mapping[str, RunDone], release: str) -> RunDone:
    name, slug = run["name"], run["calculator"]
    try:
        values = resolved(job, run["inputs"], done)
    except JobError as error:
        return RunDone(name, slug, None, None, "refused", _lacking(job, run) or str(error))
    calculator = find_calculator(slug)
    if is_invented(slug, values):
        return RunDone(name, slug, None, None, "refused", OF_NO_VEHICLE)
    if marks := marks_of(run, calculator):
        return _kept_done(run, values, marks, done)
    outcome, answer = _answered(slug, values, release)
    if answer is None:
        return RunDone(name, slug, None, None, "refused", str(outcome.errors[0]))
    standing, why = _standing(run, answer, done)
    return RunDone(name, slug, outcome, answer, standing, why)


def _lacking(job: Job, run: Mapping[str, Any]) -> str:
    """Which inputs of a run name a fact that the job has not yet, in words; an empty text for none."""
    labels = []
    for entry in find_calculator(run["calculator"]).inputs:
        source = run["inputs"].get(entry.name)
        if isinstance(source, str) and source.startswith(FACT):
            try:
                fact(job, source.removeprefix(FACT))
            except JobError:
                labels.append(entry.kind.label)
    return f"not in the job yet: {', '.join(labels)}" if labels else ""


_known: dict[str, tuple[Outcome, Answer | None]] = {}
"""What came of runs, by calculator, release and inputs; the oldest go where there are more than a job has."""


def _answered(slug: str, values: Mapping[str, Any], release: str) -> tuple[Outcome, Answer | None]:
    """What comes of inputs: a change leaves most of a job's runs as they were, and they are not run again."""
    asked = dumps([slug, release, values])
    if asked not in _known:
        outcome = run_values(find_calculator(slug), values)
        _known[asked] = outcome, None if outcome.errors else answer_of(outcome, release)
        while len(_known) > MOST_RUNS:
            del _known[next(iter(_known))]
    return _known[asked]


def _kept_done(
    run: Mapping[str, Any], values: Mapping[str, Any], marks: Mapping[str, Mark], done: Mapping[str, RunDone]
) -> RunDone:
    """A run that rests on files: its stored answer, held against the inputs of today.

    Another release makes none of them stale: the file may be gone, and what was measured is what it was.
    """
    name, slug = run["name"], run["calculator"]
    calculator, files = find_calculator(slug), tuple(mark["name"] for mark in marks.values())
    reading = read_values(calculator, with_stand_ins(values, marks))
    if reading.errors:
        return RunDone(name, slug, None, None, "refused", str(reading.errors[0]), files)
    if "answer" not in run:
        why = f"choose “{files[0]}” in its form, and put the answer into the job"
        return RunDone(name, slug, None, None, "refused", why, files)
    answer = stored_answer(slug, run["answer"])
    if is_damaged(calculator, answer):
        why = f"its kept answer is damaged: choose “{files[0]}” in its form again"
        return RunDone(name, slug, None, None, "refused", why, files)
    today = {key: plain(value) for key, value in with_defaults(calculator, reading.arguments).items()}
    standing, why = _standing(run, replace(answer, inputs=today, release=""), done)
    return RunDone(name, slug, None, answer, standing, why, files)


def _standing(run: Mapping[str, Any], answer: Answer, done: Mapping[str, RunDone]) -> tuple[Standing, str]:
    """How a stored answer stands beside the one of today."""
    stored = run.get("answer")
    if stored is None:
        return "new", ""
    needs = [reference.partition(".")[0] for reference in references(run["inputs"])]
    below = [name for name in needs if done[name].standing == "stale"]
    if below:
        return "stale", f"rests on {below[0]}"
    for entry in find_calculator(answer.calculator).inputs:
        if stored["inputs"].get(entry.name) != answer.inputs.get(entry.name):
            return "stale", f"“{entry.kind.label}” was changed"
    if answer.release and stored.get("release") != answer.release:
        return "stale", "worked out by another release"
    return "fresh", ""


def _proof(job: Job, done: Mapping[str, RunDone]) -> tuple[ProofLine, ...]:
    return tuple(_proof_line(job, line, done) for line in job["sheet"].get("proof", ()))


def _proof_line(job: Job, line: Mapping[str, Any], done: Mapping[str, RunDone]) -> ProofLine:
    found = {name: _number(job, line.get(name), done) for name in ("measured", "least", "most")}
    return ProofLine(
        name=line["name"],
        unit=line.get("unit", ""),
        **found,
        accepted=_accepted(job, line["name"], **found),
        without=tuple(
            name for name in ("least", "most") if line.get(name) is not None and found[name] is None
        ),
    )


def _accepted(job: Job, name: str, measured: float | None, least: float | None, most: float | None) -> bool:
    """Whether the customer accepted a line of the proof at a reading that is no better than today's."""

    def beyond(reading: float) -> float:
        return max(-inf if least is None else least - reading, -inf if most is None else reading - most)

    values = [entry.get("value") for entry in job["sheet"].get("exceptions", ()) if entry["what"] == name]
    return measured is not None and any(
        value is not None and beyond(measured) <= beyond(value) for value in values
    )


def _number(job: Job, value: Any, done: Mapping[str, RunDone]) -> float | None:
    """A number of the proof; None where what it names is not there or is no number."""
    try:
        found = resolved(job, value, done)
    except JobError:
        return None
    return float(found) if isinstance(found, int | float) and not isinstance(found, bool) else None
