"""A guided tune that waits: one tap leads back to it, in a tab that knows of no page before, and whole."""

import json
import re
from typing import Any

from playwright.sync_api import Browser, Page, expect

from tests.browser.test_guided import (
    CHANNELS,
    GUIDED,
    KEEP,
    NAMES,
    RUNS,
    STATE,
    guided_page,
    measured,
    now,
    typed,
)

KEPT_AS = """async ([address, finished]) => {
  const { keep, recall } = await import(address);
  const [record] = (await recall()).records.filter(({ id }) => id.endsWith("#guided"));
  await keep({ ...record, fields: { ...record.fields, finished } });
}"""

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


def test_what_is_done_or_of_another_vehicle_does_not_wait(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        state = page.evaluate(STATE)
        page.evaluate(KEEP, [state, 0, way(3) | {"of": "3"}])
        page = home(page, server)
        expect(page.locator(".dc-bottom [data-last]")).to_have_attribute("href", re.compile("look-up/$"))
        # Told at the end of the same look into the device's store.
        page.evaluate("async (address) => { await (await import(address)).recall(); }", state)
        expect(page.locator("[data-waits]")).to_be_hidden()


def test_all_measured_and_not_as_expected_waits(browser: Browser, server: str) -> None:
    """Every run is there, and Python says that it is not finished: it is not silent on the home page."""
    with guided_page(browser, server) as page:
        state = page.evaluate(STATE)
        page.evaluate(KEEP, [state, 0, way(3) | {"of": "3", "finished": "no"}])
        page = home(page, server)
        expect(page.get_by_role("link", name="A guided tune is not finished")).to_be_visible()
        expect(page.locator(".dc-bottom [data-last]")).to_have_attribute("href", re.compile(f"{GUIDED}$"))
        page.evaluate(KEPT_AS, [state, "yes"])
        page = home(page, server)
        expect(page.locator(".dc-bottom [data-last]")).to_have_attribute("href", re.compile("look-up/$"))
        page.evaluate("async (address) => { await (await import(address)).recall(); }", state)
        expect(page.locator("[data-waits]")).to_be_hidden()


def test_what_the_device_refuses_once_is_no_other_tabs_doing(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        told = page.evaluate(REFUSED_ONCE, page.evaluate(STATE))
    assert told == [
        [False, "one", ""],
        [True, "one", ""],
        [False, "two", ""],
        [False, "four", ""],
    ]
