"""Every page for everybody: axe finds nothing, and the keyboard does what a reader expects."""

import subprocess
from collections.abc import Sequence
from itertools import product
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, ViewportSize, expect

from tests.conftest import ROOT, SOAK, watched, without_python

SCREENS = {"phone": (390, 844), "desk": (1280, 800)}
PHONE: ViewportSize = {"width": 390, "height": 844}
# The theme's name of each scheme, and what a reader's device asks for to get it.
SCHEMES = {"default": "light", "slate": "dark"}
PATIENCE = 90_000
PARTS = 4
"""Groups that all pages are looked at in, so that no core waits for one long test."""
KINDS = (
    "",
    "look-up/delay-by-distance/",
    "stages/wiring/main-feed/",
    "stages/tuning/equaliser/",
    "stages/faults/engine-whine/",
    "learn/reflections/",
    "learn/checks/electricity/",
    "having-it-done/ears-battery-warranty/",
    "sources/",
    "404.html",
)
"""One page of each kind: home, look-up, stage page, largest form, tree, learning, checks, customers, list."""
BY_COLOUR_OR_ROOM = ("color-contrast", "link-in-text-block", "scrollable-region-focusable", "target-size")
"""Rules of axe whose answer another size or scheme of the same page can change."""
WIDE = """
() => [...document.querySelectorAll(".md-typeset table:not([class]), .md-typeset pre code")]
  .filter((part) => part.checkVisibility())
  .filter((part) => part.scrollWidth > part.clientWidth + 1
    || part.getBoundingClientRect().right > innerWidth)
  .map((part) => part.innerText.slice(0, 60))
"""
OVER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
TEXT_DOUBLED = "document.documentElement.style.fontSize = '40px'"
"""The theme's rem is 20 px: what a reader gets whose browser shows text at 200 %."""
MOST_CHANGED = 2
"""Changed pages that are looked at, the latest; the long tests look at all."""


def git(*words: str) -> list[str]:
    """The lines Git answers; none outside a checkout."""
    done = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True, check=False)
    return done.stdout.split()


def changed_pages() -> list[str]:
    """Addresses of the pages whose text has changed since the version was last given, latest first."""
    given = git("log", "-1", "--format=%H", "-G^VERSION", "--", "calculators/release.py")
    texts = ("--", "docs/*.md", "docs/**/*.md")
    names = git("diff", "--name-only", "HEAD", *texts)
    if given:
        names += git("log", "--format=", "--name-only", f"{given[0]}..HEAD", *texts)
    return [address_of(Path(name)) for name in dict.fromkeys(names) if (ROOT / name).is_file()]


def address_of(page: Path) -> str:
    """Where the site has a Markdown file."""
    inner = page.relative_to("docs").with_suffix("")
    folder = inner.parent if inner.name == "index" else inner
    return "" if folder == Path(".") else f"{folder.as_posix()}/"


EVERY_PAGE = {address_of(path.relative_to(ROOT)) for path in (ROOT / "docs").rglob("*.md")}
LOOKED_AT = sorted({*KINDS, *EVERY_PAGE} if SOAK else {*KINDS, *changed_pages()[:MOST_CHANGED]})


def violations(page: Page, rules: Sequence[str] = ()) -> list[str]:
    """What axe finds on the page as it stands by all its rules, or by these; one line each."""
    options: dict[str, object] = {"resultTypes": ["violations"]}
    if rules:
        options["runOnly"] = {"type": "rule", "values": list(rules)}
    found = Axe().run(page, options=options).response["violations"]
    return [
        f"{page.url}: {rule['id']}: {node['target']} {node['failureSummary']}"
        for rule in found
        for node in rule["nodes"]
    ]


@pytest.fixture
def unstarted(page: Page) -> Page:
    """A page whose calculators stay as they were printed, so that many pages go fast."""
    without_python(page)
    return page


