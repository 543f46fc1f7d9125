"""The folder edition, from its ZIP, opened as a double-click opens it: no server, no network."""

import json
import re
import shutil
import zipfile
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from calculators.declaring.running import example_fields
from calculators.job.sheet import VERSION
from calculators.site.folder import write_folder, zip_folder
from calculators.stages import every_calculator
from tests.browser.test_calculators import (
    PATIENCE,
    calculator,
    expect_right_answer,
    field,
    reply_to,
    wait_until_live,
)
from tests.browser.test_open_job import put, start
from tests.conftest import share, watched

SOUNDS = "async (element) => (await element.sounds())?.map(({ buffer }) => buffer.byteLength)"

ASK_ANY = "async (element, [slug, inputs]) => (await element.beside('html', slug, inputs)).html"


def unpacked(site: Path, folder: Path) -> Path:
    """The ZIP that a reader is given, opened; gives the page to click."""
    write_folder(site, folder / "made")
    zip_folder(folder / "made", folder / "doorcard.zip")
    with zipfile.ZipFile(folder / "doorcard.zip") as archive:
        archive.extractall(folder / "given")
    return folder / "given" / "doorcard" / "index.html"


@pytest.mark.each_calculator
def test_the_handbook_works_from_a_folder(browser: Browser, site: Path, tmp_path: Path) -> None:
    home = unpacked(
        site, tmp_path / "Tür #1, 100 % ready"
    )  # As folders are called that nobody made for the web.
    assert not list(home.parent.rglob("*.bin"))
    expect_alone_page_says_so(browser, home, tmp_path / "alone")
    own_files = (f"asked {home.parent.as_uri()}/",)
    with watched(
        browser.new_context(offline=True, viewport={"width": 1280, "height": 800}), own_files
    ) as context:
        context.set_default_timeout(PATIENCE)
        page = context.new_page()
        page.goto(home.as_uri())
        expect(page.locator("doorcard-offline")).to_contain_text("opened from a folder on this device")
        page.locator(".dc-tiles a").first.click()
        answers_as_native_python_does(page)
        search_finds_another_page(page)
        page.goto((home.parent / "job" / "index.html").as_uri())
        the_job_is_opened_kept_and_opened_again(page)
        an_answer_leads_to_the_job_that_it_was_put_into(page, home)
        page.goto((home.parent / "having-it-done" / "timing" / "index.html").as_uri())
        wait_until_live(calculator(page, "hear-alignment"))
        sizes = page.locator("doorcard-listening").first.evaluate(SOUNDS)
        assert min(sizes) > 100_000


def test_a_file_that_was_cut_in_unpacking_is_named(browser: Browser, site: Path, tmp_path: Path) -> None:
    """Or is not there; once it is whole, the button helps."""
    home = unpacked(site, tmp_path)
    (python,) = home.parent.glob("assets/doorcard-*/runtime/python.*.js")
    whole = python.read_bytes()
    allowed = (
        f"asked {home.parent.as_uri()}/",
        "Unexpected end of input",
        "Invalid or unexpected token",
        "has not come whole",
        "ERR_FILE_NOT_FOUND",
    )
    with watched(browser.new_context(offline=True), allowed) as context:
        page = context.new_page()
        for contents, fault in ((whole[: len(whole) // 2], "damaged"), (None, "missing")):
            if contents is None:
                python.unlink()
            else:
                python.write_bytes(contents)
            page.goto((home.parent / "look-up" / "delay-by-distance" / "index.html").as_uri())
            delay = calculator(page, "delay")
            field(delay, "speakers[0].distance").fill("47")
            said = delay.locator("[data-engine]")
            expect(said).to_contain_text(f"{python.name} is {fault}: unpack the folder anew.")
        python.write_bytes(whole)
        scripts_that_were_cut_are_told(context.new_page(), home)
        said.get_by_role("button", name="Try again").click()
        wait_until_live(delay)
        expect_right_answer(delay)


def scripts_that_were_cut_are_told(page: Page, home: Path) -> None:
    """The page's own, and the one that brings it the files."""
    (assets,) = home.parent.glob("assets/doorcard-*")
    for name in ("page.js", "from-folder.js"):
        script = assets / name
        whole = script.read_bytes()
        script.write_bytes(b"{")
        page.goto((home.parent / "look-up" / "cable-length" / "index.html").as_uri())
        expect(page.locator(".dc-locked")).to_contain_text("Unpack the folder anew, the whole of it.")
        script.write_bytes(whole)


def expect_alone_page_says_so(browser: Browser, home: Path, elsewhere: Path) -> None:
    """Opened inside the ZIP a page is taken out alone; in the folder it says nothing of that."""
    elsewhere.mkdir()
    shutil.copy(home, elsewhere)
    with watched(browser.new_context(offline=True), ("asked file:", "ERR_FILE_NOT_FOUND")) as context:
        page = context.new_page()
        for place, seen in ((elsewhere / "index.html", True), (home, False)):
            page.goto(place.as_uri())
            expect(page.get_by_text("Unpack the whole ZIP")).to_be_visible(visible=seen)


def answers_as_native_python_does(page: Page) -> None:
    expect(page).to_have_url(re.compile(r"/look-up/delay-by-distance/index\.html$"))
    delay = calculator(page, "delay")
    expect(delay.get_by_role("button", name="Share")).to_have_count(0)
    field(delay, "speakers[0].distance").fill("47")
    wait_until_live(delay)
    expect_right_answer(delay)
    # Over http the printed answer is native Python's, and the first live one the printed one.
    for asked in share(every_calculator(), 6):
        inputs = example_fields(asked)
        assert delay.evaluate(ASK_ANY, [asked.slug, inputs]) == reply_to(asked.slug, inputs)["html"], (
            asked.slug
        )


def search_finds_another_page(page: Page) -> None:
    page.locator("[data-md-component=search-query]").click()
    page.keyboard.type("torque", delay=20)
    page.locator(".md-search-result__item a").first.click()
    expect(page).to_have_url(re.compile(r"/torque/index\.html"))
    expect(page.locator("article h1").first).to_be_visible()


def the_job_is_opened_kept_and_opened_again(page: Page) -> None:
    form = page.locator("doorcard-calculator")
    page.get_by_role("button", name="Open the running job").click()
    finished = "finished: nothing stale, missing or out of tolerance"
    expect(form.locator(".dc-main dd")).to_have_text(finished, timeout=PATIENCE)
    with page.expect_download() as kept:
        page.get_by_role("button", name="Keep it as a file").click()
    assert json.loads(kept.value.path().read_bytes())["sheet"]
    page.locator("input[type=file]").set_input_files(
        {
            "name": "a.json",
            "mimeType": "application/json",
            "buffer": b'{"sheet": {"version": 9, "title": ""}}',
        }
    )
    expect(page.locator("[data-error=job]")).to_contain_text(f"this release reads up to {VERSION}")
    page.locator("input[type=file]").set_input_files(kept.value.path())
    expect(form.locator(".dc-main dd")).to_have_text(finished)


def an_answer_leads_to_the_job_that_it_was_put_into(page: Page, home: Path) -> None:
    start(page, "Bay 8")
    page.goto((home.parent / "stages" / "design" / "supply" / "index.html").as_uri())
    form = calculator(page, "current-draw")
    put(form)
    form.get_by_role("link", name="To the job").click()
    expect(page.locator("doorcard-jobs")).to_contain_text("Open: Bay 8")
