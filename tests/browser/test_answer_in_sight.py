"""The answer in sight under a thumb: the bar, whose answer it is, and what makes typing quick."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.test_calculators import PATIENCE, calculator, field, wait_until_live
from tests.conftest import share, watched

WITH_KEYS = {"width": 390, "height": 544}
"""What a phone of 390 by 844 leaves when its keys are up."""
CABLE, DELAY = "look-up/cable-length/", "look-up/delay-by-distance/"
RUNTIME = re.compile(r"/runtime/")

# Taps the first field of each form that has not been met, and measures the main figure and the field.
TAP_EACH = """
(known) => [...document.querySelectorAll("doorcard-calculator")]
  .filter((form) => !known.includes(form.dataset.calculator))
  .map((form) => {
    const fields = [...form.querySelectorAll(".dc-form :is(input, select)")];
    const field = fields.find((field) => field.checkVisibility());
    if (!field) return null;
    field.focus();
    const box = (part) => {
      const { top, bottom, left, right } = part.getBoundingClientRect();
      return [top, bottom, left, right];
    };
    const figure = form.querySelector(".dc-bar strong");
    return {
      slug: form.dataset.calculator,
      shown: figure.checkVisibility({ visibilityProperty: true }),
      words: figure.textContent,
      size: parseFloat(getComputedStyle(figure).fontSize),
      figure: box(figure), bar: box(form.querySelector(".dc-bar")), field: box(field),
    };
  }).filter(Boolean)
"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone whose keys are up; Python stays away where a test does not need it."""
    made = browser.new_context(
        viewport=WITH_KEYS, has_touch=True, service_workers="block", reduced_motion="reduce"
    )
    with watched(made) as context:
        context.set_default_timeout(PATIENCE)
        yield context.new_page()


def test_the_main_figure_stays_in_sight_while_a_field_is_tapped(
    phone: Page, server: str, page_addresses: list[str], site: Path
) -> None:
    phone.route(RUNTIME, lambda route: None)
    met: dict[str, dict[str, Any]] = {}
    for address in share(page_addresses, 4):
        file = site / address / "index.html"
        text = file.read_text(encoding="utf-8") if file.is_file() else ""
        if set(re.findall('data-calculator="([^"]+)"', text)) <= set(met):
            continue
        phone.goto(server + address)
        for form in phone.evaluate(TAP_EACH, list(met)):
            met.setdefault(form["slug"], form)
    assert len(met) > 15
    for slug, form in met.items():
        assert form["shown"], slug
        assert form["words"], slug
        assert form["size"] >= 28, slug
        top, bottom, left, right = form["figure"]
        assert 0 <= top < bottom <= WITH_KEYS["height"], slug
        assert 0 <= left < right <= WITH_KEYS["width"], slug
        assert form["field"][1] <= form["bar"][0], f"{slug}: the bar covers the field"


def test_keys_that_lie_over_the_page_lift_the_bar(phone: Page, server: str) -> None:
    phone.set_viewport_size({"width": 390, "height": 844})
    phone.route(RUNTIME, lambda route: None)
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    field(cable, "current").focus()
    phone.evaluate("document.documentElement.style.setProperty('--keys', '300px')")
    box = cable.locator(".dc-bar strong").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= 544


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
    expect(bar.locator("strong")).to_have_text("See current")
    expect(bar).to_contain_text("“many” is not a number")
    phone.locator("h1").click()
    current.evaluate("(field) => field.blur()")
    bar.evaluate("(bar) => bar.click()")
    expect(current).to_be_focused()
    current.fill("54")
    expect(tag).to_have_text("Example")


def test_the_bar_follows_the_row_that_is_typed(phone: Page, server: str) -> None:
    phone.route(RUNTIME, lambda route: None)
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    figure = delay.locator(".dc-bar strong")
    for row in (1, 0):
        field(delay, f"speakers[{row}].distance").focus()
        name = field(delay, f"speakers[{row}].name").input_value()
        expect(figure).to_have_text(re.compile(rf"^{name} [\d.]+$"))


def test_a_first_tap_selects_and_a_second_puts_the_cursor(phone: Page, server: str) -> None:
    phone.route(RUNTIME, lambda route: None)
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
    phone.route(RUNTIME, lambda route: None)
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


def test_a_minus_needs_no_minus_on_the_keypad(phone: Page, server: str) -> None:
    phone.route(RUNTIME, lambda route: None)
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
    phone.route(RUNTIME, lambda route: None)
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
