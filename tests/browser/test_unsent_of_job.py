"""What was typed into the job's own fields and not put in yet stays with its job, on the device."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.browser.test_calculators import JOBS, PAGE_SCRIPT, STATE
from tests.browser.test_job_page import PATIENCE
from tests.browser.test_unkept_job import ANOTHER_WRITE, REFUSE
from tests.conftest import watched
from tests.native_worker import answered_beside

KEPT = f"""async (wanted) => {{
  const {{ recall }} = await import({STATE});
  for (let words, tries = 0; ; tries += 1) {{
    const unsent = (await recall()).records.filter(({{ calculator }}) => calculator === "unsent");
    const typed = unsent.flatMap(({{ fields }}) => Object.entries(fields));
    words = typed.flatMap(([name, word]) => name.startsWith("condition.marks  ") ? [word] : []).sort().join();
    if (words === wanted || tries === 100) return words;
    await new Promise((settle) => setTimeout(settle, 100));
  }}
}}"""
"""The words kept that were typed for new marks on the vehicle and not put in: waits for those wanted."""


WITH_CUSTOMER = f"""async () => {{
  const jobs = await import({JOBS});
  const {{ open }} = await jobs.recall();
  await jobs.change(open.id, "customer", async ({{ file, title }}) => {{
    const job = JSON.parse(file);
    job.sheet = {{ ...job.sheet, customer: [{{ field: "name", value: "Quillon Asterby" }}] }};
    return {{ file: JSON.stringify(job), title }};
  }});
}}"""
STOPPED = f"""async () => {{
  const {{ Engine }} = await import(new URL("engine.js", {PAGE_SCRIPT}).href);
  window.answersAgain = () => void delete Engine.ofTab.ask;
  Engine.ofTab.ask = async () => ({{ stopped: "Stopped here." }});
}}"""


def until_kept(page: Page, words: str) -> None:
    assert page.evaluate(KEPT, words) == words


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    with watched(browser.new_context(service_workers="block")) as made:
        answered_beside(made)
        yield made


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


def mark(page: Page, label: str) -> Locator:
    """A field of a new mark on the vehicle, in sight."""
    desk = page.locator("doorcard-jobs")
    field = desk.get_by_label(label, exact=True).filter(visible=True)
    kind = desk.get_by_label("Kind of line")
    if not kind.is_visible():
        desk.get_by_text("Lines of the sheets").click()
    kind.select_option("Mark on the vehicle")
    return field


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


def test_what_is_asked_of_a_job_goes_with_it(device: BrowserContext, server: str) -> None:
    page, other = device.new_page(), device.new_page()
    page.goto(server + "job/")
    other.goto(server + "job/")
    begin(page, "Red coupe")
    begin(page, "Blue van")
    desk = page.locator("doorcard-jobs")
    desk.get_by_text("Answers still missing").click()
    desk.get_by_role("button", name="This job has none: quote").click()
    expect(desk).to_contain_text("This job has no quote?")
    other.get_by_role("button", name="Open: Red coupe").click()
    expect(desk).to_contain_text("Open: Red coupe")
    expect(desk).not_to_contain_text("This job has no quote?")


def test_two_tabs_of_a_job_take_nothing_typed_from_each_other(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    begin(page, "Blue van")
    other = device.new_page()
    other.goto(server + "job/")
    stands(other, "Blue van")
    mark(page, "Where").fill("Left sill")
    until_kept(page, "Left sill")
    mark(other, "What").fill("Scuff")
    until_kept(page, "Left sill,Scuff")
    page.reload()
    stands(page, "Blue van")
    expect(mark(page, "Where")).to_have_value("Left sill")
    expect(mark(page, "What")).to_have_value("Scuff")
    mark(other, "What").fill("")
    until_kept(page, "Left sill")


def test_what_was_typed_while_nothing_was_kept_is_kept_later(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    begin(page, "Blue van")
    page.evaluate(REFUSE)
    mark(page, "Where").fill("Left sill")
    expect(page.get_by_text("This browser keeps nothing for this page")).to_be_visible()
    begin(page, "Red coupe")
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    until_kept(page, "Left sill")
    page.get_by_role("button", name="Open: Blue van").click()
    stands(page, "Blue van")
    expect(mark(page, "Where")).to_have_value("Left sill")
    page.reload()
    stands(page, "Blue van")
    expect(mark(page, "Where")).to_have_value("Left sill")


def test_a_job_that_was_deleted_comes_back_with_what_was_typed(device: BrowserContext, server: str) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    begin(page, "Blue van")
    mark(page, "Where").fill("Left sill")
    until_kept(page, "Left sill")
    page.get_by_role("button", name="Delete it here").click()
    page.get_by_role("button", name="Yes, delete it").click()
    until_kept(page, "")
    page.get_by_role("button", name="Undo").click()
    stands(page, "Blue van")
    expect(mark(page, "Where")).to_have_value("Left sill")
    until_kept(page, "Left sill")


def test_what_is_typed_stays_where_the_customer_could_not_be_erased(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    begin(page, "Blue van")
    page.evaluate(WITH_CUSTOMER)
    desk = page.locator("doorcard-jobs")
    erase = desk.get_by_role("button", name="Erase the customer, for good")
    expect(erase).to_be_visible(timeout=PATIENCE)
    mark(page, "Where").fill("Left sill")
    until_kept(page, "Left sill")
    desk.get_by_role("button", name="Keep it as a file").click()
    expect(desk).to_contain_text("Nor is what is typed here and not put in yet.")
    page.evaluate(STOPPED)
    erase.click()
    expect(desk).to_contain_text("Stopped here.")
    expect(mark(page, "Where")).to_have_value("Left sill")
    until_kept(page, "Left sill")
    page.evaluate("answersAgain()")
    erase.click()
    expect(erase).to_have_count(0, timeout=PATIENCE)
    expect(mark(page, "Where")).to_have_value("")
    until_kept(page, "")
    desk.get_by_role("button", name="Keep it as a file").click()
    expect(desk).to_contain_text("Photographs are not in this file.")
    expect(desk).not_to_contain_text("Nor is what is typed here")
