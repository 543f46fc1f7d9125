"""A file chosen on the page of jobs: which of two of one name is older, and the way back to the open job."""

import json
from collections.abc import Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.test_calculators import PATIENCE
from tests.browser.test_open_job import exported, give_reason, start
from tests.conftest import watched
from tests.native_worker import answered_beside

BACK = "Show “Tarnholm” again"
SIGNED = {"point": "H1", "by": "A", "at": "2026-03-02 10:42"}


@pytest.fixture
def page(browser: Browser) -> Iterator[Page]:
    with watched(browser.new_context(service_workers="block")) as device:
        device.set_default_timeout(PATIENCE)
        answered_beside(device)
        yield device.new_page()


def choose(page: Page, contents: object, name: str = "job.json") -> None:
    file = contents if isinstance(contents, bytes) else json.dumps(contents).encode()
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/json", "buffer": file}
    )


def named(contents: dict[str, Any], title: str) -> dict[str, Any]:
    return contents | {"sheet": contents["sheet"] | {"title": title}}


def test_an_older_file_of_the_same_name_is_told_from_the_job_that_is_here(page: Page, server: str) -> None:
    page.goto(server + "job/")
    desk = start(page, "Tarnholm")
    _, job = exported(desk)
    choose(page, job | {"sheet": job["sheet"] | {"hold_points": [SIGNED]}})
    expect(desk).to_contain_text("Open: Tarnholm, last entry 2026-03-02 10:42, came here 20")
    expect(desk).to_contain_text("Another job of this name is on this device: changed 20")
    expect(desk).to_contain_text("Signed elsewhere, not checked here: H1 A, 2026-03-02 10:42.")
    expect(desk.locator("li")).to_contain_text("Tarnholm, changed 20")
    # What is changed here is dated by that change.
    desk.get_by_role("button", name="Take the signature back").click()
    # A reason that was asked for goes with its job.
    expect(desk.get_by_label("Reason")).to_be_visible()
    desk.get_by_role("button", name="Close").click()
    expect(desk).to_contain_text("No job is open on this device.")
    expect(desk.get_by_label("Reason")).to_have_count(0)
    desk.locator("li", has_text="last entry 2026-03-02").get_by_role("button", name="Open").click()
    desk.get_by_role("button", name="Take the signature back").click()
    give_reason(desk)
    expect(desk).to_contain_text("Open: Tarnholm, changed 20")
    # One that says no date of its own.
    choose(page, named(job, "Bay 9"))
    expect(desk).to_contain_text("Open: Bay 9, no entry with a date, came here 20")
    expect(desk).not_to_contain_text("Another job of this name")


def test_from_a_file_that_is_left_or_refused_the_open_job_comes_back(page: Page, server: str) -> None:
    page.goto(server + "job/")
    desk = start(page, "Tarnholm")
    form, result = page.locator("input[type=file]"), page.locator("[data-result]")
    expect(result).to_contain_text("Tarnholm")
    choose(page, {"supply": {"voltage": 13.1}}, "facts.json")
    desk.get_by_role("button", name="Leave it").click()
    expect(result).to_contain_text("Tarnholm")
    assert form.evaluate("field => field.files[0].name").endswith("-tarnholm.json")
    for wrong, words in (
        (b"{not json", "Here it stops being JSON."),
        (b" " * 2_000_001, "It is larger than 2 MB"),
        ('{"sheet": {"version": 3, "title": "Käfer"}}'.encode("latin-1"), "It is not UTF-8 text."),
    ):
        choose(page, wrong)
        expect(desk.locator("[role=status]").first).to_contain_text(words)
        expect(page.locator("[data-error=job]")).not_to_be_empty()
        desk.get_by_role("button", name=BACK).click()
        expect(page.locator("[data-error=job]")).to_be_empty()
        expect(result).to_contain_text("Tarnholm")
        expect(desk.get_by_role("button", name=BACK)).to_have_count(0)
