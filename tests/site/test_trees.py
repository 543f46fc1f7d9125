"""Fault trees: every branch is walked, every way ends in something to do, and a broken tree is refused."""

import json
import re
from pathlib import Path
from xml.etree.ElementTree import Element

import pytest

from calculators.self_checks import question
from calculators.self_checks.asking import Choice
from calculators.site.trees import ENDS, STOP_FIRST, TREE_ADDRESS, Tree, TreeError, read_tree, with_tree
from calculators.stages import find_calculator
from tests.conftest import ROOT
from tests.site.test_pages import of_class, sources, words

FOLDER = ROOT / "docs" / "stages" / "faults"
TREES = {path.stem: read_tree(path.read_text("utf-8"), path.stem) for path in sorted(FOLDER.glob("*.yml"))}
LONGEST = 8
"""Screens on the longest way: who is on the fourth wants to know that it ends."""

every = pytest.mark.parametrize("tree", TREES.values(), ids=TREES)

SMALL = """
tests:
  1:
    test: First
    do: Do it.
    results:
      - {seen: a, then: 2}
      - {seen: b, cure: Mend it.}
  2:
    test: Second
    do: Do that.
    results:
      - {seen: c, repair: Mend that.}
      - {seen: d, tree: hiss#test-2}
"""


def test_thirteen_trees_each_on_its_page() -> None:
    assert len(TREES) == 13
    for name in TREES:
        assert f"```tree\n{name}\n```" in (FOLDER / f"{name}.md").read_text("utf-8")


@every
def test_every_way_ends_within_eight_screens(tree: Tree) -> None:
    ways = list(tree.ways())
    assert {number for way in ways for number, _ in way} == set(tree.tests)
    assert max(map(len, ways)) <= LONGEST
    assert all(way[-1][1].kind in ENDS for way in ways)


@every
def test_each_end_names_something_to_do(tree: Tree) -> None:
    for way in tree.ways():
        _, end = way[-1]
        assert end.kind == "tree" or len(end.leads_to.split()) >= 3, end


def test_trees_lead_to_tests_that_are_there_and_never_round() -> None:
    """From tree to tree as well: whoever follows them comes to an end."""

    def follow(name: str, number: int, passed: tuple[tuple[str, int], ...]) -> int:
        assert (name, number) not in passed, f"{passed} leads round"
        longest = 1
        for result in TREES[name].tests[number].results:
            if result.kind == "then":
                longest = max(longest, 1 + follow(name, int(result.leads_to), (*passed, (name, number))))
            if result.kind == "tree":
                to = TREE_ADDRESS.fullmatch(result.leads_to)
                assert to, result
                longest = max(
                    longest, 1 + follow(to["name"], int(to["test"] or 1), (*passed, (name, number)))
                )
        return longest

    assert max(follow(name, 1, ()) for name in TREES) <= 2 * LONGEST


@every
def test_a_calculator_works_out_a_limit_of_each_tree(tree: Tree) -> None:
    """In the reader's own numbers: it starts from the running job and takes what is typed."""
    slugs = [
        slug for test in tree.tests.values() for slug in re.findall(r"```calculator\n([\w-]+)", test.work)
    ]
    assert slugs
    assert all(find_calculator(slug) for slug in slugs)
    assert any("job:" in test.work for test in tree.tests.values())


@every
def test_a_limit_stands_in_bold(tree: Tree) -> None:
    """Where a result names a figure with its unit, the figure is bold, so that the eye finds it."""
    unit = r"\d ?(?:V|mV|MΩ|Ω|A|dB|ms|°C|mm)\b"
    for number, test in tree.tests.items():
        for result in test.results:
            plain = re.sub(r"\*\*.*?\*\*", "", result.seen)
            assert not re.search(unit, plain), f"{tree.name}, test {number}: {result.seen}"


