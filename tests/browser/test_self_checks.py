"""Self-checks as an apprentice does them: by key and by thumb, without signal, judged in the page."""

import pytest
from playwright.sync_api import Browser, Locator, expect

from calculators.self_checks import BLOCKS, question
from calculators.self_checks.asking import Figure
from tests.browser.test_calculators import STATE
from tests.browser.test_unkept_job import REFUSE
from tests.conftest import SOAK, watched
from tests.native_worker import answered_beside
from tests.test_self_checks import typed

PATIENCE = 90_000
ASKED = list(BLOCKS) if SOAK else ["safety"]
NEXT_VEHICLE = f"async () => {{ await (await import({STATE})).nextVehicle(); }}"


def answer(check: Locator, right: bool, by_thumb: bool) -> None:
    """Answer as the question that is shown wants it, or as one of its mistakes."""
    block, _, name = (check.get_attribute("data-check") or "").partition("/")
    asked = question(block, name, check.evaluate("(check) => check.draw"))
    expect(check.locator(".dc-asked")).to_have_text(asked.asked)
    if isinstance(asked, Figure):
        field = check.get_by_label("Your answer")
        field.fill(typed(asked, asked.answer if right else next(iter(asked.mistakes.values()))))
        if not by_thumb:
            field.press("Enter")
    else:
        for group in ("answer", "reason"):
            chosen = check.locator(f"[data-name={group}][value='{0 if right else 1}']")
            if by_thumb:
                chosen.tap()
            else:
                chosen.focus()
                chosen.press("Space")
    if by_thumb or not isinstance(asked, Figure):
        check.get_by_role("button", name="Check").tap()


@pytest.mark.parametrize("block", ASKED)
def test_wrong_is_told_why_and_right_is_kept(browser: Browser, server: str, block: str) -> None:
    size = {"width": 390, "height": 844}
    made = browser.new_context(service_workers="block", has_touch=True, viewport=size)  # type: ignore[arg-type]
    with watched(made, ("ERR_INTERNET_DISCONNECTED",)):
        answered_beside(made)
        page = made.new_page()
        page.goto(f"{server}learn/checks/{block}/")
        checks = page.locator("doorcard-check")
        expect(page.locator("doorcard-check [data-question]:enabled")).to_have_count(
            len(BLOCKS[block].checks), timeout=PATIENCE
        )
        made.set_offline(True)
        for place in range(checks.count()):
            check = checks.nth(place)
            check.get_by_role("button", name="Check").tap()
            expect(check.locator("[data-error=answer]")).to_be_visible()
            answer(check, right=False, by_thumb=place % 2 == 0)
            expect(check.locator("[data-verdict=wrong]")).to_contain_text("Not yet.")
            answer(check, right=True, by_thumb=place % 2 == 1)
            expect(check.locator("[data-verdict=right]")).to_contain_text("Right.")
            expect(check.locator("[data-kept]")).to_contain_text("ight on 20")
        made.set_offline(False)
        count = page.locator("[data-study-count]")
        done = 0 if BLOCKS[block].days > 1 else checks.count()
        expect(count).to_have_text(f"{done} of {checks.count()} done on this device.")
        first = checks.first
        before = first.locator(".dc-asked").inner_text()
        first.get_by_role("button", name="Another question").tap()
        expect(first.locator("[data-question]")).to_have_js_property("disabled", False)
        assert before  # It may be drawn again; what was right stays.
        # Another vehicle comes; what somebody has learnt stays.
        page.evaluate(NEXT_VEHICLE)
        page.reload()
        expect(first.locator("[data-kept]")).to_contain_text("ight on 20")


