"""A reader at a calculator: live answers, wrong input, rows, keyboard, and what happens without script."""

import json
import re
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from calculators.browser import answer
from tests.conftest import FOLDER, SOAK, watch, watched

OUR_WORKER = "/doorcard-"  # The theme's search has a worker of its own.
SCREENS = {"phone": (390, 844), "desk": (1280, 800)}
DELAY, CROSSOVER = "look-up/delay-by-distance/", "stages/tuning/crossovers/"
WRONG = {
    "1,200": "can be read in two ways: type 1200 or 1.2",
    "": "Type a number for distance",
    "far": "“far” is not a number",
    "2000": "Distance must be between 5 cm and 1000 cm",
    "<b>1</b>": "“<b>1</b>” is not a number",
    "1e400": "Distance must be between",
}
# A link clicked inside the tab keeps the worker, so Python starts once for all pages.
FOLLOW = """(address) => {
  document.querySelectorAll("doorcard-calculator").forEach((element) => element.dataset.before = "");
  const link = document.createElement("a");
  link.href = address;
  document.body.append(link);
  link.click();
}"""
PAGE_SCRIPT = "document.querySelector('script[src*=\"page.js\"]').src"
STATE, JOBS = (f"new URL('{script}', {PAGE_SCRIPT}).href" for script in ("state.js", "jobs.js"))
"""Where the module lies that writes what is kept, and the one of jobs, as a page knows it."""
REACH_STATE = f"async () => {{ window.state = await import({STATE}); }}"
PATIENCE = 90_000  # Booting Python takes seconds on a busy machine; no test here is about speed.

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]


def options_of(screen: str) -> dict[str, Any]:
    """Context options of a phone, and of a desk."""
    width, height = SCREENS[screen]
    return {
        "viewport": {"width": width, "height": height},
        "has_touch": screen == "phone",
        "service_workers": "block",
    }


@pytest.fixture(scope="module", params=SCREENS if SOAK else ["phone"])
def started(
    browser: Browser, server: str, request: pytest.FixtureRequest
) -> Iterator[tuple[Page, list[str]]]:
    """A page of that size and its faults, on a device that keeps nothing: the tab alone has what is typed.

    A desk's is walked through in the long tests.
    """
    context = browser.new_context(**options_of(request.param))
    context.set_default_timeout(PATIENCE)
    context.add_init_script("indexedDB.open = () => { throw new DOMException('refused'); };")
    faults = watch(context)
    page = context.new_page()
    page.goto(server)
    page.evaluate(REACH_STATE)
    yield page, faults
    context.close()


@pytest.fixture
def page(started: tuple[Page, list[str]], server: str) -> Iterator[Page]:
    """That page, watched: tests follow links on it, so that Python starts once for all of them."""
    page, faults = started
    faults.clear()
    page.evaluate(FOLLOW, server)
    expect(page.locator(".dc-tiles").first).to_be_visible()  # The page before has written what it held.
    page.evaluate("state.nextVehicle()")  # No test meets what another typed, and left with its page.
    yield page
    assert not faults, "\n".join(faults)


@pytest.fixture
def fresh(browser: Browser) -> Iterator[Page]:
    """A watched phone of a test's own, where Python has not started."""
    with watched(browser.new_context(**options_of("phone"))) as context:
        context.set_default_timeout(PATIENCE)
        yield context.new_page()


def calculator(page: Page, slug: str) -> Locator:
    """The first calculator of that name on the page."""
    return page.locator(f"doorcard-calculator[data-calculator={slug}]").first


def field(where: Locator, name: str) -> Locator:
    return where.locator(f'[name="{name}"]')


def error_of(where: Locator, name: str) -> Locator:
    return where.locator(f'[data-error="{name}"]')


def wait_until_live(where: Locator, state: str = "answer") -> None:
    expect(where).to_have_attribute("data-live", state, timeout=PATIENCE)


def opened(page: Page, address: str, slug: str) -> Locator:
    """The calculator of a page that is reached inside the tab, live; nobody has typed yet."""
    # A link to where the reader is already leads nowhere: go home first.
    home, folder, _ = address.partition(FOLDER)
    for way in (home + folder, address):
        page.evaluate(FOLLOW, way)
        expect(page).to_have_url(way)
    where = page.locator(f"doorcard-calculator[data-calculator={slug}]:not([data-before])").first
    wait_until_live(where)
    return where


def typed(where: Locator) -> dict[str, str]:
    fields: dict[str, str] = where.evaluate("(element) => element.inputs()")
    return fields


def reply_to(slug: str, inputs: dict[str, str]) -> dict[str, Any]:
    """What native Python says to a form."""
    reply: dict[str, Any] = json.loads(answer(json.dumps({"calculator": slug, "inputs": inputs})))
    return reply


