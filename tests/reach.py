"""Which tests start which functions of the science, as a run of each test file shows.

    python -m tests.reach       the test files that were never run, or run otherwise since

A fault put into a function can be noticed by the tests that start it, and by no others: `tests.mutation` runs
these alone. What was found is kept in `.cache/mutation/reach/`, a file for each test file, until that file,
a file that tests share or one whose functions it starts is changed. Each has a process of its own, forked
from one that has read the libraries but nothing of ours.
"""

import ast
import hashlib
import json
import math
import os
import sys
import time
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from types import CodeType

import html5lib  # noqa: F401
import jsonschema  # noqa: F401
import numpy  # noqa: F401
import pytest
import scipy.optimize
import scipy.signal  # noqa: F401
import sympy  # noqa: F401
from hypothesis import Phase, settings

ROOT = Path(__file__).resolve().parents[1]
KEPT = ROOT / ".cache" / "mutation"
SCIENCE = ("physics", "stages")
"""The folders of `calculators/` into which faults are put."""
ROOMS = ("physics", "published", "stages", "job", "declaring", "answers")
"""The folders of `tests/` that judge numbers; `test_self_checks.py` does, too."""
ANSWERS = ROOT / "tests" / "answers"
NET = str(ANSWERS / "test_answers.py")
"""What every calculator answered before."""
PINNED_OF = "::test_answers_are_as_they_were["
"""In the name of the test that holds a calculator's pinned answers; others of its file are tests like any."""
STEPS_OF = "::test_steps_on_the_way_are_as_they_were["
"""In the name of the test that holds what is worked out on the way to answers."""
STARTERS = {"__main__", "check", "faults", "mutation", "reach"}
"""Programs beside the tests, on which no test's verdict hangs."""
BUILT = {"site", "server", "page", "context", "browser"}
"""What a test asks for that needs the built site: none of these is run here."""
QUIET = ("-x", "-q", "--no-header", "--tb=no", "-p", "no:cacheprovider", "-p", "no:playwright")
PASSED = (int(pytest.ExitCode.OK), int(pytest.ExitCode.NO_TESTS_COLLECTED))
"""The second where all of a file's tests need the site."""
TOOL = sys.monitoring.PROFILER_ID


@dataclass(frozen=True)
class Test:
    """One test that passes, and its seconds of a core."""

    file: str
    name: str
    seconds: float

    @property
    def case(self) -> tuple[str, str]:
        """Its file, and what it is tried with: tests of the same case may share what one of them has made."""
        return self.file, self.name.partition("[")[2]

    @property
    def holds_pins(self) -> bool:
        """Whether it holds a calculator's pinned answers."""
        return PINNED_OF in self.name


def parted(tests: Iterable[Test]) -> tuple[list[Test], list[Test]]:
    """The tests that hold pinned answers, and the others."""
    tests = list(tests)
    return [test for test in tests if test.holds_pins], [test for test in tests if not test.holds_pins]


def files_of_tests() -> list[Path]:
    """The files whose tests may notice a fault."""
    folders = (ROOT / "tests" / room for room in ROOMS)
    found = [path for folder in folders for path in folder.rglob("test_*.py")]
    return sorted([*found, ROOT / "tests" / "test_self_checks.py"])


def shared_files() -> list[Path]:
    """What tests have in common beside the tests: helpers and `conftest.py`; not what starts them."""
    folders = (ROOT / "tests", *(ROOT / "tests" / room for room in ROOMS))
    found = [path for folder in folders for path in folder.glob("*.py") if not path.match("test_*.py")]
    return sorted(path for path in found if path.stem not in STARTERS)


def place(code: CodeType) -> str | None:
    """A function of the science by its file and its full name in it; None for others."""
    path = Path(code.co_filename)
    if not path.is_relative_to(ROOT / "calculators"):
        return None
    file = path.relative_to(ROOT)
    return f"{file.as_posix()}:{code.co_qualname}" if file.parts[1] in SCIENCE else None


class FirstTry:
    """Has hypothesis stop at the first case that fails: nobody reads a smaller one."""

    def pytest_collection(self) -> None:
        """Before a test file is read, and after `conftest.py` has chosen."""
        phases = (Phase.explicit, Phase.generate)
        settings.register_profile("first-try", parent=settings.get_profile("fixed"), phases=phases)
        settings.load_profile("first-try")


