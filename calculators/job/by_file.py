"""Runs that rest on a file, as a recording: a job knows the file by name, size and checksum, and has it not.

Such a run is worked out in its form, where the file is at hand. The job keeps the figures that came of it,
marks them where a value that they rest on was changed, and asks for the same file again.
"""

import re
from binascii import crc32
from collections.abc import Mapping
from typing import Any

from calculators.declaring import (
    Answer,
    Calculator,
    File,
    InputField,
    Output,
    OutputFlag,
    OutputMoney,
    OutputText,
    Steps,
    Working,
)
from calculators.declaring.answers import VERSION
from calculators.declaring.kept import Kept
from calculators.declaring.outputs import OutputKind

type Mark = dict[str, Any]
"""What a job holds in a file's place: ``name``, ``size`` in bytes, ``sum``."""

PARTS = frozenset({"name", "size", "sum"})
SUM = re.compile(r"[0-9a-f]{8}")
LONGEST_FIGURE = 4000
"""Letters of an answer in words that a job keeps."""

INVENTED: Mapping[str, tuple[str, Any]] = {
    "fir-correction": ("curve", None),
    "job-sheet": ("job", None),
    "read-back": ("sheet", None),
    "response": ("recording", None),
    "tune": ("begin_with", "simulated"),
}
"""Calculators that can show something of our own invention, each with the input and its value for that."""

OF_NO_VEHICLE = (
    "As it stands this is worked out from something of our own invention: choose your own file first."
)


def file_inputs(calculator: Calculator) -> tuple[InputField, ...]:
    """The inputs that are files."""
    return tuple(entry for entry in calculator.inputs if isinstance(entry.kind, File))


def is_invented(slug: str, inputs: Mapping[str, Any]) -> bool:
    """Whether these inputs make an answer about nothing in any vehicle."""
    if slug not in INVENTED:
        return False
    name, value = INVENTED[slug]
    return bool(inputs.get(name, value) == value)


def marked(file: Kept) -> Steps[Mark]:
    """The mark of a file that is at hand; its sum is the CRC-32 of its bytes."""
    found, done = 0, 0
    for block in file.blocks():
        found, done = crc32(block, found), done + len(block)
        yield Working(f"Reading {file.name}", done / file.size)
    return {"name": file.name, "size": file.size, "sum": f"{found:08x}"}


def is_mark(value: Any) -> bool:
    """Whether it stands in a file's place."""
    if not isinstance(value, dict) or set(value) != PARTS:
        return False
    name, size, total = value["name"], value["size"], value["sum"]
    whole = isinstance(size, int) and not isinstance(size, bool) and size >= 0
    return isinstance(name, str) and whole and isinstance(total, str) and bool(SUM.fullmatch(total))


def marks_of(run: Mapping[str, Any], calculator: Calculator) -> dict[str, Mark]:
    """The files that a run rests on, by input; none for one that the job works out by itself."""
    inputs = run["inputs"]
    names = (entry.name for entry in file_inputs(calculator))
    return {name: inputs[name] for name in names if is_mark(inputs.get(name))}


def with_stand_ins(inputs: Mapping[str, Any], marks: Mapping[str, Mark]) -> dict[str, Any]:
    """A run's inputs with something of each file's name and size in its place: to be checked, never read."""
    stand_ins = {
        name: Kept(mark["sum"], mark["name"], mark["size"], _not_here) for name, mark in marks.items()
    }
    return {**inputs, **stand_ins}


def _not_here(start: int, count: int) -> bytes:
    raise LookupError("a job has no bytes of the files that it names")


def figures_of(answer: Answer, inputs: Mapping[str, Any]) -> dict[str, Any]:
    """An answer as a job keeps it without its file: curves and tables are in the file, and left out."""
    values = {name: value for name, value in answer.values.items() if _is_figure(value)}
    return answer.data() | {"inputs": dict(inputs), "values": values}


def stored_answer(slug: str, stored: Mapping[str, Any]) -> Answer:
    """The answer that a job's file holds, whoever wrote it there: what has not its form is left out."""
    values, advice = stored.get("values"), stored.get("advice")
    return Answer(
        calculator=slug,
        release=str(stored.get("release", "")),
        version=VERSION,
        inputs=stored["inputs"],
        values={
            name: value
            for name, value in (values if isinstance(values, dict) else {}).items()
            if _is_figure(value)
        },
        advice=[entry for entry in (advice if isinstance(advice, list) else []) if _is_advice(entry)],
    )


def is_damaged(calculator: Calculator, answer: Answer) -> bool:
    """Whether a stored answer lacks its main value, or holds one that its output cannot give."""
    return any(
        (output.kind.main and answer.values.get(output.name) is None)
        or not _is_of_kind(output.kind, answer.values.get(output.name))
        for output in calculator.outputs
    )


def _is_of_kind(kind: OutputKind, value: Any) -> bool:
    """Whether a figure can be what such an output gives; what is no figure was left out."""
    number = isinstance(value, int | float) and not isinstance(value, bool)
    if value is None or isinstance(kind, Output):
        return value is None or number
    if isinstance(kind, OutputFlag):
        return isinstance(value, bool)
    return isinstance(kind, OutputText | OutputMoney) and isinstance(value, str)


def _is_figure(value: Any) -> bool:
    """Whether it is one figure, or a line of words."""
    return not isinstance(value, dict | list) and len(str(value)) <= LONGEST_FIGURE


def _is_advice(entry: Any) -> bool:
    return (
        isinstance(entry, dict)
        and set(entry) == {"about", "message", "danger"}
        and isinstance(entry["about"], str)
        and isinstance(entry["message"], str)
        and isinstance(entry["danger"], bool)
    )
