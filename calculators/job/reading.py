"""Reading a job file: refused with place and reason, or migrated, and never half taken.

A job is plain data, as JSON has it. Everything that is read is text from outside: no name in it is looked up
anywhere but among the calculators, and nothing in it is run.
"""

import json
import re
from collections.abc import Mapping
from datetime import datetime
from typing import Any

from calculators.declaring import InputError
from calculators.declaring.inputs import Found
from calculators.job.sheet import EARLIEST, FIELDS, MOST_HISTORY, VERSION
from calculators.stages import find_calculator, slugs_known

type Job = dict[str, Any]

LARGEST = 2_000_000
"""Bytes of a file."""
DEEPEST, MOST_VALUES, LONGEST_TEXT, MOST_RUNS = 12, 50_000, 4000, 200

NAME = re.compile(r"[a-z][a-z0-9_]{0,59}")
LONGEST_RUN_NAME = 60
FACT, RUN = "job:", "run:"
"""How a run's input names a fact, or an answer of another run."""


SOURCE_IN_TABLE = 3
"""The form of a job file from which on the source's volts stand in the feed table."""
SOURCE_WAS, SOURCE_IS = "job:gain.source", "job:feeds.map[0].ceiling"


MOVED = (
    ("tweeter-limit", "load", ("woofer.load", "amplifier.rated_load"), "tweeter.load"),
    ("delay", "speakers", ("geometry.driver",), "geometry.measured"),
)
"""Inputs whose fact is another one by now: calculator, input, what it was, what it is."""


LONGEST_TOLD = 400
"""Letters of a value in the history."""


class JobError(Exception):
    """A job file, or a change of one, that cannot be used: the place in it, and what is wrong there."""

    def __init__(self, place: str, message: str) -> None:
        """Name the place and say what is wrong."""
        super().__init__(f"{place}: {message}")
        self.place = place
        self.message = message


def is_run_name(name: Any) -> bool:
    """Whether it can be a run's name: small letters of any alphabet, digits and hyphens, a letter first."""
    if not isinstance(name, str) or len(name) > LONGEST_RUN_NAME or name != name.lower() or "_" in name:
        return False
    return name[:1] != "-" and name.replace("-", "_").isidentifier()


def read_job(contents: bytes) -> Job:
    """The job that a file holds, in today's form. Raises JobError."""
    return with_known_inputs(read_file(contents))


def read_file(contents: bytes) -> Job:
    """The same, its runs not held against their calculators: a page has few of these. Raises JobError."""
    if len(contents) > LARGEST:
        raise JobError("file", f"It is larger than {LARGEST // 1_000_000} MB: this is no job file.")
    try:
        data = json.loads(
            contents.decode("utf-8").removeprefix("\ufeff"),
            object_pairs_hook=_once_each,
            parse_constant=_no_constant,
        )
    except UnicodeDecodeError:
        raise JobError("file", "It is not UTF-8 text.") from None
    except json.JSONDecodeError as error:
        raise JobError(f"line {error.lineno}", "Here it stops being JSON.") from None
    except RecursionError:
        raise JobError("file", "It is too deep.") from None
    except ValueError:
        raise JobError("file", "A number in it is too long.") from None
    return _with_sheet_checked(migrated(data))


def write_job(job: Job) -> bytes:
    """A job as a file, a line for each section."""
    lines = (f"{json.dumps(name)}: {json.dumps(section, allow_nan=False)}" for name, section in job.items())
    return f"{{\n{',\n'.join(lines)}\n}}\n".encode()


