"""What a change to one calculator must pass before anything is built: `./run check NAME`.

Style of what changed, types, the walls, then the tests that speak of this calculator: those of the physics
and the vocabulary it calls, its published values, its own files, its pinned answers, the self-checks that ask
it, and what holds for every calculator. Files that speak of much besides are left to `./run test`.
"""

import ast
import re
import subprocess
import sys
import time
from collections import Counter
from functools import cache
from pathlib import Path

from calculators.declaring.errors import DeclarationError
from calculators.self_checks import BLOCKS
from calculators.stages import find_calculator, slugs_known

ROOT = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent
TESTS = ROOT / "tests"
PHYSICS, VOCABULARY, STAGES, SELF_CHECKS = (
    ROOT / "calculators" / room for room in ("physics", "vocabulary", "stages", "self_checks")
)
TYPES = PHYSICS / "arrays.py"
"""Types alone: whoever imports it speaks of nothing by that."""
SEARCHED = ("answers", "physics", "published", "stages")
"""The folders of `tests/` in which a calculator's tests stand."""
FEW = 8
"""A file of tests that asks more calculators speaks of all of them."""
EVERY = ("every_calculator", "slugs_known")
"""What a file names that goes through all calculators."""
MANY = 30
"""Of more files of tests than that, two processes run a share each."""
LEFT_OUT = ("test_by_pyfar",)
"""The library it compares with takes seconds to load."""
ASKED = re.compile(r'(?<!parametrize)\(\s*"([a-z-]+)"')
"""A calculator is asked by its name, as the first argument of a call."""
IMPORTS = re.compile(r"^ *from ((?:calculators|tests)[\w.]*) import (\([^)]*\)|.*)$", re.MULTILINE)


def git(*words: str) -> str:
    """What Git answers."""
    return subprocess.run(["git", *words], capture_output=True, text=True, check=True, cwd=ROOT).stdout


def changed_files() -> list[str]:
    """Python files that differ from the last commit, staged or not, new ones with them."""
    known = git("diff", "--name-only", "HEAD", "--", "*.py")
    new = git("ls-files", "--others", "--exclude-standard", "--", "*.py")
    return sorted(name for name in (known + new).splitlines() if (ROOT / name).is_file())


def is_new(path: Path) -> bool:
    """Whether the last commit has no such file."""
    return not git("ls-tree", "--name-only", "HEAD", str(path.relative_to(ROOT)))


@cache
def imported(path: Path) -> set[Path]:
    """Files of ours that a file imports, whether by a module's name or by what stands in it."""
    names = set[str]()
    for module, what in IMPORTS.findall(path.read_text(encoding="utf-8")):
        names |= {module, *(f"{module}.{name}" for name in re.findall(r"\w+", what))}
    files = (ROOT.joinpath(*name.split(".")).with_suffix(".py") for name in names)
    return {file for file in files if file.is_file()}


def reached(path: Path) -> set[Path]:
    """A calculator's file, and the physics and vocabulary that it imports, itself or by one another."""
    found, unread = set[Path](), [path]
    while unread:
        found.add(file := unread.pop())
        unread += [one for one in imported(file) if one.parent in (PHYSICS, VOCABULARY) and one not in found]
    return found


def own_files(path: Path) -> list[str]:
    """The calculator's file, and the physics and vocabulary that no other calculator reaches."""
    others = (file for file in STAGES.glob("*/*.py") if file != path)
    shared = set[Path]().union(*map(reached, others))
    return sorted(str(file.relative_to(ROOT)) for file in reached(path) - shared)


def self_checks_of(slug: str) -> list[str]:
    """The self-checks that name a calculator, themselves or by a helper, as their tests are named."""
    found = []
    for block, entry in BLOCKS.items():
        parts = words_of_parts(SELF_CHECKS / "asking.py") | words_of_parts(SELF_CHECKS / f"{block}.py")
        naming = {slug}
        while more := {name for name, words in parts.items() if words & naming} - naming:
            naming |= more
        found += [f"{block}-{name}" for name in entry.checks if name in naming]
    return found


