"""The walls between the layers, and the one list of each thing: names, sources, cautions."""

import ast
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, is_dataclass
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path
from typing import get_args, get_origin, get_type_hints

import pytest

from calculators import cautions, stages
from calculators.cautions import CAUTIONS
from calculators.declaring import (
    Advice,
    Bands,
    Drawing,
    InputField,
    Number,
    Output,
    OutputField,
    OutputList,
    Steps,
    registered,
)
from calculators.site import fetching, runtime
from calculators.sources import SOURCES
from calculators.stages import CONTENTS, every_calculator

ROOT = Path(__file__).resolve().parents[1]
PACKAGE = ROOT / "calculators"
FILES = sorted(path for path in PACKAGE.rglob("*.py") if "stand_ins" not in path.parts)
CALCULATORS = [path for path in FILES if path.parent.parent.name == "stages" and path.stem != "__init__"]
LONGEST_FILE = 500
LONGEST_CALCULATOR = 300
LONGEST_FUNCTION = 60
LONGER_FUNCTIONS = {"guided_tune": 61}
"""Lines of those that are longer by now; none may grow, and none is added."""
CUT_SHORT = {
    "amp", "avg", "calc", "coef", "curr", "diff", "dist", "freq", "idx", "imp", "len", "mag", "num",
    "pct", "pos", "pwr", "res", "temp", "tol", "val", "vol", "volt",
}  # fmt: skip
"""What words of the trade are cut to: a name of an input or output says them in full."""

# What each place may import of ours, its own files included. A file of the package itself stands
# under its own name.
MAY_IMPORT = {
    "physics": {"physics"},
    "declaring": {"declaring"},
    "sources.py": {"declaring", "standards"},
    "standards.py": {"declaring"},
    "cautions.py": {"declaring"},
    "vocabulary": {"vocabulary", "physics", "declaring"},
    "stages": {"vocabulary", "physics", "declaring"},
    "stages/handover/job_sheet.py": {"job", "declaring", "stages"},  # The one that works others out.
    "stages/__init__.py": {"declaring", "sources", "cautions"},
    "self_checks": {"self_checks", "stages", "vocabulary", "declaring"},
    "presenting": {"presenting", "declaring", "self_checks"},
    "job": {"job", "declaring", "vocabulary", "stages", "presenting"},
    "browser.py": {"job", "declaring", "stages", "self_checks", "presenting", "sources", "cautions"},
    "__main__.py": {"job", "declaring", "stages", "presenting", "sources", "cautions", "release"},
    "release.py": set(),
    "__init__.py": set(),
    "site": {
        "site",
        "physics",
        "declaring",
        "vocabulary",
        "stages",
        "self_checks",
        "presenting",
        "sources",
        "cautions",
        "release",
    },
}
REMEDIES = {
    "physics": "it knows no labels: return numbers",
    "vocabulary": "what a stage needs here is vocabulary",
    "stages": "what two calculators need is vocabulary",
}
"""What to do about an import that a wall forbids."""
# The words of the language itself; of all else, physics has mathematics and NumPy alone.
LANGUAGE = {"__future__", "abc", "collections", "dataclasses", "enum", "functools", "itertools", "typing"}
PACKAGES_OF_FILES = {"presenting/qr_code.py": {"segno"}}
# What could reach the page, the disk or the network.
OUTSIDE = {
    "asyncio", "ctypes", "ftplib", "glob", "http", "io", "js", "mmap", "multiprocessing", "os", "pathlib",
    "pickle", "pyodide", "shutil", "signal", "socket", "sqlite3", "ssl", "subprocess", "tempfile",
    "threading", "urllib", "webbrowser",
}  # fmt: skip
MAY_REACH_OUT = {"site"}
COMMAND_LINE = {
    "__main__.py": {
        "io",
        "pathlib",
        "unicodedata",
    },  # For the encoding it reads and writes in, and for files it is given.
    "release.py": {"pathlib"},  # To read what the calculators are made of.
}