def migrated(data: Any) -> Any:
    """A job of an older form in today's. Raises JobError for one of a newer form, or of none."""
    if not isinstance(data, dict):
        raise JobError("file", "It is no job: a job file is one JSON object.")
    _check_plain(data)
    if "sheet" not in data:  # Version 1: facts alone.
        data = data | {"sheet": {"version": 1, "title": "Job", "runs": [], "proof": []}}
    sheet = data["sheet"]
    version = sheet.get("version") if isinstance(sheet, dict) else None
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise JobError("sheet.version", "It must be a whole number from 1.")
    if version > VERSION:
        raise JobError(
            "sheet.version", f"This is a job file of form {version}; this release reads up to {VERSION}."
        )
    if version < SOURCE_IN_TABLE:
        data, sheet = _with_source_in_table(data)
    return _with_facts_moved(data | {"sheet": sheet | {"version": VERSION}})


def _with_facts_moved(job: dict[str, Any]) -> dict[str, Any]:
    """The job with each input of `MOVED` at the fact that its form has today, where the job has not that yet.

    What stood elsewhere stays there too: it may be right for that as well, and the history asks to check it.
    """
    runs = job["sheet"].get("runs")
    for run in runs if isinstance(runs, list) else ():
        for calculator, name, were, now in MOVED:
            inputs = (
                run.get("inputs") if isinstance(run, dict) and run.get("calculator") == calculator else {}
            )
            was = inputs.get(name) if isinstance(inputs, dict) else None
            if isinstance(was, str) and was.removeprefix(FACT) in were and was.startswith(FACT):
                job = _with_fact_moved(job, was.removeprefix(FACT), now, run, name)
    return job


def _with_fact_moved(
    job: dict[str, Any], was: str, now: str, run: dict[str, Any], name: str
) -> dict[str, Any]:
    """The job with a fact where it is by now, and this run's input there; unchanged where it has one."""
    (old, left), (new, fact) = was.split("."), now.split(".")
    section, there = job.get(old), job.get(new, {})
    if not isinstance(section, dict) or left not in section or not isinstance(there, dict) or fact in there:
        return job
    value = section[left]
    sheet = job["sheet"]
    runs = [
        one | {"inputs": one["inputs"] | {name: FACT + now}} if one is run else one for one in sheet["runs"]
    ]
    reason = f"Moved from {was}, where an older release kept it: check that what stands there is its own."
    told = _with_told(sheet | {"runs": runs}, now, "", json.dumps(value)[:LONGEST_TOLD], reason)
    return job | {new: there | {fact: value}, "sheet": told}


def _with_source_in_table(data: Mapping[str, Any]) -> tuple[dict[str, Any], dict[str, Any]]:
    """A job of form 2, and its sheet, with the source's volts in the first row of the feed table."""
    sheet, gain, feeds = data["sheet"], data.get("gain"), data.get("feeds", {})
    if not (isinstance(gain, dict) and _is_ceiling(gain.get("source")) and isinstance(feeds, dict)):
        return dict(data), sheet
    table = feeds.get("map", [])
    first, *others = table if isinstance(table, list) and table else [{"name": "Source", "side": "both"}]
    if not isinstance(first, dict):
        return dict(data), sheet
    table = [{"ceiling": gain["source"]} | first, *others]
    rest = {name: value for name, value in gain.items() if name != "source"}
    told = _with_move_told(_renamed(sheet), gain["source"], table[0])
    return {**data, "gain": rest, "feeds": feeds | {"map": table}}, told


def _with_move_told(sheet: dict[str, Any], source: Any, line: Mapping[str, Any]) -> dict[str, Any]:
    """The sheet with that move in its history."""
    reason = (
        f"Volts of the source moved to {str(line.get('name', ''))[:60]}, the first line: check "
        "that they are its own."
    )
    before, after = json.dumps(source), json.dumps(line["ceiling"])
    return _with_told(sheet, SOURCE_IS.removeprefix(FACT), before, after, reason)


def _with_told(sheet: dict[str, Any], path: str, before: str, after: str, reason: str) -> dict[str, Any]:
    """The sheet with a move in its history, dated as its last change: reading a file has no clock.

    A full history takes none more: the file opens all the same.
    """
    history = sheet.get("history", [])
    if not isinstance(history, list) or len(history) >= MOST_HISTORY:
        return sheet
    last = history[-1] if history and isinstance(history[-1], dict) else {}
    at = last.get("at", EARLIEST)
    entry = {"path": path, "before": before, "after": after, "by": "", "at": at, "reason": reason}
    return sheet | {"history": [*history, entry]}