def expect_right_answer(where: Locator) -> None:
    """The answer on the page is the one for what stands in its fields."""
    slug = where.get_attribute("data-calculator")
    reply = reply_to(slug or "", typed(where))
    assert reply["errors"] == []
    for _ in range(PATIENCE // 100):
        if where.evaluate("(element) => element.shown") == reply["html"]:
            break
        where.page.wait_for_timeout(100)
    assert where.evaluate("(element) => element.shown") == reply["html"]
    expect(where.locator(".dc-read-as")).to_have_text([note["message"] for note in reply["notes"]])


def test_answers_follow_what_is_typed(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    expect_right_answer(delay)
    field(delay, "speakers[0].distance").fill("85")
    field(delay, "speakers[1].distance").fill("1,4m")
    expect_right_answer(delay)
    field(delay, "temperature:unit").select_option("°F")
    field(delay, "temperature").fill("68")
    expect_right_answer(delay)
    expect(delay).to_contain_text("343.2")


def test_a_cable_size_is_one_tap_and_two_numbers_from_home(page: Page, server: str) -> None:
    page.evaluate(FOLLOW, server)
    expect(page).to_have_url(server)
    page.locator(".dc-tiles").get_by_role("link", name="Cable size").click()
    page.wait_for_url("**/look-up/cable-length/")
    cable = calculator(page, "cable")
    wait_until_live(cable)
    field(cable, "current").fill("20")
    field(cable, "length").fill("2")
    expect_right_answer(cable)
    # Through the engine bay in class C, as the form starts: 6 mm² may not carry the 25 A fuse there.
    expect(cable.locator(".dc-main")).to_have_text(re.compile("10\\s*mm²"))
    field(cable, "current").fill("54")
    field(cable, "length").fill("5.8")
    expect_right_answer(cable)
    expect(cable.locator(".dc-main")).to_have_text(re.compile("35\\s*mm²"))


def test_a_unit_chosen_for_a_column_is_shown_in_every_row(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    count = delay.locator(".dc-row").count()
    for number in range(count):
        field(delay, f"speakers[{number}].distance").fill(str(40 + number))
    field(delay, "speakers[].distance:unit").select_option("in")
    expect(delay.locator(".dc-row [data-unit=shown]:text-is('in')")).to_have_count(count)
    expect_right_answer(delay)


def test_wrong_input_is_told_beside_its_field(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    before = typed(delay)
    wrong = field(delay, "speakers[1].distance")
    error = error_of(delay, "speakers[1].distance")
    expect(error).to_have_count(0)
    for text, words in WRONG.items():
        wrong.fill(text)
        expect(error).to_contain_text(words)
        assert error.get_attribute("id") in (wrong.get_attribute("aria-describedby") or "").split()
        expect(error).to_be_visible()
        expect(wrong).to_have_attribute("aria-invalid", "true")
        wait_until_live(delay, "errors")
        expect(delay.locator("[data-result]")).to_contain_text("No answer yet")
        assert typed(delay) == before | {"speakers[1].distance": text}
        wrong.fill("98")
        wait_until_live(delay)
        expect(error).to_be_hidden()
        expect(wrong).to_have_attribute("aria-invalid", "false")
        expect_right_answer(delay)


def test_an_error_of_the_function_stands_at_its_field(page: Page, server: str) -> None:
    crossover = opened(page, server + CROSSOVER, "crossover")
    for details in crossover.locator(".dc-form details").all():
        details.evaluate("(element) => { element.open = true; }")
    field(crossover, "family").select_option("linkwitz-riley")
    field(crossover, "slope").select_option("18 dB/oct")
    expect(error_of(crossover, "slope")).to_contain_text("Linkwitz-Riley comes in 12, 24, 36, 48 dB/oct")


def test_what_is_unfolded_stays_unfolded(page: Page, server: str) -> None:
    crossover = opened(page, server + CROSSOVER, "crossover")
    numbers = crossover.locator("[data-result] .dc-numbers").first
    numbers.locator("summary").click()
    expect(numbers.locator("table")).to_be_visible()
    field(crossover, "low_pass").fill("100")
    expect_right_answer(crossover)
    expect(crossover.locator("[data-result] .dc-numbers table").first).to_be_visible()


def test_rows_come_and_go(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    rows = delay.locator(".dc-row-list .dc-row")
    before = rows.count()
    delay.locator(".dc-add").click()
    expect(rows).to_have_count(before + 1)
    expect(field(delay, f"speakers[{before}].name")).to_be_focused()
    expect(error_of(delay, f"speakers[{before}].distance")).to_be_visible()
    field(delay, f"speakers[{before}].name").fill("Centre")
    field(delay, f"speakers[{before}].distance").fill("110")
    wait_until_live(delay)
    expect(delay.locator("[data-result] table.dc-table")).to_contain_text("Centre")
    expect_right_answer(delay)
    rows.first.locator(".dc-remove").click()
    expect(rows).to_have_count(before)
    assert f"speakers[{before}].name" not in typed(delay)
    expect(field(delay, f"speakers[{before - 1}].name")).to_have_value("Centre")
    expect_right_answer(delay)
    while rows.count() > 1:
        rows.last.locator(".dc-remove").click()
    expect(rows.last.locator(".dc-remove")).to_be_disabled()
    expect_right_answer(delay)
    for _ in range(15):
        delay.locator(".dc-add").click()
    expect(rows).to_have_count(16)
    expect(delay.locator(".dc-add")).to_be_disabled()


def test_the_keyboard_is_enough(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    field(delay, "speakers[].distance:unit").focus()
    page.keyboard.press("Shift+Tab")
    page.keyboard.press("Tab")
    expect(field(delay, "speakers[].distance:unit")).to_be_focused()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "speakers[0].distance":
            break
    expect(field(delay, "speakers[0].distance")).to_be_focused()
    page.keyboard.press("Control+A")
    page.keyboard.type("77,5")
    expect_right_answer(delay)
    rows = delay.locator(".dc-row-list .dc-row")
    before = rows.count()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.matches('.dc-add')"):
            break
    page.keyboard.press("Enter")
    expect(rows).to_have_count(before + 1)
    expect(field(delay, f"speakers[{before}].name")).to_be_focused()
    page.keyboard.type("Centre")
    page.keyboard.press("Tab")
    page.keyboard.type("99")
    wait_until_live(delay)
    expect_right_answer(delay)
    assert page.url == server + DELAY


def test_a_pause_tells_a_screen_reader(page: Page, server: str) -> None:
    delay = opened(page, server + DELAY, "delay")
    said = delay.locator("[data-said]")
    expect(said).to_have_attribute("role", "status")
    expect(said).to_be_empty()
    field(delay, "temperature").fill("99")
    page.keyboard.press("Tab")
    expect(said).to_have_text("Air in the cabin must be between −40 °C and 60 °C.")


def test_instant_navigation_keeps_the_worker(fresh: Page, server: str) -> None:
    page = fresh
    workers: list[str] = []
    page.on("worker", lambda worker: workers.append(worker.url))
    page.goto(server + DELAY)
    wait_until_live(calculator(page, "delay"))
    page.evaluate("window.sameDocument = true")
    for address, slug in ((CROSSOVER, "crossover"), (DELAY, "delay")):
        page.evaluate(FOLLOW, server + address)
        expect(page).to_have_url(re.compile(f"{address}$"))
        wait_until_live(calculator(page, slug))
        expect_right_answer(calculator(page, slug))
    assert page.evaluate("window.sameDocument")
    assert len([url for url in workers if OUR_WORKER in url]) == 1


def test_a_crashed_worker_is_replaced_and_nothing_typed_is_lost(
    browser: Browser, watched_contexts: Watched, server: str
) -> None:
    context = watched_contexts(browser.new_context(**options_of("phone")), ("broken on purpose",))
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto(server + DELAY)
    delay = calculator(page, "delay")
    wait_until_live(delay)
    field(delay, "speakers[0].distance").fill("81")
    expect_right_answer(delay)
    worker = next(worker for worker in page.workers if OUR_WORKER in worker.url)
    with page.expect_event("worker", lambda worker: OUR_WORKER in worker.url):
        worker.evaluate("setTimeout(() => { throw new Error('broken on purpose'); })")
    assert typed(delay)["speakers[0].distance"] == "81"
    field(delay, "speakers[1].distance").fill("93")
    expect_right_answer(delay)
    assert typed(delay)["speakers[0].distance"] == "81"


def test_a_worker_that_the_browser_ended_is_replaced_unasked(fresh: Page, server: str) -> None:
    page = fresh
    page.goto(server + DELAY)
    delay = calculator(page, "delay")
    wait_until_live(delay)
    worker = next(worker for worker in page.workers if OUR_WORKER in worker.url)
    with page.expect_event("worker", lambda worker: OUR_WORKER in worker.url):
        worker.evaluate("self.close()")
        field(delay, "speakers[1].distance").fill("93")
    expect_right_answer(delay)


@pytest.mark.parametrize("screen", SCREENS)
def test_without_script_the_page_teaches(
    browser: Browser, screen: str, watched_contexts: Watched, server: str
) -> None:
    page = watched_contexts(
        browser.new_context(**options_of(screen), java_script_enabled=False), ()
    ).new_page()
    page.goto(server + DELAY)
    expect(page.locator("h1")).to_have_text("Delay by distance")
    expect(page.locator("table.dc-look-up").first).to_be_visible()
    delay = calculator(page, "delay")
    expect(delay.locator("[data-result] table.dc-table")).to_be_visible()
    expect(delay.locator("[data-result] table.dc-table")).to_contain_text("ms")
    expect(delay.locator("noscript p")).to_be_visible()
    expect(delay.locator("noscript p")).to_contain_text("this page needs JavaScript and WebAssembly")
    expect(delay.locator("[data-error]:visible")).to_have_count(0)
    page.goto(server + CROSSOVER)
    expect(calculator(page, "crossover").locator("svg").first).to_be_visible()
