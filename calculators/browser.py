"""The one door a page uses: text in, text out, and bytes that are kept first and named then.

A question is ``{"calculator": slug, "inputs": {field name: typed text}}``; the text of a file's field is
the handle it is kept under. The reply is ``{"html", "advice", "errors", "said", "files"}``. ``want`` says
what of it shall be made: ``html`` (with ``said``; the only one if it says nothing) and ``answer``, the whole
answer as data (see ``Answer``), null if there are errors; that one names ``release``. Of ``files``, which are
made with ``files``, with the ``html`` of long work, or with ``sound`` if they are to be heard, it holds
output, name and media type; ``files_of`` gives their bytes.

A calculator called ``job:QUESTION`` is a question about a job (see ``calculators/job/desk.py``): the reply
holds what that tells beside ``errors``, and no ``html``.

A calculator called ``check:BLOCK/NAME`` is a self-check: its input ``draw`` is the seed, and with ``answer``
(and ``reason``) among the inputs it is judged; ``html`` is then the verdict, and otherwise the question.

One called ``open:NAME`` has the form of that calculator filled from a file that was kept: its input
``contents`` is the file's text, and ``fields`` of the reply the text of each field that it fills.

The worker takes a question in slices: ``begin``, then ``advance`` until there is a reply, or ``stop``.
"""

import json
from collections.abc import Callable, Mapping
from dataclasses import asdict, replace
from time import perf_counter
from typing import Any

from calculators import self_checks
from calculators.declaring import InputError, Made, Outcome, Steps, Working, answer_of, drain, steps_typed
from calculators.declaring.kept import Kept
from calculators.declaring.kept_values import opened_fields
from calculators.presenting.qr_code import qr_code
from calculators.presenting.results import result_html, spoken
from calculators.presenting.self_checks import question_html, verdict_html
from calculators.stages import find_calculator

SLICE = 0.04
"""Seconds that one call may take before it lets the worker listen. It begins no step in their second half:
how long the next takes nobody knows, and one that takes no more than half of them ends in time."""

MOST_REMEMBERED = 4_000_000
"""Letters, and bytes of files, that are kept of replies, so that a long question asked again does not start
over."""

SHORT = 1_000_000
"""Bytes of a file over which its size is said while it is written."""

type Files = list[tuple[str, Made, bytearray]]
"""The files made, each with the name of its output and its bytes."""

CHECK, JOB, OPEN = "check", "job", "open"
"""Before a colon: what follows is a self-check, a question about a job, or a calculator whose form is filled
from a file."""

type Told = tuple[str, list[bytearray]]
"""A reply as JSON text, and the bytes of its files."""

_tasks: dict[int, tuple[str, Steps[Told]]] = {}
_kept: dict[str, Kept] = {}
_replies: dict[str, Told] = {}
_made: dict[int, list[bytearray]] = {}
_of_files: dict[str, tuple[dict[str, str], Outcome]] = {}
"""What came last of a form with files, by calculator: its text, and the outcome."""


def answer(question: str) -> str:
    """Answer one question whole, as JSON text."""
    return drain(steps_of(json.loads(question)))[0]


def steps_of(asked: dict[str, Any]) -> Steps[Told]:
    """The work that a question stands for, with its files if a page shall show them."""
    kind, _, name = asked["calculator"].partition(":")
    if kind == JOB:
        from calculators.job import desk  # A page without a job is ready without it.

        told = yield from desk.told(name, asked["inputs"], asked["release"], outcome_of)
        return json.dumps({"advice": [], "files": [], **told}, ensure_ascii=False, allow_nan=False), []
    outcome = yield from outcome_of(asked["calculator"], asked["inputs"])
    files: Files = []
    want = wanted(asked)
    # Long work is not done again for them; elsewhere the answer to a key does not wait for a file.
    shown = outcome.files if "files" in want or (outcome.calculator.is_long and "html" in want) else {}
    for output, made in (*shown.items(), *(outcome.sounds if "sound" in want else ())):
        if made.too_large:
            continue
        # Filled as it comes: a file of 100 MB stands in memory once, not in pieces and whole.
        contents, done = bytearray(made.size), 0
        step = (
            f"Writing {made.name}, {made.size / 1e6:.1f} MB" if made.size > SHORT else f"Writing {made.name}"
        )
        yield Working(step, 0.0)
        for piece in made.pieces():
            contents[done : done + len(piece)] = piece
            done += len(piece)
            yield Working(step, done / made.size)
        files.append((output, made, contents))
    return reply(asked, outcome, files), [contents for _, _, contents in files]


def outcome_of(slug: str, typed: Mapping[str, str]) -> Steps[Outcome]:
    """A form worked out. What came of a file stands for whoever asks next: a job takes what is shown."""
    last = _of_files.get(slug)
    if last and last[0] == typed:
        return last[1]
    outcome = yield from steps_typed(find_calculator(slug), typed, _kept)
    if not _kept.keys().isdisjoint(typed.values()):
        _of_files[slug] = dict(typed), outcome
    return outcome


