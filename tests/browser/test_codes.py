"""A QR code of an answer on the screen, and the card that an answer is printed on, read back."""

import re
from io import BytesIO

import zxingcpp
from PIL import Image
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.browser.test_job_sheets import letters

A6 = (105 * 72 / 25.4, 148 * 72 / 25.4)
SIDES = 2
"""Of a card."""
FUSES = "look-up/fuse-sizes/"


# What is typed while the card's code is drawn is of no card that was asked for before.
PRINT_AND_TYPE = """
(form) => {
  [...form.querySelectorAll("button")].find(({ textContent }) => textContent === "Print card").click();
  const field = form.querySelector("[name=current]");
  field.value = "40";
  field.dispatchEvent(new InputEvent("input", { bubbles: true }));
}
"""


def read_codes(picture: bytes) -> list[str]:
    return [read.text for read in zxingcpp.read_barcodes(Image.open(BytesIO(picture)))]


def sheets(page: Page) -> list[str]:
    """The text of each sheet printed, all of which are A6."""
    printed = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True)))
    for sheet in printed.pages:
        assert [round(float(length)) for length in sheet.mediabox[2:]] == [round(length) for length in A6]
    return [sheet.extract_text() for sheet in printed.pages]


def test_a_code_opens_the_same_fields_and_stands_on_the_card(page: Page, server: str) -> None:
    page.set_viewport_size({"width": 390, "height": 844})
    page.emulate_media(color_scheme="dark")
    page.add_init_script("window.print = () => {}")
    page.goto(f"{server}look-up/cable-length/")
    cable = page.locator('doorcard-calculator[data-calculator="cable"]').first
    current = cable.locator('[name="current"]')
    current.fill("31.5")
    expect(cable).to_have_attribute("data-live", "answer", timeout=60_000)
    cable.get_by_role("button", name="QR code").click()
    code = cable.locator("svg.dc-code")
    expect(code).to_be_visible(timeout=20_000)
    (link,) = read_codes(code.screenshot())
    answer = cable.locator(".dc-main dd").first.inner_text()
    cable.evaluate(PRINT_AND_TYPE)
    expect(page.locator("body > .dc-card .dc-code")).to_have_count(1)
    printed = sheets(page)
    assert len(printed) <= SIDES
    sheet = letters("".join(printed))
    assert answer.split()[0] in sheet
    assert "31.5A" in sheet
    assert re.search(r"CautionS0\d", sheet)
    current.fill("32")
    expect(code).to_have_count(0)  # It would open other values than those that stand here now.
    page.goto("about:blank")
    page.goto(link)
    expect(current).to_have_value("31.5")


def test_the_tables_of_a_look_up_page_fit_a_card_that_opens_the_page(page: Page, server: str) -> None:
    page.add_init_script("window.print = () => {}")
    page.goto(server + FUSES)
    expect(page.locator("doorcard-calculator").first).to_have_attribute("data-live", "answer", timeout=60_000)
    page.get_by_role("button", name="Print as a card").click()
    code = page.locator("body > .dc-card .dc-code")
    expect(code).to_have_count(1)
    page.emulate_media(media="print")
    assert read_codes(code.screenshot()) == [server + FUSES]
    printed = sheets(page)
    assert len(printed) <= SIDES
    assert letters("Largest fuse in A by cable") in letters("".join(printed))
    assert letters("One hot metre decides") in letters(printed[0])
    expect(page.locator(".dc-card")).to_have_count(0)  # Printed, it is gone.
