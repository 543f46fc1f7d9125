"""An answer is taken along: by a link, which is text of unknown origin, and on paper."""

import base64
import json
import re
import zlib
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_calculators import calculator, field
from tests.browser.test_kept_values import KEPT, wait_until_kept
from tests.conftest import share, watched, without_python

CABLE, DELAY = "look-up/cable-length/", "look-up/delay-by-distance/"
# Sheets of A4 that a page is printed on, at most; every second is printed, in the long tests all.
MOST_SHEETS = {
    CABLE: 1,
    DELAY: 1,
    "look-up/fuse-sizes/": 1,
    "look-up/terminal-numbers/": 1,
    "look-up/torque/": 1,
    "look-up/load-wiring/": 1,
    "look-up/battery-voltage/": 1,
    "stages/tuning/levels/": 4,
}


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    """One device without Python, whose clipboard can be read."""
    with watched(browser.new_context(service_workers="block")) as made:
        made.grant_permissions(["clipboard-read", "clipboard-write"])
        without_python(made)
        yield made


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()


def carrying(shared: Any) -> str:
    """The fragment of a link that carries this."""
    packed = zlib.compress(json.dumps(shared).encode(), wbits=-15)
    return "#doorcard=" + base64.urlsafe_b64encode(packed).decode().rstrip("=")


def test_where_the_clipboard_is_refused_the_link_is_copied_by_hand(page: Page, server: str) -> None:
    page.add_init_script(
        "if (navigator.clipboard) navigator.clipboard.writeText = async () => { throw new Error(); };"
    )
    page.goto(server + DELAY)
    delay = calculator(page, "delay")
    delay.get_by_role("button", name="Share").click()
    by_hand = delay.get_by_label("Copy it from here")
    expect(by_hand).to_be_focused()
    link = page.evaluate("getSelection().toString()")
    assert link == by_hand.input_value()
    page.goto("about:blank")
    page.goto(link)
    opened = calculator(page, "delay")
    expect(opened.locator(".dc-yours")).to_contain_text("From a link.")
    expect(opened.locator(".dc-link")).to_have_count(0)
    opened.get_by_role("button", name="Not these").click()
    opened.get_by_role("button", name="Share").click()
    expect(opened.get_by_label("Copy it from here")).to_be_visible()
    field(opened, "speakers[0].distance").fill("66.6")
    expect(opened.locator(".dc-link")).to_have_count(0)  # It led to other values.


def test_a_link_opens_what_was_typed_and_keeps_nothing(page: Page, server: str) -> None:
    page.goto(server + DELAY)
    delay = calculator(page, "delay")
    example = field(delay, "speakers[0].distance").input_value()
    delay.locator(".dc-add").click()
    field(delay, "speakers[5].name").fill('Größe "neu"')
    field(delay, "speakers[0].distance").fill("66.6")
    expect(delay.locator(".dc-yours")).to_contain_text("Yours, from")
    delay.locator(".dc-actions").evaluate("(row) => row.querySelector('button').click()")
    expect(delay.locator(".dc-actions button").first).to_have_text("Copied")
    link = page.evaluate("navigator.clipboard.readText()")
    assert link.startswith(server + DELAY + "#doorcard=")
    page.evaluate(
        "async () => { for (const { name } of await indexedDB.databases()) indexedDB.deleteDatabase(name); }"
    )
    page.goto("about:blank")
    page.goto(link)
    opened = calculator(page, "delay")
    expect(opened.locator(".dc-yours")).to_contain_text("From a link.")
    expect(field(opened, "speakers[0].distance")).to_have_value("66.6")
    expect(field(opened, "speakers[5].name")).to_have_value('Größe "neu"')
    expect(opened).to_have_attribute("data-whose", "stale")
    assert page.evaluate(KEPT) == []
    opened.get_by_role("button", name="Not these").click()
    expect(field(opened, "speakers[0].distance")).to_have_value(example)


def test_what_is_kept_here_outlives_a_link(page: Page, server: str) -> None:
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    field(cable, "current").fill("31")
    wait_until_kept(page, {"current": "31"})
    page.goto("about:blank")
    fields = {"current": "92", "no_such_field": "1"}
    page.goto(server + CABLE + carrying({"calculator": "cable", "scripts": "another/", "fields": fields}))
    expect(field(cable, "current")).to_have_value("92")
    expect(cable.locator(".dc-yours")).to_contain_text("made with another release")
    assert [record["fields"]["current"] for record in page.evaluate(KEPT)] == ["31"]
    page.goto("about:blank")
    page.goto(server + CABLE)
    expect(field(cable, "current")).to_have_value("31")


