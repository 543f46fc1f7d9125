"""What was typed into the job's own fields and not put in yet stays with its job, on the device."""

import re

from playwright.sync_api import Browser, Page, expect

from tests.browser.test_job_page import PATIENCE
from tests.conftest import watched


def begin(page: Page, title: str) -> None:
    """Start a job, and wait until it is told where it stands."""
    page.get_by_label(re.compile("Name of a new job")).fill(title)
    page.get_by_role("button", name="Start a new job").click()
    stands(page, title)


def stands(page: Page, title: str) -> None:
    """The open job has its fields."""
    desk = page.locator("doorcard-jobs")
    expect(desk).to_contain_text(f"Open: {title}", timeout=PATIENCE)
    expect(desk.locator("[aria-busy=false] details").first).to_be_attached(timeout=PATIENCE)


def test_what_is_typed_for_a_job_waits_for_it(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        page = context.new_page()
        page.goto(server + "job/")
        begin(page, "Blue van")
        desk = page.locator("doorcard-jobs")
        where = desk.get_by_label("Where", exact=True).filter(visible=True)
        desk.get_by_text("Lines of the sheets").click()
        desk.get_by_label("Kind of line").select_option("Mark on the vehicle")
        where.fill("Left sill")
        # Another vehicle comes in between; neither sees what is the other's.
        begin(page, "Red coupe")
        expect(where).to_have_count(0)
        desk.get_by_role("button", name="Open: Blue van").click()
        stands(page, "Blue van")
        expect(where).to_have_value("Left sill")
        # The phone throws the page away.
        page.reload()
        stands(page, "Blue van")
        expect(where).to_have_value("Left sill")
        desk.get_by_label("What", exact=True).filter(visible=True).fill("Scuff")
        desk.get_by_role("button", name="Put this line in").filter(visible=True).click()
        expect(desk).to_contain_text("Take back: Mark on the vehicle", timeout=PATIENCE)
        expect(desk.locator("[aria-busy=false]")).to_have_count(1)
        # Once put in it is the job's, and no fold opens for it.
        page.reload()
        stands(page, "Blue van")
        expect(where).to_have_count(0)
