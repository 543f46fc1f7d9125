"""What takes an answer off its page says which of its values are the page's example's, and nobody's."""

import csv
import json
import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from calculators.declaring import Kept, run_values
from calculators.stages import find_calculator
from tests.browser.test_calculators import calculator, field, wait_until_live
from tests.browser.test_kept_values import line, wait_until_kept
from tests.conftest import watched
from tests.native_worker import answered_beside

WORDS = "Values of the page’s example"
TYPE = "(form, fields) => { form.fill(fields); form.hasTyped(); }"
"""Into fields that are folded away."""
PRINTING = "name => dispatchEvent(new Event(name))"


def copied(page: Page, form: Locator) -> list[str]:
    form.get_by_role("button", name="Copy", exact=True).click()
    expect(form.get_by_role("button", name="Copied")).to_be_visible()
    return [line for line in page.evaluate("navigator.clipboard.readText()").split("\n") if WORDS in line]


def card(page: Page, form: Locator) -> Locator:
    form.get_by_role("button", name="Print card").click()
    expect(page.locator(".dc-card")).to_have_count(1)
    return page.locator(".dc-card .dc-of-whom")


def test_copied_text_paper_and_card_say_what_is_the_example_s(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        context.grant_permissions(["clipboard-read", "clipboard-write"])
        context.add_init_script("window.print = () => {};")
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "look-up/delay-by-distance/")
        delay = calculator(page, "delay")
        wait_until_live(delay)
        said = delay.locator(".dc-of-whom")
        assert copied(page, delay) == [f"{WORDS}: all."]
        page.evaluate(PRINTING, "beforeprint")
        expect(said).to_have_count(0)  # Its tag says it.
        expect(delay.locator("[data-tag]")).to_have_text("Example")

        field(delay, "speakers[0].distance").fill("66.6")
        wait_until_live(delay)
        rest = f"{WORDS}: Air in the cabin; Step the processor can set; Sample rate of the processor."
        assert copied(page, delay) == [rest]
        page.evaluate(PRINTING, "beforeprint")
        expect(said).to_have_text(rest)
        page.evaluate(PRINTING, "afterprint")
        expect(said).to_have_count(0)
        expect(card(page, delay)).to_have_text(rest)
        page.evaluate(PRINTING, "afterprint")

        delay.evaluate(TYPE, {"temperature": "18.5", "step": "0.02", "sample_rate": "96"})
        wait_until_live(delay)
        assert copied(page, delay) == []
        expect(card(page, delay)).to_have_count(0)


def kept_file(page: Page, tune: Locator, output: str) -> bytes:
    with page.expect_download() as download:
        tune.locator(f"a[data-file={output}]").click()
    return Path(download.value.path()).read_bytes()


def test_a_tuning_sheet_says_what_is_the_example_s_and_is_read_back_as_before(
    browser: Browser, server: str
) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "stages/tuning/guided/")
        tune = calculator(page, "tune")
        wait_until_live(tune)
        data = kept_file(page, tune, "data")
        sheet: dict[str, Any] = json.loads(data)
        assert "Channels" in sheet["of_example"]
        *_, blank, last = csv.reader(kept_file(page, tune, "csv").decode().splitlines())
        assert (blank, last) == ([], [WORDS, *sheet["of_example"]])
        chosen = Kept("a", "a.json", len(data), lambda start, count: data[start : start + count])
        names = ("name", "high_pass", "low_pass", "polarity", "delay", "gain")
        rows = [{"slope": "24"} | {name: row[name] for name in names} for row in sheet["channels"]]
        back = run_values(
            find_calculator("read-back"),
            {"channels": rows, "sheet": chosen, "trim_in_front": sheet["trim_in_front"]},
        )
        assert back.result.different == 0

        # Typed, it is nobody else's.
        tune.evaluate(TYPE, {"channels[0].distance": "91"})
        wait_until_live(tune)
        assert "Channels" not in json.loads(kept_file(page, tune, "data"))["of_example"]


@pytest.mark.parametrize(
    ("letters", "said"), [(200_001, "too long to read"), (366_000, "No line holds a frequency")]
)
def test_after_a_reload_no_curve_of_the_example_stands_among_the_reader_s(
    browser: Browser, server: str, letters: int, said: str
) -> None:
    """One of five curves is longer than may be read; the device keeps no text of any length."""
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "stages/tuning/measuring/")
        average = calculator(page, "curve-average")
        wait_until_live(average)
        names = average.locator("textarea").evaluate_all("fields => fields.map(({ name }) => name)")
        curve = "\n".join(f"{20 * 1000 ** (step / 200):.5f}\t60" for step in range(201))
        fields = dict.fromkeys(names, curve) | {names[0]: curve.ljust(letters, "#")}
        average.evaluate(TYPE, fields)
        expect(average).to_have_attribute("data-live", "errors")
        wait_until_kept(page, {names[1]: curve})
        page.reload()
        expect(field(average, names[1])).to_have_value(curve)
        expect(average).to_have_attribute("data-live", "errors")
        expect(average.locator("[data-error]", has_text=said)).to_be_visible()
        held = letters == 200_001
        expect(field(average, names[0])).to_have_value(fields[names[0]] if held else "")
        said_here = line(average)
        but = "" if held else ", without what does not fit in here"
        expect(said_here).to_contain_text(re.compile(rf"Yours, from \d\d:\d\d{but}: Points\."))
        expect(said_here).not_to_contain_text("Left out")
        field(average, names[0]).fill(curve)
        expect(said_here).to_contain_text(re.compile(r"Yours, from \d\d:\d\d: Points\."))


def test_filters_that_flatten_a_feed_say_what_is_the_example_s(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "stages/pick-up/flattening/")
        flatten = calculator(page, "flatten")
        wait_until_live(flatten)
        labels = json.loads(kept_file(page, flatten, "data"))["of_example"]
        assert labels
        *_, last = csv.reader(kept_file(page, flatten, "csv").decode().splitlines())
        assert last == [WORDS, *labels]


def test_a_card_has_the_answer_first_where_it_is_for_many_values(browser: Browser, server: str) -> None:
    """The tune's sheet goes on a shelf; a delay is read with what it is for."""
    first = "card => card.querySelector('.dc-given, .dc-answers').className"
    with watched(browser.new_context(service_workers="block")) as context:
        context.add_init_script("window.print = () => {};")
        answered_beside(context)
        page = context.new_page()
        for path, slug, begins in (
            ("stages/tuning/tune/", "tune", "dc-answers"),
            ("look-up/delay-by-distance/", "delay", "dc-given"),
        ):
            page.goto(server + path)
            form = calculator(page, slug)
            wait_until_live(form)
            form.get_by_role("button", name="Print card").click()
            expect(page.locator(".dc-card .dc-given")).to_have_count(1)
            assert begins in page.locator(".dc-card").evaluate(first)
