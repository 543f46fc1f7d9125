"""Two ways of one guided tune: what each holds is told, and the one that is left can be had back."""

import json
from typing import Any

from playwright.sync_api import Browser, Page, expect

from tests.browser.test_guided import (
    CHANNELS,
    HALF_A_DAY,
    KEEP,
    NAMES,
    OTHER_TAB,
    POINTS,
    RUNS,
    STATE,
    another_tab,
    guided_page,
    kept,
    measured,
    now,
    typed,
)
from tests.browser.test_guided_doubts import SHEET
from tests.browser.test_unkept_job import REFUSE

KEPT_HERE = "Kept on this device."


def way(runs: int, **more: str) -> dict[str, str]:
    """What the device holds after so many runs."""
    mine = typed(CHANNELS)
    plan = json.dumps(mine | {"level_checked": "yes"})
    begun = {"on": "yes", "ready": "measure", "guided-tune": plan, "channels": json.dumps(mine)}
    return begun | measured(RUNS[:runs]) | more


def run(number: int) -> str:
    """How a run is called, by its place among all."""
    speaker, at = RUNS[number]
    return f"{NAMES[speaker]} at point {POINTS[at]}"


def refused(page: Page) -> dict[str, Any]:
    """A way of two runs; what it has done since the device does not keep. Gives what that holds."""
    taken_up(page, way(2))
    card = page.locator(".dc-guide").first
    expect(now(page)).to_contain_text(run(2))
    expect(card).to_contain_text(KEPT_HERE)
    page.evaluate(REFUSE)
    page.get_by_text("Other ways, and the runs so far", exact=True).click()
    page.get_by_role("button", name="Show the whole page").click()
    expect(card).to_contain_text("This browser keeps nothing")
    return kept(page)


def taken_up(page: Page, fields: dict[str, Any], ago: int = 0) -> None:
    page.evaluate(KEEP, [page.evaluate(STATE), ago, fields])
    page.reload()


def test_a_tab_that_has_less_says_so_and_what_is_left_for_it_comes_back(
    browser: Browser, server: str
) -> None:
    with guided_page(browser, server) as page:
        card = page.locator(".dc-guide").first
        taken_up(page, way(2))
        expect(now(page)).to_contain_text(run(2))
        less = kept(page)
        del less["fields"]["measured[1]"]
        expect(card).to_contain_text(KEPT_HERE)
        another_tab(page, less, "changed this tune: there 1 run, here 2 runs.")
        expect(card).to_contain_text("Not kept until you choose.")
        expect(card).not_to_contain_text(KEPT_HERE)
        card.get_by_role("button", name="Use what the other tab has").click()
        expect(now(page)).to_contain_text(run(1))
        expect(card).to_contain_text("Thrown away: 2 runs.")
        card.get_by_role("button", name="Undo").click()
        expect(now(page)).to_contain_text(run(2))
        page.reload()
        expect(now(page)).to_contain_text(run(2))


def test_what_was_refused_is_kept_once_the_reader_comes_back(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        refused(page)
        page.evaluate("keepsAgain()")
        page.evaluate("dispatchEvent(new Event('focus'))")
        expect(page.locator(".dc-guide").first).to_contain_text(KEPT_HERE)
        assert kept(page)["fields"]["on"] == "no"


def test_what_another_tab_wrote_while_this_one_could_not_is_told_at_once(
    browser: Browser, server: str
) -> None:
    with guided_page(browser, server) as page:
        less = refused(page)
        del less["fields"]["measured[1]"]
        page.evaluate("keepsAgain()")
        other = page.context.new_page()
        other.goto(server + "look-up/torque/")
        other.evaluate(OTHER_TAB, [other.evaluate(STATE), less["id"], less])
        card = page.locator(".dc-guide").first
        expect(card).to_contain_text("changed this tune: there 1 run, here 2 runs. ")
        expect(card).not_to_contain_text(KEPT_HERE)


def test_a_way_that_is_left_for_a_new_one_comes_back(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        card = page.locator(".dc-guide").first
        taken_up(page, way(2), HALF_A_DAY)
        expect(card).to_contain_text("another vehicle may stand here by now. It has 2 runs.")
        card.get_by_role("button", name="Begin a new one").click()
        expect(card).to_contain_text("A new one throws its 2 runs away.")
        card.get_by_role("button", name="Throw it away").click()
        page.get_by_role("button", name="Begin, one step a screen").click()
        expect(page.locator(".dc-guide-go:visible")).to_be_enabled()
        expect(card).to_contain_text("Thrown away: 2 runs.")
        card.get_by_role("button", name="Undo").click()
        expect(now(page)).to_contain_text(run(2))


def test_a_damaged_read_back_has_a_way_out(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        card = page.locator(".dc-guide").first
        sheet = json.dumps(SHEET)
        taken_up(page, way(len(RUNS), ready="measure again", sheet=sheet, word="no word of ours"))
        expect(now(page)).to_have_text("What was kept last does not fit: mend that first")
        expect(card).to_contain_text("What was read back: ")
        card.get_by_role("button", name="Read back and measure everything again").first.click()
        expect(page.locator(".dc-guide-go:visible")).to_have_text("Every line agrees, go on")
