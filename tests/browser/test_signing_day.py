"""What is told beside a signature: a clock behind the job, and values of the page's example it closes."""

from playwright.sync_api import BrowserContext, expect

from tests.browser.test_calculators import calculator, wait_until_live
from tests.browser.test_open_job import device, give_reason, start

__all__ = ["device"]


def test_a_clock_behind_the_job_is_told_beside_the_signature(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    start(page, "Bay 4")
    desk = page.locator("doorcard-jobs")
    desk.get_by_text("Answers still missing").click()
    expect(desk).to_contain_text("parked, by the form “")
    desk.get_by_role("button", name="This job has none: quote").click()
    desk.get_by_role("button", name="Yes, it has none").click()
    give_reason(desk)
    expect(desk.get_by_role("button", name="Sign", exact=True)).to_be_visible()
    expect(desk).not_to_contain_text("clock says")
    page.clock.set_fixed_time("2025-02-03T10:00:00")
    page.reload()
    expect(desk.get_by_role("button", name="Sign", exact=True)).to_be_visible()
    expect(desk).to_contain_text("This device’s clock says 2025-02-03, and the job was changed on ")


def test_a_price_of_the_page_s_example_is_signed_with_a_reason_alone(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Bay 5")
    page.goto(server + "stages/quote/quote/")
    quote = calculator(page, "quote")
    wait_until_live(quote)
    quote.get_by_role("button", name="Put this answer into").click()
    expect(quote).to_contain_text("It is in the job “Bay 5”")
    page.goto(server + "job/")
    expect(desk).to_contain_text("Not yet this vehicle's: of an example in the handbook (")
    desk.get_by_label("Initials of who did not").fill("B")
    desk.get_by_role("button", name="Sign", exact=True).click()
    expect(desk).to_contain_text("H1 closes values of the page's example")
    expect(desk.get_by_label("Initials of who did not")).to_have_value("B")
    desk.get_by_label("Why values of an example are signed").fill("a price for practice")
    desk.get_by_role("button", name="Sign", exact=True).click()
    expect(desk).to_contain_text("Take back: H1 signed")
