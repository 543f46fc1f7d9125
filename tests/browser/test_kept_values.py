"""What was typed stays on the device: put back where it was typed, offered elsewhere, cleared by a tap."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.browser.test_calculators import FOLLOW, PATIENCE, calculator, field
from tests.conftest import watched, without_python

CABLE, FUSE, DELAY = "look-up/cable-length/", "look-up/fuse-sizes/", "look-up/delay-by-distance/"
ALIGNMENT, SUPPLY = "stages/tuning/time-alignment/", "stages/design/supply/"
BOXES = "stages/design/subwoofer/"
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
    return records.filter(({ values }) => values);
  }
  return [];
}"""


def in_kept(work: str) -> str:
    """A script that works with ``given`` on the ``store`` of what was typed, and on its ``records``."""
    return """async (given) => {
  const { name } = (await indexedDB.databases()).find(({ name }) => name.startsWith("doorcard "));
  const opened = await new Promise((settle) => {
    const asked = indexedDB.open(name);
    asked.onsuccess = () => settle(asked.result);
  });
  const store = opened.transaction("typed", "readwrite").objectStore("typed");
  const records = await new Promise((settle) => (store.getAll().onsuccess = (e) => settle(e.target.result)));
  WORK
  await new Promise((settle) => (store.transaction.oncomplete = settle));
  opened.close();
}""".replace("WORK", work)


CHANGE_KEPT = in_kept("""const { typed, ...rest } = given;
  for (const record of records.filter(({ values }) => values)) {
    if (typed) for (const value of record.values) value.at = typed;
    store.put({ ...record, ...rest });
  }""")
VEHICLE_CAME = in_kept('store.put({ id: "vehicle", since: Date.now() });')


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """One device; Python is not needed to keep what is typed, and stays away."""
    with watched(browser.new_context(service_workers="block")) as made:
        without_python(made)
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
    wait_until_kept(where.page, {name: text})


def wait_until_kept(page: Page, fields: dict[str, str]) -> None:
    """Wait until a record on the device holds these fields."""
    for _ in range(600):
        if any(fields.items() <= record["fields"].items() for record in page.evaluate(KEPT)):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"{fields} was not kept: {page.evaluate(KEPT)}")


def wait_until_let_go(page: Page, name: str) -> None:
    """Wait until no record on the device has a field."""
    for _ in range(600):
        if all(name not in record["fields"] for record in page.evaluate(KEPT)):
            return
        page.wait_for_timeout(50)
    raise AssertionError(f"{name} was not let go: {page.evaluate(KEPT)}")


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
    expect(line(delay)).to_have_text(
        re.compile(r"Yours, from \d\d:\d\d: Speakers; Air in the cabin 68 °F\. The rest is the example’s\. ")
    )
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


