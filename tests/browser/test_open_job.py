"""A job of this device: filled by forms, open on every page, signed, changed by two tabs, taken back."""

import json
import re
from binascii import crc32
from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from tests.browser.test_calculators import FOLLOW, PATIENCE, STATE, calculator, field
from tests.browser.test_kept_values import in_kept
from tests.browser.test_offline import OFFLINE_WORDS, keep
from tests.conftest import SOAK, watched
from tests.native_worker import answered_beside

LEAVING = "!dispatchEvent(new Event('beforeunload', { cancelable: true }))"
SUPPLY, CABLES = "stages/design/supply/", "look-up/cable-length/"
GUIDED = "stages/tuning/guided/"
RUNNING = re.compile(r"/job\.json$")
FEED = ("current", "feed")


def with_feed_alone(job: dict[str, dict[str, list[dict[str, object]]]]) -> dict[str, object]:
    """The running job with the runs that are changed here: each change works all out, in two tabs."""
    runs = [run for run in job["sheet"]["runs"] if run["name"] in FEED]
    return job | {"sheet": job["sheet"] | {"runs": runs}}


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    allowed = OFFLINE_WORDS if SOAK else ()
    with watched(browser.new_context(service_workers="allow" if SOAK else "block"), allowed) as made:
        made.set_default_timeout(PATIENCE)
        answered_beside(made)
        yield made


def line(form: Locator) -> Locator:
    return form.locator(".dc-yours")


def put(form: Locator, reason: str = "") -> None:
    """Put a form's answer into the job, behind a hold point with a reason."""
    form.get_by_role("button", name="Put this answer into").click()
    if reason:
        form.get_by_label("Reason").fill(reason)
        form.get_by_label("Initials").fill("A")
        form.get_by_role("button", name="Put it in with this reason").click()
    expect(form.locator(".dc-job [role=status]")).to_contain_text("It is in the job")


def give_reason(desk: Locator) -> None:
    """What a hold point closes is done again or taken back with a reason and initials."""
    desk.get_by_label("Reason").fill("checked again")
    desk.get_by_label("Initials").fill("A")
    desk.get_by_role("button", name="Do it with this reason").click()


def exported(desk: Locator) -> tuple[str, dict[str, dict[str, object]]]:
    """The open job as the file that it is kept as, and the name of that file."""
    with desk.page.expect_download() as kept:
        desk.get_by_role("button", name="Keep it as a file").click()
    return kept.value.suggested_filename, json.loads(Path(kept.value.path()).read_text(encoding="utf-8"))


def follow(page: Page, address: str) -> None:
    """Go there by a link: the tab keeps its worker."""
    page.evaluate(FOLLOW, address)
    page.wait_for_url(address)
    expect(page.locator("doorcard-calculator[data-before]")).to_have_count(0)


def start(page: Page, name: str) -> Locator:
    desk = page.locator("doorcard-jobs")
    desk.get_by_label("Name of a new job").fill(name)
    desk.get_by_role("button", name="Start a new job").click()
    expect(desk).to_contain_text(f"Open: {name}, changed")
    return desk


