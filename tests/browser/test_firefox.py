"""The main ways in Firefox: the first in every run, all in the long tests, where Firefox is installed."""

import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from tests.browser.test_calculators import DELAY, reply_to
from tests.browser.test_folder import unpacked
from tests.conftest import SOAK
from tests.firefox import Firefox, opened_firefox

Serve = Callable[[Path], AbstractContextManager[str]]

CALCULATOR = "document.querySelector('doorcard-calculator')"
LIVE = f"{CALCULATOR}?.dataset.live === 'answer'"
FIELD = f"{CALCULATOR}.querySelector('[name=\"speakers[0].distance\"]')"
INPUTS = f"JSON.stringify({CALCULATOR}.inputs())"
NATIVE_ANSWER = f"{CALCULATOR}.shown === %s"
AHEAD = "blocked the loading of a resource (default-src)"
"""Firefox would fetch the page that comes next before it is asked for; our policy lets nothing be."""
BROKEN_OFF = "error loading dynamically imported module"
"""What a page says that is left while it fetches."""
ENGINE = f"{CALCULATOR}?.querySelector('[data-engine]').textContent"
OFFER = "document.querySelector('doorcard-offline')"
CABLE, TIMING = "look-up/cable-length/", "having-it-done/timing/"
UNIT = f"{CALCULATOR}.querySelector('[name=\"temperature:unit\"]')"
CHANGE = "new Event('change', { bubbles: true })"
SOUNDS = """
document.querySelector("doorcard-listening").sounds()
  .then((sounds) => sounds?.map(({ buffer }) => buffer.byteLength))
"""
FIND_TORQUE = "document.querySelector('.md-search-result__item a')?.href.includes('torque')"
OPEN_JOB = """
[...document.querySelectorAll("button")]
  .some((button) => button.textContent === "Open the running job" && (button.click(), true))
"""
UNLOCKED = f"{CALCULATOR} && !{CALCULATOR}.querySelector('fieldset[disabled]')"
JOB_STANDS = f"{CALCULATOR}.querySelector('.dc-main dd')?.textContent.startsWith('finished')"


@pytest.fixture(scope="module")
def firefox() -> Iterator[Firefox]:
    with opened_firefox() as opened:
        yield opened
        assert [fault for fault in opened.faults() if AHEAD not in fault] == []


def expect_native_answer(firefox: Firefox, slug: str) -> None:
    reply = reply_to(slug, json.loads(firefox.ask(INPUTS)))
    assert reply["errors"] == []
    firefox.wait(NATIVE_ANSWER % json.dumps(reply["html"]))


def type_distance(firefox: Firefox, text: str) -> None:
    """As a reader does: the field is chosen whole, then typed over."""
    firefox.ask(f"{FIELD}.focus(), {FIELD}.select()")
    firefox.type(text)


def test_a_page_answers_live_as_native_python_does(firefox: Firefox, server: str) -> None:
    firefox.open(server + DELAY)
    firefox.wait(LIVE)
    type_distance(firefox, "47")
    expect_native_answer(firefox, "delay")
    type_distance(firefox, "far")
    firefox.wait(
        "document.querySelector('[data-error=\"speakers[0].distance\"]').textContent.includes('far')"
    )
    assert firefox.ask(f"{CALCULATOR}.dataset.live") == "errors"
    type_distance(firefox, "48")  # The next test finds what is typed here.
    expect_native_answer(firefox, "delay")


def search_for_torque(firefox: Firefox) -> None:
    firefox.ask("document.querySelector('[data-md-component=search-query]').focus()")
    firefox.type("torque")
    firefox.wait(FIND_TORQUE)


def open_the_running_job(firefox: Firefox) -> None:
    firefox.wait(UNLOCKED)
    firefox.wait(OPEN_JOB)
    firefox.wait(JOB_STANDS)


def hear_two_sounds(firefox: Firefox) -> None:
    firefox.wait(LIVE)
    assert min(firefox.wait(SOUNDS)) > 100_000


def change_unit(firefox: Firefox) -> None:
    firefox.ask(f"{UNIT}.value = '°F', {UNIT}.dispatchEvent({CHANGE})")
    expect_native_answer(firefox, "delay")
    assert firefox.ask(f"{CALCULATOR}.inputs()['temperature:unit']") == "°F"


