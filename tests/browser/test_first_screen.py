"""A page paints what is in sight first; forms below wait for its script, and nothing jumps when it comes."""

import pytest
from playwright.sync_api import Page, Route

PAGE = "stages/tuning/equaliser/"
FORM = "doorcard-calculator .dc-form"
LAID_OUT = "(form) => form.firstElementChild.checkVisibility({ contentVisibilityAuto: true })"
NOTE_SHIFTS = """
window.shifts = 0;
new PerformanceObserver((list) => {
  for (const shift of list.getEntries()) window.shifts += shift.value;
}).observe({ type: "layout-shift" });
"""
ALIVE = (
    "() => [...document.querySelectorAll('doorcard-calculator')].every((form) => form.matches(':defined'))"
)
BELOW_THEM = "accept-when"
FONTS_SHOWN = """() => document.fonts.ready.then(
  () => new Promise((settle) => requestAnimationFrame(() => requestAnimationFrame(settle))))"""
MOST_SHIFT = 0.08
"""Of what a browser adds up, where 0.1 is thought good: a line of a lead may still break elsewhere."""


def test_a_form_below_the_first_screen_is_laid_out_once_it_is_reached(page: Page, server: str) -> None:
    page.route("**/page.js", lambda route: route.fulfill(body="", content_type="text/javascript"))
    page.goto(server + PAGE)
    form = page.locator(FORM).first
    assert not form.evaluate(LAID_OUT)
    form.scroll_into_view_if_needed()
    page.wait_for_function(LAID_OUT, arg=form.element_handle())


@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_in_sight_jumps_when_forms_come_alive(page: Page, server: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    held: list[Route] = []
    page.route("**/page.js", lambda route: held.append(route))
    with page.expect_request("**/page.js"):
        page.goto(server + PAGE, wait_until="commit")
    page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
    page.evaluate("() => document.fonts.ready.then(() => new Promise(requestAnimationFrame))")
    page.evaluate(NOTE_SHIFTS)
    assert not page.locator(FORM).last.evaluate(LAID_OUT)
    held[0].continue_()
    page.wait_for_function(ALIVE)
    page.locator("[data-live=answer]").first.wait_for(state="attached")
    assert page.locator(FORM).last.evaluate(LAID_OUT)
    assert page.evaluate("window.shifts") == 0


@pytest.mark.parametrize(
    ("width", "place"),
    [(390, PAGE), (390, "stages/wiring/main-feed/"), (1280, PAGE), (1280, "look-up/delay-by-distance/")],
)
def test_hardly_anything_moves_when_the_letters_come(page: Page, server: str, width: int, place: str) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    for script in ("bundle.*.js", "page.js"):
        page.route(f"**/{script}", lambda route: route.fulfill(body="", content_type="text/javascript"))
    held: list[Route] = []
    page.route("**/*.woff2", lambda route: held.append(route))
    with page.expect_request("**/*.woff2"):
        page.goto(server + place, wait_until="commit")
    page.wait_for_function("() => performance.getEntriesByName('first-contentful-paint').length")
    page.evaluate(NOTE_SHIFTS)
    page.unroute("**/*.woff2")
    for route in held:
        route.continue_()
    page.evaluate(FONTS_SHOWN)
    assert page.evaluate("() => document.fonts.check('16px Barlow')")
    assert page.evaluate("window.shifts") < MOST_SHIFT


@pytest.mark.parametrize("width", [390, 1280])
def test_a_link_to_a_place_below_forms_leads_to_that_place(page: Page, server: str, width: int) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    page.goto(f"{server}{PAGE}#{BELOW_THEM}")
    page.wait_for_function(ALIVE)
    page.locator("[data-live=answer]").first.wait_for(state="attached")
    place = page.locator(f"#{BELOW_THEM}")
    top = place.evaluate("(place) => place.getBoundingClientRect().top")
    place.evaluate("(place) => place.scrollIntoView()")
    assert top == pytest.approx(place.evaluate("(place) => place.getBoundingClientRect().top"), abs=1)
