"""Pins anew what calculators answer.

    python -m tests.answers                 all of them, to the same inputs; prints what changed, and drops
                                            the answers of what is no calculator any more
    python -m tests.answers cable fuse      these two
    python -m tests.answers --draw cable    with inputs drawn anew
    python -m tests.answers --limits cable  with limits found anew though nothing changed

Inputs are drawn as the tests over the whole range draw them, and one is kept if it runs a line, or takes a
branch, of the science that none before it did. How limits are found stands in `limits.py`; one that another
last digit of the mathematics moves is let go.
"""

import argparse
import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from itertools import chain
from pathlib import Path
from types import CodeType
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings

from calculators.declaring import Calculator, run_values
from calculators.stages import every_calculator, find_calculator, slugs_known
from tests.answers import limits, pins
from tests.strategies import LONG_WORK, NEAR, inputs_of

DRAWN, LEAST, MOST = 240, 6, 14
"""Inputs drawn of each way, and the fewest and the most that are kept."""
WIDE = (3, 6, 9, 10)
INLINE = {"declared", "along", "limits"}
"""What is written with a line for each entry."""
HEAVY = {"flatten": 3, "response": 8, "tune": 8}
"""Kept of what works long."""
SCIENCE = Path(__file__).resolve().parents[2] / "calculators"
ROOMS = ("physics", "stages", "vocabulary")
TOOL = sys.monitoring.COVERAGE_ID
EVENTS = sys.monitoring.events.LINE | sys.monitoring.events.BRANCH


class Seen:
    """The lines that were run and the branches that were taken, in the science."""

    def __init__(self) -> None:
        self.now: set[tuple[int, int, int]] = set()
        self.ours: dict[int, tuple[bool, CodeType]] = {}

    def line(self, code: CodeType, line: int) -> object:
        """Each line once."""
        if self.is_ours(code):
            self.now.add((id(code), line, -1))
        return sys.monitoring.DISABLE

    def branch(self, code: CodeType, start: int, end: int) -> object:
        """Each way of a branch."""
        if not self.is_ours(code):
            return sys.monitoring.DISABLE
        self.now.add((id(code), start, end))
        return None

    def is_ours(self, code: CodeType) -> bool:
        """Whether code is of the science; it is held, lest another takes its number."""
        if id(code) not in self.ours:
            path = Path(code.co_filename)
            ours = path.is_relative_to(SCIENCE) and path.relative_to(SCIENCE).parts[0] in ROOMS
            self.ours[id(code)] = ours, code
        return self.ours[id(code)][0]


@contextmanager
def watched() -> Iterator[Seen]:
    """Notes what runs."""
    seen = Seen()
    sys.monitoring.use_tool_id(TOOL, "answers")
    sys.monitoring.register_callback(TOOL, sys.monitoring.events.LINE, seen.line)
    sys.monitoring.register_callback(TOOL, sys.monitoring.events.BRANCH, seen.branch)
    sys.monitoring.set_events(TOOL, EVENTS)
    try:
        yield seen
    finally:
        sys.monitoring.set_events(TOOL, sys.monitoring.events.NO_EVENTS)
        sys.monitoring.free_tool_id(TOOL)