def test_what_was_typed_is_kept_where_the_page_is_left_with_the_last_key(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")  # What is kept was opened: it takes a moment on a busy machine.
    field(cable, "current").fill("93")
    page.goto(server + "sources/")
    expect(field(opened(page, server + CABLE, "cable"), "current")).to_have_value("93")


def test_another_page_that_asks_for_the_same_offers_it_and_waits(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    field(delay, "temperature:unit").select_option("°F")
    type_and_wait(delay, "temperature", "88")
    again = opened(page, server + ALIGNMENT, "delay")
    before = field(again, "temperature").input_value()
    expect(line(again)).to_have_text(
        re.compile(r"Yours, on “Delay by distance”, from \d\d:\d\d: Air in the cabin 88 °F\. Use it")
    )
    assert field(again, "temperature").input_value() == before != "88"
    line(again).get_by_role("button", name="Use it").click()
    expect(field(again, "temperature")).to_have_value("88")
    expect(field(again, "temperature:unit")).to_have_value("°F")
    expect(line(again)).to_contain_text("Yours, from")


def test_another_calculator_is_offered_what_means_the_same_and_no_more(page: Page, server: str) -> None:
    """`current` has another label in the fuse's form; the route's air and its cable's sheath do not."""
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    field(cable, "ambient:unit").select_option("°F")
    type_and_wait(cable, "ambient", "140")
    fuse = opened(page, server + FUSE, "fuse")
    example = field(fuse, "current").input_value()
    expect(line(fuse)).to_have_text(
        re.compile(
            r"Yours, on “[^”]+”, from \d\d:\d\d: Hottest air along the route 140 °F\. Use itNext vehicle"
        )
    )
    line(fuse).get_by_role("button", name="Use it").click()
    expect(field(fuse, "ambient")).to_have_value("140")
    expect(field(fuse, "ambient:unit")).to_have_value("°F")
    assert field(fuse, "current").input_value() == example != "92"


def test_a_unit_that_cannot_be_chosen_stands_behind_the_number(page: Page, server: str) -> None:
    box = opened(page, server + BOXES, "sealed-box")
    field(box, "volume:unit").select_option("cu ft")
    type_and_wait(box, "volume", "0.75")
    leak = opened(page, server + BOXES, "leak-return")
    assert field(leak, "volume:unit").count() == 0
    expect(line(leak)).to_contain_text("Net volume of the box 0.75 cu ft.")
    line(leak).get_by_role("button", name="Use it").click()
    expect(field(leak, "volume")).to_have_value("0.75 cu ft")


def test_which_values_are_still_the_examples_is_said(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "length", "7.4")
    expect(line(cable)).to_have_text(
        re.compile(
            r"Yours, from \d\d:\d\d: Length of the route, one way 7\.4 m\. The rest is the example’s\. "
        )
    )


def test_an_old_value_waits_even_where_a_new_one_was_typed(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "length").input_value()
    type_and_wait(cable, "length", "7.4")
    page.evaluate(CHANGE_KEPT, {"typed": 1_700_000_000_000})
    page.reload()
    type_and_wait(cable, "current", "92")
    expect(line(cable)).to_contain_text("Yours, from 14 Nov, ")
    page.reload()
    expect(field(cable, "current")).to_have_value("92")
    expect(field(cable, "length")).to_have_value(example)
    line(cable).get_by_role("button", name="Use it").click()
    expect(field(cable, "length")).to_have_value("7.4")


def test_a_time_in_the_future_is_now(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    page.evaluate(CHANGE_KEPT, {"typed": 4_200_000_000_000})
    page.reload()
    expect(field(cable, "current")).to_have_value("92")
    expect(line(cable)).to_have_text(re.compile(r"^Yours, from \d\d:\d\d: "))


def test_a_store_that_could_not_be_opened_is_tried_again(page: Page, server: str) -> None:
    page.add_init_script(
        "const open = indexedDB.open;"
        "indexedDB.open = () => { indexedDB.open = open; throw new DOMException('refused'); };"
    )
    cable = opened(page, server + CABLE, "cable")
    expect(cable.locator(".dc-not-kept")).to_be_visible()
    type_and_wait(cable, "current", "92")


def test_a_record_of_another_calculator_at_this_place_is_left_alone(page: Page, server: str) -> None:
    """Every record becomes one of the page's last form: once that has its own, the first had its turn."""
    cable = opened(page, server + SUPPLY, "cable")
    charging = calculator(page, "charging-budget")
    example = field(cable, "current").input_value()
    type_and_wait(cable, "current", "92")
    type_and_wait(charging, "alternator", "90")
    page.evaluate(CHANGE_KEPT, {"calculator": "charging-budget"})
    page.reload()
    expect(field(charging, "alternator")).to_have_value("90")
    expect(field(cable, "current")).to_have_value(example)
    assert len(page.evaluate(KEPT)) == 2


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
    page.evaluate(CHANGE_KEPT, {"typed": 1_700_000_000_000})
    page.reload()
    expect(line(cable)).to_contain_text("Yours, from 14 Nov")
    expect(line(cable)).to_contain_text("Current 92 A")
    expect(field(cable, "current")).to_have_value(example)
    line(cable).get_by_role("button", name="Use it").click()
    expect(field(cable, "current")).to_have_value("92")


def test_the_next_vehicle_clears_all_and_can_be_undone(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    type_and_wait(delay, "temperature", "31")
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    type_and_wait(cable, "current", "92")
    line(cable).get_by_role("button", name="Next vehicle").click()
    expect(line(cable)).to_contain_text("The example is back on every page.")
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
    line(there).get_by_role("button", name="Use it").click()
    expect(field(there, "current")).to_have_value("92")
    line(here).get_by_role("button", name="Next vehicle").click()
    expect(line(there)).to_have_text(
        re.compile(r"Cleared in another tab\. Before the vehicle changed, from \d\d:\d\d: Current 92 A\. ")
    )
    type_and_wait(there, "length", "7.4")
    expect(line(there)).to_have_text(
        re.compile("Yours, from .*: Length .* Before the vehicle changed, from .*: Current")
    )
    other = opened(context.new_page(), server + SUPPLY, "cable")
    expect(line(other)).to_have_text(
        re.compile("Yours, on “.*: Length .*Before the vehicle changed, on “.*”, from .*: Current 92 A"),
        timeout=PATIENCE,
    )
    there.page.reload()
    expect(field(there, "length")).to_have_value("7.4")
    expect(field(there, "current")).to_have_value(example)


def test_a_tab_does_not_write_its_older_value_over_another_tabs(
    page: Page, context: BrowserContext, server: str
) -> None:
    here = opened(page, server + CABLE, "cable")
    type_and_wait(here, "current", "91")
    there = opened(context.new_page(), server + CABLE, "cable")
    expect(field(there, "current")).to_have_value("91")
    type_and_wait(here, "current", "92")
    expect(line(there)).to_contain_text("Yours, in another tab, from")
    type_and_wait(there, "length", "7.4")
    wait_until_kept(page, {"current": "92", "length": "7.4"})
    expect(field(there, "current")).to_have_value("91")
    expect(line(there)).to_contain_text("Yours, in another tab, from")  # It can still be taken.
    type_and_wait(there, "current", "90")  # What is typed last counts, in whichever tab.
    there.page.reload()
    expect(field(there, "current")).to_have_value("90")
    expect(field(there, "length")).to_have_value("7.4")


def test_what_is_typed_after_the_clock_was_set_back_is_kept(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    type_and_wait(cable, "current", "92")
    page.evaluate("() => { const now = Date.now; Date.now = () => now() - 3_600_000; }")
    type_and_wait(cable, "current", "93")


CLOCK_AHEAD = "() => { window.right = Date.now; Date.now = () => right() + 3_600_000; }"


@pytest.mark.parametrize("reloaded", [True, False])
def test_where_the_clock_was_ahead_as_the_vehicle_came_what_is_typed_since_is_of_this_one(
    page: Page, server: str, reloaded: bool
) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    page.evaluate(CLOCK_AHEAD)
    type_and_wait(cable, "current", "92")
    line(cable).get_by_role("button", name="Next vehicle").click()
    expect(field(cable, "current")).to_have_value(example)
    expect(line(cable)).to_contain_text("The example is back")
    if reloaded:
        page.reload()  # The clock is right again.
    else:
        page.evaluate("Date.now = right")
    type_and_wait(cable, "current", "93")
    for _ in range(2):
        page.reload()
        expect(field(cable, "current")).to_have_value("93")
        expect(line(cable)).to_contain_text("Yours, from")
        expect(line(cable)).not_to_contain_text("vehicle before")


def test_where_the_clock_was_ahead_as_a_job_was_opened_what_was_typed_before_is_of_the_vehicle_before(
    page: Page, server: str
) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    page.evaluate(CLOCK_AHEAD)
    type_and_wait(cable, "current", "92")
    page.evaluate(VEHICLE_CAME)
    for _ in range(2):
        page.reload()  # The clock is right again.
        expect(line(cable)).to_contain_text("Before the vehicle changed")
        expect(field(cable, "current")).to_have_value(example)
    type_and_wait(cable, "length", "7.4")
    page.reload()
    expect(field(cable, "length")).to_have_value("7.4")
    expect(field(cable, "current")).to_have_value(example)


def test_what_is_kept_is_text_of_unknown_origin(page: Page, server: str) -> None:
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "return").input_value()
    type_and_wait(cable, "current", "92")
    hostile = '"><img src=x onerror="document.title=1">'
    value = page.evaluate(KEPT)[0]["values"][0]
    fields = {"current": hostile, "return": hostile, "rows[9999].x": "1", "__proto__": "1"}
    back = {**value, "name": "return", "label": "Return", "means": cable_meaning(cable, "return"), "unit": ""}
    values = [value, back, {**value, "name": "rows"}, {**value, "name": "__proto__", "label": hostile}]
    page.evaluate(CHANGE_KEPT, {"fields": fields, "title": hostile, "values": values})
    page.reload()
    expect(field(cable, "current")).to_have_value(hostile)
    expect(field(cable, "return")).to_have_value(example)
    expect(line(cable)).to_contain_text("Left out, for it does not fit in here: Return.")
    again = opened(page, server + SUPPLY, "cable")
    expect(line(again)).to_contain_text("<img")
    assert page.locator("img[src=x]").count() == 0
    broken = (
        {"fields": None},
        {"fields": {"current": 1}},
        {"values": "current"},
        {"values": [{"name": "x"}]},
    )
    for change in (*broken, {"at": "now"}):
        page.evaluate(CHANGE_KEPT, change)
        cable = opened(page, server + CABLE, "cable")
        expect(field(cable, "current")).to_be_enabled()
        expect(line(cable)).to_be_hidden()
        page.evaluate(CHANGE_KEPT, {"fields": {"current": "92"}, "values": [value], "at": 1_700_000_000_000})


def cable_meaning(where: Locator, name: str) -> str:
    """What the form says that an input means."""
    return str(where.locator(f'[data-input="{name}"]').get_attribute("data-means"))


def test_what_no_longer_fits_is_named(page: Page, server: str) -> None:
    """Thirty rows were kept; a form of a newer release has room for fewer."""
    delay = opened(page, server + DELAY, "delay")
    type_and_wait(delay, "speakers[0].distance", "66.6")
    (record,) = page.evaluate(KEPT)
    rows = {f"speakers[{index}].distance": "50" for index in range(40)}
    page.evaluate(CHANGE_KEPT, {"fields": record["fields"] | rows})
    page.reload()
    expect(field(delay, "speakers[1].distance")).to_have_value("50")
    expect(line(delay)).to_contain_text("without what does not fit in here: Speakers.")


def test_where_nothing_can_be_kept_it_is_said_once_and_the_page_works(page: Page, server: str) -> None:
    page.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
    page.add_init_script("localStorage.setItem('/handbook/.__palette', '{\"color\": \"damaged\"}')")
    cable = opened(page, server + SUPPLY, "cable")
    expect(page.locator(".dc-not-kept")).to_have_text(re.compile("keeps nothing for this page"))
    field(cable, "current").fill("92")
    expect(cable.locator("[data-state]")).to_contain_text("Not worked out yet")
    expect(line(cable)).to_contain_text("Current 92 A")
    line(cable).get_by_role("button", name="Back to the example").click()
    expect(line(cable)).to_be_hidden()
    expect(page.locator(".dc-not-kept")).to_have_count(1)
    assert page.evaluate("JSON.parse(localStorage.getItem('/handbook/.__palette'))?.color") != "damaged"


def test_where_nothing_can_be_kept_each_page_says_so(page: Page, server: str) -> None:
    page.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
    opened(page, server + SUPPLY, "cable")
    expect(page.locator(".dc-not-kept")).to_have_count(1)
    page.evaluate(FOLLOW, server + FUSE)  # The scripts go on living.
    expect(calculator(page, "fuse").locator(".dc-not-kept")).to_have_count(1)
    expect(page.locator(".dc-not-kept")).to_have_count(1)


def test_where_nothing_can_be_kept_the_next_vehicle_asks_first_and_offers_no_way_back(
    page: Page, server: str
) -> None:
    page.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
    cable = opened(page, server + CABLE, "cable")
    example = field(cable, "current").input_value()
    field(cable, "current").fill("92")
    line(cable).get_by_role("button", name="Next vehicle").click()
    expect(line(cable)).to_contain_text("This browser keeps nothing: there is no way back.")
    line(cable).get_by_role("button", name="Keep them").click()
    expect(line(cable)).not_to_contain_text("no way back")
    expect(field(cable, "current")).to_have_value("92")
    line(cable).get_by_role("button", name="Next vehicle").click()
    line(cable).get_by_role("button", name="Throw them away").click()
    expect(line(cable)).to_have_text("The example is back on this page.")
    expect(field(cable, "current")).to_have_value(example)


def test_light_or_dark_follows_the_device_until_the_reader_switches(page: Page, server: str) -> None:
    def shows(scheme: str) -> None:
        expect(page.locator("body")).to_have_attribute("data-md-color-scheme", scheme)

    page.emulate_media(color_scheme="light")
    page.goto(server)
    shows("default")
    page.emulate_media(color_scheme="dark")  # At dusk, on the page that is open.
    shows("slate")
    page.emulate_media(color_scheme="light")
    page.goto(server + "sources/")
    shows("default")
    page.emulate_media(color_scheme="dark")
    page.goto(server + CABLE)
    shows("slate")
    page.locator("label[for^=__palette]:visible").click()
    shows("default")
    page.reload()
    expect(page.locator("label[for^=__palette]:visible")).to_have_count(1)
    shows("default")
    page.emulate_media(color_scheme="light")
    page.emulate_media(color_scheme="dark")
    page.reload()
    expect(page.locator("label[for^=__palette]:visible")).to_have_count(1)
    shows("default")
