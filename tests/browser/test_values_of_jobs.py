"""What was typed into a form is of one job, and comes back with it."""

import re

from playwright.sync_api import BrowserContext, Page, expect

from tests.browser.test_calculators import STATE, calculator, field
from tests.browser.test_kept_values import CHANGE_KEPT, line, type_and_wait, wait_until_kept
from tests.browser.test_open_job import start
from tests.browser.test_two_vehicles import (
    CABLE,
    COUPE,
    LONG_AGO,
    MAKE,
    TREE,
    VAN,
    device,
    open_job,
    phone,
)

__all__ = ["device", "phone"]

NONE = ("", "")
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
