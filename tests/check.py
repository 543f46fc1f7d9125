"""What a change to one calculator must pass before anything is built: `./run check NAME`.

Style of what changed, types, the walls, then the tests that speak of this calculator: those of the
physics it calls, its published values, its own file, its pinned answers, and what holds for every calculator.
"""

import ast
import subprocess
import sys
import time
from pathlib import Path

from calculators.declaring.errors import DeclarationError
from calculators.stages import find_calculator, slugs_known

ROOT = Path(__file__).resolve().parents[1]
BIN = Path(sys.executable).parent
VOCABULARY = ROOT / "calculators" / "vocabulary"


def git(*words: str) -> str:
    """What Git answers."""
    return subprocess.run(["git", *words], capture_output=True, text=True, check=True, cwd=ROOT).stdout


def changed_files() -> list[str]:
    """Python files that differ from the last commit, new ones with them."""
    wanted = ("--modified", "--others", "--exclude-standard", "--deduplicate", "*.py")
    return [name for name in git("ls-files", *wanted).split() if Path(name).is_file()]


def is_new(path: Path) -> bool:
    """Whether the last commit has no such file."""
    return not git("ls-tree", "--name-only", "HEAD", str(path.relative_to(ROOT)))


def imported(path: Path) -> set[str]:
    """Full names of what a file of ours imports, functions counted as modules."""
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return names


def modules_of(room: str, names: set[str]) -> set[str]:
    """Those modules of a room that are among the names imported."""
    prefix = f"calculators.{room}."
    return {name.removeprefix(prefix).split(".")[0] for name in names if name.startswith(prefix)}


def physics_tests(path: Path) -> list[str]:
    """Test files of the physics that a calculator's file imports, itself or by the vocabulary."""
    modules, unread, read = set[str](), [path], set[Path]()
    while unread:
        read.add(looked_at := unread.pop())
        names = imported(looked_at)
        modules |= modules_of("physics", names)
        words = (
            ROOT / "calculators" / "vocabulary" / f"{word}.py" for word in modules_of("vocabulary", names)
        )
        unread += [word for word in words if word not in read]
    names = (*sorted(modules), "docstrings", "reached")  # The last two hold for all of physics.
    tests = (ROOT / "tests" / "physics" / f"test_{name}.py" for name in names)
    return [str(test) for test in tests if test.is_file()]


def tests_of(slug: str, path: Path) -> list[str]:
    """Test files that name a calculator, are named after its file, or go through all calculators.

    The others have no test of it: they would only be read, which takes longer than the tests.
    """
    files = sorted(
        file
        for room in ("answers", "published", "stages")
        for file in (ROOT / "tests" / room).rglob("test_*.py")
    )
    every = ("every_calculator", "slugs_known")
    texts = {file: file.read_text(encoding="utf-8") for file in files}
    return [
        str(file)
        for file, text in texts.items()
        if file.stem == f"test_{path.stem}" or f'"{slug}"' in text or any(name in text for name in every)
    ]


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
    physics = physics_tests(path)
    places = ("tests/test_layers.py", *tests_of(slug, path), *physics)
    changed = changed_files()
    ours = (name for name in changed if name.startswith("calculators/"))
    files = " or ".join({path.stem, *(Path(name).stem for name in ours)})
    walls = f"(test_layers and ({files} or not calculators/))"
    wanted = [f"({only(slug)})", walls, f"test_{path.stem}", *(Path(test).stem for test in physics)]
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
    steps = [start("Types", str(BIN / "mypy"))]
    if changed:
        steps.append(start(f"Style of {len(changed)} files", str(BIN / "ruff"), "format", *changed))
        steps.append(start("Lint", str(BIN / "ruff"), "check", *changed))
    tests = f"Walls, physics, published values and catalogue of {slug}"
    steps.append(start(tests, *pytest, "-k", " or ".join(wanted), *places))
    results = [finish(*step) for step in steps]
    if is_new(path) and not git("status", "--porcelain", "CHANGELOG.md"):
        print(f"CHANGELOG.md says nothing of {slug} yet: add a line under Unreleased.")
        results.append(False)
    print(f"== {slug} {'holds' if all(results) else 'does not hold yet'}")
    return 0 if all(results) else 1


def only(slug: str) -> str:
    """An expression for pytest that picks the tests of this calculator and not those of longer names."""
    longer = [other for other in slugs_known() if slug in other and other != slug]
    return " and not ".join([slug, *longer])


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1]))
