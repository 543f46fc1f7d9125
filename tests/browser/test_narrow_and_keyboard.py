"""The narrowest phone, the system's own colours, doubled text, and the keyboard alone."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, ViewportSize, expect

from tests.browser.test_accessibility import OVER, PHONE, TEXT_DOUBLED
from tests.browser.test_calculators import calculator
from tests.conftest import SOAK, share, watched, without_python

NARROWEST: ViewportSize = {"width": 320, "height": 700}
CHOSEN, OTHER = "rgb(15, 51, 46)", "rgb(255, 255, 255)"
WALKED = ("", "look-up/cable-length/")
"""Walked through by keyboard; the long tests walk through all pages."""
LEAST_WORDS = 11
"""Pixels: less is not read in a bay."""
ONE_IN = 24
MOST_STOPS = 400

SMALL_WORDS = f"""
() => [...document.querySelectorAll("article svg text")]
  .filter((word) => word.checkVisibility() && !word.closest(".dc-paper"))
  .map((word) => [parseFloat(getComputedStyle(word).fontSize) * word.getScreenCTM().a, word.textContent])
  .filter(([size]) => size < {LEAST_WORDS})
  .map(([size, words]) => `${{size.toFixed(1)}} px: ${{words}}`)
"""
BROKEN_LINES = """
() => [...document.querySelectorAll(".dc-beside")]
  .filter((beside) => beside.checkVisibility()
    && new Set([...beside.children].map((word) => word.offsetTop)).size > 1)
  .map((beside) => beside.textContent)
"""
CHOSEN_LIKE_OTHERS = """
() => [...document.querySelectorAll(".dc-beside")]
  .filter((beside) => beside.checkVisibility()
    && new Set([...beside.children].map((word) => getComputedStyle(word).backgroundColor)).size !== 2)
  .map((beside) => beside.textContent)
"""
CUT_NAME = """
() => {
  const name = document.querySelector(".dc-where");
  const [own, room] = [name, name.parentElement].map((part) => part.getBoundingClientRect());
  if (own.top >= room.bottom) return [];  // It has no room, and is not there.
  const cut = own.right > room.right + 1 || name.scrollWidth > name.clientWidth;
  return cut ? [`cut: ${name.textContent}`] : [];
}
"""
# What has the focus, and what is wrong with it for a reader who sees it; nothing once the page is through.
STOP = """
() => {
  const at = document.activeElement;
  if (!at || at === document.body) return null;
  const parts = [at.closest(".dc-control, .dc-unit-of"), at, at.nextElementSibling, ...(at.labels ?? [])]
    .filter(Boolean);
  const sized = ({ width, height }) => width >= 2 && height >= 2;
  const shown = parts.find((part) => sized(part.getBoundingClientRect()));
  const box = [...(shown?.getClientRects() ?? [])].find(sized);
  const ringed = parts.map((part) => getComputedStyle(part))
    .some((style) => style.outlineStyle !== "none" && parseFloat(style.outlineWidth) >= 2);
  const within = (value, most) => Math.min(Math.max(value, 1), most - 2);
  const met = box && [box.top + 4, (box.top + box.bottom) / 2, box.bottom - 4].map((y) =>
    document.elementFromPoint(within(box.left + box.width / 2, innerWidth), within(y, innerHeight)));
  const wrong = [];
  if (!box) wrong.push("without size");
  else if (box.bottom <= 0 || box.top >= innerHeight) wrong.push("out of sight");
  else if (!met.some((part) => shown.contains(part) || part?.contains(shown))) {
    wrong.push(`covered by ${met[0]?.className}`);
  }
  if (!ringed) wrong.push("without a ring");
  const name = (at.textContent || at.getAttribute("aria-label") || at.id).trim().slice(0, 30);
  return `${at.tagName} ${at.className} ${name}: ${wrong.join(", ")}`;
}
"""


@pytest.fixture
def plain(browser: Browser) -> Iterator[Page]:
    """A page in the system's own colours, without Python."""
    made = browser.new_context(forced_colors="active", reduced_motion="reduce", service_workers="block")
    with watched(made) as context:
        without_python(context)
        yield context.new_page()


