"""The main ways in Firefox: the first in every run, all in the long tests, where Firefox is installed."""

import json
import shutil
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from pathlib import Path

import pytest

from tests.browser.test_calculators import DELAY, reply_to
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
OFFER = "document.querySelector('doorcard-offline')"


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


if SOAK:

    def test_what_was_typed_is_there_again(firefox: Firefox, server: str) -> None:
        firefox.open(server + DELAY)
        firefox.wait(LIVE)
        type_distance(firefox, "51")
        expect_native_answer(firefox, "delay")
        firefox.open(server + "look-up/cable-length/")
        firefox.open(server + DELAY)
        firefox.wait(f"{FIELD}?.value === '51'")
        expect_native_answer(firefox, "delay")

    def test_the_search_finds_a_page(firefox: Firefox, server: str) -> None:
        firefox.open(server)
        firefox.ask("document.querySelector('[data-md-component=search-query]').focus()")
        firefox.type("torque")
        firefox.wait("document.querySelector('.md-search-result__item a')?.href.includes('torque')")

    def test_the_running_job_is_opened(firefox: Firefox, server: str) -> None:
        firefox.open(server + "job/")
        firefox.wait("!document.querySelector('doorcard-calculator')?.querySelector('fieldset[disabled]')")
        firefox.wait(
            "[...document.querySelectorAll('button')]"
            ".some((button) => button.textContent === 'Open the running job' && (button.click(), true))"
        )
        firefox.wait(f"{CALCULATOR}.querySelector('.dc-main dd')?.textContent.startsWith('finished')")

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