def test_what_follows_from_an_answer_of_the_example_says_so_beside_its_field(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    start(page, "Bay 6")
    follow(page, server + SUPPLY)
    put(calculator(page, "current-draw"))
    mark = calculator(page, "cable").locator('[data-input="current"] .dc-of-job')
    expect(mark).to_have_text("From the job’s answer “current”, which has values of a page’s example")
    # On what takes the answer off the page, too, once it is no longer the example's.
    expect(calculator(page, "cable")).not_to_have_attribute("data-example", re.compile(""))
    expect(calculator(page, "cable")).to_have_attribute("data-live", "answer", timeout=PATIENCE)
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    said = calculator(page, "cable").locator("p.dc-of-whom").last
    expect(said).to_contain_text("Current, which follows from “current”")


def test_a_job_from_empty_to_its_sheets_with_no_value_typed_twice(
    device: BrowserContext, server: str
) -> None:
    """In the long tests the device has kept the handbook, and is in a bay without signal from then on."""
    page = device.new_page()
    if SOAK:
        keep(page, server)
        device.set_offline(True)
    page.goto(server + "job/")
    start(page, "Bay 3")
    follow(page, server + SUPPLY)
    current, cable = calculator(page, "current-draw"), calculator(page, "cable")
    expect(cable.locator(".dc-job")).to_be_visible()
    typed = {"amplifiers[0].power": "400", "supply": "13.2"}
    for name, text in typed.items():
        field(current, name).fill(text)
    put(current)
    expect(current.locator(".dc-job [role=status]")).to_contain_text("Of the page’s example, not yours:")
    expect(line(current)).to_have_text(re.compile(r"^From the job “Bay 3”, \d\d:\d\d: .*Next vehicle$"))
    # The supply's volts and the current that they give stand in the next form without being typed.
    expect(field(cable, "supply")).to_have_value("13.2")
    expect(cable.locator('[data-input="current"] .dc-of-job')).to_have_text("From the job’s answer “current”")
    asked = field(cable, "current").input_value()
    field(cable, "length").fill("6.2")
    put(cable)
    # What nobody typed is told as an example's on every form, until the reader says that it is so here.
    expect(line(cable)).to_contain_text("In the job, but of a page’s example, not yours: ")
    line(cable).get_by_role("button", name="So here too").click()
    expect(line(cable)).to_contain_text("Yours in the job, too, once you put this answer into it: ")
    put(cable)
    expect(line(cable)).not_to_contain_text("Yours in the job, too")
    expect(line(cable)).not_to_contain_text("of a page’s example")
    follow(page, server + CABLES)
    again = calculator(page, "cable")
    expect(field(again, "length")).to_have_value("6.2")
    expect(field(again, "current")).to_have_value(asked)
    follow(page, server + "job/")
    form = calculator(page, "job-sheet")
    expect(form.locator("[data-result]")).to_contain_text("Bay 3")
    expect(form.locator("tr", has_text=re.compile("^feed")).first).to_contain_text("fresh")
    with page.expect_download() as kept:
        form.locator("a[data-file=wiring_schedule]").click()
    assert "Bay 3" in Path(kept.value.path()).read_text(encoding="utf-8")
    name, job = exported(page.locator("doorcard-jobs"))
    assert re.fullmatch(r"job-\d{4}-\d\d-bay-3\.json", name)
    assert (job["supply"]["voltage"], job["supply"]["length"]) == (13.2, 6.2)
    feed = next(run for run in job["sheet"]["runs"] if run["name"] == "feed")  # type: ignore[attr-defined]
    assert feed["inputs"]["current"] == "run:current.peak_current"


GUIDED_RUNS = """async ([address, count]) => {
  const { keep } = await import(address);
  const fields = Object.fromEntries([...Array(count).keys()].map((at) => [`measured[${at}]`, ""]));
  await keep({ id: "guided", calculator: "guided", title: "", at: Date.now(), fields, values: [] });
}"""


def test_the_next_vehicle_can_be_taken_back_though_a_job_was_open(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    state = page.evaluate(STATE)
    start(page, "Bay 3")
    follow(page, server + SUPPLY)
    cable = calculator(page, "cable")
    field(cable, "length").fill("6.2")
    expect(line(cable)).to_contain_text("Yours, from")
    page.evaluate(GUIDED_RUNS, [state, 2])
    leave = line(cable).get_by_role("button", name="Next vehicle")
    leave.click()
    expect(line(cable)).to_contain_text("The next vehicle throws away 2 runs of the guided tune.")
    line(cable).get_by_role("button", name="Keep them").click()
    expect(line(cable)).not_to_contain_text("throws away")
    expect(field(cable, "length")).to_have_value("6.2")
    leave.click()
    line(cable).get_by_role("button", name="Throw them away").click()
    expect(line(cable)).to_contain_text("The example is back on every page.")
    expect(cable.locator(".dc-job")).to_be_hidden()
    cable.evaluate("(form) => form.yours.setJob(null)")  # The job is closed a moment later.
    expect(field(cable, "length")).not_to_have_value("6.2")
    line(cable).get_by_role("button", name="Undo").click()
    expect(field(cable, "length")).to_have_value("6.2")
    expect(cable.locator(".dc-job")).to_be_visible()
    expect(line(cable)).not_to_contain_text("The example is back")


def test_a_changed_value_makes_later_answers_stale_and_can_be_taken_back(
    device: BrowserContext, server: str
) -> None:
    """One job in two tabs; the other one sees each change, and changes on top of it."""
    page = device.new_page()
    page.goto(server + "job/")
    desk = page.locator("doorcard-jobs")
    if not SOAK:
        page.route(RUNNING, lambda route: route.fulfill(json=with_feed_alone(route.fetch().json())))
    desk.get_by_role("button", name="Open the running job").click()
    expect(desk).to_contain_text("Open: ")
    page.unroute_all()
    other = device.new_page()
    other.goto(server + SUPPLY)
    current, cable = calculator(other, "current-draw"), calculator(other, "cable")
    expect(line(cable)).to_contain_text("From the job “")
    field(cable, "length").fill("6.4")
    expect(line(cable)).to_contain_text("In the job “")
    put(cable, reason="longer way")
    expect(desk).to_contain_text("Take back: ")
    field(current, "supply").fill("13.1")
    put(current, reason="measured again")
    expect(current.locator(".dc-job [role=status]")).to_contain_text("Out of date by now: feed.")
    expect(field(cable, "supply")).to_have_value("13.1")
    expect(desk).to_contain_text("Out of date: feed (")
    desk.get_by_role("button", name="Work them out again").click()
    give_reason(desk)
    expect(desk.get_by_text("Out of date: feed")).to_have_count(0)
    _, job = exported(desk)
    assert [entry["path"] for entry in job["sheet"]["history"]] == [  # type: ignore[index,attr-defined]
        "supply.length", "supply.voltage", "feed",
    ]  # fmt: skip
    desk.get_by_role("button", name=re.compile("^Take back: answers worked out again")).click()
    give_reason(desk)
    expect(desk).to_contain_text("Out of date: feed (")
    # Several jobs: another one, this one deleted, and that undone.
    start(page, "Bay 4")
    expect(line(cable)).not_to_contain_text("From the job")
    other.close()  # Its Python would work out each change too.
    expect(desk.locator("li")).to_have_count(1)
    expect(desk).to_contain_text("H1, survey agreed.")
    expect(desk).to_contain_text("quote: no answer yet: work it out, or say that this job has none.")
    desk.get_by_text("Answers still missing").click()
    desk.get_by_role("button", name="This job has none: quote").click()
    desk.get_by_role("button", name="Yes, it has none").click()
    give_reason(desk)
    expect(desk).to_contain_text("This job has none: quote.")
    desk.get_by_label("Initials").fill("B")
    desk.get_by_role("button", name="Sign").click()
    expect(desk.get_by_label("Hold point").locator("option")).to_have_count(5)
    expect(desk.get_by_label("Initials of the other one")).to_be_visible()  # Airbags: two sign.
    desk.get_by_label("Hold point").select_option("H3")
    expect(desk).to_contain_text("H2, airbags safe, comes first.")
    expect(desk.get_by_role("button", name="Sign", exact=True)).to_have_count(0)
    desk.locator("li").get_by_role("button", name="Delete").click()
    expect(desk).to_contain_text("Delete “")
    desk.get_by_role("button", name="Yes, delete it").click()
    expect(desk.locator("li")).to_have_count(0)
    desk.get_by_role("button", name="Undo").click()
    expect(desk.locator("li")).to_have_count(1)
    desk.get_by_role("button", name="Delete it here").click()
    page.evaluate(CHANGED_MEANWHILE)
    desk.get_by_role("button", name="Yes, delete it").click()
    expect(desk).to_contain_text("No job is open on this device.")
    desk.get_by_role("button", name="Undo").click()
    expect(desk).to_contain_text("Open: Bay 4")
    expect(desk.get_by_role("button", name="Take back: what another tab did")).to_be_visible()
    page.locator("input[type=file]").set_input_files(
        {
            "name": "x.json",
            "mimeType": "application/json",
            "buffer": b'{"sheet": {"version": 9, "title": ""}}',
        }
    )
    expect(page.locator("[data-error=job]")).to_contain_text("this release reads up to 3")
    expect(desk).to_contain_text("Open: Bay 4")


CHANGED_MEANWHILE = in_kept("""const job = records.find(({ title }) => title === "Bay 4");
  store.put({ ...job, did: "what another tab did" });""")
SHEET = json.dumps({"format": "tuning-sheet", "version": 1, "channels": [{
    "name": "Left woofer", "high_pass": 80.0, "low_pass": None, "polarity": "normal", "delay": 0.0,
    "gain": -2.0, "filters": [],
}]})  # fmt: skip


def test_an_answer_of_a_file_is_led_to_and_asks_for_that_file_again(
    device: BrowserContext, server: str
) -> None:
    """The job's file is changed by hand here, so that a value under the answer is another one."""
    page = device.new_page()
    page.goto(server + "job/")
    start(page, "Bay 7")
    follow(page, server + GUIDED)
    form = calculator(page, "read-back")
    form.locator("[name=sheet]").set_input_files(
        {"name": "sheet.json", "mimeType": "application/json", "buffer": SHEET.encode()}
    )
    put(form)
    expect(form.locator(".dc-job [role=status]")).to_contain_text("for it is not in the job: sheet.json.")
    follow(page, server + "job/")
    desk = page.locator("doorcard-jobs")
    _, job = exported(desk)
    run = job["sheet"]["runs"][-1]  # type: ignore[index]
    assert run["inputs"]["sheet"] == {  # type: ignore[index]
        "name": "sheet.json", "size": len(SHEET), "sum": f"{crc32(SHEET.encode()):08x}",
    }  # fmt: skip
    run["inputs"]["step"] = 5e-5  # type: ignore[index]
    page.locator("input[type=file]").set_input_files(
        {"name": "x.json", "mimeType": "application/json", "buffer": json.dumps(job).encode()}
    )
    stale = desk.locator("p", has_text="Out of date: read-back (“Step of delay” was changed).")
    expect(stale).to_contain_text("choose “sheet.json” there")
    stale.get_by_role("link", name="Open its form").click()
    again = calculator(page, "read-back")
    expect(again.locator("[data-input=sheet] .dc-of-job")).to_contain_text("rests on “sheet.json”")
    expect(field(again, "step")).to_have_value("0.05")


REFUSED = "indexedDB.open = () => { throw new DOMException('refused'); };"
FULL = """const { put } = IDBObjectStore.prototype;
IDBObjectStore.prototype.put = function (...given) {
  const asked = put.apply(this, given);
  this.transaction.abort();  // As a browser ends it whose disk is full.
  return asked;
};"""


def begun_unkept(device: BrowserContext, server: str, fault: str) -> Page:
    """A page with a job that the device cannot keep, which says so and hands it out as a file."""
    device.add_init_script(fault)
    page = device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Bay 5")
    expect(desk).to_contain_text("This browser does not keep it: keep it as a file")
    _, job = exported(desk)
    assert job["sheet"]["title"] == "Bay 5"
    return page


def test_where_the_disk_is_full_it_is_said_and_the_job_can_be_taken_along(
    device: BrowserContext, server: str
) -> None:
    begun_unkept(device, server, FULL)


def test_where_nothing_is_kept_it_is_said_and_the_job_can_be_taken_along(
    device: BrowserContext, server: str
) -> None:
    page = begun_unkept(device, server, REFUSED)
    follow(page, server + SUPPLY)
    cable = calculator(page, "cable")
    put(cable)
    expect(cable.locator(".dc-job [role=status]")).to_contain_text("This browser does not keep it")
    assert page.evaluate(LEAVING), "the browser asks before it leaves"
