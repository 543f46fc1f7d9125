"""Faults put into the science on purpose, one at a time: do the tests notice?

    python -m tests.mutation                    every calculator and its physics, 1500 faults
    python -m tests.mutation --count 200        fewer
    python -m tests.mutation calculators/physics/fuses.py --each 30

A fault is a number one off or a tenth larger, another operator, another comparison, a condition turned
round, the largest for the smallest. They are drawn by file, the same in every run. One that cannot even be
imported is no fault that could reach a reader, and another is drawn in its place. Each meets the tests of its
module, then those that name a calculator which rests on it; one that survives is printed, to be read. The
status is 1 below 90 % noticed.

Ours, because the libraries for it either pass over every function under a decorator, and so over all
calculators, or bring thirty packages along.

Every fault has a process of its own, forked from one that has read the libraries but nothing of ours; no file
is touched.
"""

import argparse
import ast
import difflib
import importlib
import importlib.abc
import importlib.util
import os
import random
import select
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from importlib.machinery import ModuleSpec
from itertools import islice
from pathlib import Path
from types import ModuleType

import hypothesis  # noqa: F401
import numpy  # noqa: F401
import pytest
import scipy.optimize
import scipy.signal  # noqa: F401

ROOT = Path(__file__).resolve().parents[1]
PHYSICS, STAGES = ROOT / "calculators" / "physics", ROOT / "calculators" / "stages"
CALCULATORS = [path for path in sorted(STAGES.glob("*/*.py")) if path.stem != "__init__"]
TESTS = {
    path: path.read_text(encoding="utf-8")
    for room in ("published", "stages")
    for path in sorted((ROOT / "tests" / room).rglob("test_*.py"))
}
COUNT, LEAST = 1500, 10
"""Faults in all, and in each file of a calculator."""
ENOUGH = 0.9
SURVIVED, NOTICED, UNFIT = "survived", "noticed", "unfit"
STATUS_UNFIT = 90
PATIENCE = 20.0
"""Seconds on top of three times what the tests take without a fault: one that never ends is noticed."""
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
NO_WORK = {"example", "decimals", "figures", "frozen", "kw_only"}
"""Words of a declaration by which nothing is worked out: what is shown, and how a result may be built."""
NAMES = {"min": "max", "any": "all", "sin": "cos", "floor": "ceil", "minimum": "maximum", "argmin": "argmax"}
NAMES |= {other: name for name, other in NAMES.items()}


class Fault(importlib.abc.MetaPathFinder, importlib.abc.SourceLoader):
    """Gives one module another text when it is imported."""

    def __init__(self, path: Path, text: str) -> None:
        self.path, self.text = path, text
        self.module = ".".join(path.relative_to(ROOT).with_suffix("").parts)

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


def faulty_texts(path: Path) -> Iterator[str]:
    """The file's text with one fault after another, in an order that is the same in every run."""
    text = path.read_text(encoding="utf-8")
    places = [
        (place, which)
        for place, node in enumerate(nodes(ast.parse(text)))
        for which in range(len(changes(node)))
    ]
    random.Random(path.relative_to(ROOT).as_posix()).shuffle(places)
    for place, which in places:
        tree = ast.parse(text)
        changes(next(islice(nodes(tree), place, None)))[which]()
        yield ast.unparse(tree)


def rounds_for(path: Path) -> Iterator[list[str]]:
    """What pytest is given for a file, one round after another: its module's tests, then its calculators'."""
    from tests.check import imported, only  # They import ours, which a parent must not.

    own = ROOT / "tests" / "physics" / f"test_{path.stem}.py"
    if own.is_file():
        yield [str(own)]
    module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    files = (
        [path] if path.is_relative_to(STAGES) else [file for file in CALCULATORS if module in imported(file)]
    )
    for file in files[:2]:
        slug = file.stem.replace("_", "-")
        tests = [
            test for test, text in TESTS.items() if f'"{slug}"' in text or test.stem == f"test_{file.stem}"
        ]
        if tests:
            yield [*map(str, tests), "-k", f"({only(slug)}) or test_{file.stem}"]