class Only(FirstTry):
    """Runs the tests named alone, in their order."""

    def __init__(self, names: Sequence[str]) -> None:
        self.places = {name: place for place, name in enumerate(names)}
        self.failed = ""

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Leave the others out."""
        items[:] = [item for item in items if item.nodeid in self.places]
        items.sort(key=lambda item: self.places[item.nodeid])

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """Which one fails first."""
        if report.failed and not self.failed:
            self.failed = report.nodeid


class Started(FirstTry):
    """Notes what is started in the science: of each function the first start alone, for it costs time."""

    def __init__(self) -> None:
        self.names: dict[int, tuple[str | None, CodeType]] = {}  # Held, lest another takes its number.
        self.started: set[str] = set()
        sys.monitoring.use_tool_id(TOOL, "reach")
        sys.monitoring.register_callback(TOOL, sys.monitoring.events.PY_START, self.note)
        sys.monitoring.set_events(TOOL, sys.monitoring.events.PY_START)

    def note(self, code: CodeType, _: int) -> object:
        """A function's first start since `afresh`."""
        if id(code) not in self.names:
            self.names[id(code)] = place(code), code
        if name := self.names[id(code)][0]:
            self.started.add(name)
        return sys.monitoring.DISABLE

    def afresh(self) -> None:
        """Forget what was started."""
        self.started.clear()
        sys.monitoring.restart_events()

    def done(self) -> None:
        """Note nothing more."""
        sys.monitoring.set_events(TOOL, sys.monitoring.events.NO_EVENTS)
        sys.monitoring.free_tool_id(TOOL)


class Recorder(Started):
    """Notes what each test starts, with what it needs made ready, and how long that takes."""

    def __init__(self) -> None:
        super().__init__()
        self.reading: frozenset[str] = frozenset()
        self.found: dict[str, tuple[float, frozenset[str]]] = {}
        self.failed: set[str] = set()

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """What reading the file started is every test's; what needs the site is left out."""
        self.reading = frozenset(self.started)
        items[:] = [item for item in items if not BUILT & set(getattr(item, "fixturenames", ()))]

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> Iterator[None]:
        """One test, from making ready to clearing away."""
        self.afresh()
        begun = core_seconds()
        said = yield
        self.found[item.nodeid] = (core_seconds() - begun, self.reading | self.started)
        return said

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """One that is left out tells nothing."""
        if report.outcome != "passed":
            self.failed.add(report.nodeid)


def core_seconds() -> float:
    """Seconds of a core so far, with those of processes that have ended: what else is busy does not count."""
    spent = os.times()
    return time.process_time() + spent.children_user + spent.children_system


def kept_at(file: Path) -> Path:
    """Where what is known of a test file lies."""
    return KEPT / "reach" / f"{'.'.join(file.relative_to(ROOT / 'tests').with_suffix('').parts)}.json"


@cache
def sum_of(file: Path) -> str:
    """A sum of a file's bytes; nothing if it is gone."""
    return hashlib.sha256(file.read_bytes()).hexdigest() if file.is_file() else ""


def digest(files: Iterable[Path]) -> str:
    """A short sum of files, with those that tests share; the same wherever the repository lies."""
    sums = (f"{os.path.relpath(file, ROOT)}: {sum_of(file)}\n" for file in sorted({*files, *shared_files()}))
    return hashlib.sha256("".join(sums).encode()).hexdigest()[:16]


@cache
def says(file: str) -> frozenset[str]:
    """What a test file imports, by full names, and its words in quotes: by these a calculator is found."""
    path = ROOT / file
    nodes = list(ast.walk(ast.parse(path.read_text(encoding="utf-8")))) if path.is_file() else []
    said = {node.value for node in nodes if isinstance(node, ast.Constant) and isinstance(node.value, str)}
    for node in nodes:
        if isinstance(node, ast.ImportFrom) and node.module:
            said |= {node.module, *(f"{node.module}.{each.name}" for each in node.names)}
        elif isinstance(node, ast.Import):
            said |= {each.name for each in node.names}
    return frozenset(said)


