"""The handbook on a device: kept whole when the reader asks, healed, brought up to date, no surprises."""

import json
import re
import shutil
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path
from random import Random
from typing import BinaryIO

import pytest
from playwright.sync_api import Browser, BrowserContext, Error, Locator, Page, expect

from calculators.site.offline_list import write_offline_list, write_service_worker
from tests import conftest
from tests.browser.test_calculators import PAGE_SCRIPT
from tests.conftest import SOAK, Once, pages_of

ROOT = Path(__file__).resolve().parents[2]
CALCULATOR_PAGE = "look-up/delay-by-distance/"
LIVE = "doorcard-calculator[data-live=answer]"
# Booting Python takes seconds on a busy machine; no test here is about speed.
PATIENCE = 90_000
FEW = ("", CALCULATOR_PAGE, "look-up/torque/", "look-up/fuse-sizes/", "look-up/")
NO_WORKER = "self.Worker = class extends EventTarget { postMessage() {} terminate() {} };"
KEEP_START = f"""async () => {{
  const {{ keepStart }} = await import(new URL("kept-start.js", {PAGE_SCRIPT}).href);
  const memory = new Uint8Array(1_000_000);
  const layout = {{ lengths: [], places: [] }};
  await keepStart("one", {{ layout, state: {{}}, length: 1, parts: [], memory }});
}}"""
BROKE_OFF = "The network, or the server, broke off."
OFFLINE_WORDS = ("net::ERR_INTERNET_DISCONNECTED", "503")
REFUSED_WORDS = ("integrity", "Failed to find a valid digest", "service-worker.js", "404")
KEPT_FILES = "caches.keys().then((names) => caches.open(names.find((name) => name.endsWith('files'))))"
FILES = f"{KEPT_FILES}.then((files) => files.keys()).then((keys) => keys.length)"

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]


@pytest.fixture
def device(browser: Browser, watched_contexts: Watched) -> BrowserContext:
    """A browser that may keep the handbook."""
    context = watched_contexts(browser.new_context(service_workers="allow"), OFFLINE_WORDS)
    context.set_default_timeout(PATIENCE)
    return context


@pytest.fixture(scope="session")
def few(site: Path, once: Once) -> Path:
    """The site with a few of its pages, which is kept in less time; the long tests keep all of it."""

    def fill(into: Path) -> None:
        others = {site / address for address in pages_of(site)} - {site / address for address in FEW}
        shutil.copytree(
            site,
            into / "site",
            ignore=lambda folder, names: {"index.html"}.intersection(names) if Path(folder) in others else (),
        )
        publish(into / "site", lambda home: home)

    return site if SOAK else once("few", fill) / "site"


@pytest.fixture(scope="module")
def few_server(few: Path) -> Iterator[str]:
    """The address of those."""
    with conftest.served(few) as address:
        yield address


@pytest.fixture
def copy(few: Path, tmp_path: Path) -> Path:
    """A copy of those that a test may change."""
    return Path(shutil.copytree(few, tmp_path / "site"))


@pytest.fixture
def copy_server(copy: Path, serve: Callable[[Path], AbstractContextManager[str]]) -> Iterator[str]:
    """The address of that copy."""
    with serve(copy) as address:
        yield address


def wait_until(page: Page, expression: str) -> None:
    """Ask the page until it says yes (its policy forbids `wait_for_function`)."""
    end = time.monotonic() + PATIENCE / 1000
    while not holds(page, expression):
        assert time.monotonic() < end, f"never true: {expression}"
        page.wait_for_timeout(100)


def holds(page: Page, expression: str) -> bool:
    """Not while the page is being left."""
    try:
        return bool(page.evaluate(expression))
    except Error:
        return False


def offer(page: Page) -> Locator:
    """What the home page says about keeping."""
    return page.locator("doorcard-offline")


def expect_phase(page: Page, phase: str) -> None:
    expect(offer(page)).to_have_attribute("data-phase", phase, timeout=PATIENCE)


def keep(page: Page, server: str) -> None:
    """Ask for the handbook on the home page, and wait until it is whole and answers for the page."""
    page.goto(server)
    offer(page).get_by_role("button", name="Keep this handbook").click()
    expect_phase(page, "kept")
    wait_until(page, "navigator.serviceWorker.controller !== null")


