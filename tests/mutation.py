"""Faults put into the science on purpose, one at a time: do the tests notice?

    python -m tests.mutation                    every calculator and all of physics, 1500 faults
    python -m tests.mutation --minutes 9        as far as it gets; the next run goes on from there
    python -m tests.mutation --again            those that survived once more, after a test was added
    python -m tests.mutation calculators/physics/fuses.py --each 30

A fault is a number one off or a tenth larger, another operator, another comparison, a condition turned
round, the largest for the smallest. They are drawn by file, the same in every run, and taken in an order in
which every file has its share at any time. One that cannot even be imported is no fault that could reach a
reader, and another is drawn in its place. Each is held against the pinned answers (`tests/answers`), then
meets the tests that start the function it is in (`tests.reach`), file by file, the quickest first; one that
survives is printed, to be read. The status is 1 below 90 % noticed. What was judged is kept in
`.cache/mutation/judged.jsonl` until its file changes, or a test that it met. What could not be judged (pytest
itself broke, or the machine took the process away) is printed, counts as not noticed, and is judged again in
the next run.

Ours, because the libraries for it either pass over every function under a decorator, and so over all
calculators, or bring thirty packages along.

Every fault has a process of its own, forked from one that has read the libraries but nothing of ours; no file
is touched.
"""

import argparse
import ast
import difflib
import hashlib
import importlib
import importlib.abc
import importlib.util
import json
import os
import random
import resource
import select
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from itertools import islice
from pathlib import Path
from types import ModuleType

import pytest

from tests.reach import (
    KEPT,
    NET,
    PASSED,
    QUIET,
    ROOT,
    Only,
    Test,
    all_tests,
    digest,
    hushed,
    known_tests,
    pins_of,
    record_all,
)

PHYSICS, STAGES = ROOT / "calculators" / "physics", ROOT / "calculators" / "stages"
CALCULATORS = [path for path in sorted(STAGES.glob("*/*.py")) if path.stem != "__init__"]
VERDICTS = KEPT / "judged.jsonl"
COUNT, LEAST = 1500, 10
"""Faults in all, and in each file of a calculator."""
ENOUGH = 0.9
SURVIVED, NOTICED, UNFIT, UNCLEAR = "survived", "noticed", "unfit", "unclear"
STATUS_UNFIT, STATUS_BROKEN = 90, 91
CANNOT_READ = int(pytest.ExitCode.INTERRUPTED)
"""What pytest says when a test file cannot be imported."""
VERDICT_OF = {
    0: SURVIVED,
    int(pytest.ExitCode.TESTS_FAILED): NOTICED,
    CANNOT_READ: NOTICED,
    -signal.SIGXCPU: NOTICED,
    STATUS_UNFIT: UNFIT,
}
"""By how its process ended; one that used up its time of a core never ends. Whatever else is unclear."""
READING = 1.5
"""Seconds that it takes to read a test file and what it imports, about."""
MOST = 30.0
"""Seconds of tests, without a fault, that a fault meets."""
PATIENCE = 20.0
"""Seconds of a core on top of three times what the tests take without a fault."""
WAITED = 10
"""Times as long is waited for it: on a busy machine a process gets its seconds of a core late."""
OTHER: dict[type[ast.AST], tuple[type[ast.AST], ...]] = {
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.FloorDiv: (ast.Div,),
    ast.Mod: (ast.Mult,),
    ast.Pow: (ast.Mult,),
    ast.Lt: (ast.LtE, ast.Gt),
    ast.LtE: (ast.Lt, ast.GtE),
    ast.Gt: (ast.GtE, ast.Lt),
    ast.GtE: (ast.Gt, ast.LtE),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
    ast.USub: (ast.UAdd,),
}
NO_WORK = {"example", "decimals", "figures", "frozen", "kw_only", "strict"}
"""Words by which nothing is worked out: what is shown, how a result is built, a guard of equal lengths."""
NAMES = {"min": "max", "any": "all", "sin": "cos", "floor": "ceil", "minimum": "maximum", "argmin": "argmax"}
NAMES |= {other: name for name, other in NAMES.items()}