def test_every_page_fits_the_narrowest_phone(plain: Page, server: str, page_addresses: list[str]) -> None:
    """Nothing scrolls sideways, nor with text at 200 %; words in pictures can be read, few fit a line."""
    found = []
    for address in share(page_addresses, ONE_IN):
        plain.set_viewport_size(NARROWEST)
        plain.goto(server + address)
        found += [f"{address}: {over} px too wide" for over in [plain.evaluate(OVER)] if over > 0]
        for fault in (SMALL_WORDS, BROKEN_LINES, CHOSEN_LIKE_OTHERS):
            found += [f"{address}: {words}" for words in plain.evaluate(fault)]
        plain.set_viewport_size(PHONE)
        plain.evaluate(TEXT_DOUBLED)
        found += [f"{address}: {words}" for words in plain.evaluate(CUT_NAME)]
        found += [
            f"{address}: {over} px too wide, text doubled" for over in [plain.evaluate(OVER)] if over > 0
        ]
    assert not found, "\n".join(found)


def test_the_bar_says_in_doubled_text_what_its_figure_is(plain: Page, server: str) -> None:
    plain.set_viewport_size(PHONE)
    plain.goto(server + "stages/commissioning/gain/")
    plain.evaluate(TEXT_DOUBLED)
    form = calculator(plain, "gain-voltage")
    form.locator("input").first.focus()
    words = form.locator(".dc-bar-words")
    expect(words).to_contain_text("Set, with the test tone")
    expect(words).to_be_visible()
    assert words.evaluate("(words) => words.scrollHeight - words.clientHeight") <= 1


def test_the_keyboard_alone_meets_all_in_sight(plain: Page, server: str, page_addresses: list[str]) -> None:
    """Each stop of Tab has a size and a ring, lies in sight and under nothing; the walk ends."""
    plain.set_viewport_size(PHONE)
    found = []
    for address in page_addresses if SOAK else WALKED:
        plain.goto(server + address)
        stops = []
        while len(stops) < MOST_STOPS:
            plain.keyboard.press("Tab")
            stop = plain.evaluate(STOP)
            if stop is None:
                break
            stops.append(stop)
        found += [f"{address}: {stop}" for stop in stops if not stop.endswith(": ")]
        found += [f"{address}: {len(stops)} stops"] if not 5 < len(stops) < MOST_STOPS else []
    assert not found, "\n".join(found)


def test_a_word_beside_others_is_one_tap(browser: Browser, server: str) -> None:
    """The tap fills the field under the words; keys and a link do the same, and the words follow."""
    made = browser.new_context(viewport=PHONE, has_touch=True, service_workers="block")
    with watched(made) as context:
        without_python(context)
        page = context.new_page()
        page.goto(server + "look-up/load-wiring/")
        bridged = calculator(page, "speaker-load").locator(".dc-control:has([name=bridged])")
        choice = bridged.locator("select")

        def expect_chosen(word: str) -> None:
            expect(choice).to_have_value(word)
            for beside in bridged.locator(".dc-beside > span").all():
                colour = CHOSEN if beside.text_content() == word else OTHER
                expect(beside).to_have_css("background-color", colour)

        expect_chosen("no")
        bridged.locator(".dc-beside").get_by_text("yes").tap()
        expect_chosen("yes")
        expect(choice).to_be_focused()
        expect(calculator(page, "speaker-load").locator("[data-result]")).to_have_js_property("inert", True)
        page.keyboard.press("ArrowDown")
        expect_chosen("no")
        page.evaluate("document.querySelector('doorcard-calculator').fill({ bridged: 'yes' })")
        expect_chosen("yes")