def _is_ceiling(volts: Any) -> bool:
    """Whether the feed table can hold it: a row with what it cannot hold would blind the whole table."""
    (table,) = find_calculator("feed-table").inputs
    kind = next(column.kind for column in table.columns if column.name == "ceiling")
    try:
        return kind.read_value("ceiling", volts, Found()) is not None
    except InputError:
        return False


def _renamed(value: Any) -> Any:
    """What a job's sheet holds, with the new name of that fact: in runs, in the proof and in the history."""
    if isinstance(value, dict):
        return {name: _renamed(entry) for name, entry in value.items()}
    if isinstance(value, list):
        return [_renamed(entry) for entry in value]
    return SOURCE_IS if value == SOURCE_WAS else value


def checked(job: Any) -> Job:
    """The job, if all of it can be used. Raises JobError for the first place that cannot."""
    _check_plain(job)
    return with_known_inputs(_with_sheet_checked(job))


def _with_sheet_checked(job: Any) -> Job:
    """The job, if its sheet can be used but for the inputs of its runs. Raises JobError."""
    sheet = job["sheet"]
    known = {"version", "runs", "proof", *(field.name for field in FIELDS)}
    for name in sheet:
        if name not in known:
            raise JobError(f"sheet.{name}", "There is no such field.")
    for field in FIELDS:
        if field.name not in sheet:
            if field.required:
                raise JobError(f"sheet.{field.name}", f"{field.kind.label} is missing.")
            continue
        found = Found()
        try:
            field.kind.read_value(field.name, sheet[field.name], found)
        except InputError as error:
            found.errors.append(error)
        for wrong in found.errors[:1]:
            raise JobError(f"sheet.{wrong.field}", wrong.message)
    _check_signed(sheet)
    _check_runs(job)
    _check_proof(job)
    return dict(job)


def _check_signed(sheet: Mapping[str, Any]) -> None:
    """A signature is somebody's, and of a day that there is. Raises JobError."""
    for number, entry in enumerate(sheet.get("exceptions", ())):
        if not entry["accepted"].strip():
            place = f"sheet.exceptions[{number}].accepted"
            raise JobError(place, "Say who accepted it, and on which day.")
    points = sheet.get("hold_points", ())
    for number, point in enumerate(points):
        place = f"sheet.hold_points[{number}]"
        if not point["by"].strip():
            raise JobError(f"{place}.by", "Somebody signs it: type the initials.")
        try:
            datetime.fromisoformat(point["at"])
        except ValueError:
            raise JobError(f"{place}.at", "There is no such day or time.") from None
    if len({point["point"] for point in points}) < len(points):
        raise JobError("sheet.hold_points", "A hold point is signed once.")


