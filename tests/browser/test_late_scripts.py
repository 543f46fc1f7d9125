"""Scripts that come late, and do not: said where the hand is, and the page goes on."""

import pytest
from playwright.sync_api import Browser, expect

from tests.conftest import watched
from tests.native_worker import answered_beside

MISSING = (
    "What belongs here did not come: the network broke off, or the server has a newer version. "
    "Load the page anew."
)


@pytest.mark.parametrize(
    ("script", "address", "place"),
    [
        ("recorder.js", "stages/tuning/measuring/", "doorcard-recorder"),
        ("listening.js", "having-it-done/timing/", "doorcard-listening"),
        ("guided.js", "stages/tuning/guided/", "doorcard-calculator[data-calculator=guided-tune]"),
        ("job-desk.js", "job/", "doorcard-jobs"),
    ],
)
def test_a_script_that_is_gone_is_said_over_its_place(
    browser: Browser, server: str, script: str, address: str, place: str
) -> None:
    with watched(browser.new_context(service_workers="block"), ("404",)) as context:
        answered_beside(context)
        context.route(f"**/{script}", lambda route: route.fulfill(status=404))
        page = context.new_page()
        page.goto(server + address)
        expect(page.locator(f"p[role=status]:has(+ {place})")).to_have_text([MISSING])
        expect(page.locator("doorcard-calculator").first).to_have_attribute("data-live", "answer")
