"""What tabs take of a device's memory, and what they give back out of sight. Linux alone: it reads /proc."""

import time
from collections.abc import Callable

from playwright.sync_api import Browser, BrowserContext, Locator, Page

from tests.benchmarks.processes import memory
from tests.browser.test_calculators import PATIENCE, calculator, expect_right_answer, field, wait_until_live

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]

PAGE = "look-up/delay-by-distance/"
ONE_TAB, TWO_TABS, OUT_OF_SIGHT = 380, 570, 350
"""Megabytes at most, over the browser without a page: a tab that answers, two, and two at rest."""
SOON = """
const wait = setTimeout;
self.setTimeout = (action, ms, ...rest) => wait(action, ms === 300_000 ? 100 : ms, ...rest);
"""
"""A tab out of sight lets its worker go after five minutes: here at once."""
SHOW = """(shown) => {
  Object.defineProperty(document, "hidden", { value: !shown, configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
}"""


def live(context: BrowserContext, address: str) -> Locator:
    """A form that answers in a tab of its own; something is typed, so that no start of it is kept."""
    page = context.new_page()
    page.goto(address)
    delay = calculator(page, "delay")
    field(delay, "speakers[0].distance").fill("91")
    wait_until_live(delay)
    return delay


def settled(limit: float) -> float:
    """Megabytes taken, as soon as they are within a limit; what has gone is given back after a while."""
    end = time.monotonic() + 15
    while (taken := memory()) > limit and time.monotonic() < end:
        time.sleep(0.5)
    return taken


def pythons(page: Page) -> int:
    return sum("/doorcard-" in worker.url for worker in page.workers)


def test_tabs_keep_within_their_memory_and_give_it_back_out_of_sight(
    browser: Browser, watched_contexts: Watched, server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="block"), ())
    context.set_default_timeout(PATIENCE)
    context.add_init_script(SOON)
    empty = memory()
    tabs = [live(context, server + PAGE)]
    one = settled(empty + ONE_TAB) - empty
    tabs.append(live(context, server + PAGE))
    two = settled(empty + TWO_TABS) - empty
    for tab in tabs:
        tab.page.evaluate(SHOW, False)
        while pythons(tab.page):
            tab.page.wait_for_timeout(50)
    resting = settled(empty + OUT_OF_SIGHT) - empty
    taken = {"one tab": one, "two tabs": two, "out of sight": resting}
    assert 50 < one <= ONE_TAB, taken
    assert two <= TWO_TABS, taken
    assert resting <= OUT_OF_SIGHT, taken
    first = tabs[0]
    first.page.evaluate(SHOW, True)
    field(first, "speakers[0].distance").fill("92")
    wait_until_live(first)
    expect_right_answer(first)