def drawn(calculator: Calculator) -> list[dict[str, Any]]:
    """Inputs, the same in every run: near the example, then over the whole range."""
    found: list[dict[str, Any]] = []
    for chances in (NEAR, WIDE):

        @settings(
            max_examples=max(1, DRAWN // LONG_WORK.get(calculator.slug, 1)),
            derandomize=True,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(inputs_of(calculator, chances))
        def note(values: dict[str, Any]) -> None:
            found.append(short(values))

        if calculator.inputs:
            note()
    return found


def short(value: Any) -> Any:
    """A value with numbers of few figures."""
    if isinstance(value, float):
        return float(f"{value:.5g}")
    if isinstance(value, Mapping):
        return {name: short(entry) for name, entry in value.items()}
    return [short(entry) for entry in value] if isinstance(value, list | tuple) else value


def chosen(calculator: Calculator) -> list[Mapping[str, Any]]:
    """The example, and of what is drawn what runs something new; then more that are answered."""
    most = HEAVY.get(calculator.slug, MOST)
    kept: list[Mapping[str, Any]] = [calculator.example]
    spare: list[Mapping[str, Any]] = []
    known: set[tuple[int, int, int]] = set()
    with watched() as seen:
        for values in (calculator.example, *drawn(calculator)):
            sys.monitoring.restart_events()
            seen.now = set()
            outcome = run_values(calculator, values)
            if seen.now - known and values is not calculator.example and len(kept) < most:
                kept.append(values)
            elif not outcome.errors and values not in kept:
                spare.append(values)
            known |= seen.now
    return kept + spare[: max(0, min(LEAST, most) - len(kept))]


def written(value: Any, depth: int = 0, deepest: int = 2) -> str:
    """JSON with a line for each case and input, and one for each part of it."""
    deep = isinstance(value, dict | list) and any(
        isinstance(one, dict | list) and one for one in (value.values() if isinstance(value, dict) else value)
    )
    if not deep or depth > deepest:
        return json.dumps(value, ensure_ascii=False)
    gap = "\n" + " " * (depth + 1)
    if isinstance(value, dict):
        inner = [
            f"{json.dumps(name)}: {written(entry, depth + 1, 1 if name in INLINE else deepest)}"
            for name, entry in value.items()
        ]
        return "{" + gap + f",{gap}".join(inner) + "}"
    return "[" + gap + f",{gap}".join(written(entry, depth + 1, deepest) for entry in value) + "]"


def renew(calculator: Calculator, draw: bool, seek: bool) -> list[str]:
    """Pin a calculator's answers, and its limits anew; return a line for each value that changed, or none.

    draw: whether its inputs are drawn anew; seek: whether its limits are found anew though nothing changed. A
    limit is where words change, so it moves with what changed: kept, it would hold a place like any other.

    Raises ValueError if its kept inputs are no longer those that it asks for: pinned as they are, they would
    hold an error for ever.
    """
    path = pins.path_of(calculator.slug)
    before = pins.read(calculator.slug) if path.is_file() else None
    kept = None if draw else before
    cases = [case["inputs"] for case in kept["cases"]] if kept else chosen(calculator)
    cases[0] = calculator.example
    unfit = dict.fromkeys(chain.from_iterable(pins.misfits(calculator, case) for case in cases))
    if unfit:
        names = ", ".join(unfit)
        raise ValueError(
            f"its cases do not fit its inputs ({names}). Draw them anew: --draw {calculator.slug}"
        )
    answered = pins.pinned(calculator, cases, kept["limits"] if kept else [])
    changed = pins.differences(calculator.slug, kept, answered) if kept else []
    if kept and not changed and not seek:
        return []
    found = limits.limits_of(calculator, cases)
    now = answered | {"limits": [pins.beside(calculator, cases, one) for one in found]}
    write(calculator.slug, now)
    size = path.stat().st_size / 1000
    counts = f"{len(now['cases'])} cases, {len(now['limits'])} limits, {size:.0f} kB"
    return [*changed, counts, *let_go(before["limits"] if before else [], now["limits"])]


def let_go(before: list[dict[str, Any]], now: list[dict[str, Any]]) -> list[str]:
    """A line for each limit that was pinned and is not found any more."""
    found = [(one["place"], one["at"]) for one in now]
    gone = [one for one in before if (one["place"], one["at"]) not in found]
    return [f"limit let go: {one['place']} at {', '.join(map(str, one['at']))}" for one in gone]


def write(slug: str, now: dict[str, Any]) -> None:
    """Keep what a calculator answers."""
    text = written(now) + "\n"
    pins.path_of(slug).write_text(text, encoding="utf-8", errors="backslashreplace")


def keep_the_steady(slugs: list[str]) -> None:
    """Let go of the limits that another last digit of the mathematics moves, and say of how many."""
    for slug, moved in limits.unsteady(slugs).items():
        kept = pins.read(slug)
        kept["limits"] = [one for at, one in enumerate(kept["limits"]) if at not in moved]
        write(slug, kept)
        print(f"{slug}: {len(moved)} limits hang on a last digit, and are let go", flush=True)


def main() -> int:
    """Pin what is named, or all; return the exit status."""
    parser = argparse.ArgumentParser(prog="./run answers")
    parser.add_argument("names", nargs="*", help="calculators; all of them if none is named")
    parser.add_argument("--draw", action="store_true", help="draw the inputs anew")
    parser.add_argument("--limits", action="store_true", help="find the limits anew though nothing changed")
    asked = parser.parse_args()
    try:
        calculators = [find_calculator(name) for name in asked.names] or every_calculator()
    except KeyError as error:
        print(error.args[0], file=sys.stderr)
        return 2
    status, pinned = 0, []
    for calculator in calculators:
        try:
            lines = renew(calculator, asked.draw, asked.limits)
        except ValueError as error:
            print(f"{calculator.slug}: {error}", file=sys.stderr)
            status = 2
            continue
        for line in lines or ["nothing changed"]:
            print(f"{calculator.slug}: {line}", flush=True)
        if lines:
            pinned.append(calculator.slug)
    if pinned:
        keep_the_steady(pinned)
    if not asked.names:
        drop_what_is_gone()
    return status


def drop_what_is_gone() -> None:
    """Remove the answers of what is no calculator any more, and say so."""
    for path in sorted(pins.PINNED.glob("*.json")):
        if path.stem not in slugs_known():
            print(f"{path.stem}: no such calculator, its answers are dropped")
            path.unlink()


if __name__ == "__main__":
    raise SystemExit(main())
