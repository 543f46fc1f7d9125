"""The handbook on a device whose browser cannot read what it keeps, or whose host lacks a file."""

import json
import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_calculators import PAGE_SCRIPT
from tests.browser.test_offline import (
    KEPT_FILES,
    NO_WORKER,
    OFFLINE_WORDS,
    REFUSED_WORDS,
    Watched,
    copy,
    copy_server,
    expect_phase,
    few,
    keep,
    offer,
    wait_until,
)

__all__ = ["copy", "copy_server", "few"]

TORQUE = "look-up/torque/"
FAULT = """
let failures = 0;
const { keys } = CacheStorage.prototype;
CacheStorage.prototype.keys = function () {
  if (failures-- > 0) return Promise.reject(new DOMException("Unexpected internal error.", "UnknownError"));
  return keys.call(this);
};
addEventListener("message", ({ data, source }) => {
  if (data.failures === undefined) return;
  ({ failures } = data);
  source.postMessage({ kind: "failing" });
});
"""
FAIL = """failures => new Promise((settle) => {
  const { serviceWorker } = navigator;
  serviceWorker.addEventListener("message", ({ data }) => data.kind === "failing" && settle());
  serviceWorker.controller.postMessage({ failures });
})"""

# Half of a file is left of what is kept of it.
CUT = f"""async (address) => {{
  const {{ files }} = await (await fetch("offline.json", {{ cache: "no-store" }})).json();
  const kept = await {KEPT_FILES};
  const key = new URL(`kept/${{encodeURIComponent(files[address].integrity)}}`, location.href).href;
  const whole = await kept.match(key);
  const bytes = await whole.arrayBuffer();
  await kept.put(key, new Response(bytes.slice(0, bytes.byteLength / 2), {{ headers: whole.headers }}));
  return key;
}}"""
GIVEN = "(address) => fetch(address).then((reply) => reply.arrayBuffer()).then((bytes) => bytes.byteLength)"
LENGTH = f"""async (key) => {{
  const found = await (await {KEPT_FILES}).match(key);
  return (await found?.blob())?.size ?? 0;
}}"""
# What the service worker tells before and after, and by when the page must have heard of both.
TELL = "(data) => navigator.serviceWorker.dispatchEvent(new MessageEvent('message', { data }))"
WHOLE_NO_MORE = f"""async () => {{
  const {{ sizeOfStart }} = await import(new URL("kept-start.js", {PAGE_SCRIPT}).href);
  const tell = (data) => navigator.serviceWorker.dispatchEvent(new MessageEvent("message", {{ data }}));
  tell({{ kind: "whole", kept: 1e6 }});
  tell({{ kind: "not whole", missing: 2, why: "network" }});
  await sizeOfStart();
  await sizeOfStart();
}}"""


@pytest.fixture
def kept(browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str) -> Page:
    """A page of a handbook that is kept by a worker whose storage can be made to fail."""
    worker = copy / "service-worker.js"
    worker.write_text(FAULT + worker.read_text(encoding="utf-8"), encoding="utf-8")
    words = (*OFFLINE_WORDS, "cannot be read")
    context = watched_contexts(browser.new_context(service_workers="allow"), words)
    context.add_init_script(NO_WORKER)
    page = context.new_page()
    keep(page, copy_server)
    return page


def begin_to_fail(page: Page, failures: int) -> None:
    """A new life of the worker, whose next looks at the caches fail."""
    session = page.context.new_cdp_session(page)
    session.send("ServiceWorker.enable")
    session.send("ServiceWorker.stopAllWorkers")
    page.evaluate(FAIL, failures)


def status(page: Page, address: str) -> int:
    response = page.goto(address)
    assert response is not None
    return response.status


def test_a_storage_that_fails_once_is_read_again(kept: Page, copy_server: str) -> None:
    begin_to_fail(kept, 1)
    assert status(kept, copy_server + TORQUE) == 200
    kept.context.set_offline(True)
    assert status(kept, copy_server + TORQUE) == 200