@cache
def words_of_parts(path: Path) -> dict[str, set[str]]:
    """Of each function and class of a file by its name: the names and the texts in it."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    parts = (part for part in tree.body if isinstance(part, ast.FunctionDef | ast.ClassDef))
    return {
        part.name: {
            str(getattr(node, "id", getattr(node, "value", "")))
            for node in ast.walk(part)
            if isinstance(node, ast.Name | ast.Constant)
        }
        for part in parts
    }


@cache
def spoken_of(test: Path) -> set[Path]:
    """Physics, vocabulary and calculators that a test file imports; if none, what its helpers do."""
    files = imported(test)
    helpers = (imported(one) for one in files if TESTS in one.parents)
    for those in (files, set[Path]().union(*helpers)):
        ours = {one for one in those if {PHYSICS, VOCABULARY, STAGES} & {one.parent, one.parent.parent}}
        if ours - {TYPES}:
            return ours - {TYPES}
    return set()


@cache
def asked_in(test: Path) -> Counter[str]:
    """How often a test file asks each calculator."""
    names = ASKED.findall(test.read_text(encoding="utf-8"))
    return Counter(name for name in names if name in slugs_known())


def chosen(slug: str, path: Path) -> tuple[list[Path], list[Path]]:
    """Test files to run whole, and those of which the tests with the calculator's name are run.

    Whole are its own, and those named after its file or after physics that it imports.
    """
    reach = reached(path)
    physics = {one.stem for file in reach for one in imported(file) if file.parent != PHYSICS == one.parent}
    names = {f"test_{name}" for name in (path.stem, *physics, "docstrings", "reached")}
    whole, some = [], []
    for file in sorted(one for room in SEARCHED for one in (TESTS / room).rglob("test_*.py")):
        text = file.read_text(encoding="utf-8")
        goes_through_all = any(word in text for word in EVERY)
        if file.stem in names or (not goes_through_all and is_its_own(file, slug, reach)):
            whole.append(file)
        elif goes_through_all or f'"{slug}"' in text:
            some.append(file)
    return whole, some


def is_its_own(test: Path, slug: str, reach: set[Path]) -> bool:
    """Whether a test file speaks of one calculator: asks it, or imports nothing but what it reaches.

    Asked once, among others, it is a witness; and physics alone says little where others are asked.
    """
    asked, spoken = asked_in(test), spoken_of(test)
    if asked[slug] > 1 or set(asked) == {slug}:
        return len(asked) <= FEW
    is_reached = bool(spoken) and spoken <= reach and test.stem not in LEFT_OUT
    return is_reached and (not asked or any(one.parent != PHYSICS for one in spoken))


def start(what: str, *command: str) -> tuple[str, float, subprocess.Popen[str]]:
    """Start one step beside the others."""
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, cwd=ROOT)
    return what, time.perf_counter(), running


def finish(what: str, started: float, running: subprocess.Popen[str]) -> bool:
    """Wait for a step, say what it was and how long it took; its own words if it failed."""
    said, _ = running.communicate()
    print(f"   {what}: {time.perf_counter() - started:.1f} s", flush=True)
    if running.returncode:
        print(said[-8000:])
    return running.returncode == 0


def main(slug: str) -> int:
    """Check one calculator; return the exit status."""
    try:
        calculator = find_calculator(slug)
    except (KeyError, DeclarationError) as error:
        print(error.args[0], file=sys.stderr)
        return 2
    path = Path(sys.modules[calculator.function.__module__].__file__ or "")
    whole, named = chosen(slug, path)
    asking = self_checks_of(slug)
    checks = ("tests/test_self_checks.py",) if asking else ()
    places = ("tests/test_layers.py", *checks, *map(str, whole), *map(str, named))
    changed = changed_files()
    ours = (name for name in changed if name.startswith("calculators/"))
    files = " or ".join({path.stem, *(Path(name).stem for name in ours)})
    walls = f"(test_layers and ({files} or not calculators/))"
    wanted = [f"({only(slug)})", walls, *(test.stem for test in whole)]
    if asking:
        wanted.append(f"(test_self_checks and ({' or '.join(asking)}))")
    pytest = (
        str(BIN / "pytest"),
        "-q",
        "--tb=short",
        "--no-header",
        "-p",
        "no:cacheprovider",
        "-p",
        "no:playwright",
    )
    print(f"   Its own files: {', '.join(own_files(path))}", flush=True)
    results = []
    if changed:  # What is formatted is another file for all that reads it after.
        before = {name: (ROOT / name).read_bytes() for name in changed}
        results.append(finish(*start("Format", str(BIN / "ruff"), "format", "--quiet", *changed)))
        if formatted := [name for name in changed if (ROOT / name).read_bytes() != before[name]]:
            print(f"   formatted {', '.join(formatted)}")
    steps = [start("Types", str(BIN / "mypy"))]
    if changed:
        steps.append(start(f"Style of {len(changed)} files", str(BIN / "ruff"), "check", *changed))
    sharing = ("-n", "2", "--dist", "worksteal") if len(whole) > MANY else ()
    tests = f"Walls, physics, published values, {len(asking)} self-checks and catalogue of {slug}"
    steps.append(start(tests, *pytest, *sharing, "-k", " or ".join(wanted), *places))
    results += [finish(*step) for step in steps]
    if is_new(path) and not git("status", "--porcelain", "CHANGELOG.md"):
        print(f"CHANGELOG.md says nothing of {slug} yet: add a line under Unreleased.")
        results.append(False)
    print(f"== {slug} {'holds; not run: pages (./run test)' if all(results) else 'does not hold yet'}")
    return 0 if all(results) else 1


def only(slug: str) -> str:
    """An expression for pytest that picks the tests of this calculator and not those of longer names."""
    longer = [other for other in slugs_known() if slug in other and other != slug]
    return " and not ".join([slug, *longer])


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1]))
