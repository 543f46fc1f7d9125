"""The answer printed when the site is built is the first live one, character for character.

One page in six is woken, in the long tests each.
"""

import re
from pathlib import Path

from playwright.sync_api import Page, expect

from tests.browser.test_calculators import FOLLOW, PATIENCE
from tests.conftest import share

PRINTED = re.compile(
    r'<div class="dc-result" data-result>(.*?)</div></div></div><p class="dc-said"', re.DOTALL
)
SHOWN = """
() => [...document.querySelectorAll("doorcard-calculator")].map(
  (form) => [form.dataset.calculator, form.shown],
)
"""
FITTED = {"tune"}
"""Its fit ends in a flat valley, where the last bits of WebAssembly decide the last figure; `tests/parity`
compares its answer within what is heard."""


def test_waking_changes_nothing(page: Page, server: str, site: Path, page_addresses: list[str]) -> None:
    page.goto(server)
    compared = 0
    for address in share(page_addresses, 6):
        if not address.endswith("/"):
            continue
        printed = PRINTED.findall((site / address / "index.html").read_text("utf-8"))
        if not printed:
            continue
        page.evaluate(FOLLOW, server + address)
        expect(page).to_have_url(server + address)
        calculators = page.locator("doorcard-calculator:not([data-before])")
        expect(calculators).to_have_count(len(printed), timeout=PATIENCE)
        for number in range(len(printed)):
            expect(calculators.nth(number)).to_have_attribute("data-live", "answer", timeout=PATIENCE)
        for (slug, shown), words in zip(page.evaluate(SHOWN), printed, strict=True):
            assert slug in FITTED or shown == words, (address, slug)
        compared += len(printed)
    assert compared
