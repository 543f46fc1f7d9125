"""Two ways of one guided tune: what each holds is told; what may be another vehicle's waits for a tap."""

import json
from typing import Any

from playwright.sync_api import Browser, Page, expect

from tests.browser.test_calculators import STATE, calculator
from tests.browser.test_guided import (
    CHANNELS,
    GUIDED,
    HALF_A_DAY,
    KEEP,
    LINK,
    NAMES,
    OTHER_TAB,
    POINTS,
    RUNS,
    another_tab,
    fill,
    go_on,
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


def test_what_may_be_another_vehicles_waits_for_a_tap(browser: Browser, server: str) -> None:
    with guided_page(browser, server) as page:
        plan, card = calculator(page, "guided-tune"), page.locator(".dc-guide").first
        name = plan.locator("[name='channels[0].name']")
        example = name.input_value()
        mine = typed(CHANNELS)
        way = {"on": "yes", "ready": "measure", "guided-tune": json.dumps(mine | {"level_checked": "yes"})}
        way |= {"channels": json.dumps(mine)}
        way |= measured(RUNS[:1])
        state = page.evaluate(STATE)

        # What a link brings stands, and is called a link's.
        link = page.evaluate(LINK, [state, {"channels[0].name": "Somebody’s"}])
        page.evaluate(KEEP, [state, 0, way])
        page.goto("about:blank")
        page.goto(link)
        expect(card).to_contain_text("what stands here came with a link")
        expect(name).to_have_value("Somebody’s")
        expect(plan.locator(".dc-yours")).to_contain_text("From a link.")

        # Half a day later the forms hold nothing of it, whatever is pressed, until the reader takes it up.
        page.evaluate(KEEP, [state, HALF_A_DAY, way])
        page.goto("about:blank")
        page.goto(server + GUIDED)
        expect(card).to_contain_text("another vehicle may stand here by now")
        page.get_by_role("button", name="Begin, one step a screen").click()
        expect(page.locator(".dc-guide-bar > p")).to_have_text("First say at the top whose tune counts.")
        expect(name).to_have_value(example)
        assert "measured[0]" in kept(page)["fields"]  # Not written over.
        page.get_by_role("button", name="Take it up").click()
        expect(now(page)).to_contain_text(f"{NAMES[1]} at point 1")
        expect(name).to_have_value(NAMES[0])

        # Other crossovers: those runs are told of, and offered.
        page.get_by_text("Other ways, and the runs so far", exact=True).click()
        page.get_by_role("button", name="Channels and settings").click()
        fill(page, "guided-tune", mine | {"channels[0].high_pass": "3100"})
        go_on(page, "These are this vehicle’s, go on")
        expect(card).to_contain_text("The runs were made with other crossovers.")

        # Another tab goes on while something is typed here, the whole page shown: it stays.
        page.get_by_role("button", name="Show the whole page").click()
        fill(page, "guided-tune", mine | {"channels[0].high_pass": "3333"})
        farther = kept(page)
        another_tab(page, farther | {"fields": farther["fields"] | {"word": "x"}}, "has changed this tune")
        expect(plan.locator("[name='channels[0].high_pass']")).to_have_value("3333")
        page.get_by_role("button", name="Keep what stands here").click()

        # Other files are chosen by hand: the runs before go with what rests on them, and can be had back.
        field = plan.locator("[name=measurements]")
        other = measured(RUNS[1:2])["measured[0]"].split("\n", 1)[1].encode()
        field.set_input_files({"name": "other.txt", "mimeType": "text/plain", "buffer": other})
        expect(card).to_contain_text("Thrown away: the runs before")
        large = {"name": "large.txt", "mimeType": "text/plain", "buffer": b" " * 8_000_001}
        field.set_input_files(large)
        expect(card).to_contain_text("Over 8 MB are more than the runs of one vehicle: not taken.")