@pytest.mark.parametrize("address", LOOKED_AT)
def test_axe_finds_nothing_on_a_page(unstarted: Page, server: str, address: str) -> None:
    """One page of each kind and pages that changed: as a phone in the light and a desk in the dark show them.

    The second look asks what depends on colour or room. In the long tests all pages, at both sizes in both
    schemes, are asked everything.
    """
    unstarted.emulate_media(reduced_motion="reduce")
    unstarted.goto(server + address)
    found = []
    for screen, scheme in product(SCREENS, SCHEMES) if SOAK else zip(SCREENS, SCHEMES, strict=True):
        width, height = SCREENS[screen]
        unstarted.set_viewport_size({"width": width, "height": height})
        unstarted.evaluate("(scheme) => { document.body.dataset.mdColorScheme = scheme; }", scheme)
        seen = () if SOAK or screen == "phone" else BY_COLOUR_OR_ROOM
        found += violations(unstarted, seen) + too_wide(unstarted, screen)
    unstarted.set_viewport_size(PHONE)
    unstarted.evaluate(TEXT_DOUBLED)
    found += too_wide(unstarted, "phone with text at 200 %", tables=False)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_on_a_live_calculator_in_the_readers_own_scheme(
    page: Page, server: str, scheme: str
) -> None:
    page.emulate_media(color_scheme=SCHEMES[scheme], reduced_motion="reduce")
    page.goto(server + "look-up/delay-by-distance/")
    page.wait_for_selector("doorcard-calculator[data-live=answer]", timeout=PATIENCE)
    expect(page.locator("body")).to_have_attribute("data-md-color-scheme", scheme)
    assert not violations(page)


def too_wide(page: Page, screen: str, tables: bool = True) -> list[str]:
    """What hangs over the edge of a page as it stands; on a phone no table or drawing in it may either.

    Without ``tables``, one that scrolls by itself is nothing.
    """
    over: int = page.evaluate(OVER)
    for _ in range(20):  # What moves as the size of the screen changes comes to rest.
        if over <= 0:
            break
        page.wait_for_timeout(100)
        over = page.evaluate(OVER)
    found = [f"{page.url}: {over} px too wide on a {screen}"] if over > 0 else []
    wide = page.evaluate(WIDE) if tables and screen == "phone" else []
    return found + [f"{page.url}: {words}" for words in wide]


@pytest.mark.parametrize("part", range(PARTS))
def test_nothing_of_a_page_hangs_over_the_edge(
    browser: Browser, server: str, page_addresses: list[str], part: int
) -> None:
    """As printed, without a script: with its scripts each kind of page is looked at where axe looks.

    On a phone, where room is short; in the long tests on a desk too. Tables that calculators answer with
    may be wide: they keep their row names in sight as they scroll.
    """
    found = []
    with watched(browser.new_context(java_script_enabled=False)) as context:
        page = context.new_page()
        screens = list(SCREENS) if SOAK else ["phone"]
        for address in page_addresses[part::PARTS]:
            page.goto(server + address)
            screens.reverse()  # A page comes in the size of the last look: laid out twice, not three times.
            for screen in screens:
                width, height = SCREENS[screen]
                page.set_viewport_size({"width": width, "height": height})
                found += too_wide(page, screen)
    assert not found, "\n".join(found)


def test_axe_finds_nothing_in_the_open_search(page: Page, server: str) -> None:
    page.goto(server)
    page.locator("[data-md-component=search-query]").click()
    page.keyboard.type("delay", delay=50)
    expect(page.locator(".md-search-result__item").first).to_be_visible(timeout=30_000)
    assert not violations(page)


@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_in_the_note_of_a_newer_version(page: Page, server: str, scheme: str) -> None:
    page.emulate_media(color_scheme=SCHEMES[scheme], reduced_motion="reduce")
    page.goto(server)
    expect(page.locator("doorcard-offline")).to_have_attribute("data-phase", "offered")
    # Let go of the page's own state first: whatever it tells next would hide the note again.
    page.evaluate(
        "const note = document.querySelector('doorcard-newer');"
        "note.disconnectedCallback(); note.show({ newer: 'ready' })"
    )
    expect(page.get_by_role("button", name="Load it now")).to_be_visible()
    assert not violations(page)


def test_a_letter_on_a_button_does_not_leave_the_page(page: Page, server: str) -> None:
    page.goto(server + "look-up/delay-by-distance/")
    button = page.locator("doorcard-calculator button:visible").first
    for key in "pn,.fs/":
        button.focus()
        page.keyboard.press(key)
        expect(button).to_be_focused()
    page.wait_for_timeout(300)  # It may not be left.
    assert page.url == server + "look-up/delay-by-distance/"


def test_a_page_swapped_in_place_is_read_from_its_heading(page: Page, server: str) -> None:
    page.goto(server)
    page.evaluate("globalThis.sameDocument = true")
    page.locator("article a[href*='look-up/delay-by-distance/']").first.click()
    page.wait_for_url("**/look-up/delay-by-distance/")
    expect(page.locator("article h1")).to_be_focused()
    assert page.evaluate("globalThis.sameDocument") is True
