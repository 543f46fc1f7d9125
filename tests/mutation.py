"""Faults put into the science on purpose, one at a time: do the tests notice?

    python -m tests.mutation                    every calculator and all of physics, 1500 faults
    python -m tests.mutation --minutes 9        as far as it gets; the next run goes on from there
    python -m tests.mutation --jobs 2           two at a time
    python -m tests.mutation calculators/physics/fuses.py --each 30

What a fault is, and which are drawn, stands in `tests/faults.py`: by file, the same in every run, taken in
an order in which every file has its share at any time. One that cannot even be imported is no fault that
could reach a reader, and another is drawn in its place. Each is held against the pinned answers
(`tests/answers`), then meets the tests that start the function it is in (`tests.reach`), first those whose
file is called after its module, imports it or finds its calculator;
the test that noticed it the last time comes before all. One that survives is printed, to be read; one that
`tests/explained_faults.toml` lists counts as explained and meets no test. The status is 1 below 90 % noticed
of those that are not explained. What was judged is kept in `.cache/mutation/judged.jsonl` until its file
changes, or a test that it met. What could not be judged (pytest itself broke, or the machine took the process
away) is printed, counts as not noticed, and is judged again in the next run.

Ours, because the libraries for it either pass over every function under a decorator, and so over all
calculators, or bring thirty packages along.

No file is touched. A fault in a function is put into a process of its own, forked from one in which every
test is collected: the function is given its faulty code. One outside of functions, or in a function that is
started when files are read, is imported anew, in one forked from a process that has read the libraries but
nothing of ours.
"""

import argparse
import gc
import importlib
import importlib.abc
import importlib.util
import json
import multiprocessing
import os
import resource
import select
import signal
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from importlib.machinery import ModuleSpec
from itertools import chain
from multiprocessing.connection import Connection
from pathlib import Path
from types import CodeType, FunctionType, ModuleType

import pytest

from tests.faults import Fault, explained, faults
from tests.reach import (
    KEPT,
    PASSED,
    QUIET,
    ROOT,
    STEPS_OF,
    Only,
    Started,
    Test,
    all_tests,
    digest,
    files_of_tests,
    hushed,
    known_tests,
    names,
    parted,
    pins_of,
    record_all,
)

PHYSICS, STAGES = ROOT / "calculators" / "physics", ROOT / "calculators" / "stages"
CALCULATORS = [path for path in sorted(STAGES.glob("*/*.py")) if path.stem != "__init__"]
VERDICTS = KEPT / "judged.jsonl"
COUNT, LEAST = 1500, 10
"""Faults in all, and in each file of a calculator."""
ENOUGH = 0.9
SURVIVED, NOTICED, UNFIT, UNCLEAR, LISTED = "survived", "noticed", "unfit", "unclear", "explained"
STATUS_UNFIT, STATUS_BROKEN = 90, 91
FAILED, CANNOT_READ = int(pytest.ExitCode.TESTS_FAILED), int(pytest.ExitCode.INTERRUPTED)
"""The second is what pytest says when a test file cannot be imported."""
VERDICT_OF = {
    0: SURVIVED,
    FAILED: NOTICED,
    CANNOT_READ: NOTICED,
    -signal.SIGXCPU: NOTICED,
    STATUS_UNFIT: UNFIT,
}
"""By how its process ended; one that used up its time of a core never ends. Whatever else is unclear."""
MOST = 14.0
"""Seconds of tests, without a fault, that a fault meets; two thirds of them for pinned answers, at most."""
PATIENCE = 15.0
"""Seconds of a core on top of three times what the tests take without a fault."""
WAITED = 10
"""Times as long is waited for it: on a busy machine a process gets its seconds of a core late."""
COLLECTING = (*QUIET, "-s")
Meets = Callable[[Fault, list[Test]], tuple[int, str]]
"""What a forked process does: the status that it ends with, and the test that noticed."""


@dataclass(frozen=True)
class Verdict:
    """What became of a fault, and the test that noticed it, where one did."""

    said: str
    by: str = ""


def reached(fault: Fault) -> Counter[Test]:
    """The tests that start its function; or how many functions of its file each starts, if it is in none."""
    file, places = f"{fault.file}:", known_tests()
    met = [file + fault.function] if fault.function else [name for name in places if name.startswith(file)]
    return Counter(test for name in met for test in places.get(name, ()))


def tests_of(fault: Fault) -> list[Test]:
    """The tests that reach a fault; with one that is in no function, those that name its file, too.

    With them come those of the same case, which may read what these have made.
    """
    slug, cases = f"[{fault.path.stem.replace('_', '-')}", {test.case for test in reached(fault)}
    return [test for test in all_tests() if test.case in cases or (not fault.function and slug in test.name)]


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


