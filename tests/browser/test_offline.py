"""The handbook on a device: one visit keeps it whole, or not at all, and nothing surprises."""

import json
import re
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from calculators.site.offline_list import write_offline_list, write_service_worker

ROOT = Path(__file__).resolve().parents[2]
CALCULATOR_PAGE = "look-up/delay-by-distance/"
LIVE = "doorcard-calculator[data-live=answer]"
# Booting Python takes seconds on a busy machine; no test here is about speed.
PATIENCE = 90_000
NO_WORKER = "self.Worker = class extends EventTarget { postMessage() {} terminate() {} };"
OFFLINE_WORDS = ("net::ERR_INTERNET_DISCONNECTED",)
REFUSED_WORDS = ("integrity", "Failed to find a valid digest", "service-worker.js", "404")

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]


@pytest.fixture
def device(browser: Browser, watched_contexts: Watched) -> BrowserContext:
    """A browser that may keep the handbook."""
    context = watched_contexts(browser.new_context(service_workers="allow"), OFFLINE_WORDS)
    context.set_default_timeout(PATIENCE)
    return context


@pytest.fixture
def copy(site: Path, tmp_path: Path) -> Path:
    """A copy of the site that a test may change."""
    return Path(shutil.copytree(site, tmp_path / "site"))


@pytest.fixture
def copy_server(copy: Path, serve: Callable[[Path], AbstractContextManager[str]]) -> Iterator[str]:
    """The address of that copy."""
    with serve(copy) as address:
        yield address


def wait_until(page: Page, expression: str) -> None:
    """Ask the page until it says yes (its policy forbids `wait_for_function`)."""
    end = time.monotonic() + PATIENCE / 1000
    while not page.evaluate(expression):
        assert time.monotonic() < end, f"never true: {expression}"
        page.wait_for_timeout(100)


def wait_until_kept(page: Page) -> None:
    """The service worker takes pages over only when every file is on the device."""
    wait_until(page, "navigator.serviceWorker.controller !== null")


def wait_for_answer(page: Page) -> None:
    """Wait until Python has answered in the page."""
    page.wait_for_selector(LIVE, timeout=PATIENCE)


def cache_names(page: Page) -> list[str]:
    """The names of all caches of the origin."""
    return list(page.evaluate("caches.keys()"))


def publish(folder: Path, change: Callable[[str], str]) -> None:
    """Change the home page in `folder` and make a release of it again."""
    home = folder / "index.html"
    home.write_text(change(home.read_text(encoding="utf-8")), encoding="utf-8")
    worker = folder / "service-worker.js"
    told = re.match(r"const RELEASE = (\{.*?\});", worker.read_text(encoding="utf-8"), re.S)
    assert told is not None
    shutil.copy(ROOT / "docs" / "service-worker.js", worker)
    write_service_worker(folder, write_offline_list(folder), json.loads(told[1])["policy"])


def test_after_one_visit_a_calculator_answers_without_a_network(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + CALCULATOR_PAGE)
    wait_for_answer(page)
    wait_until_kept(page)
    device.set_offline(True)
    page.reload()
    wait_for_answer(page)
    result = page.locator("doorcard-calculator [data-result]").first
    before = result.inner_text()
    page.locator("doorcard-calculator input[inputmode=decimal]").first.fill("47")
    expect(result).not_to_have_text(before, timeout=PATIENCE)
    wait_for_answer(page)


def test_without_a_network_another_page_opens_in_place_and_in_a_new_tab(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server)
    wait_until_kept(page)
    device.set_offline(True)
    page.reload()
    page.evaluate("globalThis.sameDocument = true")
    page.locator(f"article a[href*='{CALCULATOR_PAGE}']").first.click()
    page.wait_for_url(f"**/{CALCULATOR_PAGE}")
    wait_for_answer(page)
    assert page.evaluate("globalThis.sameDocument") is True
    fresh = device.new_page()
    fresh.goto(server + CALCULATOR_PAGE)
    wait_for_answer(fresh)


def test_without_a_network_every_page_opens(
    device: BrowserContext, server: str, page_addresses: list[str]
) -> None:
    device.add_init_script(NO_WORKER)  # Python would start on every page that has a calculator.
    page = device.new_page()
    page.goto(server)
    wait_until_kept(page)
    device.set_offline(True)
    assert len(page_addresses) > 5
    for address in page_addresses:
        response = page.goto(server + address)
        assert response is not None
        assert response.from_service_worker
        assert "Content-Security-Policy".lower() in response.headers
        expect(page.locator("article h1").first).to_be_visible()


def test_addresses_are_forgiving_without_a_network(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server)
    wait_until_kept(page)
    device.set_offline(True)
    page.goto(server + "look-up")
    assert page.url == server + "look-up/"
    page.goto(server + "look-up/index.html")
    expect(page.locator("article h1").first).to_be_visible()
    page.goto(server + "no/such/page/")
    expect(page.locator("article h1")).to_have_text("Page not found")
    page.locator("article a").first.click()
    page.wait_for_url(server)


def test_the_button_says_the_size_and_the_end(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server)
    offline = page.locator("doorcard-offline")
    expect(offline).to_have_attribute("data-phase", re.compile("offered|keeping|kept"))
    expect(offline.locator("p").first).to_have_text(re.compile(r"\d MB"), timeout=PATIENCE)
    expect(offline).to_have_attribute("data-phase", "kept", timeout=PATIENCE)
    expect(offline.locator("button")).to_be_hidden()
    expect(offline.locator("progress")).to_be_hidden()


def test_a_changed_file_is_refused_and_nothing_is_kept(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="allow"), REFUSED_WORDS)
    tampered = copy / CALCULATOR_PAGE / "index.html"
    genuine = tampered.read_bytes()
    tampered.write_bytes(genuine.replace(b"</body>", b" </body>"))
    page = context.new_page()
    page.goto(copy_server)
    offline = page.locator("doorcard-offline")
    expect(offline).to_have_attribute("data-phase", "broken", timeout=PATIENCE)
    wait_until(page, "caches.keys().then((names) => names.length === 0)")
    assert page.evaluate("navigator.serviceWorker.controller") is None
    tampered.write_bytes(genuine)
    offline.get_by_role("button", name="Try again").click()
    expect(offline).to_have_attribute("data-phase", "kept", timeout=PATIENCE)


def test_a_newer_version_waits_for_the_reader(device: BrowserContext, copy: Path, copy_server: str) -> None:
    page = device.new_page()
    page.goto(copy_server)
    wait_until_kept(page)
    other = device.new_page()
    other.goto(copy_server + CALCULATOR_PAGE)
    first_names = cache_names(page)
    publish(copy, lambda home: home.replace("</h1>", " second edition</h1>", 1))
    # What has not changed is not fetched again: the newer version is whole without the runtime.
    for file in copy.glob("assets/doorcard-*/runtime/*.bin"):
        file.unlink()
    page.reload()
    button = page.get_by_role("button", name="Load it now")
    expect(button).to_be_visible(timeout=PATIENCE)
    expect(page.locator("article h1").first).not_to_contain_text("second edition")
    with other.expect_event("load"):  # The other tab must not go on with files that are gone.
        button.click()
    expect(page.locator("article h1").first).to_contain_text("second edition", timeout=PATIENCE)
    other.goto(copy_server)
    expect(other.locator("article h1").first).to_contain_text("second edition")
    wait_until(page, "caches.keys().then((names) => names.length === 1)")
    assert cache_names(page) != first_names
