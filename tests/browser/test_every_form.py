"""Every calculator's form on a phone, in one visit of its page: its figure in sight, its answer marked.

One page in eight is opened, in the long tests each; no calculator is met twice.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from calculators.stages import slugs_known
from tests.browser.test_accessibility import PHONE
from tests.browser.test_answer_in_sight import WITH_KEYS
from tests.conftest import SOAK, share, watched, without_python

PARTS = 2
"""Groups of pages, so that no core waits for one long test."""
WITHOUT_FIELDS = {"third-octave"}
LEAST_SIZE = 28
"""Of the main figure, in pixels: it is read at arm's length."""
MOST_SIGNS = 16
"""Of it: what is longer is words, and stands whole under it."""
LEAST_SIZE_OF_WORDS = 16

FIELDS = ":is(input, select)"
WITH_KEYS_UP = ":is(input:not([type=file]), textarea)"
"""Fields; of them, those that a phone puts its keys up for."""
# Taps the first field of each form that has not been met, and measures the main figure and the field.
TAP_EACH = """
([known, kind]) => [...document.querySelectorAll("doorcard-calculator")]
  .filter((form) => !known.includes(form.dataset.calculator))
  .map((form) => {
    const fields = [...form.querySelectorAll(`.dc-form ${kind}`)];
    const field = fields.find((field) => field.checkVisibility());
    if (!field) return null;
    field.focus();
    const box = (part) => {
      const { top, bottom, left, right } = part.getBoundingClientRect();
      return [top, bottom, left, right];
    };
    const figure = form.querySelector(".dc-bar strong");
    const words = form.querySelector(".dc-bar [data-words]");
    const over = (part) => [part.scrollHeight - part.clientHeight, part.scrollWidth - part.clientWidth];
    const cut = (part) => Math.max(...over(part)) > 8; // Signs of a large figure reach out of their line.
    return {
      slug: form.dataset.calculator,
      shown: figure.checkVisibility({ visibilityProperty: true }),
      words: figure.textContent,
      size: parseFloat(getComputedStyle(figure).fontSize),
      small: parseFloat(getComputedStyle(words).fontSize),
      cut: cut(figure) || (words.textContent && cut(words)),
      told: form.querySelector(".dc-main[data-figure] dd")?.textContent ?? "",
      underneath: words.textContent,
      figure: box(figure), bar: box(form.querySelector(".dc-bar")), field: box(field),
    };
  }).filter(Boolean)
"""
# Keys come to lie over the page, where `WITH_KEYS` ends; the page is not made smaller, but told.
KEYS_OVER = """
(seen) => {
  document.activeElement.blur();
  Object.defineProperty(visualViewport, "height", { value: seen });
  visualViewport.dispatchEvent(new Event("resize"));
}
"""
# Of each field of those forms: its calculator and name, and whether the answer is marked before, after a key,
# in words, and after the key is taken back.
CHANGE_EACH_FIELD = """
(known) => [...document.querySelectorAll("doorcard-calculator")]
  .filter((form) => !known.includes(form.dataset.calculator))
  .flatMap((form) => {
    const result = form.querySelector("[data-result]");
    const fields = form.querySelectorAll(".dc-form :is(input:not([type=file]), textarea, select)[name]");
    return [...fields].map((field) => {
      const chosen = field instanceof HTMLSelectElement;
      const marked = () => result.inert && (result.hidden || result.ariaBusy === "true");
      const type = (text) => {
        field.value = text;
        for (const event of chosen ? ["input", "change"] : ["input"]) {
          field.dispatchEvent(new InputEvent(event, { bubbles: true }));
        }
        return marked();
      };
      const before = field.value;
      const other = chosen ? [...field.options].find(({ value }) => value !== before)?.value : before + "1";
      return [form.dataset.calculator, field.name, marked(), type(other),
        form.querySelector("[data-state]").textContent.startsWith("Not worked out"), type(before)];
    });
  })
"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone whose keys are up, without Python."""
    made = browser.new_context(
        viewport=WITH_KEYS, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    with watched(made) as context:
        without_python(context)
        yield context.new_page()


def pages_with_new_forms(site: Path, addresses: list[str]) -> list[tuple[str, set[str], set[str]]]:
    """The pages that show a calculator none before them has shown: those met by then, and the new ones."""
    found, met = [], set[str]()
    for address in addresses:
        file = site / address / "index.html"
        text = file.read_text(encoding="utf-8") if file.is_file() else ""
        slugs = set(re.findall('data-calculator="([^"]+)"', text))
        if slugs - met:
            found.append((address, met, slugs - met))
            met = met | slugs
    return found


@pytest.mark.parametrize("part", range(PARTS))
def test_every_form_keeps_its_figure_in_sight_and_marks_its_answer(
    phone: Page, server: str, page_addresses: list[str], site: Path, part: int
) -> None:
    tapped, changed, there = set[str](), set[str](), set[str]()
    found = []
    pages = pages_with_new_forms(site, share(page_addresses, 8))
    if SOAK:
        assert set[str]().union(*(new for _, _, new in pages)) == set(slugs_known())
    for address, met, new in pages[part::PARTS]:
        there |= new - WITHOUT_FIELDS
        known = sorted(met)
        phone.set_viewport_size(WITH_KEYS)
        phone.goto(server + address)
        for form in phone.evaluate(TAP_EACH, [known, FIELDS]):
            tapped.add(form["slug"])
            found += [f"{address}: {form['slug']}: {fault}" for fault in out_of_sight(form)]
        phone.set_viewport_size(PHONE)
        phone.evaluate(KEYS_OVER, WITH_KEYS["height"])
        for form in phone.evaluate(TAP_EACH, [known, WITH_KEYS_UP]):
            found += [f"{address}: {form['slug']}, under keys: {fault}" for fault in out_of_sight(form)]
        for slug, name, *marked in phone.evaluate(CHANGE_EACH_FIELD, known):
            changed.add(slug)
            if marked != [False, True, True, False]:
                found.append(f"{address}: {slug}: {name}: marked, one after the other: {marked}")
    assert not found, "\n".join(found)
    assert tapped <= changed == there
    assert 2 * len(tapped) >= len(there), "the others begin with rows that are folded"


def out_of_sight(form: dict[str, Any]) -> Iterator[str]:
    """What is wrong with a form's main figure and bar while a field of it is tapped."""
    top, bottom, left, right = form["figure"]
    if not form["shown"] or not form["words"]:
        yield "its bar shows no figure"
    if len(form["words"]) > MOST_SIGNS:
        yield f"its figure is words: {form['words']}"
    if form["size"] < LEAST_SIZE or form["small"] < LEAST_SIZE_OF_WORDS:
        yield f"its figure is {form['size']} px high, its words {form['small']}"
    if form["cut"]:
        yield f"its bar is cut: {form['words']}, {form['underneath']}"
    if (
        form["told"] not in form["underneath"] and form["words"] not in form["told"]
    ):  # It may be that of a row.
        yield f"its bar does not say the whole answer: {form['told']}"
    if not (0 <= top < bottom <= WITH_KEYS["height"] and 0 <= left < right <= WITH_KEYS["width"]):
        yield f"its figure is out of sight: {form['figure']}"
    if form["field"][1] > form["bar"][0]:
        yield "its bar covers the field"