def names(test: Test, file: Path) -> bool:
    """Whether a test's file is called after a file of the science, imports it or finds its calculator."""
    module = ".".join(file.relative_to(ROOT).with_suffix("").parts)
    is_calculator = file.is_relative_to(ROOT / "calculators" / "stages")
    slug = {file.stem.replace("_", "-")} if is_calculator else set[str]()
    return Path(test.file).name == f"test_{file.name}" or not says(test.file).isdisjoint({module} | slug)


def rests_on(file: Path, started: Iterable[str]) -> set[Path]:
    """A test file, and the files of the functions that it starts."""
    return {file, *(ROOT / name.partition(":")[0] for name in started)}


def pins_of(test: Test) -> set[Path]:
    """What is pinned of the calculator, or of the steps, that a test is about, if that is what it holds."""
    name = test.case[1].removesuffix("]")
    return (
        {ANSWERS / "pinned" / f"{name}.json", ANSWERS / "steps.json"} if test.file == NET and name else set()
    )


def record(file: Path) -> None:
    """Run one test file, and keep what its tests start; nothing if one of them fails."""
    kept_at(file).unlink(missing_ok=True)
    recorder = Recorder()
    begun = time.perf_counter()
    status = int(pytest.main([*QUIET[1:], str(file)], plugins=[recorder]))
    if status not in PASSED:
        return
    took = time.perf_counter() - begun
    passed = {name: found for name, found in recorder.found.items() if name not in recorder.failed}
    started = starts([names for _, names in passed.values()])
    known = {
        "digest": digest(rests_on(file, started)),
        "took": took,
        "tests": [[name, round(seconds, 4)] for name, (seconds, _) in passed.items()],
        "starts": started,
    }
    kept_at(file).parent.mkdir(parents=True, exist_ok=True)
    kept_at(file).write_text(json.dumps(known), encoding="utf-8")


def starts(started: Sequence[frozenset[str]]) -> dict[str, list[int] | None]:
    """The numbers of the tests that start each function; None for all of them."""
    found: dict[str, list[int]] = defaultdict(list)
    for number, names in enumerate(started):
        for name in names:
            found[name].append(number)
    return {name: None if len(which) == len(started) else which for name, which in sorted(found.items())}


def is_known(file: Path) -> bool:
    """Whether a test file was run as it is now, with what it rests on."""
    if not kept_at(file).is_file():
        return False
    known = json.loads(kept_at(file).read_text(encoding="utf-8"))
    return bool(known["digest"] == digest(rests_on(file, known["starts"])))


def hushed() -> None:
    """Say nothing from here on: what pytest says is of no use here."""
    with open(os.devnull, "w") as nothing:
        os.dup2(nothing.fileno(), 1)
        os.dup2(nothing.fileno(), 2)


def record_apart(file: Path) -> None:
    """Run one test file in a process of its own."""
    child = os.fork()
    if not child:
        hushed()
        try:
            record(file)
        finally:
            os._exit(0)
    os.waitpid(child, 0)


def record_all(end: float = math.inf) -> bool:
    """Run every test file that is not known; False if `end`, by `perf_counter`, comes before one of them."""
    for file in files_of_tests():
        if is_known(file):
            continue
        if time.perf_counter() > end:
            return False
        print(f"   {file.relative_to(ROOT)}: ", end="", flush=True)
        record_apart(file)
        said = "a test fails, so none of this file meets a fault"
        if kept_at(file).is_file():
            known = json.loads(kept_at(file).read_text(encoding="utf-8"))
            said = f"{len(known['tests'])} tests, {known['took']:.1f} s"
        print(said, flush=True)
    return True


@cache
def known_tests() -> Mapping[str, Sequence[Test]]:
    """The tests that start each function, by its place, those of a file one after another."""
    found: dict[str, list[Test]] = defaultdict(list)
    for file in files_of_tests():
        if not kept_at(file).is_file():
            continue
        known = json.loads(kept_at(file).read_text(encoding="utf-8"))
        tests = [Test(str(file), name, seconds) for name, seconds in known["tests"]]
        for name, which in known["starts"].items():
            found[name] += tests if which is None else [tests[number] for number in which]
    return found


@cache
def all_tests() -> list[Test]:
    """Every test that starts anything."""
    return sorted({test for tests in known_tests().values() for test in tests}, key=lambda test: test.name)


if __name__ == "__main__":
    record_all()