@dataclass(frozen=True)
class Fault:
    """A file with one thing wrong: its whole text, and the function that holds the fault, if one does."""

    path: Path
    text: str
    function: str

    @property
    def key(self) -> str:
        """What a verdict is kept under; another one as soon as anything in the file is changed."""
        return hashlib.sha256(f"{self.path.relative_to(ROOT)}\n{self.text}".encode()).hexdigest()[:24]

    def difference(self) -> str:
        """The lines that it changes."""
        before = ast.unparse(ast.parse(self.path.read_text(encoding="utf-8"))).splitlines()
        lines = difflib.unified_diff(before, self.text.splitlines(), n=0, lineterm="")
        return "\n".join(f"      {line}" for line in lines if not line.startswith(("---", "+++")))

    def tests(self) -> list[Test]:
        """The tests that start its function; for a fault in none, those that start or name what its file has.

        With them come those of the same case, which may read what these have made.
        """
        file, slug = f"{self.path.relative_to(ROOT).as_posix()}:", f"[{self.path.stem.replace('_', '-')}"
        places = known_tests()
        met = [file + self.function] if self.function else [name for name in places if name.startswith(file)]
        cases = {test.case for name in met for test in places.get(name, ())}
        return [
            test for test in all_tests() if test.case in cases or (not self.function and slug in test.name)
        ]


