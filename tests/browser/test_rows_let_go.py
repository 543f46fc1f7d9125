"""Rows that a page's example has not: they go with the example, the vehicle and a link, as any field does."""

from playwright.sync_api import Page, expect

from tests.browser.test_calculators import PAGE_SCRIPT
from tests.browser.test_kept_values import context, line, opened, page

__all__ = ["context", "page"]

LINK = f"""async (form) => {{
  const {{ linkTo }} = await import(new URL("links.js", {PAGE_SCRIPT}).href);
  return linkTo({{ calculator: form.calculator, scripts: form.dataset.scripts, fields: form.inputs() }});
}}"""


def test_a_curve_in_a_row_that_the_example_has_not_goes_with_the_vehicle(page: Page, server: str) -> None:
    """It stood there as the next vehicle's own, or beside what a link brought."""
    form = opened(page, server + "stages/tuning/measuring/", "response")
    rows, link = form.locator("[data-rows=others] .dc-row"), form.evaluate(LINK)
    ways = [
        lambda: line(form).get_by_role("button", name="Back to the example").click(),
        lambda: line(form).get_by_role("button", name="Next vehicle").click(),
        lambda: page.evaluate("link => { location.href = link; }", link),
    ]
    for way in ways:
        curve = {"others[0].name": "Left", "others[0].curve": "100 -1"}
        form.evaluate("(form, fields) => { form.fill(fields); form.hasTyped(); }", curve)
        expect(line(form)).to_contain_text("Yours, from")
        expect(rows).to_have_count(1)
        way()
        expect(rows).to_have_count(0)
        expect(line(form)).not_to_contain_text("Yours")


def test_a_table_may_lose_its_last_row(page: Page, server: str) -> None:
    """Nothing of it stands in the form any more: the script ended there, and nothing typed later was kept."""
    form = opened(page, server + "stages/tuning/tune/", "read-back")
    rows = form.locator("[data-rows=channels] .dc-row")
    for left in range(rows.count())[::-1]:
        rows.first.get_by_role("button", name="Remove this", include_hidden=True).dispatch_event("click")
        expect(rows).to_have_count(left)
    expect(line(form)).to_contain_text("Yours, from")
