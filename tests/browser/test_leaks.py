"""A tablet that stays on all day: pages and answers come and go, and nothing of them is left behind."""

from collections.abc import Callable
from dataclasses import dataclass

from playwright.sync_api import Browser, BrowserContext, CDPSession, Page, expect

from tests.browser.test_calculators import FOLLOW, PATIENCE, calculator, field, wait_until_live
from tests.conftest import SOAK

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]

PAGES = ("look-up/sealed-box/", "look-up/cable-length/", "stages/tuning/crossovers/")
"""The first has charts in a fold that is shut."""
ROUNDS = 17 if SOAK else 5
KEYS = 500 if SOAK else 100
MOST_DOCUMENTS = 3
"""The page, what its templates lie in, the theme's sitemap. A mask in SVG brings one of the browser's own."""
MOST_NODES = 1.5
MOST_MEGABYTES = 30
MOST_NODES_OF_KEYS = 1000
"""What a fold hides of one answer has 600, and one may be waiting to be let go."""


@dataclass(frozen=True)
class Held:
    """What the browser holds after all that can go has gone."""

    documents: int
    nodes: int
    megabytes: float


def held(page: Page, protocol: CDPSession) -> Held:
    """What is held once it has settled: what was shown last is let go a second later."""
    page.wait_for_timeout(2000)  # No page tells that it has let go.
    for _ in range(3):
        page.wait_for_timeout(500)
        protocol.send("HeapProfiler.collectGarbage")
    counted = protocol.send("Memory.getDOMCounters")
    heap = protocol.send("Runtime.getHeapUsage")
    return Held(counted["documents"], counted["nodes"], heap["usedSize"] / 1e6)


def open_in_place(page: Page, address: str) -> None:
    page.evaluate(FOLLOW, address)
    expect(page).to_have_url(address)
    fresh = page.locator("doorcard-calculator:not([data-before])")
    expect(fresh.first).to_have_attribute("data-live", "answer", timeout=PATIENCE)


def test_pages_and_answers_leave_nothing_behind(
    browser: Browser, watched_contexts: Watched, server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="block"), ())
    page = context.new_page()
    protocol = context.new_cdp_session(page)
    first, *others = (server + address for address in PAGES)
    page.goto(first)
    box = calculator(page, "sealed-box")
    wait_until_live(box)
    field(box, "fs").fill("29")
    wait_until_live(box)
    before = held(page, protocol)  # With what one answer leaves waiting, as the last one does.
    for number in range(KEYS):
        field(box, "fs").fill(str(30 + number % 20))
    wait_until_live(box)
    typed = held(page, protocol)
    assert typed.nodes <= before.nodes + MOST_NODES_OF_KEYS, (before, typed)
    for _ in range(ROUNDS):
        for address in (*others, first):
            open_in_place(page, address)
    after = held(page, protocol)
    assert after.documents <= MOST_DOCUMENTS, (before, after)
    assert after.nodes <= MOST_NODES * before.nodes, (before, after)
    assert after.megabytes <= before.megabytes + MOST_MEGABYTES, (before, after)
