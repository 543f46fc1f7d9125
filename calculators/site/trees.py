"""Fault trees: plain data beside a page, written into it as Markdown before the page is built.

A page of ``docs/`` holds the fence ``tree`` with a name; `NAME.yml` stands in the page's folder:

    tests:
      1:
        test: What is done, in a few words        # the heading
        do: How it is done. Markdown, limits in **bold**.
        results:
          - {seen: what is seen, then: 2}          # to a later test of this tree
          - {seen: something else, cure: What mends it.}
        work: A calculator that works the limit out. Markdown, may be left out.
    example:                                       # may be left out
      way: [2, 1]                                  # which result was seen at each test on the way
      story: How it went on one invented job.

A result leads to a test (``then``), to another tree (``tree``, as ``NAME`` or ``NAME#test-3``), or ends:
with a ``cure`` that can be undone to prove it, with a ``repair`` that must not be undone, with what is
``told`` to the customer or another workshop, or as ``not_found``. A tree that leads to nothing, in a ring
or nowhere near one of its tests stops the build.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import Any

import yaml

from calculators.site.yaml_text import from_yaml

FENCE = re.compile(r"^```tree\n(?P<name>[a-z-]+)\n```$", re.MULTILINE)
TREE_ADDRESS = re.compile(r"(?P<name>[a-z-]+)(?:#test-(?P<test>\d+))?")

ENDS = {
    "cure": (
        "Cure",
        "Then [prove it](method.md#prove-the-cure): gone twice, undone, back again, done again, gone. "
        "Write each reading with its condition.",
    ),
    "repair": (
        "Repair",
        "This one is not undone to prove it: it would hurt somebody or something. Repeat the test that found "
        "it, twice, and write both readings with their condition.",
    ),
    "told": (
        "Tell",
        "Write the reading with its condition, show it to the customer, and note who does what until when.",
    ),
    "not_found": (
        "Not found",
        "Write down what was tried, each reading with its condition. No part is changed, and nothing is "
        "charged that was not agreed.",
    ),
    "tree": ("Next tree", ""),
}
"""How a way through a tree ends: its word, and what is done after each end of that kind."""

UNSOUGHT = 'data-search-exclude="tree"'
"""The search leads to the tree, not into its midst."""

STOP_FIRST = (
    ("Smell, heat, smoke, a blown fuse", "nothing-plays", ""),
    ("a warning lamp that was off before", "warning-lamp", ""),
    ("loose box", "rattle", "#test-1"),
)
"""What no other tree is begun with: words, tree, and place in it."""


class TreeError(Exception):
    """A tree that cannot be walked; the message says where and why."""


@dataclass(frozen=True)
class Result:
    """What a test can show, and where it leads: to a test, or to an end of one kind."""

    seen: str
    kind: str
    leads_to: str


@dataclass(frozen=True)
class TreeTest:
    """One screen: what is done, and what may be seen."""

    number: int
    title: str
    how: str
    work: str
    results: tuple[Result, ...]


@dataclass(frozen=True)
class Tree:
    """A fault tree, whole: every test is reached from the first, no way leads back.

    ``way`` is the one that the running job took, ``story`` how it went; both empty if it took none.
    """

    name: str
    tests: Mapping[int, TreeTest]
    way: tuple[tuple[int, Result], ...]
    story: str

    def ways(self, start: int = 1) -> Iterator[tuple[tuple[int, Result], ...]]:
        """Every way from a test to an end: the tests passed, each with the result that was seen."""
        for result in self.tests[start].results:
            if result.kind != "then":
                yield ((start, result),)
                continue
            for rest in self.ways(int(result.leads_to)):
                yield ((start, result), *rest)


def read_tree(text: str, name: str) -> Tree:
    """The tree that a file holds. Raises TreeError for a file that is no whole tree."""
    try:
        data = from_yaml(text)
    except yaml.YAMLError as error:
        raise TreeError(f"{name}: it is not YAML: {error}") from None
    tests, example = _members(data, name, ("tests",), ("example",))
    if not isinstance(tests, dict) or list(tests) != list(range(1, len(tests) + 1)):
        raise TreeError(f"{name}: its tests must be numbered 1, 2, 3 and so on, in their order")
    read = {number: _test(number, entry, f"{name}, test {number}") for number, entry in tests.items()}
    _check_ways(name, read)
    if not example:
        return Tree(name, read, (), "")
    way, story = _members(example, f"{name}, example", ("way", "story"))
    return Tree(name, read, _way(read, way, f"{name}, example"), _words(story, f"{name}, example"))


def _members(data: Any, place: str, required: tuple[str, ...], optional: tuple[str, ...] = ()) -> list[Any]:
    """The members of a mapping, in that order; nothing for one that may be left out and is."""
    if not isinstance(data, dict):
        raise TreeError(f"{place}: it must be written as name: value")
    missing = [name for name in required if name not in data]
    unknown = [str(name) for name in data if name not in (*required, *optional)]
    if missing or unknown:
        raise TreeError(
            f"{place}: "
            + (f"it has no {missing[0]}" if missing else f"there is no such thing as {unknown[0]}")
        )
    return [data.get(name, "") for name in (*required, *optional)]


def _words(given: Any, place: str) -> str:
    """Text that says something."""
    if not isinstance(given, str) or not given.strip():
        raise TreeError(f"{place}: there must be words, not {given!r}")
    return given.strip()


def _test(number: int, data: Any, place: str) -> TreeTest:
    title, how, results, work = _members(data, place, ("test", "do", "results"), ("work",))
    if not isinstance(results, list) or len(results) < 2:
        raise TreeError(f"{place}: a test has two results or more")
    found = tuple(_result(entry, f"{place}, result {at}") for at, entry in enumerate(results, 1))
    if len({result.seen for result in found}) < len(found):
        raise TreeError(f"{place}: two results say the same")
    return TreeTest(
        number, _words(title, place), _words(how, place), _words(work, place) if work else "", found
    )


def _result(data: Any, place: str) -> Result:
    kinds = ("then", *ENDS)
    chosen = [kind for kind in kinds if isinstance(data, dict) and kind in data]
    if len(chosen) != 1:
        raise TreeError(f"{place}: it leads to one of {', '.join(kinds)}")
    (kind,) = chosen
    seen, leads_to = _members(data, place, ("seen", kind))
    if kind == "then":
        if type(leads_to) is not int:
            raise TreeError(f"{place}: then is the number of a test, not {leads_to!r}")
        leads_to = str(leads_to)
    if kind == "tree" and not TREE_ADDRESS.fullmatch(str(leads_to)):
        raise TreeError(f"{place}: {leads_to!r} is no tree, like nothing-plays or battery-flat#test-6")
    return Result(_words(seen, place), kind, _words(leads_to, place))


def _way(tests: Mapping[int, TreeTest], seen: Any, place: str) -> tuple[tuple[int, Result], ...]:
    """The way from the first test to an end by the number of the result that was seen at each."""
    way: list[tuple[int, Result]] = []
    for choice in seen if isinstance(seen, list) else [seen]:
        number = int(way[-1][1].leads_to) if way else 1
        if type(choice) is not int or not 1 <= choice <= len(tests[number].results):
            raise TreeError(f"{place}: test {number} has no result {choice!r}")
        way.append((number, tests[number].results[choice - 1]))
        if way[-1][1].kind != "then":
            break
    if len(way) != len(seen) or way[-1][1].kind == "then":
        raise TreeError(f"{place}: its way does not end where the tree does")
    return tuple(way)


def _check_ways(name: str, tests: Mapping[int, TreeTest]) -> None:
    """Raise TreeError unless every way ends and every test is reached from the first."""
    steps = {
        number: {int(result.leads_to) for result in test.results if result.kind == "then"}
        for number, test in tests.items()
    }
    for number, following in steps.items():
        if nowhere := following - set(steps):
            raise TreeError(f"{name}, test {number}: there is no test {min(nowhere)}")
    try:
        tuple(TopologicalSorter(steps).static_order())
    except CycleError as error:
        ring = " → ".join(map(str, error.args[1]))
        raise TreeError(f"{name}: its tests lead round in a ring: {ring}") from None
    reached: set[int] = set()
    waiting = {1}
    while waiting:
        reached |= waiting
        waiting = {after for number in waiting for after in steps[number]} - reached
    if forgotten := set(steps) - reached:
        raise TreeError(f"{name}: nothing leads to test {min(forgotten)}")


def with_tree(markdown: str, folder: Path) -> str:
    """A page's Markdown with its tree written out; ``folder`` holds the tree's file. Raises TreeError."""

    def written(call: re.Match[str]) -> str:
        name = call["name"]
        path = folder / f"{name}.yml"
        if not path.is_file():
            raise TreeError(f"there is no tree {path.name} beside the page")
        return tree_markdown(read_tree(path.read_text(encoding="utf-8"), name))

    return FENCE.sub(written, markdown)


def tree_markdown(tree: Tree) -> str:
    """The tree as a page reads it without a script: every test, every end, and links between them."""
    stops = "; ".join(
        f"{words}: [{name.replace('-', ' ')}]({name}.md{place})"
        for words, name, place in STOP_FIRST
        if name != tree.name
    )
    first = (
        f"\n{stops[0].upper()}{stops[1:]}: **that first.** The system is **off before any plug moves.** "
        "Limits in bold are common practice, no source; what a calculator gives is computed.\n"
    )
    screens = "".join(_screens(test) for test in tree.tests.values())
    return f'<div class="dc-tree" markdown>\n{first}\n{screens}</div>\n{_example(tree)}'


def _example(tree: Tree) -> str:
    """The way that the running job took through the tree, and how it went."""
    if not tree.way:
        return ""
    steps = "".join(
        f"{at}. [{tree.tests[number].title}](#test-{number}): {result.seen}\n"
        for at, (number, result) in enumerate(tree.way, 1)
    )
    return f"\n## The running job\n\n{steps}\n{tree.story}\n"


def _screens(test: TreeTest) -> str:
    """A test, and the ends that it leads to."""
    links, ends = [], []
    for at, result in enumerate(test.results, 1):
        if result.kind == "then":
            target, label = f"test-{result.leads_to}", f"test {result.leads_to}"
        else:
            target, label = f"end-{test.number}-{at}", ENDS[result.kind][0].lower()
            ends.append(_end(test, result, target))
        links.append(f"- [<span>{result.seen}</span> <small>{label}</small>](#{target})\n")
    work = f"\n{test.work}\n" if test.work else ""
    return (
        f'<section class="dc-screen" markdown>\n\n'
        f"## Test {test.number}: {test.title} {{#test-{test.number} {UNSOUGHT}}}\n\n{test.how}\n\n"
        f'<div class="dc-results" markdown>\n\n{"".join(links)}\n</div>\n{work}\n</section>\n\n'
        f"{''.join(ends)}"
    )


def _end(test: TreeTest, result: Result, place: str) -> str:
    word, after = ENDS[result.kind]
    text = result.leads_to
    if found := TREE_ADDRESS.fullmatch(text) if result.kind == "tree" else None:
        at = f"#test-{found['test']}" if found["test"] else ""
        where = f", test {found['test']}" if found["test"] else ""
        text = f"Go on with [{found['name'].replace('-', ' ')}{where}]({found['name']}.md{at})."
    return (
        f'<section class="dc-screen dc-end" markdown>\n\n'
        f"### {test.title}: {result.seen} {{#{place} {UNSOUGHT}}}\n\n"
        f"**{word}.** {text}\n\n{after}\n\n</section>\n\n"
    )
