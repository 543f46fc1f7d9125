"""No science that nobody asks for: what is public in physics and vocabulary, a calculator reaches."""

import ast
from collections.abc import Iterator
from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[2] / "calculators"
SHARED = ("physics", "vocabulary")

type Place = tuple[str, str]
"""Full name of a module, and a name at its top."""


def module_of(path: Path) -> str:
    return ".".join(path.relative_to(PACKAGE.parent).with_suffix("").parts)


def known_names(tree: ast.Module, module: str) -> dict[str, Place]:
    """What each name of a file stands for: something of its own, or of a module of ours."""
    known = {name: (module, name) for name, _ in definitions(tree)}
    for node in tree.body:
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("calculators"):
            for alias in node.names:
                known[alias.asname or alias.name] = (node.module or "", alias.name)
    return known


def definitions(tree: ast.Module) -> Iterator[tuple[str, ast.stmt]]:
    """The names that a file gives at its top, each with its statement."""
    for node in tree.body:
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            yield node.name, node
        elif isinstance(node, ast.TypeAlias | ast.AnnAssign):
            yield ast.unparse(node.name if isinstance(node, ast.TypeAlias) else node.target), node
        elif isinstance(node, ast.Assign):
            for target in node.targets:
                for name in target.elts if isinstance(target, ast.Tuple) else [target]:
                    yield ast.unparse(name), node


def places_named(node: ast.AST, known: dict[str, Place]) -> Iterator[Place]:
    """What of ours a piece of code names, by itself or as an attribute of its module."""
    for inner in ast.walk(node):
        if isinstance(inner, ast.Name) and inner.id in known:
            yield known[inner.id]
        elif isinstance(inner, ast.Attribute) and isinstance(inner.value, ast.Name):
            package, module = known.get(inner.value.id, ("", ""))
            yield f"{package}.{module}", inner.attr


def test_every_public_name_of_physics_and_vocabulary_is_reached_from_a_calculator() -> None:
    """What only its own tests call is dead: use it, or delete it with them."""
    uses: dict[Place, set[Place]] = {}
    reached: set[Place] = set()
    for path in PACKAGE.rglob("*.py"):
        tree, module = ast.parse(path.read_text(encoding="utf-8")), module_of(path)
        known = known_names(tree, module)
        if path.relative_to(PACKAGE).parts[0] not in SHARED:
            reached |= set(places_named(tree, known))
            continue
        for name, node in definitions(tree):
            uses.setdefault((module, name), set()).update(places_named(node, known))
    unread = list(reached)
    while unread:
        new = uses.get(unread.pop(), set()) - reached
        reached |= new
        unread += new
    dead = ", ".join(sorted(f"{module}.{name}" for module, name in uses.keys() - reached))
    assert not dead, f"no calculator reaches {dead}: use it, or delete it with its tests"