def test_nothing_dangerous_is_undone_to_prove_it() -> None:
    """A short, a burnt coil, a wet plug, a loose box: mended, and not put back."""
    dangerous = re.compile(r"\b(shorted|chafed|burnt|wet|scratches|blows|loose bolt|200 N)\b", re.IGNORECASE)
    for tree in TREES.values():
        for way in tree.ways():
            number, end = way[-1]
            if end.kind == "cure":
                said = f"{end.seen} {end.leads_to}"
                assert not dangerous.search(said), f"{tree.name}, test {number}: {said}"


def test_a_joint_of_a_supply_is_remade_on_a_dead_vehicle() -> None:
    """A ground or a holder that carries the battery's current: dead first, whichever tree sends there."""
    supply = re.compile(r"Remake the (joint|one)|new holder|Remake it\.|Move it to the body|to one point")
    ends = [
        (tree.name, test.number, result.leads_to)
        for tree in TREES.values()
        for test in tree.tests.values()
        for result in test.results
        if result.kind in ("cure", "repair") and supply.search(result.leads_to)
    ]
    assert len(ends) == 7
    for name, number, end in ends:
        assert "make-safe.md" in end, f"{name}, test {number}: {end}"


def test_a_feed_may_rise_by_what_a_tweeter_may_and_not_by_ten_times_that() -> None:
    """0.2 mV of rise and 0.5 mV of hiss at the tweeter, back through the running job's gain by hand."""
    job = json.loads((ROOT / "docs" / "job.json").read_text(encoding="utf-8"))
    at_feed, at_door = job["feeds"]["map"][0]["ceiling"], job["feeds"]["asked_at_tweeter"]
    at_tweeter = at_door / 10 ** (6 / 20)
    test = TREES["engine-whine"].tests[10]
    (limit,) = {float(found) for result in test.results for found in re.findall(r"([\d.]+) mV", result.seen)}
    assert 0.5 < limit / (0.2 * at_feed / at_tweeter) <= 1
    assert "Isolated tap" in test.how
    assert "times 12.1" in test.how
    assert "A plain meter does not show it" in test.how
    hiss = TREES["hiss"].tests[5]
    assert "over **`#!answer feed.feed_noise_limit`**, A-weighted" in hiss.results[1].leads_to
    assert "speaker_voltage: job:feeds.asked_at_tweeter" in hiss.work


def test_limits_of_trees_are_those_of_their_pages() -> None:
    """A trigger is under 0.5 V asleep, on turn-on too; 3.3 mΩ of ground lose 10 mV at 3 A of idle."""
    sleeping = [result.seen for result in TREES["battery-flat"].tests[5].results]
    assert sleeping == ["**0.5 V** or more", "under **0.5 V**"]
    pages = sources()
    assert "The trigger is under 0.5 V when the vehicle sleeps" in pages["stages/wiring/turn-on/"]
    assert "3.3 mΩ" in pages["stages/wiring/return/"]
    ground = TREES["nothing-plays"].tests[5]
    assert "**10 mV** or less while it idles" in ground.how
    assert "over **10 mV**" in ground.results[0].seen
    output = TREES["silent-channel"].tests[5].how
    assert "digital input and 0 dB trim" in output
    told = float(re.findall(r"\*\*([\d.]+) V\*\*", output)[1])
    assert round(4 * 10 ** (-12 / 20) * 8.4 / 10 * 10 ** (-6 / 20), 2) == told
    asked = question("faults", "fault_record", 1)
    assert isinstance(asked, Choice)
    said = [option.words for option in asked.options]
    assert any(words.startswith("Amplifier's ground terminal to battery negative") for words in said)


def test_nobody_drives_before_box_and_amplifier_hold() -> None:
    """The hand comes before the road, and it is where every other tree's warning of a loose box leads."""
    first, second = TREES["rattle"].tests[1], TREES["rattle"].tests[2]
    assert "Nobody drives" in first.how
    assert "driver drives" in second.how
    assert [result.leads_to for result in first.results if result.kind == "then"] == ["2"]
    assert ("loose box", "rattle", "#test-1") in STOP_FIRST