class Given(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Gives the file with the fault when its module is imported."""

    def __init__(self, fault: Fault) -> None:
        self.path, self.text = fault.path, fault.text
        self.module = ".".join(fault.path.relative_to(ROOT).with_suffix("").parts)

    def find_spec(
        self, fullname: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> ModuleSpec | None:
        if fullname != self.module:
            return None
        return importlib.util.spec_from_loader(fullname, self, origin=str(self.path))

    def get_filename(self, fullname: str) -> str:
        return str(self.path)

    def get_data(self, path: str) -> bytes:
        return self.text.encode()


def changes(node: ast.AST) -> list[Callable[[], None]]:
    """What may go wrong at one node; each is done in place."""
    if isinstance(node, ast.Constant) and isinstance(node.value, bool):
        return [lambda: setattr(node, "value", not node.value)]
    if isinstance(node, ast.Constant) and isinstance(node.value, int):
        return [lambda by=by: setattr(node, "value", node.value + by) for by in (1, -1)]
    if isinstance(node, ast.Constant) and isinstance(node.value, float):
        return [lambda: setattr(node, "value", node.value * 1.1 or 1.0)]
    if isinstance(node, ast.Compare):
        first, *others = node.ops
        return [
            lambda kind=kind: setattr(node, "ops", [kind(), *others]) for kind in OTHER.get(type(first), ())
        ]
    if isinstance(node, ast.BinOp | ast.BoolOp | ast.UnaryOp):
        return [lambda kind=kind: setattr(node, "op", kind()) for kind in OTHER.get(type(node.op), ())]
    if isinstance(node, ast.If | ast.IfExp | ast.While):
        return [lambda: setattr(node, "test", ast.UnaryOp(ast.Not(), node.test))]
    if isinstance(node, ast.Name) and node.id in NAMES:
        return [lambda: setattr(node, "id", NAMES[node.id])]
    if isinstance(node, ast.Attribute) and node.attr in NAMES:
        return [lambda: setattr(node, "attr", NAMES[node.attr])]
    return []


def nodes(tree: ast.AST) -> Iterator[ast.AST]:
    """Every node but those under the words of `NO_WORK`."""
    left_out = {
        id(inner)
        for node in ast.walk(tree)
        if isinstance(node, ast.keyword) and node.arg in NO_WORK
        for inner in ast.walk(node)
    }
    return (node for node in ast.walk(tree) if id(node) not in left_out)


def functions(tree: ast.AST, above: str = "") -> dict[int, str]:
    """The full name of the function that holds each node, by the node's identity; as Python writes it."""
    found = {}
    for node in ast.iter_child_nodes(tree):
        inside = above
        if isinstance(node, ast.FunctionDef):
            inside = f"{above}{node.name}"
            for statement in node.body:
                found |= {id(inner): inside for inner in ast.walk(statement)}
            inside += ".<locals>."
        elif isinstance(node, ast.ClassDef):
            inside = f"{above}{node.name}."
        found |= functions(node, inside)
    return found


def faults(path: Path) -> Iterator[Fault]:
    """The file with one fault after another, in an order that is the same in every run."""
    text = path.read_text(encoding="utf-8")
    whole = ast.parse(text)
    places = [
        (place, which) for place, node in enumerate(nodes(whole)) for which in range(len(changes(node)))
    ]
    random.Random(path.relative_to(ROOT).as_posix()).shuffle(places)
    for place, which in places:
        tree = ast.parse(text)
        node = next(islice(nodes(tree), place, None))
        function = functions(tree).get(id(node), "")
        changes(node)[which]()
        yield Fault(path, ast.unparse(tree), function)


def rounds(tests: list[Test]) -> list[tuple[float, str, list[Test]]]:
    """The tests by their files, each with its seconds, the quickest first, until they take too long.

    Before all others comes what every calculator answered before, half of the time at most: nothing notices
    as much.
    """
    files: dict[str, list[Test]] = {}
    net, total = [], 0.0
    for test in sorted(tests, key=lambda test: test.seconds):
        if test.file != NET:
            files.setdefault(test.file, []).append(test)
        elif total + test.seconds < MOST / 2:
            net.append(test)
            total += test.seconds
    ordered = sorted(
        (READING + sum(test.seconds for test in found), file, found) for file, found in files.items()
    )
    chosen = [(total, NET, net)] if net else []
    for seconds, file, found in ordered:
        total += seconds
        if chosen and total > MOST:
            break
        chosen.append((seconds, file, found))
    return chosen


def meet_the_tests(fault: Fault) -> int:
    """What a forked process does: import what is faulty, run its tests; return the status."""
    given = Given(fault)
    sys.meta_path.insert(0, given)
    hushed()
    try:
        importlib.import_module(given.module)
    except Exception:
        return STATUS_UNFIT
    for _, file, tests in rounds(fault.tests()):
        if file == NET:
            if any(map(answers_otherwise, tests)):
                return readable() or int(pytest.ExitCode.TESTS_FAILED)
            continue
        status = int(pytest.main([*QUIET, file], plugins=[Only(tests)]))
        if status not in PASSED:
            return status if status != CANNOT_READ and fault.function else readable() or status
    return readable()


def answers_otherwise(test: Test) -> bool:
    """Whether a calculator whose answers are pinned gives others: pytest asks the same, seconds later."""
    pins = importlib.import_module("tests.answers.pins")
    slug = test.case[1].removesuffix("]")
    if not slug:
        return False
    try:
        return bool(pins.changes(importlib.import_module("calculators.stages").find_calculator(slug)))
    except Exception:
        return True


def readable() -> int:
    """Zero if every calculator can be imported, fault and all."""
    try:
        importlib.import_module("calculators.stages").every_calculator()
    except Exception:
        return STATUS_UNFIT
    return 0


def verdict(fault: Fault) -> str:
    """Whether the tests notice a fault, in the time they have: one that never ends is noticed."""
    limit = PATIENCE + 3 * sum(seconds for seconds, _, _ in rounds(fault.tests()))
    child = os.fork()
    if not child:
        try:
            _, most = resource.getrlimit(resource.RLIMIT_CPU)
            resource.setrlimit(resource.RLIMIT_CPU, (round(limit), most))
            os._exit(meet_the_tests(fault))
        finally:
            os._exit(STATUS_BROKEN)
    ended = os.pidfd_open(child)
    in_time = select.select([ended], [], [], WAITED * limit)[0]
    if not in_time:
        os.kill(child, signal.SIGKILL)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.close(ended)
    return VERDICT_OF.get(status, UNCLEAR)


def _told(line: str) -> list[str] | None:
    """A verdict that was kept; none of a line in which a run was stopped while it wrote."""
    try:
        told = json.loads(line)
    except json.JSONDecodeError:
        return None
    return told if isinstance(told, list) and len(told) == 3 else None


class Judged:
    """The verdicts so far, kept on the disk as they fall."""

    def __init__(self, again: bool) -> None:
        """With `again`, whatever survived is to be judged once more."""
        lines = VERDICTS.read_text(encoding="utf-8").splitlines() if VERDICTS.is_file() else []
        told = filter(None, map(_told, lines))
        self.known: dict[tuple[str, str], str] = {(key, tests): seen for key, tests, seen in told}
        if again:
            self.known = {key: seen for key, seen in self.known.items() if seen != SURVIVED}

    def of(self, fault: Fault) -> str:
        """The verdict on a fault: the one that these same tests gave, or a new one."""
        tests = fault.tests()
        key = fault.key, digest({Path(test.file) for test in tests}.union(*map(pins_of, tests)))
        if key in self.known:
            return self.known[key]
        seen = verdict(fault)
        if seen != UNCLEAR:
            self.known[key] = seen
            VERDICTS.parent.mkdir(parents=True, exist_ok=True)
            with VERDICTS.open("a", encoding="utf-8") as file:
                file.write(f"{json.dumps([*key, seen])}\n")
        return seen


def in_turn(counts: dict[Path, int]) -> Iterator[Path]:
    """The files, each as often as it is to have faults, evenly mixed."""
    turns = [((turn + 0.5) / count, path) for path, count in counts.items() for turn in range(count)]
    return (path for _, path in sorted(turns))


def shares(count: int) -> dict[Path, int]:
    """How many faults each file gets: a calculator ten at least, the rest for the physics, by length."""
    physics = sorted(PHYSICS.rglob("*.py"))
    least = max(1, round(min(LEAST, count / 2 / len(CALCULATORS))))
    lengths = {path: path.stat().st_size for path in physics}
    left = max(0, count - least * len(CALCULATORS))
    some = {path: round(left * length / sum(lengths.values())) for path, length in lengths.items()}
    return dict.fromkeys(CALCULATORS, least) | {path: share for path, share in some.items() if share}


def try_all(counts: dict[Path, int], judged: Judged, end: float) -> dict[Path, list[str]]:
    """Put so many faults into each file until `end`, by `perf_counter`; return the verdicts by file."""
    left = {path: faults(path) for path in counts}
    seen: dict[Path, list[str]] = {path: [] for path in counts}
    for path in in_turn(counts):
        for fault in left[path]:
            if time.perf_counter() > end:
                return seen
            said = judged.of(fault)
            if said in (SURVIVED, UNCLEAR):
                met = "" if fault.tests() else ", which no test starts"
                print(f"   {said} in {path.relative_to(ROOT)} {fault.function}{met}", flush=True)
                print(fault.difference(), flush=True)
            if said != UNFIT:
                seen[path].append(said)
                break
    return seen


def main() -> int:
    """Try the files named, or all; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("files", nargs="*", type=Path, help="files to put faults into")
    parser.add_argument("--each", type=int, default=LEAST, help="faults in each file named")
    parser.add_argument("--count", type=int, default=COUNT, help="faults in all, where no file is named")
    parser.add_argument(
        "--minutes", type=float, default=float("inf"), help="put faults in for so long; go on another time"
    )
    parser.add_argument("--again", action="store_true", help="judge what survived once more")
    chosen = parser.parse_args()
    record_all()
    end = time.perf_counter() + 60 * chosen.minutes
    named = {(ROOT / path).resolve(): chosen.each for path in chosen.files}
    counts = named or shares(chosen.count)
    seen = try_all(counts, Judged(chosen.again), end)
    for path, said in seen.items():
        if {SURVIVED, UNCLEAR} & {*said}:
            print(f"{path.relative_to(ROOT)}: {said.count(NOTICED)} of {len(said)} noticed")
    tried = sum(map(len, seen.values()))
    noticed = sum(said.count(NOTICED) for said in seen.values())
    if not tried:
        print("== no fault was tried")
        return 0
    share = noticed / tried
    print(
        f"== {noticed} of {tried} faults noticed: {100 * share:.1f} %; {sum(counts.values())} are to be tried"
    )
    return 0 if share >= ENOUGH else 1


if __name__ == "__main__":
    raise SystemExit(main())
