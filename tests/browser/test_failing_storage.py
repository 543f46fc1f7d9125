"""The handbook on a device whose browser cannot read what it keeps, or whose host lacks a file."""

import shutil
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_offline import (
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
    expect(offer(page)).to_contain_text(f"A file of this release is not on the server ({TORQUE}).")
