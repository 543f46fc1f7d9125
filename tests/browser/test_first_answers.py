"""The answer printed when the site is built is the first live one, character for character."""

import html
import re
from pathlib import Path

from playwright.sync_api import Page, expect

PATIENCE = 90_000
CALCULATOR = "doorcard-calculator"
SHOWN = f"""() => [...document.querySelectorAll("{CALCULATOR}")].map((element) => element.shown)"""
PRINTED = re.compile(r'<div class="dc-result" data-result>(.*?)</div><p class="dc-said"', re.DOTALL)


def test_waking_changes_nothing(page: Page, server: str, site: Path, page_addresses: list[str]) -> None:
    compared = 0
    for address in page_addresses:
        path = site / address / "index.html" if address.endswith("/") or not address else site / address
        printed = PRINTED.findall(path.read_text("utf-8"))
        if not printed:
            continue
        page.goto(server + address)
        calculators = page.locator(CALCULATOR)
        expect(calculators).to_have_count(len(printed))
        for number in range(len(printed)):
            expect(calculators.nth(number)).to_have_attribute("data-live", "answer", timeout=PATIENCE)
        for before, after in zip(printed, page.evaluate(SHOWN), strict=True):
            assert html.unescape(before) == html.unescape(after), address
            assert before == after, address
            compared += 1
    assert compared