def test_a_question_waits_while_its_calculator_is_open(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as made:
        answered_beside(made)
        page = made.new_page()
        page.goto(f"{server}learn/checks/safety/")
        figure, choice = page.locator("#safety-bleed_time"), page.locator("#safety-lifting")
        printed = figure.locator(".dc-asked").inner_text()
        for check in (figure, choice):
            expect(check.locator("[data-question]")).to_have_js_property("disabled", False)
        expect(figure.locator(".dc-asked")).to_have_text(printed)
        # Another one than the page's: drawn until it is.
        figure.evaluate("(check) => check.put({ draw: 7368787, given: {} })")
        expect(figure.locator(".dc-asked")).not_to_have_text(printed)
        asked = figure.locator(".dc-asked").inner_text()
        figure.get_by_label("Your answer").fill("2")
        choice.locator("[data-name=reason][value='1']").check()
        figure.get_by_role("link", name="Pre-charge and bleed").click()
        expect(page.locator("doorcard-calculator[data-calculator=pre-charge]")).to_be_visible()
        page.go_back()
        for check in (figure, choice):
            expect(check.locator("[data-question]")).to_have_js_property("disabled", False)
        expect(figure.locator(".dc-asked")).to_have_text(asked)
        expect(figure.get_by_label("Your answer")).to_have_value("2")
        expect(choice.locator("[data-name=reason][value='1']")).to_be_checked()
        # Once it was right, another one is drawn on coming back.
        answer(figure, right=True, by_thumb=False)
        expect(figure.locator("[data-verdict=right]")).to_be_visible()
        expect(figure.locator("[data-kept]")).to_contain_text("Right on 20")
        page.reload()
        expect(figure.locator("[data-question]")).to_have_js_property("disabled", False)
        expect(figure.get_by_label("Your answer")).to_have_value("")
        expect(choice.locator("[data-name=reason][value='1']")).to_be_checked()


def test_a_day_is_the_reader_s_own(browser: Browser, server: str) -> None:
    """In Los Angeles one afternoon lies on two days of Greenwich."""
    made = browser.new_context(service_workers="block", timezone_id="America/Los_Angeles")
    with watched(made):
        answered_beside(made)
        page = made.new_page()
        check = page.locator("#safety-bleed_time")
        once = "Right on 2030-05-03. Once more on another day."
        done = "Done: right on 2030-05-03 and 2030-05-04."
        for at, before, after in (
            ("2030-05-03T15:00-07:00", "", once),
            ("2030-05-03T18:30-07:00", once, once),
            ("2030-05-04T09:00-07:00", once, done),
        ):
            page.clock.set_fixed_time(at)
            page.goto(f"{server}learn/checks/safety/")
            expect(check.locator("[data-kept]")).to_have_text(before)  # Another question is drawn by then.
            expect(check.locator("[data-question]")).to_have_js_property("disabled", False)
            answer(check, right=True, by_thumb=False)
            expect(check.locator("[data-verdict=right]")).to_be_visible()
            expect(check.locator("[data-kept]")).to_have_text(after)
        page.goto(f"{server}learn/order/")
        expect(page.locator("doorcard-done").first).to_have_text("1 of 7 done on this device.")


def test_what_the_device_refuses_does_not_count_until_it_is_kept(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block", has_touch=True)) as made:
        answered_beside(made)
        page = made.new_page()
        page.goto(f"{server}learn/checks/safety/")
        first, second = page.locator("#safety-bleed_time"), page.locator("#safety-lifting")
        for check in (first, second):
            expect(check.locator("[data-question]")).to_have_js_property("disabled", False)
        page.evaluate(REFUSE)
        answer(first, right=True, by_thumb=False)
        unkept = "This browser does not keep it: it does not count yet."
        expect(first.locator("[data-verdict=right]")).to_be_visible()
        expect(first.locator("[data-kept]")).to_contain_text(unkept)
        given = first.get_by_label("Your answer").input_value()
        # It is asked once more, with what was filled in.
        page.reload()
        expect(first.locator("[data-question]")).to_have_js_property("disabled", False)
        expect(first.get_by_label("Your answer")).to_have_value(given)
        page.evaluate(REFUSE)
        answer(first, right=True, by_thumb=False)
        expect(first.locator("[data-kept]")).to_contain_text(unkept)
        # What another one writes tells that the device keeps again; or the button does.
        page.evaluate("keepsAgain()")
        answer(second, right=True, by_thumb=True)
        expect(second.locator("[data-kept]")).to_contain_text("Right on 20")
        expect(first.locator("[data-kept]")).to_contain_text("Right on 20")
        third = page.locator("doorcard-check").nth(2)
        page.evaluate(REFUSE)
        answer(third, right=True, by_thumb=True)
        expect(third.locator("[data-kept]")).to_contain_text(unkept)
        page.evaluate("keepsAgain()")
        third.get_by_role("button", name="Check").click()
        expect(third.locator("[data-kept]")).to_contain_text("Right on 20")
        page.reload()
        for check in (first, second, third):
            expect(check.locator("[data-kept]")).to_contain_text("Right on 20")