def test_the_running_job_is_found_by_its_own_tree() -> None:
    tree = TREES["image"]
    assert [number for number, _ in tree.way] == [1, 2, 3, 4, 6, 7]
    assert tree.way in list(tree.ways())
    assert "one driver is low" in tree.way[-1][1].seen
    assert "tweeter" in tree.story
    assert "invented" in tree.story


def test_without_a_script_every_test_and_end_stands_on_the_page(pages: dict[str, Element]) -> None:
    for name, tree in TREES.items():
        page = pages[f"stages/faults/{name}/"]
        screens = of_class(page, "dc-screen")
        ends = [result for test in tree.tests.values() for result in test.results if result.kind != "then"]
        assert len(screens) == len(tree.tests) + len(ends), name
        links = [link for part in of_class(page, "dc-results") for link in part.iter("a")]
        assert len(links) == sum(len(test.results) for test in tree.tests.values()), name
        ids = {element.get("id") for element in page.iter()}
        for link in links:
            assert link.get("href", "")[1:] in ids, f"{name}: {words(link)}"


def test_a_page_of_every_symptom_leads_to_its_tree() -> None:
    """Other pages' tables of mistakes lead here, and the method leads to every tree."""
    markdown = sources()
    for name in TREES:
        assert f"({name}.md)" in markdown["stages/faults/method/"], name
    linked = {
        found
        for address, page in markdown.items()
        if not address.startswith("stages/faults/")
        for found in re.findall(r"faults/([a-z-]+)\.md", page)
    }
    assert linked >= set(TREES), set(TREES) - linked


WRONG = [
    ("tests: {1: {test: A, do: B, results: [{seen: a, then: 1}, {seen: b, cure: C}]}}", "in a ring: 1"),
    (SMALL.replace("then: 2", "then: 3"), "there is no test 3"),
    (SMALL.replace("then: 2", "cure: No."), "nothing leads to test 2"),
    (SMALL.replace("{seen: a, then: 2}", "{seen: a, then: 2, cure: C}"), "leads to one of"),
    (SMALL.replace("{seen: a, then: 2}", "{seen: a}"), "leads to one of"),
    (SMALL.replace("then: 2", "then: two"), "the number of a test"),
    (SMALL.replace("do: Do it.", "how: Do it."), "it has no do"),
    (SMALL.replace("do: Do it.", "do: Do it.\n    why: No."), "no such thing as why"),
    (SMALL.replace("do: Do it.", "do: 12"), "there must be words, not 12"),
    (SMALL.replace("  2:", "  3:"), "must be numbered"),
    (SMALL.replace("seen: b", "seen: a"), "two results say the same"),
    (SMALL.replace("hiss#test-2", "hiss-2"), "is no tree"),
    (SMALL.replace("      - {seen: b, cure: Mend it.}\n", ""), "two results or more"),
    (SMALL + "example: {way: [1], story: S}", "does not end"),
    (SMALL + "example: {way: [1, 3], story: S}", "has no result 3"),
    (SMALL + "example: {way: [2, 1], story: S}", "does not end"),
    (SMALL + "example: {way: [2]}", "it has no story"),
    ("tests: [", "it is not YAML"),
    ("- a", "must be written as name: value"),
]


@pytest.mark.parametrize(("text", "message"), WRONG, ids=[message for _, message in WRONG])
def test_a_tree_that_cannot_be_walked_is_refused_with_its_place(text: str, message: str) -> None:
    assert read_tree(SMALL, "small").tests.keys() == {1, 2}
    with pytest.raises(TreeError, match=f"small.*{re.escape(message)}"):
        read_tree(text, "small")


def test_a_page_that_names_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(TreeError, match=r"no tree no-such\.yml beside the page"):
        with_tree("# A page\n\n```tree\nno-such\n```\n", tmp_path)
