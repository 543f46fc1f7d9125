"""The ways that every page carries: chips under its title, the strip of the stages over it."""

import re
from xml.etree.ElementTree import Element

from calculators.site.ways import STAGES, Chip, chips, with_ways
from tests.conftest import ROOT
from tests.site.test_pages import of_class, words

STEPS = '<h2 id="steps">Steps</h2><ol></ol>'
WORK = '<h2 id="own">Work it out</h2><div><doorcard-calculator></doorcard-calculator></div>'
ACCEPT = '<h2 id="accept-when">Accept when</h2>'
TABLE = '<h2 id="small">Small ones</h2><table class="dc-table dc-look-up"></table>'


def test_a_stage_page_leads_to_its_steps_first() -> None:
    assert chips(STEPS + WORK + ACCEPT) == [
        Chip("Steps", "steps"), Chip("Work it out", "own"), Chip("Accept", "accept-when"),
    ]  # fmt: skip


def test_a_look_up_leads_to_its_calculator_first() -> None:
    assert chips(TABLE + WORK) == [Chip("Your numbers", "own"), Chip("Table", "small")]
    assert chips("<p>Words alone.</p>") == []


def test_a_customer_s_page_leads_to_its_sound() -> None:
    assert chips(WORK.replace("own", "hear-it")) == [Chip("Hear it", "hear-it")]


def test_a_form_of_choices_alone_asks_for_no_numbers() -> None:
    form = '<h2 id="own">Yours</h2><doorcard-calculator><select></select>{}</doorcard-calculator><input>'
    assert chips(form.format("")) == [Chip("Your choice", "own")]
    assert chips(form.format("<input>")) == [Chip("Your numbers", "own")]


def test_the_lead_stands_over_the_chips_and_the_strip_over_all() -> None:
    stages = {"tuning": ["stages/tuning/one/", "stages/tuning/two/"], "wiring": ["stages/wiring/feed/"]}
    page = with_ways(f'<h1 id="t">T</h1>\n<p>Lead.</p>\n<p>More.</p>{STEPS}', "stages/tuning/two/", stages)
    parts = [page.index(part) for part in ("dc-strip", "<h1", "<p>Lead.</p></div>", "dc-chips", "<p>More.")]
    assert parts == sorted(parts)
    assert '<a href="../../../stages/tuning/one/" aria-label="Stage 11: Tuning" aria-current="step">' in page
    assert 'href="../../../stages/wiring/feed/" aria-label="Stage 8: Power and wiring" data-before>' in page
    assert 'href="../../../stages/" aria-label="Stage 1: Customer brief" data-before>' in page
    assert "<b>11 Tuning<small>page 2 of 2</small></b>" in page
    assert "10 Commissioning</a>" in page
    assert "12 Verification</a>" in page


def test_other_pages_have_no_strip() -> None:
    assert with_ways("<h1>T</h1><p>Lead.</p>", "look-up/torque/", {}) == (
        '<h1>T</h1><div class="dc-lead" data-look-up><p>Lead.</p></div>'
    )


def test_a_tree_is_begun_by_its_chip() -> None:
    """Its calculators stand in its tests, out of sight until the way leads there."""
    before = '<h2 id="before-you-start">Before you start</h2>'
    tree = f'<div class="dc-tree"><div class="dc-screen"><h2 id="plug">1. Plug</h2>{WORK}</div></div>'
    assert chips(before + tree) == [Chip("Test 1", "plug")]


def test_the_chip_of_every_trees_page_leads_to_its_first_test(pages: dict[str, Element]) -> None:
    trees = [(page, tree) for page in pages.values() for tree in of_class(page, "dc-tree")]
    assert len(trees) >= 13
    for page, tree in trees:
        (chip,) = (link for part in of_class(page, "dc-chips") for link in part.iter("a"))
        assert (words(chip), chip.get("href")) == ("Test 1", f"#{next(tree.iter('h2')).get('id')}")


def test_the_stages_are_those_of_the_handbook() -> None:
    listed = re.findall(
        r"^\d+\. \*\*\[(.*?)\]\(\S+\)\.\*\*", (ROOT / "docs/stages/index.md").read_text("utf-8"), re.M
    )
    assert len(listed) == len(STAGES) == 14
    for name, (_, short) in zip(listed, STAGES, strict=True):
        assert name.startswith(short)
    folders = {path.name for path in (ROOT / "docs/stages").iterdir() if path.is_dir()}
    assert folders <= {folder for folder, _ in STAGES}


def test_every_calculator_is_one_tap_from_the_title(pages: dict[str, Element]) -> None:
    for address, page in pages.items():
        if not list(page.iter("doorcard-calculator")):
            continue
        names = [words(link) for part in of_class(page, "dc-chips") for link in part.iter("a")]
        assert {"Work it out", "Your numbers", "Your choice", "Hear it", "Test 1"} & set(names), address
