"""A hold point signed on a device whose clock is behind the job: told beside the signature."""

from playwright.sync_api import BrowserContext, expect

from tests.browser.test_open_job import device, give_reason, start

__all__ = ["device"]


def test_a_clock_behind_the_job_is_told_beside_the_signature(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    start(page, "Bay 4")
    desk = page.locator("doorcard-jobs")
    desk.get_by_text("Answers still missing").click()
    desk.get_by_role("button", name="This job has none: quote").click()
    desk.get_by_role("button", name="Yes, it has none").click()
    give_reason(desk)
    expect(desk.get_by_role("button", name="Sign", exact=True)).to_be_visible()
    expect(desk).not_to_contain_text("clock says")
    page.clock.set_fixed_time("2025-02-03T10:00:00")
    page.reload()
    expect(desk.get_by_role("button", name="Sign", exact=True)).to_be_visible()
    expect(desk).to_contain_text("This device’s clock says 2025-02-03, and the job was changed on ")