def test_a_link_opened_into_a_page_that_stands_changes_its_form(page: Page, server: str) -> None:
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    field(cable, "current").fill("31")
    expect(cable.locator(".dc-yours")).to_contain_text("Yours, from")
    page.evaluate(
        "hash => { location.hash = hash; }",
        carrying({"calculator": "cable", "scripts": "x", "fields": {"current": "92"}}),
    )
    expect(field(cable, "current")).to_have_value("92")
    expect(cable.locator(".dc-yours")).to_have_count(1)
    expect(cable.locator(".dc-yours")).to_contain_text("From a link")
    cable.get_by_role("button", name="Not these").click()
    expect(field(cable, "current")).to_have_value("31")


BROKEN = (
    carrying({"calculator": "cable", "scripts": "x", "fields": {"current": "92"}})[:-1],
    "#doorcard=" + "A" * 8000,
    "#doorcard=%%%",
    "#doorcard=e30",
    carrying({"calculator": "cable", "scripts": "x", "fields": {"current": 92}}),
    carrying({"calculator": "fuse", "scripts": "x", "fields": {"current": "92"}}),
    carrying({"calculator": "cable", "scripts": "x", "fields": {"current": "92", "x": "9" * 300_000}}),
)


def test_a_broken_link_is_none(page: Page, server: str) -> None:
    for fragment in BROKEN:
        page.goto("about:blank")  # Else only the end of the address would change.
        page.goto(server + CABLE + fragment)
        cable = calculator(page, "cable")
        expect(field(cable, "current")).to_be_enabled()
        expect(cable.locator(".dc-yours")).to_contain_text("This link is not whole, or of another page")
        assert field(cable, "current").input_value() != "92", fragment[:40]


def test_a_broken_link_is_let_go_by_typing_by_a_tap_and_by_the_next_vehicle(page: Page, server: str) -> None:
    """What each does to a form in which something was typed before; loaded anew, the page says it no more."""
    cable = calculator(page, "cable")
    said = cable.locator(".dc-yours")
    page.goto(server + CABLE)
    field(cable, "current").fill("31")
    wait_until_kept(page, {"current": "31"})
    for way in ("Go on without it", "Type", "Back to the example", "Next vehicle"):
        page.goto("about:blank")
        page.goto(server + CABLE + BROKEN[0])
        expect(said).to_contain_text("This link is not whole")
        expect(said).to_contain_text("Yours, from")
        if way == "Type":
            field(cable, "current").fill("32")
        else:
            said.get_by_role("button", name=way).click()
        expect(said).not_to_contain_text("This link is not whole")
        assert page.url == server + CABLE, way
        if way != "Next vehicle":
            field(cable, "current").fill("33")
            wait_until_kept(page, {"current": "33"})
        page.reload()
        expect(field(cable, "current")).to_be_enabled()
        expect(said).not_to_contain_text("This link is not whole")


def test_what_a_messenger_takes_into_a_link_is_left_out(page: Page, server: str) -> None:
    link = carrying({"calculator": "cable", "scripts": "x", "fields": {"current": "92"}})
    for behind in (".", ")", "%20"):
        page.goto("about:blank")
        page.goto(server + CABLE + link + behind)
        expect(field(calculator(page, "cable"), "current")).to_have_value("92")


def test_paper_is_not_wasted(page: Page, server: str) -> None:
    for address, most in share(list(MOST_SHEETS.items()), 2):
        page.goto(server + address)
        sheets = len(re.findall(rb"/Type\s*/Page\b", page.pdf(prefer_css_page_size=True)))
        assert 1 <= sheets <= most, address


def test_what_is_copied_holds_the_dangers(context: BrowserContext, server: str) -> None:
    page = context.new_page()
    page.goto(server + "look-up/cable-length/")
    cable = calculator(page, "cable")
    cable.locator("[data-result]").evaluate(
        "(result) => result.insertAdjacentHTML('afterbegin',"
        " '<p class=\"dc-advice\"><strong>Danger:</strong> It burns.</p>')"
    )
    copy = cable.locator(".dc-actions button", has_text=re.compile("^Cop(y|ied)$"))
    copy.click()
    expect(copy).to_have_text("Copied")
    assert "Danger: It burns.\n" in page.evaluate("navigator.clipboard.readText()")
    copy.click()  # What it says meanwhile does not become its name.
    expect(copy).to_have_text("Copy")


def test_no_link_puts_a_stranger_s_shop_on_the_sheets_of_a_job(page: Page, server: str) -> None:
    fields = {"shop": "Evil Garage, call 0000", "address": "https://evil.example/", "release": "9.9"}
    link = carrying({"calculator": "job-sheet", "scripts": "another/", "fields": fields})
    page.goto(server + "job/" + link)
    sheet = calculator(page, "job-sheet")
    expect(sheet.locator(".dc-yours")).to_contain_text("A link fills no job sheet.")
    expect(sheet).not_to_contain_text("Ask for it again")
    for name in fields:
        expect(field(sheet, name)).to_have_value("")
    expect(sheet.get_by_role("button", name="Print card")).to_be_visible()
    for way in ("Share", "QR code"):
        expect(sheet.get_by_role("button", name=way)).to_have_count(0)
