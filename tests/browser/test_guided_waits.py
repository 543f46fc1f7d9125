"""A guided tune that waits: one tap leads back to it, in a tab that knows of no page before, and whole."""

import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any
from urllib.parse import urlsplit

from playwright.sync_api import Browser, Page, expect

from tests.browser.test_calculators import STATE
from tests.browser.test_guided import (
    CHANNELS,
    GUIDED,
    HALF_A_DAY,
    KEEP,
    NAMES,
    PHONE,
    RUNS,
    guided_page,
    measured,
    now,
    typed,
)
from tests.conftest import watched, without_python

LEFT = """async ([address, path, ago, record]) => {
  const { keep } = await import(address);
  const at = Date.now() - ago;
  await keep({ id: `${path}#guided`, calculator: "guided", title: "", at, values: [], ...record });
}"""
"""Keeps a guided tune from another page: its own would go on with it, and keep what Python says."""
LOOK = "async (address) => { await (await import(address)).recall(); }"

REFUSED_ONCE = """async (address) => {
  const { Kept } = await import(new URL("guided-kept.js", address).href);
  const { tryAgain, withStore } = await import(address);
  const kept = new Kept();
  const told = [];
  const tell = async () => {
    const { fields } = await withStore("readonly", (store) => store.get(kept.id));
    told.push([kept.refused, fields.runs, await kept.changed()]);
  };
  const write = (...all) => Promise.all(all.map((runs) => kept.write({ runs }))).then(tell);
  const { commit } = IDBTransaction.prototype;
  const full = (refusals) => IDBTransaction.prototype.commit = function () {
    return refusals-- > 0 ? this.abort() : commit.call(this);
  };
  await write("one");
  full(1);
  await write("two");
  await tryAgain().then(tell);
  full(1);
  await write("three", "four");  // The second is on its way before the first is refused.
  return told;
}"""


def way(runs: int) -> dict[str, Any]:
    mine = typed(CHANNELS)
    asked = {"guided-tune": json.dumps(mine | {"level_checked": "yes"}), "channels": json.dumps(mine)}
    return {"on": "yes", "ready": "measure", "of": "15"} | asked | measured(RUNS[:runs])


def home(page: Page, server: str) -> Page:
    """The home page in a tab opened anew: nothing is known there of a page before."""
    other = page.context.new_page()
    page.close()
    other.goto(server)
    return other


@contextmanager
def at_home(browser: Browser, server: str) -> Iterator[Page]:
    """The home page of a device that has kept nothing yet."""
    with watched(browser.new_context(viewport=PHONE, service_workers="block")) as device:
        without_python(device)
        page = device.new_page()
        page.goto(server)
        yield page


def expect_told(page: Page, server: str, told: str, record: dict[str, Any], ago: int = 0) -> None:
    """What the home page says of a guided tune, kept so many milliseconds ago, and where Last leads."""
    state = page.evaluate(STATE)
    page.evaluate(LEFT, [state, urlsplit(server + GUIDED).path, ago, record])
    page.goto(server)
    if told:
        expect(page.get_by_role("link", name=told)).to_be_visible()
    else:
        page.evaluate(LOOK, state)  # What the page says is told at the end of the same look.
        expect(page.locator("[data-waits]")).to_be_hidden()
    where = GUIDED if told else "look-up/"
    expect(page.locator(".dc-bottom [data-last]")).to_have_attribute("href", re.compile(f"{where}$"))


def test_the_home_page_and_last_lead_to_a_guided_tune_that_waits(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        page.evaluate(KEEP, [page.evaluate(STATE), 0, way(3)])
        page = home(page, server)
        line = page.get_by_role("link", name="A guided tune waits: 3 of 15 runs")
        expect(line).to_be_visible()
        last = page.locator(".dc-bottom [data-last]")
        expect(last).to_have_attribute("href", re.compile(f"{GUIDED}$"))
        line.click()
        expect(now(page)).to_contain_text(f"{NAMES[1]} at point")

        # From its screens and back: it is the screen that comes, and not a form of the whole page.
        page.locator("summary", has_text="Other ways, and the runs so far").click()
        page.get_by_role("button", name="Channels and settings").click()
        page.locator("[name=bass_gain]:visible").first.fill("7")
        page.goto(server)
        last.click()
        page.wait_for_url(server + GUIDED)
        expect(now(page)).to_contain_text(f"{NAMES[1]} at point")


WAITING = (
    ({}, "A guided tune waits: 3 of 15 runs"),
    ({"of": "3"}, ""),
    ({"of": "3", "finished": "yes"}, ""),
    # Every run is there, and Python says that it is not finished: it is not silent on the home page.
    ({"of": "3", "finished": "no"}, "A guided tune is not finished"),
)


def test_what_is_done_does_not_wait_and_what_is_not_as_expected_does(browser: Browser, server: str) -> None:
    with at_home(browser, server) as page:
        for fields, told in WAITING:
            expect_told(page, server, told, {"fields": way(3) | fields})


def test_what_may_be_of_another_vehicle_does_not_wait(browser: Browser, server: str) -> None:
    with at_home(browser, server) as page:
        expect_told(page, server, "A guided tune waits: 3 of 15 runs", {"fields": way(3)})
        expect_told(page, server, "", {"fields": way(3), "job": "job:another"})
        expect_told(page, server, "", {"fields": way(3)}, HALF_A_DAY)


def test_what_the_device_refuses_once_is_no_other_tabs_doing(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        told = page.evaluate(REFUSED_ONCE, page.evaluate(STATE))
    assert told == [
        [False, "one", ""],
        [True, "one", ""],
        [False, "two", ""],
        [False, "four", ""],
    ]