def _once_each(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    given: dict[str, Any] = {}
    for name, value in pairs:
        if name in given:
            raise JobError(name[:60], "This name stands twice.")
        given[name] = value
    return given


def _no_constant(text: str) -> float:
    raise JobError("file", f"{text} is no number.")


def _check_plain(job: Mapping[str, Any]) -> None:
    """Depth, count, names, lengths and numbers, without recursion. Raises JobError."""
    count = 1
    rest: list[tuple[str, Any, int]] = [("", job, 0)]
    while rest:
        place, holder, depth = rest.pop()
        count += len(holder)
        if count > MOST_VALUES:
            raise JobError("file", f"It holds more than {MOST_VALUES} values.")
        if holder and depth >= DEEPEST:
            raise JobError(place, "It is nested too deep.")
        named = isinstance(holder, dict)
        if named:
            _check_names(place, holder)
        for name, value in holder.items() if named else enumerate(holder):
            if isinstance(value, dict | list):
                rest.append((_within(place, name), value, depth + 1))
            elif isinstance(value, str):
                if len(value) > LONGEST_TEXT:
                    raise JobError(_within(place, name), f"The text has more than {LONGEST_TEXT} letters.")
            elif isinstance(value, int | float) and not -1e300 < value < 1e300:
                raise JobError(_within(place, name), "The number is too large.")


def _within(place: str, name: str | int) -> str:
    """Where a value stands: what holds it, and its name there or its number."""
    return f"{place}[{name}]" if isinstance(name, int) else f"{place}.{name}".strip(".")


def _check_names(place: str, holder: Mapping[Any, Any]) -> None:
    inside = place.startswith("sheet.runs")
    for name in holder:
        if not isinstance(name, str) or not (NAME.fullmatch(name) or (inside and len(name) <= 60)):
            raise JobError(place or "file", f"“{str(name)[:20]}” is no name of a field.")


def _check_runs(job: Job) -> None:
    runs = job["sheet"].get("runs", [])
    if not isinstance(runs, list) or len(runs) > MOST_RUNS:
        raise JobError("sheet.runs", f"It must be a list of {MOST_RUNS} runs at most.")
    names: set[str] = set()
    for number, run in enumerate(runs):
        place = f"sheet.runs[{number}]"
        if not isinstance(run, dict) or not {"name", "calculator", "inputs"} <= set(run):
            raise JobError(place, "A run has name, calculator and inputs.")
        if set(run) - {"name", "calculator", "inputs", "answer"}:
            raise JobError(place, "A run has name, calculator, inputs and answer alone.")
        name = run["name"]
        if not is_run_name(name):
            raise JobError(f"{place}.name", "Small letters, digits and hyphens make a run's name.")
        if name in names:
            raise JobError(f"{place}.name", "Two runs have this name.")
        names.add(name)
        if not isinstance(run["calculator"], str) or run["calculator"] not in slugs_known():
            raise JobError(f"{place}.calculator", "There is no such calculator.")
        if not isinstance(run["inputs"], dict):
            raise JobError(f"{place}.inputs", "Inputs are written as name and value.")
        answer = run.get("answer")
        if "answer" in run and not (isinstance(answer, dict) and isinstance(answer.get("inputs"), dict)):
            raise JobError(f"{place}.answer", "An answer holds the inputs that it is for.")


def with_known_inputs(job: Job) -> Job:
    """The job, if each of its runs has inputs of its calculator alone. Raises JobError."""
    for run in job["sheet"].get("runs", ()):
        known = {entry.name for entry in find_calculator(run["calculator"]).inputs}
        for name in run["inputs"]:
            if name not in known:
                raise JobError(f"run {run['name']}", f"“{name[:20]}” is no input of {run['calculator']}.")
    return job


def _check_proof(job: Job) -> None:
    lines = job["sheet"].get("proof", [])
    if not isinstance(lines, list) or len(lines) > MOST_RUNS:
        raise JobError("sheet.proof", "It must be a list of lines.")
    names: set[str] = set()
    for number, line in enumerate(lines):
        place = f"sheet.proof[{number}]"
        if not isinstance(line, dict) or not isinstance(line.get("name"), str):
            raise JobError(place, "A line of the proof has a name.")
        if line["name"] in names:
            raise JobError(f"{place}.name", "Two lines of the proof have this name.")
        names.add(line["name"])
        if set(line) - {"name", "unit", "measured", "least", "most"}:
            raise JobError(place, "A line has name, unit, measured, least and most alone.")
        if not isinstance(line.get("unit", ""), str):
            raise JobError(f"{place}.unit", "It must be text.")
        for name in ("measured", "least", "most"):
            value = line.get(name)
            plain = value is None or (isinstance(value, int | float) and not isinstance(value, bool))
            if not plain and not (isinstance(value, str) and value.startswith((FACT, RUN))):
                raise JobError(f"{place}.{name}", "It must be a number, or name a fact or an answer.")