def meet_the_tests(fault: Fault) -> int:
    """What a forked process does: import what is faulty, run its tests; return the status."""
    sys.meta_path.insert(0, fault)
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)
    try:
        importlib.import_module("calculators.stages").every_calculator()
        importlib.import_module(fault.module)
    except Exception:
        return STATUS_UNFIT
    quiet = ("-x", "-q", "--no-header", "--tb=no", "-p", "no:cacheprovider", "-p", "no:playwright")
    for tests in rounds_for(fault.path):
        status = int(pytest.main([*quiet, *tests]))
        if status:
            return status
    return 0


def verdict(fault: Fault, limit: float) -> str:
    """Whether the tests notice a fault within `limit` seconds."""
    child = os.fork()
    if not child:
        try:
            os._exit(meet_the_tests(fault))
        finally:
            os._exit(1)
    ended = os.pidfd_open(child)
    in_time = select.select([ended], [], [], limit)[0]
    if not in_time:
        os.kill(child, signal.SIGKILL)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    os.close(ended)
    return {0: SURVIVED, STATUS_UNFIT: UNFIT}.get(status, NOTICED)


def difference(path: Path, text: str) -> str:
    """The lines that a fault changes."""
    before = ast.unparse(ast.parse(path.read_text(encoding="utf-8"))).splitlines()
    lines = difflib.unified_diff(before, text.splitlines(), n=0, lineterm="")
    return "\n".join(f"      {line}" for line in lines if not line.startswith(("---", "+++")))


def try_file(path: Path, count: int) -> tuple[int, int]:
    """Put `count` faults into a file; return how many there were, and how many were noticed."""
    started = time.perf_counter()
    whole = Fault(path, path.read_text(encoding="utf-8"))
    if verdict(whole, 600) != SURVIVED:
        print(f"{path.relative_to(ROOT)}: no test passes without a fault", flush=True)
        return 0, 0
    limit = PATIENCE + 3 * (time.perf_counter() - started)
    tried = noticed = 0
    for text in faulty_texts(path):
        if tried == count:
            break
        seen = verdict(Fault(path, text), limit)
        if seen == UNFIT:
            continue
        tried += 1
        noticed += seen == NOTICED
        if seen == SURVIVED:
            print(f"   survived in {path.relative_to(ROOT)}\n{difference(path, text)}", flush=True)
    print(f"{path.relative_to(ROOT)}: {noticed} of {tried} noticed", flush=True)
    return tried, noticed


def shares(count: int) -> dict[Path, int]:
    """How many faults each file gets: a calculator ten at least, the rest for the physics, by length."""
    physics = sorted(PHYSICS.rglob("*.py"))
    least = max(1, round(min(LEAST, count / 2 / len(CALCULATORS))))
    lengths = {path: path.stat().st_size for path in physics}
    left = max(0, count - least * len(CALCULATORS))
    some = {path: round(left * length / sum(lengths.values())) for path, length in lengths.items()}
    return dict.fromkeys(CALCULATORS, least) | {path: share for path, share in some.items() if share}


def main() -> int:
    """Try the files named, or all; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("files", nargs="*", type=Path, help="files to put faults into")
    parser.add_argument("--each", type=int, default=LEAST, help="faults in each file named")
    parser.add_argument("--count", type=int, default=COUNT, help="faults in all, where no file is named")
    chosen = parser.parse_args()
    named = {(ROOT / path).resolve(): chosen.each for path in chosen.files}
    results = [try_file(path, count) for path, count in (named or shares(chosen.count)).items()]
    tried, noticed = (sum(column) for column in zip(*results, strict=True))
    share = noticed / tried if tried else 0.0
    print(f"== {noticed} of {tried} faults noticed: {100 * share:.0f} %")
    return 0 if share >= ENOUGH else 1


if __name__ == "__main__":
    raise SystemExit(main())
