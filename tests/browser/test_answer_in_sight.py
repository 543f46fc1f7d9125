"""The answer in sight under a thumb: the bar, whose answer it is, and what makes typing quick."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.test_calculators import PATIENCE, calculator, field, wait_until_live
from tests.conftest import watched, without_python

WITH_KEYS = {"width": 390, "height": 544}
"""What a phone of 390 by 844 leaves when its keys are up."""
WORKS_ON = """
self.WORKING = { kind: "working", step: "Placing filters", share: 0.4 };
self.Worker = new Proxy(Worker, {
  construct(Genuine, [address, options]) {
    if (!String(address).includes("/doorcard-")) return new Genuine(address, options);
    const say = (data) => worker.onmessage?.({ data });
    let work;
    const worker = {
      postMessage({ kind, id }) {
        clearInterval(work);
        if (kind === "start") setTimeout(say, 0, { kind: "ready" });
        if (kind === "ask") work = setInterval(say, 100, { ...WORKING, id });
        if (kind === "cancel") setTimeout(say, 0, { kind: "stopped", id });
      },
      terminate() { worker.onmessage = null; },
    };
    return worker;
  },
});
"""
"""Calculators that are at work for ever, and stop when they are told to."""
CABLE, DELAY = "look-up/cable-length/", "look-up/delay-by-distance/"


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone whose keys are up; Python stays away where a test does not need it."""
    made = browser.new_context(
        viewport=WITH_KEYS, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    with watched(made) as context:
        context.set_default_timeout(PATIENCE)
        yield context.new_page()


def test_keys_that_lie_over_the_page_lift_the_bar(phone: Page, server: str) -> None:
    phone.set_viewport_size({"width": 390, "height": 844})
    without_python(phone)
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    field(cable, "current").focus()
    phone.evaluate("document.documentElement.style.setProperty('--keys', '300px')")
    box = cable.locator(".dc-bar strong").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= 544
    for each in cable.locator(
        ".dc-form input:visible"
    ).all():  # Each comes up above the bar, not behind the keys.
        each.focus()
        typed_in, bar = each.bounding_box(), cable.locator(".dc-bar").bounding_box()
        assert typed_in is not None
        assert bar is not None
        assert typed_in["y"] + typed_in["height"] <= bar["y"], each.get_attribute("name")


def test_the_bottom_bar_makes_room_for_keys_alone(phone: Page, server: str) -> None:
    """They come up for what is typed and not for a choice, and are gone with the page that had the focus."""
    phone.set_viewport_size({"width": 390, "height": 844})
    without_python(phone)
    phone.goto(server + CABLE)
    cable, bottom = calculator(phone, "cable"), phone.locator(".dc-bottom")
    field(cable, "current").focus()
    expect(bottom).to_be_hidden()
    cable.locator(".dc-form select:visible").first.focus()
    expect(bottom).to_be_visible()
    expect(cable.locator(".dc-bar")).to_be_visible()
    field(cable, "current").focus()
    expect(bottom).to_be_hidden()
    bottom.get_by_role("link", name="Home", include_hidden=True).evaluate("(link) => link.click()")
    phone.wait_for_url(server)
    expect(bottom).to_be_visible()
    expect(phone.locator("[data-focus]")).to_have_count(0)


def test_an_answer_says_whose_it_is(phone: Page, server: str) -> None:
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    bar, tag = cable.locator(".dc-bar"), cable.locator("[data-tag]")
    expect(tag).to_have_text("Example")
    wait_until_live(cable)
    expect(cable).to_have_attribute("data-whose", "example")
    current = field(cable, "current")
    current.fill("20")
    expect(tag).to_have_text(re.compile(r"^Yours, \d\d:\d\d$"))
    expect(bar).to_contain_text("Yours")
    expect(bar.locator("strong")).to_have_text(cable.locator(".dc-main dd").inner_text())
    current.fill("many")
    expect(cable).to_have_attribute("data-whose", "error")
    expect(bar.locator("strong")).to_have_text("1 to mend")
    expect(bar.locator("[data-name]")).to_have_text(re.compile("^See “Current.*”$"))
    expect(bar).to_contain_text("“many” is not a number")
    phone.locator("h1").click()
    current.evaluate("(field) => field.blur()")
    bar.evaluate("(bar) => bar.click()")
    expect(current).to_be_focused()
    current.fill("54")
    expect(tag).to_have_text("Example")


def test_the_bar_follows_the_row_that_is_typed(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    figure = delay.locator(".dc-bar strong")
    for row in (1, 0):
        field(delay, f"speakers[{row}].distance").focus()
        name = field(delay, f"speakers[{row}].name").input_value()
        expect(delay.locator(".dc-bar [data-name]")).to_have_text(f"Set, in ms: {name}")
        expect(figure).to_have_text(re.compile(r"^[\d.]+$"))


@pytest.mark.parametrize(
    "names", [("Tw", "Tw"), ("Left 2", "Left"), ("Left", "Left 2"), ("Left, up", "Left")]
)
def test_the_bar_says_no_other_rows_figure(phone: Page, server: str, names: tuple[str, str]) -> None:
    """A name that two rows have, and one that begins another's."""
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    wait_until_live(delay)
    for row, name in enumerate(names):
        field(delay, f"speakers[{row}].name").fill(name)
        expect(delay.locator(".dc-main dd span").nth(row)).to_have_text(re.compile(f"^{name} [0-9.]+;$"))
    for row, name in enumerate(names):
        told = delay.locator(".dc-main dd span").nth(row).inner_text()
        field(delay, f"speakers[{row}].distance").focus()
        expect(delay.locator(".dc-bar [data-name]")).to_have_text(f"Set, in ms: {name}")
        expect(delay.locator(".dc-bar strong")).to_have_text(told.removeprefix(f"{name} ").removesuffix(";"))


def test_where_no_answer_came_no_field_is_called_wrong_for_what_it_held_before(
    phone: Page, server: str
) -> None:
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    wait_until_live(cable)
    current = field(cable, "current")
    current.fill("many")
    expect(current).to_have_attribute("aria-invalid", "true")
    phone.evaluate("""() => {
      const form = document.querySelector('doorcard-calculator[data-calculator="cable"]');
      form.show({ stopped: "This took too long." }, JSON.stringify(form.inputs()));
    }""")
    expect(cable.locator(".dc-bar")).to_contain_text("This took too long.")
    expect(cable.locator(".dc-bar strong")).to_have_text("None")
    expect(current).to_have_attribute("aria-invalid", "false")
    expect(cable.locator(".dc-error:visible")).to_have_count(0)


@pytest.mark.parametrize(
    ("address", "slug"),
    [
        ("stages/tuning/two-seats/", "all-pass"),
        ("stages/tuning/joining/", "sub-alignment"),
        (DELAY, "delay"),
    ],
)
def test_the_bar_says_the_whole_answer(phone: Page, server: str, address: str, slug: str) -> None:
    without_python(phone)
    phone.goto(server + address)
    form = calculator(phone, slug)
    form.locator(".dc-form :is(input, select):visible:not(.dc-row *)").first.focus()
    words = form.locator(".dc-bar [data-words]")
    expect(words).to_contain_text(form.locator(".dc-main dd").text_content() or "")
    cut, size = words.evaluate(
        "(told) => [told.scrollHeight - told.clientHeight, parseFloat(getComputedStyle(told).fontSize)]"
    )
    assert cut <= 2
    assert size >= 16
    expect(phone.locator(".dc-bar:visible")).to_have_count(1)  # Not that of another form beside it.


def test_the_bar_stands_over_no_other_answer(phone: Page, server: str) -> None:
    """A field that keeps the focus while the page is read on: its bar would stand under a worked example."""
    without_python(phone)
    phone.goto(server + "stages/pick-up/flattening/")
    form = calculator(phone, "flatten")
    form.locator(".dc-form :is(input, select, textarea):visible").first.focus()
    expect(form.locator(".dc-bar")).to_be_visible()
    phone.locator(".dc-worked").first.scroll_into_view_if_needed()
    expect(form.locator(".dc-bar")).to_be_hidden()


def test_long_work_is_stopped_on_the_bar(phone: Page, server: str) -> None:
    """The form's own Stop may lie under the bar."""
    phone.set_viewport_size({"width": 390, "height": 844})
    phone.add_init_script(WORKS_ON)
    phone.goto(server + "stages/tuning/tune/")
    tune = calculator(phone, "tune")
    bar, lift = tune.locator(".dc-bar"), field(tune, "max_boost")
    stop = bar.get_by_role("button", name="Stop")
    lift.focus()
    expect(bar.locator("strong")).to_be_visible()
    expect(stop).to_be_hidden()
    lift.fill("4")
    expect(bar).to_contain_text("Placing filters, 40 %.")
    expect(bar.locator("strong")).to_be_hidden()  # No old figure beside it.
    stop.tap()
    expect(tune.locator("[data-result]")).to_contain_text("Stopped.")
    expect(bar).to_contain_text("Stopped.")
    expect(lift).to_be_focused()
    expect(stop).to_be_hidden()


def test_a_first_tap_selects_and_a_second_puts_the_cursor(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + CABLE)
    current = field(calculator(phone, "cable"), "current")
    chosen = "(field) => field.value.slice(field.selectionStart, field.selectionEnd)"
    current.tap()
    assert current.evaluate(chosen) == current.input_value() != ""
    phone.wait_for_timeout(600)  # Two taps at once select a word.
    current.tap()
    assert current.evaluate(chosen) == ""
    current.press("Enter")
    assert phone.evaluate("document.activeElement !== document.body && document.activeElement.name") not in {
        False,
        "current",
    }


def test_another_unit_keeps_what_was_typed(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    distance, unit = field(delay, "speakers[0].distance"), field(delay, "speakers[].distance:unit")
    distance.fill("78")
    unit.select_option("in")
    expect(distance).to_have_value("30.71")  # 78 cm / 2.54
    unit.select_option("cm")
    expect(distance).to_have_value("78")
    air = field(delay, "temperature")
    air.fill("20")
    field(delay, "temperature:unit").select_option("°F")
    expect(air).to_have_value("68")


def test_another_unit_waits_where_a_number_may_be_two(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    unit = field(delay, "speakers[].distance:unit")
    first, second = field(delay, "speakers[0].distance"), field(delay, "speakers[1].distance")
    first.fill("１９２")
    second.fill("1e2")
    unit.select_option("in")
    expect(first).to_have_value("75.59")
    expect(second).to_have_value("39.37")
    unit.select_option("cm")
    expect(second).to_have_value("1e2")
    second.fill("1,200")
    unit.select_option("in")
    expect(unit).to_have_value("cm")
    expect(second).to_be_focused()
    expect(first).to_have_value("１９２")
    expect(second).to_have_value("1,200")


def test_a_minus_needs_no_minus_on_the_keypad(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    air = field(delay, "temperature")
    air.fill("7")
    key = air.locator("xpath=..").get_by_role("button", name="Change the sign")
    key.tap()
    expect(air).to_have_value("-7")
    key.tap()
    expect(air).to_have_value("7")
    expect(air).to_have_attribute("inputmode", "decimal")


def test_a_row_that_was_removed_comes_back(phone: Page, server: str) -> None:
    without_python(phone)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    names = delay.locator(".dc-row input[name$='.name']")
    before = [box.input_value() for box in names.all()]
    delay.locator(".dc-remove").nth(1).click()
    expect(names).to_have_count(len(before) - 1)
    expect(delay.locator(".dc-removed")).to_contain_text(f"Removed: {before[1]}.")
    delay.get_by_role("button", name="Undo").click()
    assert [box.input_value() for box in names.all()] == before
    assert [box.get_attribute("name") for box in names.all()] == [
        f"speakers[{row}].name" for row in range(len(before))
    ]
