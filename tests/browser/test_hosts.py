"""Hosts that take an address otherwise than most, and networks that answer in a host's place."""

import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests import conftest
from tests.browser.test_calculators import calculator, field
from tests.conftest import FOLDER, watched, without_python

CABLE = "look-up/cable-length/"
PORTAL = "<!doctype html><title>Sign in</title><h1>Sign in to this network</h1>"

Serve = Callable[[Path], AbstractContextManager[str]]


@pytest.fixture
def bare_server(site: Path, monkeypatch: pytest.MonkeyPatch, serve: Serve) -> Iterator[tuple[str, list[str]]]:
    """A host that gives a folder's page without its slash, and, asked for `?taken-off`, takes the slash off.

    In place of the service worker a network gives its own page.

    Gives its address, and the paths asked for.
    """
    genuine = conftest.handler(site)
    asked: list[str] = []

    class Bare(genuine):  # type: ignore[misc, valid-type]
        def do_GET(self) -> None:
            asked.append(self.path)
            super().do_GET()

        def send_head(self) -> object:
            if self.path.endswith("/service-worker.js"):
                self.path = f"{FOLDER}index.html"
            if "?taken-off" in self.path and self.path.split("?")[0].endswith("/"):
                self.send_response(308)
                self.send_header("Location", self.path.replace("/?", "?"))
                self.send_header("Content-Length", "0")
                self.end_headers()
                return None
            path = self.path.split("?")[0].removeprefix(FOLDER)
            if (site / path / "index.html").is_file() and not self.path.endswith("/"):
                self.path = f"{FOLDER}{path.rstrip('/')}/"
            return super().send_head()

    monkeypatch.setattr(conftest, "handler", lambda _folder: Bare)
    with serve(site) as address:
        yield address, asked


def test_a_page_given_without_its_slash_asks_for_it(page: Page, bare_server: tuple[str, list[str]]) -> None:
    """What it needs would be looked for in another folder."""
    address, _ = bare_server
    without_python(page)
    page.goto(f"{address}look-up/cable-length#cable-1")
    expect(field(calculator(page, "cable"), "current")).to_be_enabled()
    assert page.url == f"{address}{CABLE}#cable-1"


def test_a_host_that_takes_the_slash_off_is_not_asked_for_ever(
    browser: Browser, bare_server: tuple[str, list[str]]
) -> None:
    address, asked = bare_server
    with watched(browser.new_context(service_workers="block"), ("404",)) as context:
        page = context.new_page()
        page.goto(f"{address}{CABLE}?taken-off")
        expect(page.locator(".dc-locked")).to_contain_text("load the page anew")
    assert len([path for path in asked if path.endswith("?taken-off")]) == 2  # With the slash, and without.


def test_an_address_that_leads_nowhere_finds_the_start_at_any_depth(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block"), ("404",)) as context:
        page = context.new_page()
        page.goto(f"{server}look-up/nothing/here/at-all")
        page.wait_for_url(f"{server}404.html")
        page.get_by_role("link", name="Go to the start of the handbook").click()
        page.wait_for_url(server)
        page.goto(f"{server}nothing")
        page.get_by_role("link", name="Go to the start of the handbook").click()
        page.wait_for_url(server)


def test_a_sign_in_in_place_of_what_keeps_the_handbook_is_told(
    browser: Browser, bare_server: tuple[str, list[str]]
) -> None:
    address, _ = bare_server
    with watched(browser.new_context(service_workers="allow"), ("MIME",)) as context:
        page = context.new_page()
        page.goto(address)
        page.get_by_role("button", name="Keep this handbook").click()
        expect(page.locator("doorcard-offline")).to_contain_text(
            "is not the one of this release (service-worker.js). A network that wants you to sign in"
        )


def test_a_page_in_place_of_data_is_taken_for_none(page: Page, server: str) -> None:
    without_python(page)
    data = re.compile(r"/(offline|job)\.json$")
    page.route(data, lambda route: route.fulfill(body=PORTAL, content_type="text/html"))
    with page.expect_response(data):
        page.goto(server)
    expect(page.get_by_role("button", name="Keep this handbook")).to_have_text(
        "Keep this handbook on this device"
    )
    page.goto(server + "job/")
    page.get_by_role("button", name="Open the running job").click()
    expect(page.locator("doorcard-jobs")).to_contain_text("The running job cannot be fetched here")


def test_letters_are_ours_whatever_the_host_says(page: Page, server: str) -> None:
    """Units are among what is asked: as other letters no calculator knows them."""
    without_python(page)
    other = "text/html; charset=iso-8859-1"
    page.route(
        re.compile(f"{CABLE}$"), lambda route: route.fulfill(body=route.fetch().body(), content_type=other)
    )
    page.goto(server + CABLE)
    assert page.evaluate("document.characterSet") == "UTF-8"


def test_a_network_that_wants_a_sign_in_is_not_swapped_into_the_page(page: Page, server: str) -> None:
    """Its page under an address of ours: the page before would stay, bare, under the other's address."""
    without_python(page)
    page.goto(server)
    page.evaluate("globalThis.before = true")
    page.route(re.compile(f"{CABLE}$"), lambda route: route.fulfill(body=PORTAL, content_type="text/html"))
    page.locator(f"article a[href*='{CABLE}']").first.click()
    expect(page.get_by_role("heading", name="Sign in to this network")).to_be_visible()
    assert page.url.endswith(CABLE)
    assert page.evaluate("globalThis.before") is None