def wanted(asked: dict[str, Any]) -> tuple[str, ...]:
    """What of a reply a question wants."""
    return tuple(asked.get("want") or ("html",))


def reply(asked: dict[str, Any], outcome: Outcome, files: Files) -> str:
    """The reply to a question, as JSON text."""
    data: dict[str, Any] = {
        "advice": [asdict(entry) for entry in outcome.advice],
        "errors": [{"field": error.field, "message": error.message} for error in outcome.errors],
        "files": [
            {"output": output, "name": made.name, "media_type": made.media_type} for output, made, _ in files
        ],
    }
    want = wanted(asked)
    if "html" in want:
        rest = replace(outcome, advice=tuple(entry for entry in outcome.advice if entry not in outcome.noted))
        notes = [{"field": entry.about, "message": entry.message} for entry in outcome.noted]
        data |= {"html": result_html(rest), "said": spoken(outcome), "notes": notes}
    if "answer" in want:
        data["answer"] = None if outcome.errors else answer_of(outcome, asked["release"]).data()
    return json.dumps(data, ensure_ascii=False, allow_nan=False)


def begin(number: int, question: str) -> str:
    """Take a question's first slice, as ``advance`` does; ``number`` names it from then on."""
    if question in _replies:
        _replies[question] = _replies.pop(question)  # The newest stands last.
        text, files = _replies[question]
        return hand_out(number, text, files)
    asked = json.loads(question)
    if told := told_at_once(asked):
        return told
    _tasks[number] = (question, steps_of(asked))
    return advance(number, first=True)


def told_at_once(asked: dict[str, Any]) -> str:
    """The reply to a self-check or about a file, as JSON text; nothing for a calculator."""
    kind, _, place = asked["calculator"].partition(":")
    if kind not in (CHECK, OPEN):
        return ""
    data: dict[str, Any] = {"advice": [], "errors": [], "files": []}
    try:
        data |= checked(place, asked["inputs"]) if kind == CHECK else opened(place, asked["inputs"])
    except InputError as error:
        data["errors"] = [{"field": error.field, "message": error.message}]
    return json.dumps(data, ensure_ascii=False)


def checked(place: str, given: dict[str, str]) -> dict[str, str]:
    """A self-check's question, or its verdict if it was answered. Raises InputError for what is no answer."""
    block, _, name = place.partition("/")
    made = self_checks.question(block, name, int(given["draw"]))
    if "answer" not in given:
        return {"html": question_html(made, f"{block}-{name}"), "said": ""}
    verdict = made.judge(given)
    return {"html": verdict_html(verdict), "said": verdict.words}


def opened(slug: str, given: dict[str, str]) -> dict[str, Any]:
    """The fields that a file fills. Raises InputError for what is no such file."""
    return {"fields": opened_fields(find_calculator(slug), given["contents"])}


def advance(number: int, first: bool = False) -> str:
    """Work on for one slice: the reply, or ``{"working": {"step", "share"}}`` as JSON text.

    An exception ends the question.
    """
    question, steps = _tasks.pop(number)
    until = perf_counter() + SLICE / 2
    try:
        working = next(steps)
        while perf_counter() < until:
            working = next(steps)
    except StopIteration as end:
        text, files = end.value
        if not first:
            remember(question, text, files)
        return hand_out(number, text, files)
    _tasks[number] = (question, steps)
    return json.dumps({"working": asdict(working)})


def hand_out(number: int, text: str, files: list[bytearray]) -> str:
    """The reply to a question, with its files at hand for ``files_of``."""
    if files:
        _made[number] = files
    return text


def files_of(number: int) -> list[bytearray]:
    """The bytes of a reply's files, in their order; they are given once."""
    return _made.pop(number)


def remember(question: str, text: str, files: list[bytearray]) -> None:
    """Keep the reply to a long question; the oldest go when there is no room."""
    _replies[question] = text, files
    while sum(len(asked) + size_of(told) for asked, told in _replies.items()) > MOST_REMEMBERED:
        del _replies[next(iter(_replies))]


def size_of(told: Told) -> int:
    """What a reply takes in memory, about."""
    text, files = told
    return len(text) + sum(map(len, files))


def stop(number: int) -> None:
    """End a question for good, if it is not answered yet."""
    if number in _tasks:
        _tasks.pop(number)[1].close()


def code_of(link: str) -> str:
    """The QR code of a link as SVG; empty if the link is too long for one."""
    return qr_code(link)


def keep(handle: str, name: str, size: int, read: Callable[[int, int], Any]) -> None:
    """Know bytes that the worker keeps; ``read`` gives a view of them in the browser's memory.

    What was known under the handle before is forgotten, with what was worked out from it.
    """
    forget(handle)
    _kept[handle] = Kept(handle, name, size, lambda start, count: bytes(read(start, count).to_bytes()))


def forget(handle: str) -> None:
    """Know them no more, nor what was worked out from them."""
    _kept.pop(handle, None)
    for question in [question for question in _replies if json.dumps(handle) in question]:
        del _replies[question]
    for slug in [slug for slug, (typed, _) in _of_files.items() if handle in typed.values()]:
        del _of_files[slug]
