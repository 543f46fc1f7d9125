"""Ways for one thumb: ticks that stay, the bottom bar, the last page, one tap to the calculator."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from calculators.declaring import run_typed
from calculators.stages import find_calculator
from tests.browser.test_calculators import typed
from tests.browser.test_kept_values import wait_until_kept
from tests.conftest import share, watched, without_python

FEED, CABLE, TORQUE = "stages/wiring/main-feed/", "look-up/cable-length/", "look-up/torque/"


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """One phone, without Python."""
    made = browser.new_context(
        viewport={"width": 390, "height": 844},
        has_touch=True,
        service_workers="block",
        reduced_motion="reduce",
    )
    with watched(made) as context:
        without_python(context)
        yield context.new_page()


def test_steps_can_be_ticked_and_stay_ticked(phone: Page, server: str) -> None:
    phone.goto(server + FEED)
    second = phone.get_by_role("checkbox", name="Step 2 done")
    second.check()
    count = phone.locator(".dc-ticks-foot").first
    expect(count).to_contain_text(re.compile(r"^1 of \d+ done"))
    point = phone.get_by_role("checkbox", name="Point 1 done")
    point.check()
    wait_until_kept(phone, {"steps[2]": "yes", "accept-when[1]": "yes"})
    phone.reload()
    expect(second).to_be_checked()
    expect(point).to_be_checked()
    expect(phone.get_by_role("checkbox", name="Step 1 done")).not_to_be_checked()
    count.get_by_role("button", name="Clear the ticks").click()
    expect(second).not_to_be_checked()
    expect(point).to_be_checked()


def test_two_tabs_tick_one_list(phone: Page, server: str) -> None:
    phone.goto(server + FEED)
    other = phone.context.new_page()
    other.goto(server + FEED)
    for number in (1, 2):
        phone.get_by_role("checkbox", name=f"Step {number} done").check()
    expect(other.get_by_role("checkbox", name="Step 2 done")).to_be_checked()
    expect(other.locator(".dc-ticks-foot").first).to_contain_text(re.compile(r"^2 of \d+ done"))
    # A tab that has not heard of the others' ticks, as on a busy device, takes none of them away.
    other.get_by_role("checkbox", name="Step 1 done").evaluate("(box) => { box.checked = false; }")
    other.get_by_role("checkbox", name="Step 3 done").check()
    wait_until_kept(phone, {"steps[1]": "yes", "steps[2]": "yes", "steps[3]": "yes"})
    expect(phone.get_by_role("checkbox", name="Step 3 done")).to_be_checked()
    phone.reload()
    expect(phone.locator(".dc-ticks-foot").first).to_contain_text(re.compile(r"^3 of \d+ done"))


def test_every_step_has_its_number_in_its_ring(phone: Page, server: str) -> None:
    phone.goto(server + FEED)
    rings = phone.locator(".dc-ticked-steps > li > .dc-tick > span")
    expect(rings.first).to_have_text("1")
    assert rings.all_inner_texts() == [str(number) for number in range(1, rings.count() + 1)]


def test_the_bottom_bar_leads_home_and_back(phone: Page, server: str) -> None:
    phone.goto(server + CABLE)
    bar = phone.locator(".dc-bottom")
    expect(bar.get_by_role("link", name="Look-up")).to_have_attribute("aria-current", "true")
    for place in bar.locator("a, button").all():
        box = place.bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["y"] > 844 / 2
    bar.get_by_role("link", name="Home").click()
    phone.wait_for_url(server)
    expect(bar.get_by_role("link", name="Home")).to_have_attribute("aria-current", "page")
    bar.get_by_role("link", name="Last").click()
    phone.wait_for_url(server + CABLE)
    form = phone.locator("doorcard-calculator").last
    form.locator("input:visible").first.fill("7")
    form.locator("input:visible").first.blur()  # The bar is away while keys are up.
    bar.get_by_role("link", name="Home").click()
    phone.wait_for_url(server)
    bar.get_by_role("link", name="Last").click()
    phone.wait_for_url(
        server + CABLE + f"#{form.get_attribute('id')}"
    )  # Where the hand was, not the page's top.
    expect(form.locator(".dc-title")).to_be_in_viewport()


def test_home_offers_three_doors_on_one_screen(phone: Page, server: str) -> None:
    phone.goto(server)
    for name in ("In the bay", "Learn the trade", "Having it done"):
        box = phone.get_by_role("heading", name=name).bounding_box()
        assert box is not None
        assert box["y"] + box["height"] < 844 - 64
    expect(phone.locator(".dc-bay .dc-tiles a")).to_have_count(8)
    assert phone.locator(".dc-bay .dc-tiles a").first.bounding_box()["y"] < 200  # type: ignore[index]


def test_the_job_sheet_is_one_tap_from_home_and_from_where_it_is_named(phone: Page, server: str) -> None:
    for address in ("", "stages/", "stages/handover/documents/"):
        phone.goto(server + address)
        phone.locator("article").get_by_role("link", name="job sheet").first.tap()
        phone.wait_for_url(server + "job/")


def test_two_taps_and_one_number_lead_to_the_eight_most_used_answers(phone: Page, server: str) -> None:
    """Each tile, then its first field: what stands there then is answered. All eight in the long tests."""
    for number in share(range(8), 4):
        phone.goto(server)
        tile = phone.locator(".dc-bay .dc-tiles a").nth(number)
        address = tile.evaluate("(tile) => tile.href")
        tile.tap()
        phone.wait_for_url(address)
        form = phone.locator("doorcard-calculator").first
        form.locator(".dc-form input[inputmode=decimal]:visible").first.tap()
        phone.keyboard.type("12")
        outcome = run_typed(find_calculator(form.get_attribute("data-calculator") or ""), typed(form))
        assert outcome.errors == (), address
        assert outcome.result is not None


def test_from_home_to_what_timing_does_in_one_tap(phone: Page, server: str) -> None:
    phone.goto(server)
    door = phone.locator(".dc-having")
    for name in ("It booms", "Voices come from the door", "What does it cost?"):
        box = door.get_by_role("link", name=name).bounding_box()
        assert box is not None
        assert box["height"] >= 44
        assert box["y"] + box["height"] < 844 - 64
    door.get_by_role("link", name="Voices come from the door").tap()
    phone.wait_for_url(server + "having-it-done/timing/")
    expect(phone.get_by_role("heading", level=1)).to_have_text("The singer in front of you, not in the door")


def test_the_first_screen_says_what_changes_what_is_heard_and_what_not(phone: Page, server: str) -> None:
    """The two pages with the longest leads: what fits there fits everywhere."""
    for page in ("timing", "hold-up"):
        phone.goto(f"{server}having-it-done/{page}/")
        cards = phone.locator(".dc-say > section")
        expect(cards.locator("h2")).to_have_text(["What changes", "What you will hear", "What it can't do"])
        box = cards.last.bounding_box()
        assert box is not None, page
        assert box["y"] + box["height"] < 844 - 64, page


def test_a_chip_leads_to_the_calculator(phone: Page, server: str) -> None:
    phone.goto(server + FEED.replace("main-feed", "schedule"))
    phone.locator(".dc-chips").get_by_role("link", name="Work it out").click()
    expect(phone.locator("doorcard-calculator").first).to_be_in_viewport()


def test_nothing_scrolls_sideways_on_the_narrowest_phone(phone: Page, server: str) -> None:
    phone.set_viewport_size({"width": 320, "height": 700})
    wide = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    for address in ("", CABLE, FEED, TORQUE):
        phone.goto(server + address)
        assert phone.evaluate(wide) <= 0, address
