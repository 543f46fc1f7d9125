"""What was typed into a form is of one job, and comes back with it."""

import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.test_calculators import PAGE_SCRIPT, STATE, calculator, field
from tests.browser.test_kept_values import CHANGE_KEPT, in_kept, line, type_and_wait, wait_until_kept
from tests.browser.test_open_job import start
from tests.browser.test_two_vehicles import (
    CABLE,
    COUPE,
    LONG_AGO,
    MAKE,
    OPEN,
    TREE,
    VAN,
    device,
    open_job,
    phone,
)
from tests.browser.test_unkept_job import REFUSE

__all__ = ["device", "phone"]

NONE = ("", "")
SUPPLY = "stages/design/supply/"
CLEAR = in_kept("store.clear();")
SHARED = f"""async () => {{
  const form = document.querySelector("doorcard-calculator");
  const {{ linkTo }} = await import(new URL("links.js", {PAGE_SCRIPT}).href);
  return linkTo({{ calculator: form.calculator, scripts: form.dataset.scripts, fields: form.inputs() }});
}}"""
OPENED = "async (address) => (await (await import(address)).recall()).open"


def test_each_job_has_its_own_values_in_a_form(phone: Page, server: str) -> None:
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    length = field(cable, "length")
    example = length.input_value()
    open_job(phone, VAN)
    type_and_wait(cable, "length", "6.2")
    open_job(phone, COUPE)
    expect(line(cable)).to_contain_text("Before the vehicle changed, from ")
    expect(length).to_have_value(example)
    type_and_wait(cable, "length", "7.7")
    open_job(phone, VAN)
    expect(line(cable)).to_contain_text("Yours, from ")
    expect(length).to_have_value("6.2")
    # A page that stands follows the job that another tab opens.
    other = phone.context.new_page()
    other.goto(server + TREE)
    open_job(other, COUPE)
    expect(length).to_have_value("7.7")
    # The next vehicle empties what is of none, and leaves each job its own.
    line(cable).get_by_role("button", name="Next vehicle").click()
    expect(line(cable)).to_contain_text("The example is back on every page.")
    expect(length).to_have_value(example)
    type_and_wait(cable, "length", "8.8")
    open_job(phone, VAN)
    expect(length).to_have_value("6.2")
    open_job(phone, COUPE)
    expect(length).to_have_value("7.7")
    open_job(phone, NONE)
    expect(length).to_have_value(example)


def test_where_nothing_is_kept_the_next_vehicle_says_what_comes_back(phone: Page, server: str) -> None:
    """The tab keeps what is of a job, and nothing of none."""
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    length, leave = field(cable, "length"), line(cable).get_by_role("button", name="Next vehicle")
    example = length.input_value()
    open_job(phone, VAN)
    phone.evaluate(REFUSE)
    length.fill("6.2")
    expect(cable).to_contain_text("This browser keeps nothing for this page")
    leave.click()
    stays = "What was typed for “Blue van” comes back with that job, as long as this tab stands open."
    expect(line(cable)).to_contain_text(f"The example is back on this page. {stays}")
    expect(length).to_have_value(example)
    length.fill("8.8")
    expect(line(cable)).to_contain_text("Yours, from ")
    phone.evaluate(OPEN, [phone.evaluate(STATE), *VAN])
    cable.evaluate("form => form.yours.look()")
    expect(length).to_have_value("6.2")
    leave.click()
    goes = "The next vehicle throws away the values typed in this tab for no job. "
    expect(line(cable)).to_contain_text(f"{goes}This browser keeps nothing: there is no way back. {stays}")
    line(cable).get_by_role("button", name="Keep them").click()
    expect(length).to_have_value("6.2")


def test_a_form_that_stands_open_holds_the_values_of_one_vehicle(phone: Page, server: str) -> None:
    """An answer of one vehicle's length and another's current is of neither."""
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    length, current = field(cable, "length"), field(cable, "current")
    shown = length.input_value(), current.input_value()
    open_job(phone, VAN)
    type_and_wait(cable, "length", "6.2")
    other = phone.context.new_page()
    other.goto(server + TREE)
    open_job(other, COUPE)
    expect(line(cable)).to_contain_text(re.compile("^Before the vehicle changed, from .*6.2 m.*Use it"))
    expect(length).to_have_value(shown[0])
    type_and_wait(cable, "current", "92")
    open_job(other, VAN)
    expect(length).to_have_value("6.2")
    expect(current).to_have_value(shown[1])
    open_job(other, NONE)
    expect(length).to_have_value(shown[0])
    # The same typed once more is of this one.
    type_and_wait(cable, "length", "6.2")
    phone.reload()
    expect(length).to_have_value("6.2")


def test_what_stands_nowhere_else_stays_in_its_field(phone: Page, server: str) -> None:
    """The browser has cleared the device away."""
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    open_job(phone, VAN)
    type_and_wait(cable, "length", "6.2")
    other = phone.context.new_page()
    other.goto(server + TREE)
    other.evaluate(CLEAR)
    open_job(other, COUPE)
    expect(line(cable)).to_contain_text("Before the vehicle changed, from ")
    expect(field(cable, "length")).to_have_value("6.2")