def wait_for_answer(page: Page) -> None:
    """Wait until Python has answered in the page."""
    page.wait_for_selector(LIVE, timeout=PATIENCE)


def cache_names(page: Page) -> list[str]:
    """The names of all caches of the origin."""
    return list(page.evaluate("caches.keys()"))


def rename_scripts(folder: Path, name: str = "doorcard-0123456789ab") -> None:
    """Give the scripts of the release in `folder` another address, as a change in them would."""
    old = next(folder.glob("assets/doorcard-*"))
    for path in [*folder.rglob("*.html"), *folder.glob("*.webmanifest")]:
        path.write_text(path.read_text(encoding="utf-8").replace(old.name, name), encoding="utf-8")
    old.rename(old.with_name(name))


def publish(folder: Path, change: Callable[[str], str]) -> None:
    """Change the home page in `folder` and make a release of it again."""
    home = folder / "index.html"
    home.write_text(change(home.read_text(encoding="utf-8")), encoding="utf-8")
    worker = folder / "service-worker.js"
    told = re.match(r"const RELEASE = (\{.*?\});", worker.read_text(encoding="utf-8"), re.S)
    assert told is not None
    shutil.copy(ROOT / "docs" / "service-worker.js", worker)
    write_service_worker(folder, write_offline_list(folder), json.loads(told[1])["policy"])


