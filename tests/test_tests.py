"""Of the tests themselves: each can fail."""

import ast
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent
FAILS = ("assert_", "expect", "wait_for", "raises", "warns", "fail", "require_")
"""How calls begin that fail by themselves: they judge, or wait for a state until their time is up."""

type Function = ast.FunctionDef | ast.AsyncFunctionDef


def functions(tree: ast.AST) -> Iterator[Function]:
    """All functions of a file, methods and those within others too."""
    return (node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef))


def called(function: Function) -> set[str]:
    """The last names of all that a function calls."""
    calls = (node.func for node in ast.walk(function) if isinstance(node, ast.Call))
    return {getattr(call, "attr", getattr(call, "id", "")) for call in calls}


def judges(function: Function) -> bool:
    """Whether a function holds something against what it should be."""
    asserts = any(isinstance(node, ast.Assert | ast.Raise) for node in ast.walk(function))
    return asserts or any(name.startswith(FAILS) for name in called(function))


def that_cannot_fail(trees: list[ast.Module]) -> list[str]:
    """Tests that judge nothing, nor do the helpers that they call, by name."""
    helpers: dict[str, list[Function]] = defaultdict(list)
    for tree in trees:
        for function in functions(tree):
            helpers[function.name].append(function)
    able = {name for name, found in helpers.items() if any(map(judges, found))}
    while more := {
        name
        for name, found in helpers.items()
        if name not in able and any(called(function) & able for function in found)
    }:
        able |= more
    return sorted(name for name in helpers if name.startswith("test_") and name not in able)


def test_each_test_can_fail() -> None:
    trees = [ast.parse(path.read_text(encoding="utf-8")) for path in ROOT.rglob("*.py")]
    assert that_cannot_fail(trees) == []


def test_a_test_that_judges_nothing_is_found() -> None:
    tree = ast.parse(
        "def test_runs(): work(2)\n"
        "def test_judges(): assert work(2) == 4\n"
        "def test_asks(): asked()\n"
        "def asked(): looked_at()\n"
        "def looked_at(): expect(page)\n"
        "def work(number): return number**2\n"
    )
    assert that_cannot_fail([tree]) == ["test_runs"]
