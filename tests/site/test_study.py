"""The order of study: every page of a stage has its place, and nothing rests on what comes later."""

import re
from xml.etree.ElementTree import Element

from calculators.self_checks import BLOCKS
from calculators.site.study import address, foot, order
from tests.conftest import ROOT
from tests.site.test_pages import of_class, sources, words


def test_every_page_of_a_stage_has_one_place() -> None:
    placed = [address(page) for page in order().pages]
    assert len(placed) == len(set(placed))
    stages = {page for page in sources() if page.startswith("stages/")}
    forgotten = stages - set(placed)
    assert not forgotten, f"give each a place in docs/study.yml: {', '.join(sorted(forgotten))}"
    assert set(placed) <= set(sources())


def test_nothing_rests_on_what_comes_later() -> None:
    places = {page: place for place, page in enumerate(order().pages)}
    assert set(order().before) <= set(places)
    for page, place in places.items():
        for before in order().read_before(page):
            assert places[before] < place, f"{page} rests on {before}, which comes later"
        after = order().next(page)
        assert (after is None) == (place == len(places) - 1)


def test_every_block_has_its_checks_and_its_practicals() -> None:
    assert [block.checks for block in order().blocks] == list(BLOCKS)
    assert [block.title for block in order().blocks] == [block.title for block in BLOCKS.values()]
    named = [practical for block in order().blocks for practical in block.practicals.split(", ")]
    assert sorted(named, key=lambda name: int(name[1:])) == [f"P{number}" for number in range(1, 31)]
    sheet = (ROOT / "docs/learn/sign-off.md").read_text("utf-8")
    assert re.findall(r"^\| (P\d+) \|", sheet, re.MULTILINE) == [f"P{number}" for number in range(1, 31)]


def test_each_page_of_the_order_says_what_comes_before_and_after(pages: dict[str, Element]) -> None:
    for page in order().pages:
        (foot_,) = of_class(pages[address(page)], "dc-study")
        said = words(foot_)
        assert ("Next:" in said) == (order().next(page) is not None), page
        assert ("Read before this:" in said) == bool(order().read_before(page)), page
    assert foot("sources.md", "../") == ""
    for block in BLOCKS:
        assert len(list(pages[f"learn/checks/{block}/"].iter("doorcard-check"))) == len(BLOCKS[block].checks)