def test_nothing_is_fetched_until_the_reader_asks(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.add_init_script(NO_WORKER)
    page.goto(server)
    expect_phase(page, "offered")
    expect(offer(page)).to_contain_text("Not on this device yet")
    expect(offer(page).get_by_role("button")).to_have_text(re.compile(r"\d MB"))
    expect(offer(page)).not_to_contain_text("quick start")
    page.evaluate(KEEP_START)
    page.reload()
    expect(offer(page)).to_contain_text("for a quick start is kept already: 1.0 MB.")
    page.goto(server + CALCULATOR_PAGE)
    expect(page.locator("doorcard-kept")).to_contain_text("Not on this device.")
    page.wait_for_timeout(1500)  # Nothing may be installed unasked.
    assert page.evaluate("navigator.serviceWorker.getRegistration().then((found) => found === undefined)")
    page.get_by_role("link", name="Keep it on this device").click()
    expect(offer(page)).to_be_in_viewport()


def test_what_a_private_window_refuses_is_said(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.add_init_script(
        "ServiceWorkerContainer.prototype.getRegistration = () => Promise.reject(new Error('private'));"
    )
    page.goto(server)
    expect_phase(page, "unable")
    expect(offer(page)).to_contain_text("does not keep the handbook")


def test_a_reader_can_stop_and_go_on(
    device: BrowserContext,
    few: Path,
    monkeypatch: pytest.MonkeyPatch,
    serve: Callable[[Path], AbstractContextManager[str]],
) -> None:
    """The server holds the runtime back until the reader has pressed Stop."""
    go_on = threading.Event()
    genuine = conftest.handler(few)

    class Slow(genuine):  # type: ignore[misc, valid-type]
        def do_GET(self) -> None:
            if "/runtime/" in self.path:
                go_on.wait(30)
            super().do_GET()

    monkeypatch.setattr(conftest, "handler", lambda _folder: Slow)
    with serve(few) as address:
        page = device.new_page()
        page.goto(address)
        offer(page).get_by_role("button", name="Keep this handbook").click()
        expect(offer(page)).to_contain_text(re.compile(r"Not whole yet: [\d.]+ MB of [\d.]+ MB have come"))
        offer(page).get_by_role("button", name="Stop").click()
        go_on.set()
        expect_phase(page, "offered")
        wait_until(page, "caches.keys().then((names) => names.length === 0)")
        expect(offer(page)).to_contain_text("Not on this device yet")
        offer(page).get_by_role("button", name="Keep this handbook").click()
        expect_phase(page, "kept")


def test_a_download_that_breaks_off_goes_on_where_it_was(
    device: BrowserContext,
    few: Path,
    monkeypatch: pytest.MonkeyPatch,
    serve: Callable[[Path], AbstractContextManager[str]],
) -> None:
    """Python's library is cut off half-way: nobody blames the server, nor asks again for what has come."""
    genuine = conftest.handler(few)
    asked: list[str] = []
    broken = threading.Event()
    broken.set()

    class Breaking(genuine):  # type: ignore[misc, valid-type]
        def copyfile(self, source: BinaryIO, outputfile: BinaryIO) -> None:
            if "/library." in self.path and broken.is_set():
                outputfile.write(source.read(500_000))
                self.close_connection = True
            else:
                asked.append(self.path)
                super().copyfile(source, outputfile)

    monkeypatch.setattr(conftest, "handler", lambda _folder: Breaking)
    with serve(few) as address:
        page = device.new_page()
        page.goto(address)
        offer(page).get_by_role("button", name="Keep this handbook").click()
        expect_phase(page, "not kept")
        expect(offer(page)).to_contain_text(f"{BROKE_OFF} What has come is not fetched again.")
        had = page.evaluate(FILES)
        assert had > 0
        asked.clear()
        broken.clear()
        offer(page).get_by_role("button", name="Try again").click()
        expect_phase(page, "kept")
        assert len(asked) < page.evaluate(FILES) - had + 10  # The list and the service worker come again.


# Two looks of the service worker, one after the other: what the first lets go of is gone.
LOOK_TWICE = """
new Promise((settle) => {
  const { serviceWorker } = navigator;
  const again = setInterval(() => serviceWorker.controller.postMessage("check"), 50);
  let whole = 0;
  serviceWorker.addEventListener("message", ({ data }) => {
    if (data.kind === "whole" && ++whole === 2) settle(clearInterval(again));
  });
})
"""
LOSE_HOME = f"""
fetch("offline.json", {{ cache: "no-store" }}).then((reply) => reply.json()).then(async ({{ files }}) =>
  (await {KEPT_FILES}).delete(new URL(`kept/${{encodeURIComponent(files["./"].integrity)}}`, location.href)))
"""


def test_a_newer_version_that_breaks_off_is_said_and_goes_on_where_it_was(
    device: BrowserContext,
    copy: Path,
    monkeypatch: pytest.MonkeyPatch,
    serve: Callable[[Path], AbstractContextManager[str]],
) -> None:
    """One page of it is cut off, then held back while the home page, fetched before, is cleared away."""
    genuine = conftest.handler(copy)
    broken, held = threading.Event(), threading.Event()
    asked: list[str] = []

    class Breaking(genuine):  # type: ignore[misc, valid-type]
        def copyfile(self, source: BinaryIO, outputfile: BinaryIO) -> None:
            asked.append(self.path)
            if CALCULATOR_PAGE in self.path and broken.is_set():
                outputfile.write(source.read(1000))
                self.close_connection = True
                return
            if CALCULATOR_PAGE in self.path:
                held.wait(30)
            super().copyfile(source, outputfile)

    monkeypatch.setattr(conftest, "handler", lambda _folder: Breaking)
    held.set()
    device.add_init_script(NO_WORKER)
    with serve(copy) as address:
        page = device.new_page()
        keep(page, address)
        had = page.evaluate(FILES)
        with (copy / CALCULATOR_PAGE / "index.html").open("a", encoding="utf-8") as changed:
            changed.write("<!-- newer -->")
        publish(copy, lambda home: home.replace("</body>", "<!-- newer --></body>"))
        broken.set()
        page.reload()
        note = page.locator("doorcard-newer")
        expect(note).to_contain_text(f"could not be fetched. {BROKE_OFF}", timeout=PATIENCE)
        page.evaluate(LOOK_TWICE)
        assert page.evaluate(FILES) == had + 1
        broken.clear()
        held.clear()
        asked.clear()
        note.get_by_role("button", name="Try again").click()
        while not any(CALCULATOR_PAGE in path for path in asked):
            page.wait_for_timeout(20)
        assert page.evaluate(LOSE_HOME)
        held.set()
        expect(note.get_by_role("button", name="Load it now")).to_be_visible(timeout=PATIENCE)
        assert page.evaluate(FILES) == had + 2


# Deletes the pages of a stage and Python's library, as a browser short of room may.
LOSE_SOME = (
    f"const kept = {KEPT_FILES};"
    """
(async () => {
  const list = await (await fetch("offline.json")).json();
  const lost = Object.entries(list.files).filter(([address]) => /torque|fuse-sizes|library/.test(address));
  for (const [, { integrity }] of lost) {
    const key = new URL(`kept/${encodeURIComponent(integrity)}`, location.href);
    await (await kept).delete(key);
  }
  return lost.length;
})()
"""
)


def test_what_the_browser_has_cleared_away_is_said_and_comes_back(
    device: BrowserContext, few_server: str
) -> None:
    device.add_init_script(NO_WORKER)
    page = device.new_page()
    keep(page, few_server)
    whole = page.evaluate(FILES)
    assert page.evaluate(LOSE_SOME) > 2
    assert page.evaluate(FILES) < whole
    device.new_cdp_session(page).send("Network.clearBrowserCache")
    device.set_offline(True)
    page.evaluate("navigator.serviceWorker.controller.postMessage('check')")  # As a page does at its start.
    expect_phase(page, "not whole")
    expect(offer(page)).to_contain_text(re.compile(r"No longer whole on this device: \d+ files are missing"))
    other = device.new_page()
    response = other.goto(few_server + "look-up/torque/")
    assert response is not None
    assert response.status == 503
    assert other.url == few_server + "look-up/torque/"
    other.close()
    device.set_offline(False)  # The browser tells the page, and nobody has to press anything.
    expect_phase(page, "kept")
    assert page.evaluate(FILES) == whole


def test_a_changed_file_is_refused_and_nothing_is_kept(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="allow"), REFUSED_WORDS)
    tampered = copy / CALCULATOR_PAGE / "index.html"
    genuine = tampered.read_bytes()
    tampered.write_bytes(genuine.replace(b"</body>", b" </body>"))
    page = context.new_page()
    page.goto(copy_server)
    offer(page).get_by_role("button").click()
    expect_phase(page, "not kept")
    expect(offer(page)).to_contain_text(f"not the one of this release ({CALCULATOR_PAGE})")
    wait_until(page, "caches.keys().then((names) => names.length === 0)")
    assert page.evaluate("navigator.serviceWorker.controller") is None
    tampered.write_bytes(genuine)
    offer(page).get_by_role("button", name="Try again").click()
    expect_phase(page, "kept")


def test_where_there_is_no_room_it_is_said(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    """For the first copy, and for a newer version, which needs room for what has changed alone."""
    context = watched_contexts(browser.new_context(service_workers="allow"), REFUSED_WORDS)
    page = context.new_page()
    page.goto(copy_server)
    quota = context.new_cdp_session(page)

    def allow(megabytes: float | None) -> None:
        bytes_ = {} if megabytes is None else {"quotaSize": megabytes * 1e6}
        quota.send(
            "Storage.overrideQuotaForOrigin", {"origin": copy_server.removesuffix("/handbook/"), **bytes_}
        )

    allow(4)
    offer(page).get_by_role("button").click()
    expect_phase(page, "not kept")
    expect(offer(page)).to_contain_text(
        re.compile(r"There is no room: \d+\.\d MB are needed, [\d.]+ MB are free")
    )
    assert page.evaluate("caches.keys()") == []
    allow(None)
    offer(page).get_by_role("button", name="Try again").click()
    expect_phase(page, "kept")
    used = page.evaluate("navigator.storage.estimate().then(({ usage }) => usage)") / 1e6
    allow(used + 1)
    news = Random(1).randbytes(1_500_000).hex()  # It packs to half.
    publish(copy, lambda home: home.replace("</body>", f"<!-- {news} --></body>"))
    page.reload()
    note = page.locator("doorcard-newer")
    expect(note).to_contain_text(
        re.compile(r"out of date: a newer version is there.*no room"), timeout=PATIENCE
    )
    expect_phase(page, "kept")
    allow(used + 4)
    note.get_by_role("button", name="Try again").click()
    expect(note.get_by_role("button", name="Load it now")).to_be_visible(timeout=PATIENCE)


def kept_in_two_tabs(device: BrowserContext, server: str) -> tuple[Page, Page, str]:
    """The tab that keeps the handbook, another with a calculator, and the address of that one's manifest."""
    page = device.new_page()
    keep(page, server)
    other = device.new_page()
    other.goto(server + CALCULATOR_PAGE)
    manifest = other.evaluate(
        "new URL('runtime/manifest.js', document.querySelector('script[type=module]').src).href"
    )
    return page, other, manifest


def test_a_newer_version_waits_for_the_reader_and_leaves_other_tabs_alone(
    device: BrowserContext, copy: Path, copy_server: str
) -> None:
    device.add_init_script(NO_WORKER)
    page, other, manifest = kept_in_two_tabs(device, copy_server)
    other.evaluate("globalThis.sameDocument = true")
    first_names, first_files = cache_names(page), page.evaluate(FILES)
    rename_scripts(copy)
    publish(copy, lambda home: home.replace("</h1>", " second edition</h1>", 1))
    # What has not changed is not fetched again: the newer version is whole without the runtime.
    for file in copy.glob("assets/doorcard-*/runtime/*.bin"):
        file.unlink()
    page.reload()
    button = page.get_by_role("button", name="Load it now")
    expect(button).to_be_visible(timeout=PATIENCE)
    expect(page.locator("article h1").first).not_to_contain_text("second edition")
    button.click()
    expect(page.locator("article h1").first).to_contain_text("second edition", timeout=PATIENCE)
    # The other tab goes on with its own, whose files are still here, until its reader wants otherwise.
    note = other.locator("doorcard-newer")
    expect(note).to_contain_text("Another tab has loaded a newer version")
    assert other.evaluate("globalThis.sameDocument") is True
    assert other.evaluate("(url) => fetch(url).then(({ ok }) => ok)", manifest)
    note.get_by_role("button", name="Load it here").click()
    expect(note).to_be_hidden()
    wait_until(other, "document.querySelector('script[type=module]')?.src.includes('0123456789ab')")
    assert other.evaluate("globalThis.sameDocument === undefined")
    other.close()
    page.reload()
    wait_until(page, "caches.keys().then((names) => names.length === 2)")
    wait_until(page, f"{FILES}.then((count) => count === {first_files})")
    assert cache_names(page) != first_names


# The network has come back, of which a page tells the service worker; ends once that has looked.
CHECKED = """new Promise((settle) => {
  navigator.serviceWorker.addEventListener("message", ({ data }) => data.kind === "whole" && settle());
  dispatchEvent(new Event("online"));
})"""


def test_a_page_of_an_earlier_release_keeps_its_files_when_it_is_the_only_one(
    device: BrowserContext, copy: Path, copy_server: str
) -> None:
    device.add_init_script(NO_WORKER)
    page, other, manifest = kept_in_two_tabs(device, copy_server)
    rename_scripts(copy)
    publish(copy, lambda home: home.replace("</h1>", " second edition</h1>", 1))
    page.reload()
    page.get_by_role("button", name="Load it now").click()
    expect(page.locator("article h1").first).to_contain_text("second edition", timeout=PATIENCE)
    page.close()
    for _ in range(2):  # What the first look lets go of is gone by the end of the second.
        other.evaluate(CHECKED)
    session = device.new_cdp_session(other)
    session.send("Network.clearBrowserCache")
    session.send("ServiceWorker.enable")
    session.send("ServiceWorker.stopAllWorkers")  # In its next life it knows what is kept alone.
    assert other.evaluate("(url) => fetch(url).then(({ ok }) => ok)", manifest)


def test_a_page_of_another_release_is_not_swapped_in(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    """Nothing is kept here: the server moves on under a page that stays open."""
    page = watched_contexts(browser.new_context(service_workers="block"), ("404",)).new_page()
    page.add_init_script(NO_WORKER)
    page.goto(copy_server)
    page.evaluate("globalThis.sameDocument = true")
    rename_scripts(copy)
    page.locator(f"article a[href*='{CALCULATOR_PAGE}']").first.click()
    page.wait_for_url(f"**/{CALCULATOR_PAGE}")
    wait_until(page, "globalThis.sameDocument === undefined")
    expect(page.locator("doorcard-calculator .dc-form").first).to_have_js_property("disabled", False)