def in_order(fault: Fault, tests: list[Test], by: str = "") -> list[Test]:
    """The tests that a fault meets: first the one that noticed it before, then pinned answers, then others.

    Of pinned answers its own calculator's come first, then those that start most of its file where it is in
    no function, then the quickest, for nothing notices as much; of the others those that name its module and
    what is pinned of the steps on the way, then by their files, the quickest first, until they take too long.
    """
    slug = f"[{fault.path.stem.replace('_', '-')}]"
    pinned, others = parted(sorted(tests, key=lambda test: test.seconds))
    starts = reached(fault)
    pinned.sort(key=lambda test: -starts[test])
    nearest, files = list[Test](), dict[str, list[Test]]()
    for test in others:
        near = STEPS_OF in test.name or names(test, fault.path)
        (nearest if near else files.setdefault(test.file, [])).append(test)
    by_file = sorted(files.values(), key=lambda found: sum(test.seconds for test in found))
    first = [test for test in tests if test.name == by]
    first += [test for test in pinned if test.name.endswith(slug)]
    chosen = within(MOST * 2 / 3, first, pinned)
    return within(MOST, chosen, chain(nearest, *by_file))


def within(most: float, chosen: list[Test], more: Iterable[Test]) -> list[Test]:
    """The chosen, and of more those that fit into so many seconds, one at least; each once."""
    found = dict.fromkeys(chosen)
    spent = sum(test.seconds for test in found)
    for test in more:
        if test not in found and (not found or spent + test.seconds <= most):
            found[test] = None
            spent += test.seconds
    return list(found)


def pinned_that_notices(tests: list[Test]) -> str:
    """Of tests that hold pinned answers the first that fails; nothing if none does."""
    return next((test.name for test in tests if answers_otherwise(test)), "")


def imported_anew(fault: Fault, tests: list[Test]) -> tuple[int, str]:
    """Import what is faulty and all that rests on it, in a process that has read nothing of ours."""
    given = Given(fault)
    sys.meta_path.insert(0, given)
    try:
        importlib.import_module(given.module)
    except Exception:
        return STATUS_UNFIT, ""
    pinned, left = parted(tests)
    if by := pinned_that_notices(pinned):
        return readable() or FAILED, by
    if not left:
        return readable(), ""
    only = Only([test.name for test in left])
    status = int(pytest.main([*QUIET, *dict.fromkeys(test.file for test in left)], plugins=[only]))
    if status in PASSED:
        return readable(), ""
    return (readable() if status == CANNOT_READ else 0) or status, only.failed


def answers_otherwise(test: Test) -> bool:
    """Whether a calculator whose answers are pinned gives others: pytest asks the same, seconds later."""
    pins = importlib.import_module("tests.answers.pins")
    slug = test.case[1].removesuffix("]")
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


class Collected(Started):
    """Puts faults into functions where every test is collected."""

    def __init__(self, work: Callable[[], None]) -> None:
        super().__init__()
        self.work = work
        self.items: dict[str, pytest.Item] = {}
        self.functions: dict[tuple[str, str], list[FunctionType]] = {}

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """In place of running the tests."""
        self.done()
        self.items = {item.nodeid: item for item in session.items}
        for found in gc.get_objects():
            if isinstance(found, FunctionType):
                place = found.__code__.co_filename, found.__code__.co_qualname
                self.functions.setdefault(place, []).append(found)
        gc.collect()
        gc.freeze()
        self.work()
        return True

    def fits(self, fault: Fault) -> bool:
        """Whether a fault is in a function that nothing has started yet."""
        outer = fault.function.partition(".<locals>")[0]
        started = {name.partition(".<locals>")[0] for name in self.started}
        return f"{fault.file}:{outer}" not in started and (str(fault.path), outer) in self.functions

    def given_faulty_code(self, fault: Fault, tests: list[Test]) -> tuple[int, str]:
        """Change the function where it is, and run the tests."""
        outer = fault.function.partition(".<locals>")[0]
        (code,) = (
            code
            for code in codes(compile(fault.text, str(fault.path), "exec"))
            if code.co_qualname == outer and not code.co_name.startswith("<")
        )
        for function in self.functions[str(fault.path), outer]:
            function.__code__ = code
        pinned, others = parted(tests)
        if by := pinned_that_notices(pinned):
            return FAILED, by
        left = [self.items[test.name] for test in others]
        for item, after in zip(left, [*left[1:], None], strict=True):
            item.ihook.pytest_runtest_protocol(item=item, nextitem=after)
            if item.session.testsfailed:
                return FAILED, item.nodeid
        return 0, ""