@cache
def tree_of(path: Path) -> ast.Module:
    """A file's code, read once for all tests of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def place_of(path: Path) -> str:
    """The layer a file belongs to."""
    return path.relative_to(PACKAGE).parts[0]


def statements(body: list[ast.stmt]) -> Iterator[ast.stmt]:
    """All statements of a body, those within others too; not the expressions, which are ten times as many."""
    for node in body:
        yield node
        for part in ("body", "orelse", "handlers", "finalbody", "cases"):
            yield from statements(getattr(node, part, []))


@cache
def import_statements(path: Path) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """All that a file imports, wherever in it."""
    every = statements(tree_of(path).body)
    return tuple(node for node in every if isinstance(node, ast.Import | ast.ImportFrom))


def imports(path: Path) -> Iterator[str]:
    """Full names of all modules that a file imports."""
    for node in import_statements(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        else:
            assert node.level == 0, f"{path}: write the whole name of what is imported"
            yield node.module or ""
            if node.module == "calculators":
                yield from (f"calculators.{alias.name}" for alias in node.names)


def shown(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imports_only_what_lies_before_it(path: Path) -> None:
    own = path.relative_to(PACKAGE).as_posix()
    allowed = MAY_IMPORT.get(own) or MAY_IMPORT[place_of(path)]  # A calculator imports no other calculator.
    ours = {name.split(".")[1] for name in imports(path) if name.startswith("calculators.")}
    further = ", ".join(sorted(ours - allowed))
    remedy = REMEDIES.get(place_of(path), "keep to the layers before it")
    assert not further, f"{own} may not import {further}: {remedy}"


def test_no_file_needs_itself() -> None:
    """What a file imports, and what that imports in turn, never leads back to it."""
    names = {path: ".".join(path.relative_to(ROOT).with_suffix("").parts) for path in FILES}
    known = set(names.values())
    needs: dict[str, set[str]] = {}
    for path, name in names.items():
        found = [node for node in import_statements(path) if isinstance(node, ast.ImportFrom)]
        modules = {f"{node.module}.{alias.name}" for node in found for alias in node.names}
        needs[name] = (modules | {node.module or "" for node in found}) & known - {name}
    assert len(tuple(TopologicalSorter(needs).static_order())) == len(FILES)  # Raises CycleError.


def takes_only_the_packages_of_its_layer(path: Path) -> None:
    place = place_of(path)
    tops = {name.partition(".")[0] for name in imports(path)} - {"calculators"}
    if place == "physics":
        assert tops <= LANGUAGE | {"math", "cmath", "numpy"}
    elif place in {"vocabulary", "stages"}:
        assert tops <= set(sys.stdlib_module_names) | {"numpy"}
    elif place not in MAY_REACH_OUT:
        own = PACKAGES_OF_FILES.get(path.relative_to(PACKAGE).as_posix(), set())
        assert tops <= set(sys.stdlib_module_names) | own


def reaches_out_only_for_the_site_build(path: Path) -> None:
    place = place_of(path)
    if place in MAY_REACH_OUT:
        return
    tops = {name.partition(".")[0] for name in imports(path)}
    assert not tops & OUTSIDE - COMMAND_LINE.get(place, set())
    calls = {
        node.func.id
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not calls & {"open", "eval", "exec", "compile", "input", "__import__"}


def names_no_encoding_that_the_page_lacks(path: Path) -> None:
    """The page's Python goes without `encodings`, but for what the interpreter itself knows."""
    if place_of(path) not in MAY_REACH_OUT | COMMAND_LINE.keys():
        named = re.findall(r"""\.(?:de|en)code\(["']([\w-]+)""", path.read_text(encoding="utf-8"))
        assert set(named) <= {"utf-8", "ascii"}


def describes_everything_public(path: Path) -> None:
    tree = tree_of(path)
    public = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef | ast.ClassDef) and not node.name.startswith("_")
    ]
    nested = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        for inner in ast.walk(node)
        if inner is not node
    }
    private = {
        inner
        for node in ast.walk(tree)
        if isinstance(node, ast.ClassDef) and node.name.startswith("_")
        for inner in ast.walk(node)
    }
    missing = [
        node.name
        for node in public
        if node not in nested and node not in private and not ast.get_docstring(node)
    ]
    assert ast.get_docstring(tree)
    assert missing == []


