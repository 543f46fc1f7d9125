"""A device that refuses, fills up or clears its stores: the page works, and the reader is told."""

from collections.abc import Callable

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_calculators import (
    PATIENCE,
    STATE,
    calculator,
    expect_right_answer,
    field,
    wait_until_live,
)
from tests.browser.test_kept_values import CABLE, line, opened, type_and_wait, wait_until_kept
from tests.browser.test_open_job import follow
from tests.browser.test_unkept_job import ANOTHER_WRITE, REFUSE
from tests.conftest import without_python

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]

# As where a reader has told the browser to keep nothing of any page. The theme's own first line reads the
# colours that were chosen, and fails: they are the browser's then.
REFUSED = """
const refuse = () => { throw new DOMException("refused", "SecurityError"); };
if (location.protocol !== "about:") {
  for (const name of ["localStorage", "sessionStorage"]) Object.defineProperty(window, name, { get: refuse });
  indexedDB.open = refuse;
  for (const name of ["open", "has", "keys", "delete"]) CacheStorage.prototype[name] = async () => refuse();
  ServiceWorkerContainer.prototype.getRegistration = async () => refuse();
  StorageManager.prototype.estimate = async () => refuse();
  window.BroadcastChannel = function () { refuse(); };
  for (const name of ["request", "query"]) LockManager.prototype[name] = async () => refuse();
}
"""
FULL = """() => {
  const { commit } = IDBTransaction.prototype;
  IDBTransaction.prototype.commit = function () { this.abort(); };
  window.thereIsRoom = () => void (IDBTransaction.prototype.commit = commit);
}"""
"""What a device without room does to what is written last, until there is room."""
SILENT = """
const { open } = IDBFactory.prototype;
IDBFactory.prototype.open = function (...asked) {
  const request = {};
  window.itOpens = () => {
    const real = open.call(this, ...asked);
    for (const name of ["onupgradeneeded", "onsuccess", "onerror"]) {
      real[name] = (event) => { request.result = real.result; request[name]?.(event); };
    }
  };
  return request;
};
"""
"""A store that neither opens nor fails, until it is told to."""


@pytest.fixture
def page(browser: Browser, watched_contexts: Watched) -> Page:
    """A page whose stores may be tampered with; no answer is wanted there."""
    context = watched_contexts(browser.new_context(service_workers="block"), ())
    without_python(context)
    return context.new_page()


def test_where_every_store_is_refused_the_calculators_answer_and_it_is_said(
    browser: Browser, watched_contexts: Watched, server: str
) -> None:
    context = watched_contexts(browser.new_context(service_workers="allow"), ("refused",))
    context.set_default_timeout(PATIENCE)
    context.add_init_script(REFUSED)
    page = context.new_page()
    page.goto(server)
    expect(page.locator("doorcard-offline")).to_contain_text("does not keep the handbook")
    cable = opened(page, server + CABLE, "cable")
    expect(page.locator(".dc-not-kept")).to_contain_text("what you type goes when the page does")
    field(cable, "current").fill("92")
    wait_until_live(cable)
    expect_right_answer(cable)
    line(cable).get_by_role("button", name="Next vehicle").click()
    line(cable).get_by_role("button", name="Throw them away").click()
    expect(line(cable)).to_have_text("The example is back on this page.")
    page.goto(server + "job/")
    page.get_by_role("button", name="Open the running job").click()
    expect(page.locator("doorcard-jobs")).to_contain_text("This browser does not keep it")


def test_what_is_typed_where_there_is_no_room_is_said_to_go_with_the_page(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    page.evaluate(FULL)
    expect(page.locator(".dc-not-kept")).to_have_count(0)
    field(cable, "current").fill("93")
    expect(page.locator(".dc-not-kept")).to_contain_text("what you type goes when the page does")
    expect(field(cable, "current")).to_have_value("93")
    # Room comes again, and something else of the page is kept: so is what the form had typed.
    page.evaluate("thereIsRoom()")
    page.evaluate(f"async () => void (await (await import({STATE})).forget('none'))")
    expect(page.locator(".dc-not-kept")).to_have_count(0)
    wait_until_kept(page, {"current": "93"})


def test_what_was_refused_goes_along_and_over_nothing_newer_of_another_tab(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    page.evaluate(REFUSE)
    field(cable, "length").fill("7.4")
    field(cable, "current").fill("93")
    expect(page.locator(".dc-not-kept")).to_be_visible()
    # The other tab knows 92 alone, and types over it last.
    other = page.context.new_page()
    there = opened(other, server + CABLE, "cable")
    expect(field(there, "current")).to_have_value("92")
    type_and_wait(there, "current", "94")
    follow(page, server + "look-up/torque/")
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    wait_until_kept(page, {"current": "94", "length": "7.4"})


def test_a_store_that_does_not_answer_is_told_of_and_waited_for(page: Page, server: str) -> None:
    page.add_init_script(SILENT)
    cable = opened(page, server + CABLE, "cable")
    field(cable, "current").fill("93")
    expect(page.locator(".dc-not-kept")).to_contain_text("what you type goes when the page does")
    page.evaluate("itOpens()")
    expect(page.locator(".dc-not-kept")).to_have_count(0)
    other = page.context.new_page()
    expect(field(opened(other, server + CABLE, "cable"), "current")).to_have_value("93")


def test_what_is_typed_after_the_browser_has_cleared_its_store_is_kept(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    origin = server.removesuffix("/handbook/")
    cleared = {"origin": origin, "storageTypes": "indexeddb"}
    page.context.new_cdp_session(page).send("Storage.clearDataForOrigin", cleared)
    type_and_wait(cable, "current", "93")
    page.reload()
    expect(field(calculator(page, "cable"), "current")).to_have_value("93")
