"""Long forms are short on a phone: rows as lines, bands filled at once, tables chosen, units converted."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.test_calculators import calculator, field
from tests.browser.test_kept_values import line, type_and_wait, wait_until_kept
from tests.conftest import watched, without_python

DELAY, SCHEDULE, EQUALISER = (
    "look-up/delay-by-distance/",
    "stages/wiring/schedule/",
    "stages/tuning/equaliser/",
)
PASTE = """(field, text) => {
  const data = new DataTransfer();
  data.setData("text/plain", text);
  field.dispatchEvent(new ClipboardEvent("paste", { clipboardData: data, bubbles: true, cancelable: true }));
}"""

BUILT = """async () => {
  const text = await (await fetch(location.href)).text();
  const built = new DOMParser().parseFromString(text, "text/html");
  return [...built.querySelectorAll(".dc-row-list [data-line]")].map((line) => line.textContent);
}"""


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    """A phone without Python: what is meant here needs no answer."""
    made = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    with watched(made) as context:
        page = context.new_page()
        without_python(page)
        yield page


def test_a_run_is_one_line_that_opens_to_be_edited(phone: Page, server: str) -> None:
    phone.goto(server + SCHEDULE)
    schedule = calculator(phone, "wiring-schedule")
    lines = schedule.locator(".dc-row-list [data-line]")
    built = phone.evaluate(BUILT)
    assert len(built) > 10
    expect(lines).to_have_text(built)
    length = field(schedule, "runs[0].length")
    expect(length).to_be_hidden()
    height = schedule.locator(".dc-row").first.evaluate("(row) => row.getBoundingClientRect().height")
    assert height < 60
    lines.first.click()
    length.fill("7.25")
    expect(lines.first).to_contain_text(", 7.25 m, ")
    schedule.get_by_role("button", name="Add a run").click()
    expect(field(schedule, f"runs[{len(built)}].name")).to_be_focused()


def test_bands_are_filled_by_one_paste_and_cleared_by_one_tap(phone: Page, server: str) -> None:
    phone.goto(server + EQUALISER)
    equaliser = calculator(phone, "graphic-equaliser")
    bands = equaliser.locator(".dc-band-list input")
    first = bands.first.bounding_box()
    fourth = bands.nth(3).bounding_box()
    assert first is not None
    assert fourth is not None
    assert first["y"] == fourth["y"], "four in a row"
    bands.nth(2).evaluate(PASTE, "-1,5\n2\n3")
    held = [band.input_value() for band in bands.all()]
    assert held[2:5] == ["-1,5", "2", "3"]
    bands.nth(2).evaluate(PASTE, "31.5\t4\n40\t5")  # Two columns: which of them, nobody can say.
    assert [band.input_value() for band in bands.all()] == held
    # An empty cell of a table is a flat band; what has no place is not dropped in silence.
    for text, row in {
        "1\t2\t\t4\t5": ["1", "2", "0", "4", "5"],
        "1;2;;4;5\r\n": ["1", "2", "0", "4", "5"],
        "1\r\n2\r\n\r\n4\r\n": ["1", "2", "0", "4", "9"],
        "\t−3\t−2": ["0", "−3", "−2", "9", "9"],
        " 1 2 3 ": ["1", "2", "3", "9", "9"],
    }.items():
        bands.first.evaluate(PASTE, "\t".join(["9"] * 31))
        bands.first.evaluate(PASTE, text)
        assert [band.input_value() for band in bands.all()] == row + ["9"] * 26
    too_many = equaliser.locator(".dc-bands [role=alert]")
    bands.nth(1).evaluate(PASTE, "1\n" * 31)
    expect(too_many).to_have_text(
        "These are 31 numbers, and from this band on there are 30: nothing was pasted."
    )
    assert [band.input_value() for band in bands.all()] == row + ["9"] * 26
    bands.nth(1).evaluate(PASTE, "\t".join(held[1:]) + "\t")
    expect(too_many).to_have_count(0)
    bands.first.evaluate(PASTE, "\t".join(held))
    flat = equaliser.locator(".dc-flat")
    flat.click()
    assert {band.input_value() for band in bands.all()} == {"0"}
    flat.click()
    assert [band.input_value() for band in bands.all()] == held


def test_a_table_and_its_column_are_chosen_and_stay_so(phone: Page, server: str) -> None:
    phone.goto(server + DELAY)
    ms, samples = (
        phone.get_by_role("region", name=name, exact=True)
        for name in ("Delay in ms", "Delay in samples at 20 °C")
    )
    expect(ms).to_be_visible()
    expect(samples).to_be_hidden()
    plain, marked = (ms.locator(f"tbody tr:first-child td:nth-child({column})") for column in (2, 4))
    assert marked.evaluate("(cell) => getComputedStyle(cell).fontWeight") == "700"  # 20 °C, the usual.
    cold = phone.get_by_role("radio", name="0 °C", exact=True)
    cold.check()
    wait_until_kept(phone, chosen(cold))
    assert plain.evaluate("(cell) => getComputedStyle(cell).fontWeight") == "700"
    in_samples = phone.get_by_role("radio", name="samples")
    in_samples.check()
    expect(samples).to_be_visible()
    expect(ms).to_be_hidden()
    wait_until_kept(phone, chosen(in_samples))
    phone.reload()
    expect(samples).to_be_visible()
    expect(phone.locator('[data-choice="mark"] input').first).to_be_checked()  # Out of sight with its table.


def test_two_choices_at_once_are_kept_until_the_next_vehicle(phone: Page, server: str) -> None:
    phone.goto(server + DELAY)
    cold = phone.get_by_role("radio", name="0 °C", exact=True)
    samples = phone.get_by_role("radio", name="samples")
    expect(samples).to_have_attribute("data-followed", "yes")
    both = chosen(cold) | chosen(samples)
    at_once = "([cold, samples]) => { cold.click(); samples.click(); }"
    phone.evaluate(at_once, [cold.element_handle(), samples.element_handle()])
    wait_until_kept(phone, both)
    delay = calculator(phone, "delay")
    type_and_wait(delay, "temperature", "31")
    line(delay).get_by_role("button", name="Next vehicle").click()
    expect(samples).not_to_be_checked()
    line(delay).get_by_role("button", name="Undo").click()
    expect(samples).to_be_checked()


def chosen(radio: Locator) -> dict[str, str]:
    """What is kept of a choice."""
    return {str(radio.get_attribute("name")): str(radio.get_attribute("value"))}


def test_another_unit_converts_the_example_too(phone: Page, server: str) -> None:
    phone.goto(server + DELAY)
    delay = calculator(phone, "delay")
    shown = [float(box.input_value()) for box in delay.locator(".dc-row input[name$='.distance']").all()]
    field(delay, "speakers[].distance:unit").select_option("in")
    now = [float(box.input_value()) for box in delay.locator(".dc-row input[name$='.distance']").all()]
    assert now == pytest.approx([cm / 2.54 for cm in shown], rel=5e-4)  # To four figures.
