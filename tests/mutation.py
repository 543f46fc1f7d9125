"""Faults put into the science on purpose, one at a time: do the tests notice?

    python -m tests.mutation                    every calculator and its physics, 1500 faults
    python -m tests.mutation --count 200        fewer
    python -m tests.mutation calculators/physics/fuses.py --each 30

The faults are cosmic-ray's: a number one off, another operator, another comparison, a condition turned
round. It reads the text of a file, so functions under a decorator, as all calculators are, get theirs like
any other. They are drawn by file, the same in every run. One that cannot even be imported is no fault that
could reach a reader, and another is drawn in its place. Each meets the tests of its module and of the
calculators nearest to it; one that survives is printed, to be read. The status is 1 below 90 % noticed.

Every fault has a process of its own, forked from one that has read the libraries but nothing of ours; no file
is touched.
"""

import argparse
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
from collections.abc import Iterator, Sequence
from importlib.machinery import ModuleSpec
from pathlib import Path
from types import ModuleType

import hypothesis  # noqa: F401
import numpy  # noqa: F401
import pytest
import scipy.optimize
import scipy.signal  # noqa: F401
from cosmic_ray.ast import ast_nodes, get_ast
from cosmic_ray.mutating import mutate_code
from cosmic_ray.plugins import get_operator, operator_names

ROOT = Path(__file__).resolve().parents[1]
PHYSICS, STAGES = ROOT / "calculators" / "physics", ROOT / "calculators" / "stages"
COUNT, LEAST = 1500, 10
"""Faults in all, and in each file of a calculator."""
ENOUGH = 0.9
SURVIVED, NOTICED, UNFIT = "survived", "noticed", "unfit"
STATUS_UNFIT = 90
PATIENCE = 20.0
"""Seconds on top of three times what the tests take without a fault: one that never ends is noticed."""
# A decorator that is missing is no slip of a formula, and "do nothing" is no fault.
LEFT_OUT = ("NoOp", "RemoveDecorator", "VariableInserter", "VariableReplacer")


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


def faulty_texts(path: Path) -> Iterator[str]:
    """The file's text with one fault after another, in an order that is the same in every run."""
    text = path.read_text(encoding="utf-8")
    nodes = list(ast_nodes(get_ast(text)))
    places = []
    for name in operator_names():
        if not any(part in name for part in LEFT_OUT):
            operator = get_operator(name)()
            count = sum(1 for node in nodes for _ in operator.mutation_positions(node))
            places += [(name, occurrence) for occurrence in range(count)]
    random.Random(path.relative_to(ROOT).as_posix()).shuffle(places)
    for name, occurrence in places:
        changed = mutate_code(text, get_operator(name)(), occurrence)
        if changed is not None and changed != text:
            yield changed


def tests_for(path: Path) -> list[str]:
    """What pytest is given for a file: its module's tests, then those of calculators that rest on it."""
    from calculators.stages import slugs_known
    from tests.check import imported, only, tests_of

    own = ROOT / "tests" / "physics" / f"test_{path.stem}.py"
    module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
    if path.is_relative_to(STAGES):
        slugs = [path.stem.replace("_", "-")]
    else:
        files = [file for file in sorted(STAGES.glob("*/*.py")) if module in imported(file)]
        slugs = [file.stem.replace("_", "-") for file in files if file.stem != "__init__"][:2]
    known = [slug for slug in slugs if slug in slugs_known()]
    places = [str(own)] if own.is_file() else []
    for slug in known:
        file = next(STAGES.glob(f"*/{slug.replace('-', '_')}.py"))
        places += tests_of(slug, file)
    names = [f"({only(slug)})" for slug in known] + [f"test_{slug.replace('-', '_')}" for slug in known]
    wanted = " or ".join([f"test_{path.stem}", *names])
    return [*dict.fromkeys(places), "-k", wanted]


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
    return int(pytest.main([*quiet, *tests_for(fault.path)]))


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
    before = path.read_text(encoding="utf-8").splitlines()
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
    calculators = [path for path in sorted(STAGES.glob("*/*.py")) if path.stem != "__init__"]
    physics = sorted(PHYSICS.rglob("*.py"))
    least = max(1, round(min(LEAST, count / 2 / len(calculators))))
    lengths = {path: path.stat().st_size for path in physics}
    left = max(0, count - least * len(calculators))
    some = {path: round(left * length / sum(lengths.values())) for path, length in lengths.items()}
    return dict.fromkeys(calculators, least) | {path: share for path, share in some.items() if share}


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
