"""Every function of the science says what it takes and gives in which unit, what it refuses, and whose it is.

One dialect: ``name: unit, range.``, ``Raises ValueError …``, ``Source: …``; or ``as in `other` `` for what
another function says already.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

PHYSICS = Path(__file__).resolve().parents[2] / "calculators" / "physics"
FILES = sorted(path for path in PHYSICS.glob("*.py") if path.stem not in {"__init__", "checking"})

NUMBER = re.compile(r"\b(float|int|ArrayLike|FloatArray|ComplexArray|IndexArray|Real)\b")
UNIT = re.compile(
    # Of SI and of the trade; then the words by which a number without a unit is told.
    r"(?<![\w°])(m|m²|m³|mm|mm²|s|h|ms|Hz|kHz|dB|dBA|°C|K|V|A|Ω|ohm|W|J|F|H|Pa|N|N/m|kg|rad|rad/s|T|Ah|A²s|"
    r"degrees?|octaves?|hours|seconds|days|samples|minutes)(?!\w)|"
    r"\b([Rr]atio|[Ss]hares?|[Pp]art|fraction|factors?|[Nn]umber|count|[Hh]ow many|times|shape|[Ww]hether|"
    r"[Qq]uality|Q|gauge|order|sine|places?|weight|sums?|half waves|above [01]|0 to 1|[01] or more|x)\b"
)
AS_IN = re.compile(r"\b[Aa]s in `(\w+)`")
AMERICAN = re.compile(r"\b(color|center|meters?|liters?|gray|aluminum|behavior|neighbor|fiber)\b")
OTHER_DIALECT = re.compile(r"``|\bdegrees Celsius\b|(?<!1/)\bm?m[23]\b|\bA2\b")


def records() -> Iterator[tuple[str, ast.ClassDef]]:
    """Every public record of physics."""
    for path in FILES:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                yield f"{path.stem}.{node.name}", node


def described(node: ast.FunctionDef | ast.ClassDef) -> str:
    return " ".join((ast.get_docstring(node) or "").split())


def says_unit_of(name: str, text: str, alone: bool) -> bool:
    """Whether a text gives the unit of a name: `name: unit`, or `its words (unit)`."""
    entries = re.findall(rf"(?<!\w){name}(?:, \w+| and \w+)*: (.*?)(?=\. |\.$|$)", text)
    if any(UNIT.search(entry) for entry in entries):
        return True
    words = r"" if alone else name.replace("_", "[ _]") + r"\w*(?: \w+)? "
    return any(UNIT.search(inside) for inside in re.findall(rf"{words}\(([^)]*)\)", text))


def numbers_taken(node: ast.FunctionDef) -> list[str]:
    every = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
    return [
        each.arg for each in every if each.annotation and NUMBER.search(ast.unparse(each.annotation))
        and "Callable" not in ast.unparse(each.annotation)
    ]  # fmt: skip


def refuses(node: ast.FunctionDef, tree: ast.Module) -> bool:
    """Whether a function raises, itself or by a check or a private function that it calls."""
    helpers = {
        each.name: any(isinstance(inner, ast.Raise) for inner in ast.walk(each))
        for each in tree.body
        if isinstance(each, ast.FunctionDef) and each.name.startswith("_")
    }
    return any(
        isinstance(inner, ast.Raise)
        or (
            isinstance(inner, ast.Call)
            and isinstance(inner.func, ast.Name)
            and (inner.func.id.startswith("require_") or helpers.get(inner.func.id, False))
        )
        for inner in ast.walk(node)
    )


def faults(node: ast.FunctionDef, tree: ast.Module) -> list[str]:
    text = described(node)
    summary = text.split(". ")[0]
    found = []
    if not AS_IN.search(text):
        taken = numbers_taken(node)
        found += [f"no unit of {name}" for name in taken if not says_unit_of(name, text, len(taken) == 1)]
        if not re.search(r"\bSources?: ", text):
            found.append("no source")
        if refuses(node, tree) and "Raises ValueError" not in text:
            found.append("no word of what it raises")
    given = ast.unparse(node.returns) if node.returns else ""
    if NUMBER.search(given) and not UNIT.search(summary):
        found.append("no unit of what it gives in its first sentence")
    return found


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_public_function_says_its_units_its_errors_and_its_source(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in tree.body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            found = "; ".join(faults(node, tree))
            assert not found, f"the docstring of {node.name} has {found}: see DEVELOPERS.md, step 1"


@pytest.mark.parametrize("node", [pytest.param(node, id=name) for name, node in records()])
def test_a_record_says_the_units_of_its_fields(node: ast.ClassDef) -> None:
    fields = [
        ast.unparse(each.target) for each in node.body
        if isinstance(each, ast.AnnAssign) and NUMBER.search(ast.unparse(each.annotation))
    ]  # fmt: skip
    text = described(node)
    assert [name for name in fields if not says_unit_of(name, text, len(fields) == 1)] == []


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_one_dialect(path: Path) -> None:
    """British spelling, and units by their signs."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    places = [
        node for node in ast.walk(tree) if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
    ]
    said = [each.value for node in places for each in node.body if isinstance(each, ast.Expr)]
    texts = [node.value for node in said if isinstance(node, ast.Constant) and isinstance(node.value, str)]
    assert [text for text in texts if AMERICAN.search(text) or OTHER_DIALECT.search(text)] == []