def test_no_file_is_long() -> None:
    scripts = (ROOT / "docs").rglob("*.js")
    tests = (ROOT / "tests").rglob("*.py")
    long = {
        shown(path): count
        for path in (*FILES, *scripts, *tests)
        if (count := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert long == {}, f"over {LONGEST_FILE} lines: give a part that stands by itself a file of its own"


def test_contents_name_every_file_of_every_stage() -> None:
    found: dict[str, set[str]] = defaultdict(set)
    for path in CALCULATORS:
        found[path.parent.name].add(path.stem.replace("_", "-"))
    assert found == {name: set(stage.slugs) for name, stage in CONTENTS.items()}


def test_a_file_holds_the_one_calculator_it_is_named_after() -> None:
    every_calculator()
    places = {
        slug: calculator.function.__module__
        for slug, calculator in registered().items()
        if calculator.function.__module__.startswith(f"{stages.__name__}.")
    }
    assert places == {
        slug: stages.module_of(name, slug) for name, stage in CONTENTS.items() for slug in stage.slugs
    }


def test_no_calculator_is_long() -> None:
    counts = {shown(path): len(path.read_text(encoding="utf-8").splitlines()) for path in CALCULATORS}
    long = {name: count for name, count in counts.items() if count > LONGEST_CALCULATOR}
    remedy = (
        "give a part that stands by itself, as a group of inputs or its advice, to calculators/vocabulary/"
    )
    assert long == {}, f"over {LONGEST_CALCULATOR} lines: {remedy}"


def lines_of_code(function: ast.FunctionDef, text: list[str]) -> int:
    """Lines of a function's body, but for its docstring, comments and blanks."""
    body = function.body[1:] if ast.get_docstring(function) else function.body
    lines = text[body[0].lineno - 1 : body[-1].end_lineno] if body else []
    return sum(bool(line.strip()) and not line.strip().startswith("#") for line in lines)


def test_no_function_is_long() -> None:
    """A drawing is a list of what is drawn, however long."""
    counts = {
        f"{shown(path)}: {node.name}": lines_of_code(node, text.splitlines())
        for path in FILES
        if path.parent.name != "figures"
        for text in [path.read_text(encoding="utf-8")]
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.FunctionDef)
    }
    most = {name: LONGER_FUNCTIONS.get(name.split()[-1], LONGEST_FUNCTION) for name in counts}
    long = {name: count for name, count in counts.items() if count > most[name]}
    assert long == {}, f"over {LONGEST_FUNCTION} lines of code: give a step of its own to another function"


def test_lines_of_code_are_those_that_do_something() -> None:
    text = 'def f():\n    """What.\n\n    Which.\n    """\n\n    # Why.\n    a = 1\n\n    return a  # It.\n'
    (function,) = ast.parse(text).body
    assert isinstance(function, ast.FunctionDef)
    assert lines_of_code(function, text.splitlines()) == 2


def test_every_slug_is_listed_once() -> None:
    slugs = [slug for stage in CONTENTS.values() for slug in stage.slugs]
    assert len(slugs) == len(set(slugs))
    assert [calculator.slug for calculator in every_calculator()] == slugs


def test_an_alias_or_a_constant_has_one_home() -> None:
    """A name in capitals, or a name for a type, means one thing in all of the science and the calculators."""
    homes: dict[str, list[str]] = defaultdict(list)
    for path in FILES:
        if place_of(path) not in {"physics", "vocabulary", "stages"}:
            continue
        for node in tree_of(path).body:
            for target in node.targets if isinstance(node, ast.Assign) else []:
                for name in target.elts if isinstance(target, ast.Tuple) else [target]:
                    homes[ast.unparse(name)].append(shown(path))
            if isinstance(node, ast.AnnAssign | ast.TypeAlias):
                homes[ast.unparse(node.target if isinstance(node, ast.AnnAssign) else node.name)].append(
                    shown(path)
                )
    twice = [f"{name} in {' and '.join(found)}" for name, found in homes.items() if len(found) > 1]
    if twice:
        rest = "import it from one of them, or give what means another thing another name"
        pytest.fail(f"{'; '.join(twice)}: {rest}", pytrace=False)


def calls_arrays_by_their_own_names(path: Path) -> None:
    if path.name != "arrays.py":
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"NDArray\[np\.(float64|complex128)\]", text), "see physics/arrays.py"


@pytest.mark.parametrize("path", FILES, ids=shown)
def test_a_file_keeps_within_its_walls(path: Path) -> None:
    imports_only_what_lies_before_it(path)
    takes_only_the_packages_of_its_layer(path)
    reaches_out_only_for_the_site_build(path)
    names_no_encoding_that_the_page_lacks(path)
    describes_everything_public(path)
    calls_arrays_by_their_own_names(path)


def result_classes() -> Iterator[tuple[str, type]]:
    """Every class that a calculator answers with, the records of its rows with it."""
    for calculator in every_calculator():
        result = get_type_hints(calculator.function)["return"]
        result = get_args(result)[0] if get_origin(result) is Steps else result
        yield calculator.slug, result
        for name, hint in get_type_hints(result).items():
            record = get_args(hint)[0] if get_origin(hint) is tuple else None
            if is_dataclass(record) and record not in {Advice, Drawing}:
                yield f"{calculator.slug}-{name}", record


@pytest.mark.parametrize("record", [pytest.param(record, id=name) for name, record in result_classes()])
def test_results_are_built_by_name(record: type) -> None:
    """Twenty numbers in a row are swapped unseen; named ones are not."""
    own = [field for field in fields(record) if field.name != "advice"]
    assert own
    named = all(field.kw_only for field in own)
    assert named, f"declare {record.__name__} with @dataclass(frozen=True, kw_only=True)"
    assert getattr(record, "__dataclass_params__").frozen  # noqa: B009


