"""Of the tests themselves: each can fail."""

import ast
import re
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


def waits_that_end_at_once(tree: ast.Module) -> list[int]:
    """Lines that wait in a page for what gives a promise: it is true at once, whatever becomes of it."""
    scripts = {
        target.id: ast.unparse(node.value)
        for node in tree.body
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }
    waits = (
        (node.lineno, scripts.get(getattr(script, "id", ""), ast.unparse(script)))
        for node in ast.walk(tree)
        if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "wait_for_function"
        for script in node.args[:1]
    )
    return [line for line, script in waits if re.search(r"\basync\b|\bPromise\b|\.then\(", script)]


def sleeps(text: str) -> list[int]:
    """Lines that wait for a time, not between two looks of a loop, and do not say why behind it."""
    tree, lines = ast.parse(text), text.splitlines()
    loops = [node for node in ast.walk(tree) if isinstance(node, ast.For | ast.While)]
    looks = {id(node) for loop in loops for node in ast.walk(loop)}
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and getattr(node.func, "attr", getattr(node.func, "id", "")) in ("sleep", "wait_for_timeout")
        and id(node) not in looks
        and "  # " not in lines[node.lineno - 1]
    ]


def asked_of_a_fieldset(text: str) -> list[int]:
    """Lines that wait until a fieldset is enabled: Playwright asks fields alone, all else is enabled."""
    asked = r'(\.dc-form|\.dc-listen|\[data-question\])"\)\S*\.to_be_(en|dis)abled'
    return [number for number, line in enumerate(text.splitlines(), 1) if re.search(asked, line)]


TREES = {
    str(path.relative_to(ROOT)): ast.parse(path.read_text(encoding="utf-8")) for path in ROOT.rglob("*.py")
}


def test_each_test_can_fail() -> None:
    assert that_cannot_fail([*TREES.values()]) == []


def test_where_our_scripts_lie_is_written_once() -> None:
    """Others take it from there: it is how a test reaches what a page has loaded."""
    homes = [name for name in TREES if re.search(r"script\[src\S*page", (ROOT / name).read_text("utf-8"))]
    assert homes == ["browser/test_calculators.py"], "take PAGE_SCRIPT from test_calculators.py"


def test_each_wait_in_a_page_waits() -> None:
    assert {name: lines for name, tree in TREES.items() if (lines := waits_that_end_at_once(tree))} == {}


def test_no_test_asks_a_fieldset_whether_it_is_enabled() -> None:
    texts = {name: (ROOT / name).read_text("utf-8") for name in TREES}
    asked = {name: lines for name, text in texts.items() if (lines := asked_of_a_fieldset(text))}
    assert not asked, f'ask for to_have_js_property("disabled", False): {asked}'


def test_a_question_to_a_fieldset_is_found() -> None:
    one = "expect(page.locator('{}').first).to_be_enabled()".replace("'", '"')
    lines = [one.format(what) for what in (".dc-form", ".dc-form [name=current]", "check [data-question]")]
    assert asked_of_a_fieldset("\n".join(lines)) == [1, 3]


def test_no_test_sleeps_without_a_reason() -> None:
    texts = {name: (ROOT / name).read_text("utf-8") for name in TREES if not name.startswith("benchmarks/")}
    slept = {name: lines for name, text in texts.items() if (lines := sleeps(text))}
    assert not slept, f"wait for a state (expect), or say behind it why there is none to wait for: {slept}"


def test_a_sleep_is_found() -> None:
    text = (
        "while not looked(): time.sleep(1)\n"
        "page.wait_for_timeout(300)\n"
        "page.wait_for_timeout(300)  # Nothing may come.\n"
        "sleep(2)\n"
    )
    assert sleeps(text) == [2, 4]


def test_a_wait_for_a_promise_is_found() -> None:
    tree = ast.parse(
        "GONE = f'async () => (await {look}()) === null'\n"
        "HERE = '() => window.here'\n"
        "page.wait_for_function(HERE)\n"
        "page.wait_for_function(GONE)\n"
        "page.wait_for_function('() => caches.keys().then((names) => names.length)')\n"
        "page.wait_for_function('window.ready', timeout=5)\n"
        "page.evaluate(GONE)\n"
    )
    assert waits_that_end_at_once(tree) == [4, 5]


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
