"""The handbook in a bay without signal: on a device that has kept it, all opens and answers."""

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from tests.browser.test_listening import LIST, ROUND, go_through
from tests.browser.test_offline import CALCULATOR_PAGE, OFFLINE_WORDS, PATIENCE, keep, wait_for_answer
from tests.conftest import share, watch, without_python


@pytest.fixture(scope="module")
def kept(browser: Browser, server: str) -> Iterator[tuple[BrowserContext, list[str]]]:
    """A device that has kept the handbook, and its faults: for tests that leave what is kept as it is."""
    context = browser.new_context(service_workers="allow")
    context.set_default_timeout(PATIENCE)
    faults = watch(context)
    keep(context.new_page(), server)
    yield context, faults
    context.close()


@pytest.fixture
def bay(kept: tuple[BrowserContext, list[str]]) -> Iterator[BrowserContext]:
    """That device, watched, in a bay without signal."""
    context, faults = kept
    faults.clear()
    context.set_offline(True)
    yield context
    context.set_offline(False)
    for page in context.pages:
        page.close()
    unexpected = [fault for fault in faults if not any(words in fault for words in OFFLINE_WORDS)]
    assert not unexpected, "\n".join(unexpected)


def test_a_calculator_answers_without_a_network(bay: BrowserContext, server: str) -> None:
    page = bay.new_page()
    page.goto(server + CALCULATOR_PAGE)
    wait_for_answer(page)
    result = page.locator("doorcard-calculator [data-result]").first
    before = result.inner_text()
    page.locator("doorcard-calculator input[inputmode=decimal]").first.fill("47")
    expect(result).not_to_have_text(before, timeout=PATIENCE)
    wait_for_answer(page)


def test_without_a_network_another_page_opens_in_place_and_in_a_new_tab(
    bay: BrowserContext, server: str
) -> None:
    page = bay.new_page()
    page.goto(server)
    page.evaluate("globalThis.sameDocument = true")
    page.locator(f"article a[href*='{CALCULATOR_PAGE}']").first.click()
    page.wait_for_url(f"**/{CALCULATOR_PAGE}")
    wait_for_answer(page)
    assert page.evaluate("globalThis.sameDocument") is True
    fresh = bay.new_page()
    fresh.goto(server + CALCULATOR_PAGE)
    wait_for_answer(fresh)


def test_without_a_network_every_page_opens(
    bay: BrowserContext, server: str, site: Path, page_addresses: list[str]
) -> None:
    """Every page is in the list of what is kept; one in sixteen is opened, in the long tests each."""
    page = bay.new_page()
    without_python(page)  # It would start on every page that has a calculator.
    listed = json.loads((site / "offline.json").read_text("utf-8"))["files"]
    assert {address or "./" for address in page_addresses} <= set(listed)
    for address in share(page_addresses, 16):
        response = page.goto(server + address)
        assert response is not None
        assert response.from_service_worker
        assert "Content-Security-Policy".lower() in response.headers
        expect(page.locator("article h1").first).to_be_visible()


def test_without_a_network_a_customer_goes_through_the_pages_by_keyboard(
    bay: BrowserContext, server: str
) -> None:
    """A page without a sound; in the long tests every customer's page, each sound played."""
    page = bay.new_page()
    page.goto(server + LIST)
    for name in share(ROUND, len(ROUND)):
        go_through(page, name, touch=False)


def test_addresses_are_forgiving_without_a_network(bay: BrowserContext, server: str) -> None:
    page = bay.new_page()
    page.goto(server + "look-up")
    assert page.url == server + "look-up/"
    page.goto(server + "look-up/index.html")
    expect(page.locator("article h1").first).to_be_visible()
    response = page.goto(server + "no/such/page/")
    assert response is not None
    assert response.status == 503
    assert page.url == server + "no/such/page/"
    expect(page.locator("h1")).to_have_text("This page is not on this device")
    bay.set_offline(False)
    page.get_by_role("link", name="Load this page again").click()
    expect(page.locator("article h1")).to_have_text("Page not found")
    page.locator("article a").first.click()
    page.wait_for_url(server)
