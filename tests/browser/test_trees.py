"""Fault trees as a fitter walks them: by thumb and by key, forth and back, without signal, kept, on paper."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from calculators.site.trees import Tree
from tests.conftest import SOAK, watched, without_python
from tests.site.test_trees import TREES

WALKED = list(TREES) if SOAK else ["battery-flat", "nothing-plays"]
"""Their data are walked whole in `tests/site/test_trees.py`; a browser walks each in the long tests."""
# Taps every result of every screen; gives those that do not lead to the one screen they name, and how many.
EVERY_BRANCH = """async () => {
  const go = async (act) => {
    const turned = new Promise((settle) => addEventListener("hashchange", settle, { once: true }));
    act();
    await turned;
  };
  const wrong = [];
  const results = [...document.querySelectorAll(".dc-tree .dc-results a")];
  for (const link of results.filter(({ pathname }) => pathname === location.pathname)) {
    const { id } = link.closest(".dc-screen").querySelector("h2, h3");
    if (location.hash !== `#${id}`) await go(() => (location.hash = id));
    await go(() => link.click());
    const shown = [...document.querySelectorAll(".dc-screen")].filter((screen) => screen.checkVisibility());
    const { activeElement } = document;
    if (shown.length !== 1 || !shown[0].contains(activeElement) || `#${activeElement.id}` !== link.hash) {
      wrong.push(`${id} to ${link.hash}`);
    }
  }
  return [wrong, results.length];
}"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[BrowserContext]:
    """Touch, in one hand; Python is not needed to walk, and stays away."""
    size = {"width": 390, "height": 844}
    made = browser.new_context(service_workers="block", has_touch=True, viewport=size)  # type: ignore[arg-type]
    with watched(made, ("ERR_INTERNET_DISCONNECTED",)):
        without_python(made)
        yield made


def results(page: Page) -> Locator:
    return page.locator(".dc-screen:visible .dc-results a")


def heading(page: Page) -> Locator:
    return page.locator(".dc-screen:visible > :is(h2, h3)")


def walk(page: Page, tree: Tree, choose: str) -> int:
    """Follow one of the longest ways to its end; gives the number of screens."""
    way = max(tree.ways(), key=len)
    for number, result in way:
        expect(heading(page)).to_be_focused()
        link = page.locator(f"#test-{number}:visible ~ .dc-results a").nth(
            tree.tests[number].results.index(result)
        )
        if choose == "key":
            link.focus()
            page.keyboard.press("Enter")
        else:
            link.tap()
    expect(heading(page)).to_have_count(1)
    expect(heading(page)).to_be_focused()
    expect(page.locator(".dc-screen.dc-end:visible")).to_have_count(1)
    return len(way) + 1


def test_trees_are_walked_by_thumb_or_key_and_need_no_signal(phone: BrowserContext, server: str) -> None:
    for place, name in enumerate(WALKED):
        page = phone.new_page()
        page.goto(f"{server}stages/faults/{name}/")
        start = page.get_by_role("button", name="Start with test 1")
        expect(page.locator(".dc-screen:visible")).to_have_count(0)
        phone.set_offline(place > 0)
        if place % 2:
            start.focus()
            page.keyboard.press("Enter")
        else:
            start.tap()
        screens = walk(page, TREES[name], "key" if place % 2 else "tap")
        expect(page.locator(".dc-walked li")).to_have_count(screens)
        results_there = sum(len(test.results) for test in TREES[name].tests.values())
        assert page.evaluate(EVERY_BRANCH) == [[], results_there]
        phone.set_offline(False)
        page.close()


def test_back_forward_and_the_way_kept(phone: BrowserContext, server: str) -> None:
    page = phone.new_page()
    address = f"{server}stages/faults/image/"
    page.goto(address)
    page.get_by_role("button", name="Start with test 1").tap()
    screens = walk(page, TREES["image"], "tap")
    end = heading(page).inner_text()
    page.get_by_role("button", name="Back").tap()
    expect(heading(page)).not_to_have_text(end)
    before = heading(page).inner_text()
    page.get_by_role("button", name="Forward").tap()
    expect(heading(page)).to_have_text(end)
    page.go_back()
    expect(heading(page)).to_have_text(before)
    page.close()
    again = phone.new_page()
    again.goto(address)
    expect(again.locator(".dc-screen:visible")).to_have_count(0)
    again.get_by_role("button", name="Go on where you were").tap()
    expect(again.locator(".dc-walked li")).to_have_count(screens)
    # Another result than last time: what came after it is another way.
    again.goto(address + "#test-1")
    results(again).first.tap()
    expect(again.locator(".dc-walked li")).to_have_count(2)
    again.get_by_role("button", name="Start again").tap()
    expect(again.locator(".dc-screen:visible")).to_have_count(0)
    expect(again.get_by_role("button", name="Go on where you were")).to_have_count(0)


def test_a_second_tab_takes_up_the_way_of_the_first(phone: BrowserContext, server: str) -> None:
    address = f"{server}stages/faults/image/"
    page, other = phone.new_page(), phone.new_page()
    for tab in (page, other):
        tab.goto(address)
    page.bring_to_front()
    page.get_by_role("button", name="Start with test 1").tap()
    screens = walk(page, TREES["image"], "tap")
    expect(other.get_by_role("button", name="Go on where you were")).to_be_visible()
    expect(other.locator(".dc-screen:visible")).to_have_count(0)
    other.bring_to_front()
    other.get_by_role("button", name="Go on where you were").tap()
    expect(other.locator(".dc-walked li")).to_have_count(screens)
    page.reload()
    page.goto(address)
    expect(page.get_by_role("button", name="Go on where you were")).to_be_visible()


def test_cautions_stay_on_the_screen_of_every_test_and_paper_holds_the_way(
    phone: BrowserContext, server: str
) -> None:
    page = phone.new_page()
    page.goto(f"{server}stages/faults/nothing-plays/#test-3")
    expect(heading(page)).to_have_text("Test 3: Feed to the body")
    cautions = page.locator(".dc-caution")
    assert cautions.count() == cautions.locator("visible=true").count() > 0
    calculators = page.locator("doorcard-calculator")
    results(page).last.tap()
    expect(calculators.locator("visible=true")).to_have_count(1)
    page.emulate_media(media="print")
    expect(page.locator(".dc-walked li")).to_have_count(2)
    expect(page.locator(".dc-walk")).to_be_hidden()
    expect(page.locator(".dc-screen:visible")).to_have_count(1)