def test_what_is_typed_while_a_job_is_away_is_not_its_own(device: BrowserContext, server: str) -> None:
    """Deleted and taken back, or closed by the next vehicle and opened again by Undo."""
    desk, page = device.new_page(), device.new_page()
    desk.goto(server + "job/")
    page.goto(server + SUPPLY)
    draw, cable = calculator(page, "current-draw"), calculator(page, "cable")
    start(desk, "Blue van")
    put = cable.locator(".dc-job")
    expect(put).to_contain_text("“Blue van”")
    type_and_wait(cable, "length", "6.2")
    type_and_wait(draw, "supply", "12.9")
    desk.get_by_role("button", name="Delete it here").click()
    desk.get_by_role("button", name="Yes, delete it").click()
    expect(put).to_be_hidden()
    type_and_wait(cable, "length", "9.9")
    desk.get_by_role("button", name="Undo").click()
    expect(put).to_contain_text("“Blue van”")
    expect(field(cable, "length")).to_have_value("6.2")
    draw.get_by_role("button", name="Next vehicle").click()
    expect(line(draw)).to_contain_text("The example is back on every page.")
    type_and_wait(cable, "length", "8.8")
    draw.get_by_role("button", name="Undo").click()
    expect(put).to_contain_text("“Blue van”")
    expect(field(cable, "length")).to_have_value("6.2")
    expect(field(draw, "supply")).to_have_value("12.9")
    page.reload()
    expect(field(cable, "length")).to_have_value("6.2")
    expect(line(cable)).to_contain_text(re.compile("^Yours, from .*6.2 m"))


def test_a_link_opened_for_one_job_is_kept_for_the_next_by_a_tap(device: BrowserContext, server: str) -> None:
    desk, page = device.new_page(), device.new_page()
    desk.goto(server + "job/")
    start(desk, "Blue van")
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    field(cable, "length").fill("9.9")
    page.goto(page.evaluate(SHARED))
    page.reload()
    put, said = cable.locator(".dc-job > button").first, cable.locator(".dc-job [role=status]")
    expect(line(cable)).to_contain_text("From a link.")
    expect(put).to_have_text(re.compile("“Blue van”"))
    start(desk, "Red coupe")
    expect(put).to_have_text(re.compile("“Red coupe”"))
    put.click()
    expect(said).to_contain_text("Is it so on “Red coupe”?")
    said.get_by_role("button", name="Leave it").click()
    cable.get_by_role("button", name="Keep them").click()
    expect(line(cable)).to_contain_text(re.compile("^Yours, from .*9.9 m"))
    page.goto(server + TREE)
    page.goto(server + CABLE)
    expect(field(cable, "length")).to_have_value("9.9")


def test_what_a_job_had_days_ago_is_offered_to_no_other_vehicle(phone: Page, server: str) -> None:
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    open_job(phone, VAN)
    type_and_wait(cable, "length", "6.2")
    phone.evaluate(CHANGE_KEPT, {"typed": LONG_AGO})
    open_job(phone, COUPE)
    type_and_wait(cable, "current", "92")
    expect(line(cable)).not_to_contain_text("Before the vehicle changed")


def test_a_job_just_made_takes_on_what_was_typed_before_it_and_one_of_the_list_does_not(
    phone: Page, server: str
) -> None:
    phone.goto(server + CABLE)
    cable = calculator(phone, "cable")
    length, current = field(cable, "length"), field(cable, "current")
    example = length.input_value()
    type_and_wait(cable, "length", "6.2")
    phone.evaluate(MAKE, [phone.evaluate(STATE), "Hatchback"])
    phone.reload()
    expect(length).to_have_value("6.2")
    type_and_wait(cable, "current", "92")
    wait_until_kept(phone, {"length": "6.2", "current": "92"})
    hatchback = (phone.evaluate(OPENED, phone.evaluate(STATE)), "")
    open_job(phone, NONE)
    # A walk-in between two jobs.
    type_and_wait(cable, "length", "9.9")
    open_job(phone, hatchback)
    expect(length).to_have_value("6.2")
    expect(current).to_have_value("92")
    open_job(phone, VAN)
    expect(line(cable)).to_contain_text(re.compile("Before the vehicle changed, from .*9.9 m"))
    expect(length).to_have_value(example)


def test_a_value_of_yesterday_goes_into_no_job_unasked(device: BrowserContext, server: str) -> None:
    """The page has stood over night."""
    desk, page = device.new_page(), device.new_page()
    desk.goto(server + "job/")
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    type_and_wait(cable, "length", "9.9")
    page.evaluate("() => { const { now } = Date; Date.now = () => now() + 20 * 3_600_000; }")
    start(desk, "Red coupe")
    put = cable.locator(".dc-job > button").first
    expect(put).to_have_text(re.compile("^Put this answer into “Red coupe”"))
    put.click()
    said = cable.locator(".dc-job [role=status]")
    expect(said).to_have_text(re.compile("^Half a day ago or more, from .*9.9 m.* Is it so on “Red coupe”"))
    said.get_by_role("button", name="So here too").click()
    expect(said).to_contain_text("It is in the job “Red coupe”.")
