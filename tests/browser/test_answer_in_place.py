"""A new answer takes the place of the old one by what differs, and is then as if it had been written anew."""

from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.test_calculators import PATIENCE, calculator, expect_right_answer, field
from tests.conftest import watched
from tests.native_worker import answered_beside

# Writes the answer anew, as a first one, compares the changed one with it, and puts that back.
AS_ANEW = """(form) => {
  const { result } = form;
  const folds = (place) => [...place.querySelectorAll("details")];
  const reads = (place) => [...place.querySelectorAll("doorcard-read-off")];
  const open = folds(result).map((fold) => fold.open);
  const places = reads(result).map((read) => read.place);
  const changed = result.cloneNode(true);
  // The theme leaves one on what had the focus.
  changed.querySelectorAll('[class=""]').forEach((each) => each.removeAttribute("class"));
  const there = [...result.childNodes];
  result.innerHTML = form.shown;
  folds(result).forEach((fold, index) => (fold.open = open[index]));
  reads(result).forEach((read, index) => (read.place = places[index]));
  form.files.show([]);
  const anew = result.cloneNode(true);
  result.replaceChildren(...there);
  return anew.isEqualNode(changed) || [anew.innerHTML, changed.innerHTML];
}"""


def expect_as_anew(form: Locator) -> None:
    expect_right_answer(form)
    assert form.evaluate(AS_ANEW) is True


def type_and_compare(form: Locator, name: str, *texts: str) -> None:
    for text in texts:
        field(form, name).fill(text)
        expect_as_anew(form)


def test_a_changed_answer_is_as_one_written_anew(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        a_box_with_charts_folds_and_a_file(page, server)
        a_schedule_with_rows_and_advice(page, server)
        a_join_of_filters(page, server)


def a_box_with_charts_folds_and_a_file(page: Page, server: str) -> None:
    page.goto(server + "look-up/sealed-box/")
    box = calculator(page, "sealed-box")
    expect(box).to_have_attribute("data-live", "answer")
    # Advice goes and comes before and behind what stays.
    type_and_compare(box, "volume", "40", "6", "12", "20")
    expect(box.locator("details[open]")).to_have_count(0)
    chart = box.locator("figure.dc-chart").first
    chart.locator("summary").click()
    box.locator("details.dc-second > summary", has_text="More charts").click()
    for read in box.locator("doorcard-read-off [type=range]").all():
        read.press("Home")
    read_at = chart.locator(".dc-read-values")
    place, _, _ = read_at.inner_text().partition(" — ")
    type_and_compare(box, "fs", "41", "52.5", "30")
    expect(read_at).to_contain_text(f"{place} — ")
    expect(chart.get_by_role("button", name="Keep the")).to_have_count(3)
    # After no answer at all.
    field(box, "fs").fill("no number")
    expect(box).to_have_attribute("data-live", "errors")
    expect(box.locator("figure.dc-chart")).to_have_count(0)
    type_and_compare(box, "fs", "35")


def a_schedule_with_rows_and_advice(page: Page, server: str) -> None:
    page.goto(server + "stages/quote/parts/")
    schedule = calculator(page, "wiring-schedule")
    expect(schedule).to_have_attribute("data-live", "answer")
    for line in schedule.locator(".dc-row-list [data-line]").all()[:2]:
        line.click()
    type_and_compare(schedule, "runs[1].length", "19", "0.5", "19")
    schedule.locator(".dc-row").first.get_by_role("button", name="Remove this").click()
    expect_as_anew(schedule)


def a_join_of_filters(page: Page, server: str) -> None:
    page.goto(server + "stages/tuning/crossovers/")
    join = calculator(page, "crossover")
    expect(join).to_have_attribute("data-live", "answer")
    join.locator("figure.dc-chart summary").first.click()
    type_and_compare(join, "low_pass", "120", "60", "85")
    for index in (1, 0):
        field(join, "polarity").select_option(index=index)
        expect_as_anew(join)


# Notes each field and button that comes into an answer from here on.
NOTE_FIELDS = """(form) => {
  window.fieldsCome = [];
  new MutationObserver((changes) => {
    for (const { addedNodes } of changes)
      for (const added of addedNodes)
        if (added instanceof Element)
          for (const each of [added, ...added.querySelectorAll("*")])
            if (each.matches("input, button, select, textarea")) window.fieldsCome.push(each.outerHTML);
  }).observe(form.result, { childList: true, subtree: true });
}"""


def test_a_new_answer_brings_no_new_field(page: Page, server: str) -> None:
    """For each one a browser looks through all forms of the page, in as long as many answers take."""
    page.goto(server + "look-up/sealed-box/")
    box = calculator(page, "sealed-box")
    expect(box).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    box.locator("figure.dc-chart summary").first.click()
    box.evaluate(NOTE_FIELDS)
    field(box, "fs").fill("44")
    expect_right_answer(box)
    assert page.evaluate("window.fieldsCome") == []


# Two charts and two folds; then one more of each before them.
NAMED = """(form) => {
  const fold = (words) => `<details><summary>${words}</summary><p>Within</p></details>`;
  const row = (at) => `<tr><th>${at}</th><td>${at}</td></tr>`;
  const rows = [20, 40, 80].map(row).join("");
  const table = `<table><thead><tr><th>Hz</th><th>dB</th></tr></thead><tbody>${rows}</tbody></table>`;
  const chart = (words) => `<figure><figcaption>${words}</figcaption>
    <details class="dc-numbers"><summary>Numbers</summary>${table}
    <doorcard-keep-chart></doorcard-keep-chart></details>
    <doorcard-read-off data-start="0"></doorcard-read-off></figure>`;
  const charts = (...names) => names.map(chart).join("");
  const folds = (...names) => names.map(fold).join("");
  form.showResult(charts("Level", "Delay") + folds("Limits", "All runs"));
  const { result } = form;
  const figure = [...result.querySelectorAll("figure")].at(-1);
  figure.querySelector("details").open = true;
  figure.querySelector("doorcard-read-off").place = 80;
  result.lastElementChild.open = true;
  form.showResult(charts("Phase", "Level", "Delay") + folds("Bands", "Limits", "All runs"));
  const words = (each, name) => each?.querySelector(name).textContent ?? "";
  return {
    open: [...result.querySelectorAll("details[open]")].map((each) =>
      [words(each.closest("figure"), "figcaption"), words(each, "summary")].join(": ")),
    read: [...result.querySelectorAll("doorcard-read-off")].map((each) => each.place ?? null),
  };
}"""


def test_folds_and_what_is_read_off_stay_with_their_names(page: Page, server: str) -> None:
    """An answer that brings one more fold, or one more chart, opens no other in its place."""
    page.goto(server + "look-up/sealed-box/")
    box = calculator(page, "sealed-box")
    expect(box).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    found = box.evaluate(NAMED)
    assert found == {"open": ["Delay: Numbers", ": All runs"], "read": [None, None, 80]}