# A sound level is a level, weighted by frequency as the ear is: the unit is the decibel either way.
SAME_QUANTITY = {"sound level": "level"}


def quantities() -> Iterator[tuple[str, str, str]]:
    """Name, quantity and place of every number that a calculator takes or gives."""
    for calculator in every_calculator():
        for entry in (*calculator.inputs, *calculator.outputs):
            fields: tuple[InputField | OutputField, ...] = entry.columns or (entry,)
            for field in fields:
                if isinstance(field.kind, Number | Bands | Output | OutputList):
                    quantity = field.kind.quantity.name
                    yield field.name, SAME_QUANTITY.get(quantity, quantity), calculator.slug


def test_a_name_means_one_quantity_in_one_unit() -> None:
    meanings: dict[str, dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for name, quantity, slug in quantities():
        meanings[name][quantity].add(slug)
    twice = {name: dict(found) for name, found in meanings.items() if len(found) > 1}
    if twice:
        pytest.fail("\n".join(_two_meanings(name, found) for name, found in twice.items()), pytrace=False)


def _two_meanings(name: str, found: dict[str, set[str]]) -> str:
    meant = [f"{quantity} in {', '.join(sorted(slugs)[:3])}" for quantity, slugs in found.items()]
    return f"{name!r} means a {', and a '.join(meant)}: call one of them otherwise"


def test_a_name_of_two_quantities_is_told_with_who_means_what() -> None:
    told = _two_meanings("lowest", {"voltage": {"hold-up"}, "frequency": {"window-limit", "cabin-gain"}})
    assert told == (
        "'lowest' means a voltage in hold-up, and a frequency in cabin-gain, window-limit: "
        "call one of them otherwise"
    )


def test_names_are_small_letters_and_no_word_that_is_often_cut_is_cut() -> None:
    names = {name for name, _, _ in quantities()}
    assert {name for name in names if not re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", name)} == set()
    cut = {name for name in names if CUT_SHORT & {*name.split("_")}}
    assert cut == set(), "write their words in full"


def test_a_true_minus_is_made_in_one_place() -> None:
    """Made over a sentence, it turned the hyphens of its words."""
    text = 'replace("-", "−")'
    found = [str(path.relative_to(ROOT)) for path in FILES if text in path.read_text(encoding="utf-8")]
    assert found == ["calculators/declaring/numerals.py"], "ask numerals.typographic, with the number alone"


def test_every_source_is_used() -> None:
    """By a calculator, or by name on a page or in a test."""
    used = {key for calculator in every_calculator() for key in calculator.sources}
    pages = [path.read_text(encoding="utf-8") for path in (ROOT / "docs").rglob("*.md")]
    tests = [path.read_text(encoding="utf-8") for path in (ROOT / "tests").rglob("*.py")]
    text = "\n".join((*pages, *tests))
    unused = [key for key in SOURCES if key not in used and not re.search(rf"(?<![\w-]){key}(?![\w-])", text)]
    assert unused == []


def test_keys_are_their_own() -> None:
    assert all(key == source.key for key, source in SOURCES.items())
    assert all(key == caution.key for key, caution in CAUTIONS.items())
    texts = [source.text for source in SOURCES.values()]
    assert len(texts) == len(set(texts))
    assert all(caution.sentences and caution.title for caution in cautions.CAUTIONS.values())


def test_a_wall_is_felt(tmp_path: Path) -> None:
    """The test of the walls sees an import wherever it hides."""
    hidden = tmp_path / "hidden.py"
    hidden.write_text(
        "def work():\n    from calculators.stages import find_calculator\n    import os.path\n", "utf-8"
    )
    assert list(imports(hidden)) == ["calculators.stages", "os.path"]


def test_the_page_s_python_has_what_ours_imports() -> None:
    """A module too many stops the build of the site: it is told here, before one is built."""
    runtime.require_kept(fetching.fetch(), runtime.PACKAGE)


def test_the_long_tests_go_through_every_file_that_has_more_for_them() -> None:
    soak = Path("run").read_text(encoding="utf-8").split("\nsoak)")[1].split(";;")[0]
    gone_through = [Path(name) for name in re.findall(r"tests/[\w/.]+", soak)]
    assert all(path.exists() for path in gone_through)
    imported = re.compile(r"^from tests\.conftest import (\([^)]*|.*)\b(SOAK|share)\b", re.MULTILINE)
    with_more = [
        path for path in Path("tests").rglob("test_*.py") if imported.search(path.read_text(encoding="utf-8"))
    ]
    assert len(with_more) > 40
    left_out = [path for path in with_more if not {path, *path.parents} & {*gone_through}]
    assert left_out == []