def test_where_the_storage_fails_the_server_answers_and_it_is_said(kept: Page, copy_server: str) -> None:
    begin_to_fail(kept, 1_000_000)
    assert status(kept, copy_server + TORQUE) == 200
    assert status(kept, copy_server) == 200
    kept.evaluate("navigator.serviceWorker.controller.postMessage('check')")
    expect_phase(kept, "not whole")
    expect(offer(kept)).to_contain_text("Cannot be read on this device. The browser’s own storage failed.")
    kept.context.new_cdp_session(kept).send("Network.clearBrowserCache")
    kept.context.set_offline(True)
    assert status(kept, copy_server + TORQUE) == 503


def test_a_file_that_the_server_has_not_is_named(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    context: BrowserContext = watched_contexts(browser.new_context(service_workers="allow"), REFUSED_WORDS)
    shutil.rmtree(copy / TORQUE)
    page = context.new_page()
    page.add_init_script(NO_WORKER)
    page.goto(copy_server)
    offer(page).get_by_role("button").click()
    expect_phase(page, "not kept")
    expect(offer(page)).to_contain_text(f"The server does not give a file of this release ({TORQUE}).")


def test_a_kept_file_that_is_damaged_is_fetched_anew(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    """One that lies packed, and one that does not; then one without a network, which is told."""
    context = watched_contexts(browser.new_context(service_workers="allow"), OFFLINE_WORDS)
    context.add_init_script(NO_WORKER)
    page = context.new_page()
    keep(page, copy_server)
    icon = next(copy.glob("assets/doorcard-*/icon-192.png"))
    for address, file in ((TORQUE, copy / TORQUE / "index.html"), (icon.relative_to(copy).as_posix(), icon)):
        key = page.evaluate(CUT, address)
        cut = page.evaluate(LENGTH, key)
        assert page.evaluate(GIVEN, address) == file.stat().st_size
        wait_until(page, f"({LENGTH})({json.dumps(key)}).then((bytes) => bytes > {cut})")
    page.evaluate(CUT, TORQUE)
    context.new_cdp_session(page).send("Network.clearBrowserCache")
    context.set_offline(True)
    assert status(page, copy_server + TORQUE) == 503
    page.goto(copy_server)
    expect_phase(page, "not whole")
    expect(offer(page)).to_contain_text("No longer whole on this device: 1 file is missing.")
    context.set_offline(False)
    offer(page).get_by_role("button", name="Fetch what is missing").click()
    expect_phase(page, "kept")
    context.set_offline(True)
    assert status(page, copy_server + TORQUE) == 200


def test_a_size_that_comes_late_takes_nothing_back(kept: Page) -> None:
    kept.evaluate(WHOLE_NO_MORE)
    expect_phase(kept, "not whole")
    expect(offer(kept)).to_contain_text("2 files are missing")


def test_where_the_browser_does_not_tell_what_room_there_is_the_handbook_is_kept(
    browser: Browser, watched_contexts: Watched, copy: Path, copy_server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="allow"), ())
    worker = copy / "service-worker.js"
    untold = "StorageManager.prototype.estimate = async () => { throw new TypeError(); };\n"
    worker.write_text(untold + worker.read_text(encoding="utf-8"), encoding="utf-8")
    page = context.new_page()
    page.add_init_script(NO_WORKER)
    keep(page, copy_server)


def test_what_went_wrong_is_told_a_screen_reader_once_it_is_known(
    browser: Browser, watched_contexts: Watched, copy_server: str
) -> None:
    """The browser tells of a service worker that ended before that says why."""
    page = watched_contexts(browser.new_context(service_workers="allow"), ()).new_page()
    page.add_init_script(NO_WORKER)
    page.goto(copy_server)
    expect_phase(page, "offered")
    for why in ("network", "room"):
        page.evaluate(TELL, {"kind": "not kept", "why": why, "needed": 2e6, "free": 1e6})
    expect(offer(page).get_by_role("status")).to_contain_text("There is no room")