if SOAK:

    def test_what_was_typed_is_there_again(firefox: Firefox, server: str) -> None:
        """The page is left with the last key."""
        firefox.open(server + DELAY)
        firefox.wait(LIVE)
        type_distance(firefox, "51")
        firefox.open(server + CABLE)
        firefox.open(server + DELAY)
        firefox.wait(f"{FIELD}?.value === '51'")
        expect_native_answer(firefox, "delay")
        type_distance(firefox, "52")
        firefox.ask("globalThis.before = true, location.reload()")
        firefox.wait(f"!globalThis.before && {FIELD}?.value === '52' && {LIVE}")
        change_unit(firefox)

    def test_pages_left_while_python_starts_hold_up_no_other(firefox: Firefox, server: str) -> None:
        for _ in range(3):
            firefox.open(server + CABLE)
            firefox.open(server + DELAY)
        firefox.wait(LIVE)
        firefox.ask("history.back()")
        firefox.wait(f"location.pathname.endsWith('{CABLE}') && {LIVE}")
        assert all(AHEAD in fault or BROKEN_OFF in fault for fault in firefox.faults())

    def test_the_search_finds_a_page(firefox: Firefox, server: str) -> None:
        firefox.open(server)
        search_for_torque(firefox)

    def test_the_running_job_is_opened(firefox: Firefox, server: str) -> None:
        firefox.open(server + "job/")
        open_the_running_job(firefox)

    def test_sounds_are_made_to_compare(firefox: Firefox, server: str) -> None:
        firefox.open(server + TIMING)
        hear_two_sounds(firefox)

    def test_every_live_page_of_the_look_up_answers(firefox: Firefox, server: str, site: Path) -> None:
        for page in sorted(site.glob("look-up/*/index.html")):
            if "<doorcard-calculator" in page.read_text(encoding="utf-8"):
                firefox.open(f"{server}{page.parent.relative_to(site).as_posix()}/")
                firefox.wait(LIVE)
                expect_native_answer(firefox, firefox.ask(f"{CALCULATOR}.dataset.calculator"))

    def test_the_handbook_is_kept_and_answers_without_a_server(
        firefox: Firefox, site: Path, tmp_path: Path, serve: Serve
    ) -> None:
        copy = shutil.copytree(site, tmp_path / "site")
        with serve(copy) as address:
            firefox.open(address)
            firefox.wait(f"{OFFER}?.dataset.phase === 'offered'")
            firefox.ask(f"{OFFER}.querySelector('button').click()")
            firefox.wait(f"{OFFER}.dataset.phase === 'kept'")
            firefox.wait("navigator.serviceWorker.controller !== null")
        firefox.open(address + DELAY)
        firefox.wait(LIVE)
        type_distance(firefox, "49")
        expect_native_answer(firefox, "delay")

    def test_a_file_that_is_gone_is_named(firefox: Firefox, site: Path, tmp_path: Path, serve: Serve) -> None:
        copy = shutil.copytree(site, tmp_path / "site")
        (python,) = copy.glob("assets/doorcard-*/runtime/python.*.bin")
        python.unlink()
        with serve(copy) as address:
            firefox.open(address + CABLE)
            firefox.wait(f"{ENGINE}?.includes('{python.name} is not on the server')")
        assert all("404" in fault or AHEAD in fault for fault in firefox.faults())

    def test_the_handbook_works_from_a_folder(firefox: Firefox, site: Path, tmp_path: Path) -> None:
        home = unpacked(site, tmp_path)
        firefox.open(home.as_uri())
        firefox.wait(f"{OFFER}?.dataset.phase === 'folder'")
        firefox.open((home.parent / DELAY / "index.html").as_uri())
        firefox.wait(LIVE)
        type_distance(firefox, "53")
        expect_native_answer(firefox, "delay")
        change_unit(firefox)
        search_for_torque(firefox)
        firefox.open((home.parent / "job" / "index.html").as_uri())
        open_the_running_job(firefox)
        firefox.open((home.parent / TIMING / "index.html").as_uri())
        hear_two_sounds(firefox)
