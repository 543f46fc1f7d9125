"""The running job in Chromium from empty to its printed sheets, without signal, no value typed twice.

A reader's typing is each field's own text, sent as keys send it. The long tests go the whole way; else the
feed's three forms stand for it, and `tests/job/test_whole_way.py` goes the rest without a browser.
"""

import json
from io import BytesIO
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, Locator, Page, expect
from pypdf import PdfReader

from tests.browser.test_calculators import PATIENCE, calculator
from tests.browser.test_offline import OFFLINE_WORDS, keep
from tests.browser.test_open_job import follow, put, start
from tests.conftest import SOAK, watched
from tests.native_worker import answered_beside

JOB: dict[str, Any] = json.loads(Path("docs/job.json").read_bytes())
SUPPLY = "stages/design/supply/"
FEED = (("current-draw", SUPPLY), ("cable", SUPPLY), ("fuse", SUPPLY))
FORMS = (
    ("quote", "stages/quote/quote/"), ("job-hours", "stages/quote/plan/"),
    ("delay", "stages/tuning/time-alignment/"), *FEED, ("wiring-schedule", "stages/wiring/schedule/"),
    ("pre-charge", "stages/design/hold-up/"), ("battery-drain", "stages/verification/supply-restart-heat/"),
    ("level-trim", "stages/tuning/levels/"), ("equaliser-headroom", "stages/tuning/equaliser/"),
    ("added-mass", "stages/design/mass-and-crash/"),
)  # fmt: skip
TYPE = """(form) => {
  const typed = [];
  for (const place of form.querySelectorAll("[data-input]")) {
    if (place.querySelector(".dc-of-job")) continue;
    typed.push(place.dataset.input);
    for (const field of place.querySelectorAll("input, select, textarea"))
      field.dispatchEvent(new Event("input", { bubbles: true }));
  }
  return typed;
}"""
SHEETS = 9


def typed_into(form: Locator) -> list[str]:
    """The facts, or inputs of that form alone, that a reader types here: what the job knows stands there."""
    paths = json.loads(form.get_attribute("data-job") or "{}")
    names: list[str] = form.evaluate(TYPE)
    expect(form).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    slug = form.get_attribute("data-calculator")
    return [paths.get(name, f"{slug}.{name}") for name in names]


def finished(desk: Locator) -> list[str]:
    """The lines, readings and signatures of the running job, typed and signed; gives what was read."""
    entries = desk.locator("details p").filter(has=desk.page.get_by_role("button", name="Put it in: "))
    proof = {line["name"]: line for line in JOB["sheet"]["proof"]}
    desk.get_by_text("Readings of the proof").click()
    read = []
    for name in proof:
        line = entries.filter(has=desk.page.get_by_role("button", name=f"Put it in: {name}", exact=True))
        if not line.count():
            continue
        reading, limit = (value_of(proof[name].get(part)) for part in ("measured", "most"))
        line.locator("input").first.fill(reading)
        if line.locator("input").count() > 1:
            line.locator("input").last.fill(limit)
        line.get_by_role("button").click()
        expect(desk).to_contain_text(f"Take back: reading of {name}")
        read.append(name)
    (accepted,) = JOB["sheet"]["exceptions"]
    desk.get_by_text("What the customer accepted").click()
    desk.get_by_label("Why it stands").fill(accepted["why"])
    desk.get_by_label("Accepted by").fill(accepted["accepted"])
    desk.get_by_role("button", name="Put this exception in").click()
    expect(desk).to_contain_text("Take back: exception")
    for point in JOB["sheet"]["hold_points"]:
        desk.locator("select[name=point]").select_option(point["point"])
        desk.get_by_label("Initials of who did not").fill(point["by"])
        if "second" in point:
            desk.get_by_label("Initials of the other one").fill(point["second"])
        # The running job's own values are those of some pages' examples, and were put in as they stood there.
        why = desk.get_by_label("Why values of an example are signed")
        if why.count():
            why.fill("looked at, and right here")
        desk.get_by_role("button", name="Sign", exact=True).click()
        expect(desk).to_contain_text(f"Take back: {point['point']} signed")
    expect(desk).to_contain_text("This job is finished.")
    return read


def value_of(named: Any) -> str:
    """A reading or a limit of the running job, as it is typed."""
    if not isinstance(named, str):
        return "" if named is None else f"{named:g}"
    section, _, name = named.removeprefix("job:").partition(".")
    return f"{JOB[section][name]:g}"


def sheets_printed(page: Page) -> int:
    """How many sheets are kept from the job's page, and print with the job's name."""
    form, count = calculator(page, "job-sheet"), 0
    expect(form).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    for link in form.locator("a[data-file]").all():
        with page.expect_download() as kept:
            link.click()
        if not kept.value.suggested_filename.endswith(".html"):
            continue
        sheet = page.context.new_page()
        sheet.set_content(Path(kept.value.path()).read_text(encoding="utf-8"))
        text = PdfReader(BytesIO(sheet.pdf(prefer_css_page_size=True))).pages[0].extract_text()
        sheet.close()
        assert "Bay 3" in text
        count += 1
    return count


def test_no_value_of_a_job_is_typed_twice(browser: Browser, server: str) -> None:
    allowed = OFFLINE_WORDS if SOAK else ()
    with watched(browser.new_context(service_workers="allow" if SOAK else "block"), allowed) as context:
        context.set_default_timeout(PATIENCE)
        answered_beside(context)
        page = context.new_page()
        if SOAK:
            keep(page, server)
            context.set_offline(True)
        page.goto(server + "job/")
        start(page, "Bay 3")
        typed: list[str] = []
        for slug, address in FORMS if SOAK else FEED:
            if page.url != server + address:
                follow(page, server + address)
            form = calculator(page, slug)
            expect(form.get_by_role("button", name="Put this answer into")).to_be_visible()
            expect(form.locator(".dc-job")).to_have_attribute("aria-busy", "false")
            typed += typed_into(form)
            put(form)
        follow(page, server + "job/")
        desk = page.locator("doorcard-jobs")
        expect(desk.locator("[aria-busy=false]")).to_have_count(1)
        if SOAK:
            typed += finished(desk)
        assert sheets_printed(page) == SHEETS
        assert len(typed) == len(set(typed)) > (60 if SOAK else 15)
        print(f"typed once each: {len(typed)}")
