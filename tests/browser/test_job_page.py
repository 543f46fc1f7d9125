"""The job sheet: the running job opened by one button, worked out on the device, its sheets to keep.

The code on its tuning sheet opens those values on a device that has nothing else.
"""

import json
from pathlib import Path

from playwright.sync_api import Browser, expect

from calculators.declaring import Kept, run_values
from calculators.job.sheet import VERSION
from calculators.stages import find_calculator
from tests.conftest import watched
from tests.job.test_codes import scanned

PATIENCE = 90_000
FILE = Path("docs/job.json")
STOPPED = """async () => {
  const { src } = [...document.scripts].find(({ src }) => src.endsWith("/page.js"));
  const { askJob, faultOf } = await import(new URL("ask-job.js", src));
  return faultOf(await askJob({ ask: async () => ({ stopped: "no network" }) }, "stand", {}, "desk"));
}"""


def native(address: str, release: str) -> dict[str, bytes]:
    """The running job's sheets as they are made without a browser."""
    assert release
    contents = FILE.read_bytes()
    job = Kept("0", "job.json", len(contents), lambda start, count: contents[start : start + count])
    given = {"job": job, "address": address, "release": release}
    return {
        name: made.contents for name, made in run_values(find_calculator("job-sheet"), given).files.items()
    }


def test_the_running_job_is_opened_by_one_button_and_gives_its_sheets(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        page = context.new_page()
        page.goto(server + "job/")
        form = page.locator("doorcard-calculator")
        expect(form.locator(".dc-main dd")).to_have_text("6 missing")
        page.get_by_role("button", name="Open the running job").click()
        expect(form.locator(".dc-main dd")).to_have_text(
            "finished: nothing stale, missing or out of tolerance", timeout=PATIENCE
        )
        title = json.loads(FILE.read_bytes())["sheet"]["title"]
        expect(form.locator("[data-result]")).to_contain_text(title)
        expect(form.locator("[name=release]")).not_to_have_value("")
        expect(form).to_have_attribute("data-live", "answer", timeout=PATIENCE)
        sheets = native(server, form.locator("[name=release]").input_value())
        assert len(sheets) == 10
        for name, made in sheets.items():
            with page.expect_download() as kept:
                form.locator(f"a[data-file={name}]").click()
            assert Path(kept.value.path()).read_bytes() == made, f"{name}: the page's is the native one"
        (link,) = scanned(sheets["tuning_sheet"].decode())
        # A reading behind the last hold point asks why, and then stands in the job; the rest stays typed.
        desk = page.locator("doorcard-jobs")
        expect(desk).to_contain_text("This job is finished.")
        desk.get_by_text("Readings of the proof").click()
        waiting = desk.get_by_role("textbox", name="Channels reversed")
        waiting.fill("0.0")
        desk.get_by_text("Lines of the sheets").click()
        desk.get_by_label("Kind of line").select_option("Mark on the vehicle")
        desk.get_by_label("Where", exact=True).filter(visible=True).fill("Left sill")
        entry = desk.locator("details p", has_text="Loss at the joins, dB (0.5 dB or less)")
        entry.locator("input").fill("0.2")
        entry.get_by_role("button", name="Put it in: Loss at the joins", exact=True).click()
        expect(desk.get_by_text("H6 is signed: give the reason")).to_be_in_viewport()
        desk.get_by_label("Reason").fill("read again")
        desk.get_by_label("Initials").fill("A")
        desk.get_by_role("button", name="Do it with this reason").click()
        expect(desk).to_contain_text("Take back: reading of Loss at the joins")
        expect(form.locator("tr", has_text="Loss at the joins")).to_contain_text("0.2 dB", timeout=PATIENCE)
        expect(desk.locator("[aria-busy=false]")).to_have_count(1)
        expect(waiting).to_have_value("0.0")
        expect(waiting).to_be_visible()
        expect(desk.get_by_label("Where", exact=True).filter(visible=True)).to_have_value("Left sill")
        # A line that stands there is taken out, where its hold point allows that.
        desk.locator("select[name='condition.marks line']").select_option(index=1)
        expect(desk.get_by_role("button", name="Take this line out")).to_be_visible()
    with watched(browser.new_context(service_workers="block")) as another:
        phone = another.new_page()
        phone.goto(link)
        desk = phone.locator("doorcard-jobs")
        expect(desk).to_contain_text(f"Tuning values of “{title}”, from a sheet.")
        rows = desk.locator("tr", has_text="Left woofer")
        expect(rows.first).to_have_text("Left woofer4.021 ms193")
        expect(rows.last).to_contain_text("80 Hz")  # Its corner.
        phone.evaluate("location.hash = '#tuning=1,2,<img src=x onerror=alert(1)>!<b>;%'")
        expect(desk).to_contain_text("This link is not whole: read the code again.")
        phone.evaluate("link => { location.hash = link.slice(link.indexOf('#'), -1); }", link)
        expect(desk.locator("table")).to_have_count(0)
        # What stopped an answer is said in its own words.
        assert phone.evaluate(STOPPED) == "no network"


def test_a_file_that_is_no_job_is_refused_beside_its_field(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        page = context.new_page()
        page.goto(server + "job/")
        page.locator("input[type=file]").set_input_files(
            {
                "name": "job.json",
                "mimeType": "application/json",
                "buffer": b'{"sheet": {"version": 9, "title": ""}}',
            }
        )
        expect(page.locator("[data-error=job]")).to_contain_text(
            f"this release reads up to {VERSION}", timeout=PATIENCE
        )
        for contents, words in (
            ('{"sheet": {"version": 3, "title": "Käfer"}}'.encode("latin-1"), "It is not UTF-8 text."),
            (b" " * 2_000_001, "It is larger than 2 MB: this is no job file."),
        ):
            page.locator("input[type=file]").set_input_files(
                {"name": "job.json", "mimeType": "application/json", "buffer": contents}
            )
            expect(page.locator("doorcard-jobs")).to_contain_text(words)
