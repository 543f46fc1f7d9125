"""The search waits until the reader turns to it, so that it does not slow the first answer."""

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.conftest import watched

PATIENCE = 90_000
RESULT = ".md-search-result__item"


def turn_to_search_on_a_phone(page: Page) -> None:
    page.locator("label.md-header__button[for=__search]").click()


def turn_to_search_at_a_desk(page: Page) -> None:
    page.locator("[data-md-component=search-query]").click()


SCREENS = {"phone": (390, 844, turn_to_search_on_a_phone), "desk": (1280, 800, turn_to_search_at_a_desk)}


@pytest.mark.parametrize("screen", SCREENS)
def test_the_index_is_fetched_when_the_reader_turns_to_the_search(
    browser: Browser, server: str, screen: str
) -> None:
    width, height, turn_to_search = SCREENS[screen]
    size = {"width": width, "height": height}
    with watched(browser.new_context(viewport=size, service_workers="block")) as context:
        page = context.new_page()
        fetched: list[str] = []
        page.on("request", lambda request: fetched.append(request.url))
        page.goto(server + "look-up/delay-by-distance/")
        page.wait_for_selector("doorcard-calculator[data-live=answer]", timeout=PATIENCE)
        assert not [url for url in fetched if url.endswith("search_index.json")]
        turn_to_search(page)
        page.keyboard.type("delay", delay=50)
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)
        assert [url for url in fetched if url.endswith("search_index.json")]


def test_an_address_that_asks_the_search_is_answered(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        page = context.new_page()
        page.goto(server + "?q=delay")
        expect(page.locator(RESULT).first).to_be_visible(timeout=PATIENCE)
