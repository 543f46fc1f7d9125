"""What was typed stays on the device: put back where it was typed, offered elsewhere, cleared by a tap."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.browser.test_calculators import calculator, field
from tests.conftest import watched

CABLE, FUSE, DELAY = "look-up/cable-length/", "look-up/fuse-sizes/", "look-up/delay-by-distance/"
ALIGNMENT, SUPPLY = "stages/tuning/time-alignment/", "stages/design/supply/"
RUNTIME = re.compile(r"/runtime/")
KEPT = """async () => {
  for (const { name } of await indexedDB.databases()) {
    const opened = await new Promise((settle) => {
      const asked = indexedDB.open(name);
      asked.onsuccess = () => settle(asked.result);
    });
    if (!opened.objectStoreNames.contains("typed")) { opened.close(); continue; }
    const request = opened.transaction("typed").objectStore("typed").getAll();
    const records = await new Promise((settle) => (request.onsuccess = () => settle(request.result)));
    opened.close();
    return records;
  }
  return [];
}"""
CHANGE_KEPT = """async (change) => {
  const { name } = (await indexedDB.databases()).find(({ name }) => name.startsWith("doorcard "));
  const opened = await new Promise((settle) => {
    const asked = indexedDB.open(name);
    asked.onsuccess = () => settle(asked.result);
  });
  const store = opened.transaction("typed", "readwrite").objectStore("typed");
  const records = await new Promise((settle) => (store.getAll().onsuccess = (e) => settle(e.target.result)));
  for (const record of records) store.put({ ...record, ...change });
  await new Promise((settle) => (store.transaction.oncomplete = settle));
  opened.close();
}"""


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """One device; Python is not needed to keep what is typed, and stays away."""
    with watched(browser.new_context(service_workers="block")) as made:
        made.route(RUNTIME, lambda route: None)
        yield made


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()


def line(where: Locator) -> Locator:
    return where.locator(".dc-yours")


def opened(page: Page, address: str, slug: str) -> Locator:
    page.goto(address)
    return calculator(page, slug)


def type_and_wait(where: Locator, name: str, text: str) -> None:
    """Type, and wait until it is kept."""
    field(where, name).fill(text)
    expect(line(where)).to_contain_text("Yours, from")
    for _ in range(50):
        if any(record["fields"].get(name) == text for record in where.page.evaluate(KEPT)):
            return
        where.page.wait_for_timeout(50)
    raise AssertionError(f"{name} was not kept")


def test_what_was_typed_survives_reload_back_and_a_closed_tab(
    page: Page, context: BrowserContext, server: str
) -> None:
    delay = opened(page, server + DELAY, "delay")
    example = field(delay, "speakers[0].distance").input_value()
    delay.locator(".dc-add").click()
    type_and_wait(delay, "speakers[5].distance", "66.6")
    field(delay, "temperature:unit").select_option("°F")
    type_and_wait(delay, "temperature", "68")
    page.reload()
    expect(field(delay, "speakers[5].distance")).to_have_value("66.6")
    expect(field(delay, "temperature:unit")).to_have_value("°F")
    expect(line(delay)).to_have_text(re.compile(r"Yours, from \d\d:\d\d\. "))
    page.locator('a[href$="torque/"]').first.evaluate("(link) => link.click()")
    page.wait_for_url("**/torque/")
    page.go_back()
    expect(field(delay, "speakers[5].distance")).to_have_value("66.6")
    page.close()
    again = opened(context.new_page(), server + DELAY, "delay")
    expect(field(again, "temperature")).to_have_value("68")
    line(again).get_by_role("button", name="Back to the example").click()
    expect(field(again, "speakers[0].distance")).to_have_value(example)
    expect(again.locator(".dc-row-list .dc-row")).to_have_count(5)
    expect(line(again)).to_be_hidden()


def test_another_page_that_asks_for_the_same_offers_it_and_waits(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    field(delay, "temperature:unit").select_option("°F")
    type_and_wait(delay, "temperature", "88")
    again = opened(page, server + ALIGNMENT, "delay")
    before = field(again, "temperature").input_value()
    expect(line(again)).to_contain_text("From “Delay by distance”, from ")
    expect(line(again)).to_contain_text("(temperature)")
    assert field(again, "temperature").input_value() == before != "88"
    line(again).get_by_role("button", name="Use them").click()
    expect(field(again, "temperature")).to_have_value("88")
    expect(field(again, "temperature:unit")).to_have_value("°F")
    expect(line(again)).to_contain_text("Yours, from")


def test_nothing_is_carried_to_another_calculator(page: Page, server: str) -> None:
    """A length of cable in feet is no length of a panel in centimetres."""
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    fuse = opened(page, server + FUSE, "fuse")
    example = field(fuse, "current").input_value()
    fuse.page.wait_for_timeout(500)
    expect(line(fuse)).to_be_hidden()
    assert field(fuse, "current").input_value() == example != "92"


def test_a_record_of_another_calculator_at_this_place_is_left_alone(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    type_and_wait(cable, "current", "92")
    page.evaluate(CHANGE_KEPT, {"calculator": "fuse"})
    page.reload()
    page.wait_for_timeout(500)
    expect(field(cable, "current")).to_have_value(example)


def test_the_next_vehicle_clears_every_form_of_the_page(page: Page, server: str) -> None:
    fuse = opened(page, server + SUPPLY, "fuse")
    charging = calculator(page, "charging-budget")
    examples = field(fuse, "current").input_value(), field(charging, "alternator").input_value()
    type_and_wait(charging, "alternator", "90")
    type_and_wait(fuse, "current", "92")
    line(fuse).get_by_role("button", name="Next vehicle").click()
    expect(field(charging, "alternator")).to_have_value(examples[1])
    expect(line(charging)).to_be_hidden()
    type_and_wait(charging, "alternator", "70")
    line(fuse).get_by_role("button", name="Undo").click()
    expect(field(fuse, "current")).to_have_value("92")
    expect(field(charging, "alternator")).to_have_value("70")
    page.reload()
    expect(field(charging, "alternator")).to_have_value("70")
    expect(field(fuse, "current")).to_have_value("92")


def test_old_values_wait_for_a_tap(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    type_and_wait(cable, "current", "92")
    page.evaluate(CHANGE_KEPT, {"at": 1_700_000_000_000})
    page.reload()
    expect(line(cable)).to_contain_text("Yours, from 14 Nov")
    expect(field(cable, "current")).to_have_value(example)
    line(cable).get_by_role("button", name="Use them").click()
    expect(field(cable, "current")).to_have_value("92")


def test_the_next_vehicle_clears_all_and_can_be_undone(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    type_and_wait(delay, "temperature", "31")
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    type_and_wait(cable, "current", "92")
    line(cable).get_by_role("button", name="Next vehicle").click()
    expect(line(cable)).to_contain_text("Cleared on every page.")
    expect(field(cable, "current")).to_have_value(example)
    assert page.evaluate(KEPT) == []
    line(cable).get_by_role("button", name="Undo").click()
    expect(field(cable, "current")).to_have_value("92")
    expect(line(cable)).to_contain_text("Yours, from")
    assert len(page.evaluate(KEPT)) == 2


def test_two_tabs_agree(page: Page, context: BrowserContext, server: str) -> None:
    here = opened(page, server + CABLE, "cable")
    there = opened(context.new_page(), server + CABLE, "cable")
    example = field(there, "current").input_value()
    type_and_wait(here, "current", "92")
    expect(line(there)).to_contain_text("Yours, in another tab, from")
    expect(field(there, "current")).to_have_value(example)
    line(there).get_by_role("button", name="Use them").click()
    expect(field(there, "current")).to_have_value("92")
    line(here).get_by_role("button", name="Next vehicle").click()
    expect(line(there)).to_contain_text("Cleared in another tab.")


def test_what_is_kept_is_text_of_unknown_origin(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "return").input_value()
    type_and_wait(cable, "current", "92")
    hostile = '"><img src=x onerror="document.title=1">'
    fields = {"current": hostile, "return": hostile, "rows[9999].x": "1", "__proto__": "1"}
    page.evaluate(CHANGE_KEPT, {"fields": fields, "title": hostile, "changed": ["current", hostile]})
    page.reload()
    expect(field(cable, "current")).to_have_value(hostile)
    expect(field(cable, "return")).to_have_value(example)
    again = opened(page, server + SUPPLY, "cable")
    expect(line(again)).to_contain_text("<img")
    assert page.locator("img[src=x]").count() == 0
    for change in ({"fields": None}, {"fields": {"current": 1}}, {"changed": "current"}, {"at": "now"}):
        page.evaluate(CHANGE_KEPT, change)
        cable = opened(page, server + CABLE, "cable")
        expect(field(cable, "current")).to_be_enabled()
        expect(line(cable)).to_be_hidden()
        page.evaluate(
            CHANGE_KEPT, {"fields": {"current": "92"}, "changed": ["current"], "at": 1_700_000_000_000}
        )


def test_where_nothing_can_be_kept_it_is_said_once_and_the_page_works(page: Page, server: str) -> None:
    page.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
    cable = opened(page, server + CABLE, "cable")
    expect(line(cable)).to_contain_text("keeps nothing for this page")
    field(cable, "current").fill("92")
    expect(cable.locator("[data-state]")).to_contain_text("Not worked out yet")