def codes(code: CodeType) -> Iterator[CodeType]:
    """A code and all that is in it."""
    yield code
    for inner in code.co_consts:
        if isinstance(inner, CodeType):
            yield from codes(inner)


def verdict(fault: Fault, tests: list[Test], meets: Meets) -> Verdict:
    """Whether the tests notice a fault, in the time they have: one that never ends is noticed."""
    limit = PATIENCE + 3 * sum(test.seconds for test in tests)
    heard, tells = os.pipe()
    with tempfile.TemporaryDirectory() as room:
        child = os.fork()
        if not child:
            try:
                _, most = resource.getrlimit(resource.RLIMIT_CPU)
                resource.setrlimit(resource.RLIMIT_CPU, (round(limit), most))
                hushed()
                tempfile.tempdir = os.environ["PYTEST_DEBUG_TEMPROOT"] = room
                status, by = meets(fault, tests)
                os.write(tells, by.encode())
                os._exit(status)
            finally:
                os._exit(STATUS_BROKEN)
        os.close(tells)
        ended = os.pidfd_open(child)
        if not select.select([ended], [], [], WAITED * limit)[0]:
            os.kill(child, signal.SIGKILL)
        status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        by = os.read(heard, 4096).decode()
    os.close(ended)
    os.close(heard)
    return Verdict(VERDICT_OF.get(status, UNCLEAR), by)


def confirmed(fault: Fault, tests: list[Test], meets: Meets) -> Verdict:
    """The verdict, unless the same tests, as far as they came, fail without the fault, too: then unclear."""
    found = verdict(fault, tests, meets)
    pinned, others = parted(tests)  # Pinned answers are asked first.
    names = [test.name for test in others]
    if found.said != NOTICED or found.by not in names:
        return found
    met = pinned + others[: names.index(found.by) + 1]
    alone = verdict(fault.left_out(), met, meets)
    return found if alone.said == SURVIVED else Verdict(UNCLEAR, found.by)


def judge_anew(asked: Connection, others: list[Connection]) -> None:
    """Judge what is asked for until nothing more is: the process that has read nothing of ours.

    others: ends that were there when it was forked; with one of them open it would wait for itself.
    """
    for each in others:
        each.close()
    while True:
        try:
            fault, tests = asked.recv()
        except EOFError:
            return
        asked.send(confirmed(fault, tests, imported_anew))


def _kept(line: str) -> list[str] | None:
    """A verdict that was kept; none of a line in which a run was stopped while it wrote."""
    try:
        kept = json.loads(line)
    except json.JSONDecodeError:
        return None
    return kept if isinstance(kept, list) and len(kept) == 4 else None


class Judged:
    """The verdicts so far, kept on the disk as they fall."""

    def __init__(self) -> None:
        lines = VERDICTS.read_text(encoding="utf-8").splitlines() if VERDICTS.is_file() else []
        self.known: dict[tuple[str, str], str] = {}
        self.noticed_by: dict[str, str] = {}
        for key, tests, said, by in filter(None, map(_kept, lines)):
            self.known[key, tests] = said
            if by:
                self.noticed_by[key] = by

    def of(self, fault: Fault, judge: Callable[[Fault, list[Test]], Verdict]) -> str:
        """The verdict on a fault: the one that these same tests gave, or a new one."""
        if not explained().keys().isdisjoint(fault.readings):
            return LISTED
        tests = tests_of(fault)
        key = fault.key, digest({Path(test.file) for test in tests}.union(*map(pins_of, tests)))
        if key in self.known:
            return self.known[key]
        found = judge(fault, in_order(fault, tests, self.noticed_by.get(fault.key, "")))
        if found.said != UNCLEAR:
            self.known[key] = found.said
            VERDICTS.parent.mkdir(parents=True, exist_ok=True)
            with VERDICTS.open("a", encoding="utf-8") as file:
                file.write(f"{json.dumps([*key, found.said, found.by])}\n")
        return found.said


def in_turn(counts: dict[Path, int]) -> Iterator[Path]:
    """The files, each as often as it is to have faults, evenly mixed."""
    turns = [((turn + 0.5) / count, path) for path, count in counts.items() for turn in range(count)]
    return (path for _, path in sorted(turns))


