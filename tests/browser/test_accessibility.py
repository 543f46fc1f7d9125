"""Every page for everybody: axe finds nothing, and the keyboard does what a reader expects."""

from collections.abc import Callable

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

SCREENS = {"phone": (390, 844), "desk": (1280, 800)}

Watched = Callable[[BrowserContext], BrowserContext]


def violations(page: Page) -> list[str]:
    """What axe finds on the page as it stands, one line each."""
    found = Axe().run(page).response["violations"]
    return [
        f"{page.url}: {rule['id']}: {node['target']} {node['failureSummary']}"
        for rule in found
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_on_any_page(
    browser: Browser,
    watched_contexts: Watched,
    server: str,
    page_addresses: list[str],
    scheme: str,
    screen: str,
) -> None:
    width, height = SCREENS[screen]
    context = watched_contexts(
        browser.new_context(
            color_scheme=scheme,
            viewport={"width": width, "height": height},
            service_workers="block",
            reduced_motion="reduce",
        )
    )
    page = context.new_page()
    found = []
    for address in page_addresses:
        page.goto(server + address)
        wanted = "slate" if scheme == "dark" else "default"
        expect(page.locator("body")).to_have_attribute("data-md-color-scheme", wanted)
        found += violations(page)
    assert not found, "\n".join(found)


def test_axe_finds_nothing_in_the_open_search(page: Page, server: str) -> None:
    page.goto(server)
    page.locator("[data-md-component=search-query]").click()
    page.keyboard.type("delay", delay=50)
    expect(page.locator(".md-search-result__item").first).to_be_visible(timeout=30_000)
    assert not violations(page)


def test_a_letter_on_a_button_does_not_leave_the_page(page: Page, server: str) -> None:
    page.goto(server + "look-up/delay-by-distance/")
    button = page.locator("doorcard-calculator button").first
    for key in "pn,.fs/":
        button.focus()
        page.keyboard.press(key)
        expect(button).to_be_focused()
    page.wait_for_timeout(300)
    assert page.url == server + "look-up/delay-by-distance/"


def test_a_page_swapped_in_place_is_read_from_its_heading(page: Page, server: str) -> None:
    page.goto(server)
    page.evaluate("globalThis.sameDocument = true")
    page.locator("article a[href*='look-up/delay-by-distance/']").first.click()
    page.wait_for_url("**/look-up/delay-by-distance/")
    expect(page.locator("article h1")).to_be_focused()
    assert page.evaluate("globalThis.sameDocument") is True