def shares(count: int) -> dict[Path, int]:
    """How many faults each file gets: a calculator ten of 1500, the rest for the physics, by length."""
    physics = sorted(PHYSICS.rglob("*.py"))
    least = max(1, min(LEAST, round(LEAST * count / COUNT)))
    lengths = {path: path.stat().st_size for path in physics}
    left = max(0, count - least * len(CALCULATORS))
    some = {path: round(left * length / sum(lengths.values())) for path, length in lengths.items()}
    return dict.fromkeys(CALCULATORS, least) | {path: share for path, share in some.items() if share}


Seen = dict[Path, list[str]]


def try_all(counts: dict[Path, int], of: Callable[[Fault], str], end: float) -> Seen:
    """Put so many faults into each file until `end`, by `perf_counter`; return the verdicts by file."""
    left = {path: faults(path) for path in counts}
    seen: Seen = {path: [] for path in counts}
    for path in in_turn(counts):
        for fault in left[path]:
            if time.perf_counter() > end:
                return seen
            said = of(fault)
            if said in (SURVIVED, UNCLEAR):
                met = "" if tests_of(fault) else ", which no test starts"
                print(f"   {said}{met} in {fault}", flush=True)
            if said != UNFIT:
                seen[path].append(said)
                break
    return seen


def in_parts(counts: dict[Path, int], end: float, jobs: int) -> Seen:
    """Try all, in so many processes, each with files of its own; return the verdicts by file."""
    forked = multiprocessing.get_context("fork")
    anew = [forked.Pipe() for _ in range(jobs)]
    for _, asked in anew:
        others = [end for pair in anew for end in pair if end is not asked]
        forked.Process(target=judge_anew, args=(asked, others), daemon=True).start()
    seen: Seen = {}

    def work() -> None:
        parts = []
        for number, (asks, _) in enumerate(anew):
            hears, tells = forked.Pipe(duplex=False)
            own = {path: counts[path] for path in [*counts][number::jobs]}
            forked.Process(target=part, args=(own, end, asks, tells)).start()
            tells.close()
            parts.append(hears)
        for hears in parts:
            seen.update(hears.recv())

    def part(own: dict[Path, int], end: float, asks: Connection, tells: Connection) -> None:
        for other, asked in anew:
            asked.close()
            if other is not asks:
                other.close()

        def judge(fault: Fault, tests: list[Test]) -> Verdict:
            if collected.fits(fault):
                return confirmed(fault, tests, collected.given_faulty_code)
            asks.send((fault, tests))
            found: Verdict = asks.recv()
            return found

        judged = Judged()
        tells.send(try_all(own, lambda fault: judged.of(fault, judge), end))

    collected = Collected(work)
    status = pytest.main([*COLLECTING, *map(str, files_of_tests())], plugins=[collected])
    if status not in PASSED:
        raise RuntimeError(
            f"the faults could not be tried: pytest ended with {status}; what it says is above"
        )
    return seen


def main() -> int:
    """Try the files named, or all; return the exit status."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("files", nargs="*", type=Path, help="files to put faults into")
    parser.add_argument("--each", type=int, default=LEAST, help="faults in each file named")
    parser.add_argument("--count", type=int, default=COUNT, help="faults in all, where no file is named")
    parser.add_argument(
        "--minutes", type=float, default=float("inf"), help="begin nothing after so long; go on another time"
    )
    parser.add_argument("--jobs", type=int, default=1, help="faults tried at a time")
    chosen = parser.parse_args()
    if missing := [str(path) for path in chosen.files if not (ROOT / path).is_file()]:
        parser.error(f"there is no file {', '.join(missing)}")
    end = time.perf_counter() + 60 * chosen.minutes
    if not record_all(end):
        print("== no fault was tried: not yet known of every test file what it starts; run this again")
        return 0
    named = {(ROOT / path).resolve(): chosen.each for path in chosen.files}
    counts = named or shares(chosen.count)
    seen = in_parts(counts, end, chosen.jobs)
    for path, said in sorted(seen.items()):
        if {SURVIVED, UNCLEAR} & {*said}:
            print(f"{path.relative_to(ROOT)}: {said.count(NOTICED)} of {len(said)} noticed")
    tried = sum(map(len, seen.values()))
    noticed = sum(said.count(NOTICED) for said in seen.values())
    listed = sum(said.count(LISTED) for said in seen.values())
    if tried == listed:
        print("== no fault was tried")
        return 0
    share = noticed / (tried - listed)
    print(
        f"== noticed {noticed}, explained {listed} of {tried}: {100 * share:.1f} % of those to be noticed; "
        f"{sum(counts.values())} are to be tried"
    )
    return 0 if share >= ENOUGH else 1


if __name__ == "__main__":
    raise SystemExit(main())
