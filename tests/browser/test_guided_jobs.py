"""Two vehicles in two bays: each job has a guided tune of its own, and what is of none waits for a tap."""

import json
import re
from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.test_calculators import STATE, calculator
from tests.browser.test_guided import NOTHING_KEPT, guided_page, now
from tests.browser.test_guided_waits import home, way
from tests.browser.test_guided_ways import run
from tests.browser.test_kept_values import in_kept, wait_until_kept
from tests.browser.test_two_vehicles import COUPE, DELETE, JOB, NEXT, OPEN, SAFE, VAN, open_job
from tests.browser.test_unkept_job import ANOTHER_WRITE

KEEP_AS = """async ([address, path, fields, job, place]) => {
  const { keep } = await import(address);
  const id = `${path}#guided${place && "@"}${place}`;
  await keep({ id, calculator: "guided", title: "", at: Date.now(), fields, values: [], job });
}"""
TUNES = """async (address) => {
  const { records } = await (await import(address)).recall();
  const tunes = records.filter(({ calculator }) => calculator === "guided");
  return Object.fromEntries(tunes.map(({ id, fields, job }) => [id.split("#guided")[1], { fields, job }]));
}"""
"""The tunes on the device, by what stands behind the page in their ids."""
VAN_S, COUPE_S = f"@{VAN[0]}", f"@{COUPE[0]}"
BEGIN = "Begin, one step a screen"
CLEARED_AWAY = in_kept("store.clear();")
PRESSED_LATE = """async (button, [address, id]) => {
  const { open } = await import(new URL("jobs.js", address).href);
  await open(id);
  const there = button.isConnected;
  if (there) button.click();
  return there;
}"""
"""Opens a job and presses a button of the former one's tune at once; gives whether that was still there."""
FULL = """() => {
  const { put, delete: away } = IDBObjectStore.prototype;
  const { commit } = IDBTransaction.prototype;
  let full = true;
  IDBObjectStore.prototype.put = function (record) {
    this.transaction.large = record.calculator === "guided";
    return put.apply(this, arguments);
  };
  IDBObjectStore.prototype.delete = function (id) {
    if (id.includes("#guided")) full = false;
    return away.apply(this, arguments);
  };
  IDBTransaction.prototype.commit = function () {
    return full && this.large ? this.abort() : commit.call(this);
  };
}"""
"""There is no room for a tune until one is deleted."""

TRY_AGAIN = "async (address) => { await (await import(address)).tryAgain(); }"
NO_ROOM = """() => {
  const { put } = IDBObjectStore.prototype;
  const { commit } = IDBTransaction.prototype;
  IDBObjectStore.prototype.put = function (record) {
    this.transaction.large = record.calculator === "guided";
    return put.apply(this, arguments);
  };
  IDBTransaction.prototype.commit = function () {
    return this.large ? this.abort() : commit.call(this);
  };
  window.makeRoom = () => void (IDBTransaction.prototype.commit = commit);
}"""
"""There is no room for a tune, whatever is deleted: a browser may be slow to give that back."""


class Bay:
    """The page of the guided tune, and another tab that opens jobs."""

    def __init__(self, page: Page, server: str) -> None:
        self.page, self.state = page, page.evaluate(STATE)
        self.other = page.context.new_page()
        self.other.goto(server + SAFE)

    @property
    def card(self) -> Locator:
        return self.page.locator(".dc-guide").first

    def keeps(self, job: str, fields: dict[str, Any], place: str | None = None) -> None:
        """The device holds a tune of a job."""
        self.keeps_in(self.page, job, fields, job if place is None else place)

    def keeps_in(self, tab: Page, job: str, fields: dict[str, Any], place: str) -> None:
        """One of its tabs writes it."""
        tab.evaluate(KEEP_AS, [self.state, urlsplit(self.page.url).path, fields, job, place])

    def opens(self, job: tuple[str, str]) -> None:
        """A job is opened in the other tab."""
        open_job(self.other, job)

    def tunes(self) -> dict[str, dict[str, Any]]:
        return dict(self.page.evaluate(TUNES, self.state))

    def runs(self) -> dict[str, int]:
        """How many runs each tune on the device has."""
        counted = self.tunes().items()
        return {place: sum("[" in name for name in tune["fields"]) for place, tune in counted}

    def press(self, words: str) -> None:
        self.card.get_by_role("button", name=words, exact=True).click()

    def expect_done(self, words: str) -> None:
        """How far the tune that stands here is, and on which job."""
        expect(self.card).to_contain_text(f"{words}; ")
        expect(self.card).to_contain_text("Kept on this device.")


@pytest.fixture
def bay(browser: Browser, server: str) -> Iterator[Bay]:
    with guided_page(browser, server) as page:
        yield Bay(page, server)


def with_bass(runs: int, gain: str) -> dict[str, Any]:
    """A tune of so many runs whose plan has a gain of the bass of its own."""
    fields = way(runs)
    return fields | {"guided-tune": json.dumps(json.loads(fields["guided-tune"]) | {"bass_gain": gain})}


def test_each_job_has_a_guided_tune_of_its_own(bay: Bay, server: str) -> None:
    bay.opens(VAN)
    bay.keeps(JOB, with_bass(2, "7"))
    bay.page.reload()
    expect(now(bay.page)).to_contain_text(run(2))
    bay.expect_done("2 of 15 runs done on “Blue van”")
    bass = bay.page.locator("[data-calculator=guided-tune] [name=bass_gain]")
    example = calculator(bay.page, "guided-tune").evaluate("form => JSON.parse(form.example).bass_gain")
    # The other one has none: nothing of the first stands here, and nothing is asked.
    bay.opens(COUPE)
    expect(bay.card.get_by_role("button", name=BEGIN)).to_be_visible()
    expect(bay.card).not_to_contain_text("runs done")
    expect(bass).to_have_value(example)
    bay.keeps(COUPE[0], with_bass(1, "3"))
    bay.opens(VAN)
    bay.expect_done("2 of 15 runs done on “Blue van”")
    expect(bass).to_have_value("7")
    # From bay to bay, each goes on where it was.
    for job, runs, gain in ((COUPE, 1, "3"), (VAN, 2, "7"), (COUPE, 1, "3")):
        bay.opens(job)
        bay.expect_done(f"{runs} of 15 runs done on “{job[1]}”")
        expect(now(bay.page)).to_contain_text(run(runs))
        expect(bass).to_have_value(gain)
    bay.page.reload()
    bay.expect_done("1 of 15 runs done on “Red coupe”")
    assert bay.runs() == {VAN_S: 2, COUPE_S: 1}
    plans = {place: json.loads(tune["fields"]["guided-tune"]) for place, tune in bay.tunes().items()}
    assert {place: plan["bass_gain"] for place, plan in plans.items()} == {VAN_S: "7", COUPE_S: "3"}
    # The next vehicle takes none of them away.
    bay.page.evaluate(NEXT, bay.state)
    bay.page.reload()
    expect(bay.card.get_by_role("button", name=BEGIN)).to_be_visible()
    bay.opens(VAN)
    page = home(bay.page, server)
    expect(page.get_by_role("link", name="A guided tune waits: 2 of 15 runs")).to_be_visible()


def test_what_was_done_last_is_kept_as_its_own_job_s(bay: Bay) -> None:
    """Another job was opened, and this tab has not heard of it when it keeps."""
    bay.opens(COUPE)
    bay.opens(VAN)
    bay.keeps(JOB, way(2))
    bay.keeps(COUPE[0], way(1))
    bay.page.reload()
    bay.expect_done("2 of 15 runs done on “Blue van”")
    bay.page.locator("summary", has_text="Other ways, and the runs so far").click()
    again = bay.page.locator(".dc-guide li", has_text=run(1)).get_by_role("button")
    while not again.evaluate(PRESSED_LATE, [bay.state, COUPE[0]]):  # It has heard of it by itself.
        bay.opens(VAN)
        expect(again).to_be_visible()
    bay.expect_done("1 of 15 runs done on “Red coupe”")
    assert bay.runs() == {VAN_S: 1, COUPE_S: 1}


def test_what_is_not_begun_is_kept_with_no_other_job_s_values(bay: Bay) -> None:
    """Its forms follow the job that was opened before this tab's tune has heard of it."""
    bass = bay.page.locator("[data-calculator=guided-tune] [name=bass_gain]")
    bay.opens(VAN)
    bay.page.reload()
    bass.fill("7")
    wait_until_kept(bay.page, {"bass_gain": "7"})
    bay.opens(("", ""))
    expect(bass).not_to_have_value("7")
    bay.page.evaluate(OPEN, [bay.state, *VAN])
    calculator(bay.page, "guided-tune").evaluate("form => form.yours.look()")
    expect(bass).to_have_value("7")
    begin = bay.card.get_by_role("button", name=BEGIN)
    begin.click()
    bay.page.wait_for_timeout(1000)  # What is of no job must not be kept; the job's own may be begun by now.
    assert set(bay.tunes()) <= {VAN_S}


def test_a_recording_that_was_no_run_yet_is_there_again_with_its_job(bay: Bay) -> None:
    bay.opens(VAN)
    for job in (JOB, COUPE[0]):
        bay.keeps(job, way(2))
    bay.page.reload()
    bay.expect_done("2 of 15 runs done on “Blue van”")
    recording = calculator(bay.page, "response").locator("[name=recording]")
    sound = {"name": "van.wav", "mimeType": "audio/wav", "buffer": b"no sound of ours"}
    recording.set_input_files(sound)
    bay.opens(COUPE)
    bay.expect_done("2 of 15 runs done on “Red coupe”")
    expect(recording).to_have_js_property("files.length", 0)
    bay.opens(VAN)
    bay.expect_done("2 of 15 runs done on “Blue van”")
    expect(recording).to_have_js_property("files.length", 1)
    bay.opens(COUPE)
    bay.expect_done("2 of 15 runs done on “Red coupe”")
    expect(recording).to_have_js_property("files.length", 0)


def test_a_guided_tune_of_no_job_becomes_the_open_one_s_by_a_tap(bay: Bay) -> None:
    bay.keeps("", way(2))
    bay.page.reload()
    expect(now(bay.page)).to_contain_text(run(2))
    bay.opens(COUPE)
    of_none = r"A tune of \d\d:\d\d, of no job\. To take it up makes it one of “Red coupe”\. It has 2 runs\. "
    expect(bay.card).to_contain_text(re.compile(of_none))
    # A new one throws nothing away.
    bay.press("Begin a new one")
    expect(bay.card).not_to_contain_text("It has 2 runs.")
    bay.press(BEGIN)
    expect(bay.page.locator(".dc-guide-go:visible")).to_be_enabled()
    wait_until_kept(bay.page, {"on": "yes"})
    assert bay.runs() == {"": 2, COUPE_S: 0}
    bay.opens(VAN)
    bay.press("Take it up")
    bay.expect_done("2 of 15 runs done on “Blue van”")
    assert bay.runs() == {VAN_S: 2, COUPE_S: 0}
    assert bay.tunes()[VAN_S]["job"] == JOB


def test_a_tune_of_a_job_that_another_tab_deletes_waits_for_a_tap(bay: Bay) -> None:
    bay.opens(VAN)
    bay.keeps(JOB, way(2))
    bay.page.reload()
    expect(now(bay.page)).to_contain_text(run(2))
    bay.other.evaluate(DELETE, [bay.state, JOB])
    expect(bay.card).to_contain_text(
        re.compile(r"A tune of \d\d:\d\d, of a job that was deleted\. It has 2 runs\. ")
    )
    bay.press("Take it up")
    bay.expect_done("2 of 15 runs done")
    assert bay.runs() == {"": 2}


def test_what_the_browser_cleared_away_can_be_kept_on(bay: Bay) -> None:
    """Job and tune are gone from the device: what stands here is all there is."""
    bay.opens(VAN)
    bay.keeps(JOB, way(2))
    bay.page.reload()
    expect(now(bay.page)).to_contain_text(run(2))
    bay.page.evaluate(CLEARED_AWAY)
    bay.other.evaluate(ANOTHER_WRITE)
    expect(bay.card).to_contain_text("This tune was cleared in another tab.")
    bay.press("Keep what stands here")
    expect(bay.card).to_contain_text("of a job that was deleted. It has 2 runs. ")
    bay.press("Take it up")
    bay.expect_done("2 of 15 runs done")


def test_a_tune_of_a_release_that_had_one_for_all_is_its_job_s(bay: Bay) -> None:
    bay.opens(VAN)
    bay.keeps(JOB, way(2), "")
    bay.opens(COUPE)
    bay.page.reload()
    expect(bay.card.get_by_role("button", name=BEGIN)).to_be_visible()
    bay.press(BEGIN)
    expect(bay.page.locator(".dc-guide-go:visible")).to_be_enabled()
    bay.opens(VAN)
    bay.expect_done("2 of 15 runs done on “Blue van”")
    assert bay.runs() == {VAN_S: 2, COUPE_S: 0}


def test_where_the_device_is_full_a_kept_tune_may_go_for_the_one_that_stands_here(bay: Bay) -> None:
    bay.opens(VAN)
    bay.keeps(JOB, way(2))
    bay.opens(COUPE)
    bay.keeps(COUPE[0], way(1))
    bay.page.reload()
    bay.expect_done("1 of 15 runs done on “Red coupe”")
    bay.page.evaluate(FULL)
    bay.page.get_by_text("Other ways, and the runs so far", exact=True).click()
    bay.page.get_by_role("button", name="Show the whole page").click()
    expect(bay.card).to_contain_text("This browser keeps nothing")
    told = r"The tune of \d\d:\d\d, of “Blue van”, has 2 runs\. "
    expect(bay.card).to_contain_text(re.compile(told))
    bay.press("Throw it away")
    expect(bay.card).to_contain_text("Thrown away it is gone for good.")
    bay.press("Keep it")
    expect(bay.card).to_contain_text(re.compile(told))
    bay.press("Throw it away")
    bay.press("Throw it away")
    expect(bay.card).to_contain_text("Kept on this device.")
    expect(bay.card).not_to_contain_text("Blue van")
    assert bay.runs() == {COUPE_S: 1}
    assert bay.tunes()[COUPE_S]["fields"]["on"] == "no"


def test_a_device_that_gives_nothing_any_more_changes_no_vehicle(bay: Bay) -> None:
    """It does not say either which job is open: the tune that stands here stays."""
    bay.opens(VAN)
    bay.keeps(JOB, way(2))
    bay.page.reload()
    bay.expect_done("2 of 15 runs done on “Blue van”")
    bay.page.evaluate(NOTHING_KEPT)
    bay.page.locator("summary", has_text="Other ways, and the runs so far").click()
    bay.page.locator(".dc-guide li", has_text=run(1)).get_by_role("button").click()
    expect(bay.card).to_contain_text("1 of 15 runs done on “Blue van”; ")
    expect(bay.card).to_contain_text("This browser keeps nothing")


def test_where_the_device_is_full_a_tune_stays_where_it_is_until_it_can_move(bay: Bay) -> None:
    """Else it would be in this tab alone, and gone with it."""
    bay.opens(VAN)
    bay.keeps(JOB, way(2), "")
    bay.page.add_init_script(f"({NO_ROOM})()")
    bay.page.reload()
    expect(bay.card).to_contain_text("2 of 15 runs done on “Blue van”; ")
    assert list(bay.other.evaluate(TUNES, bay.state)) == [""]
    bay.page.evaluate("makeRoom()")
    bay.page.evaluate(TRY_AGAIN, bay.state)
    bay.expect_done("2 of 15 runs done on “Blue van”")
    assert list(bay.other.evaluate(TUNES, bay.state)) == [VAN_S]


def test_what_moves_later_goes_over_nobody_s_tune_and_takes_none_away(bay: Bay) -> None:
    bay.opens(COUPE)
    bay.keeps("", way(1))
    bay.page.add_init_script(f"({NO_ROOM})()")
    bay.page.reload()
    bay.press("Take it up")
    expect(bay.card).to_contain_text("1 of 15 runs done on “Red coupe”; ")
    assert list(bay.other.evaluate(TUNES, bay.state)) == [""]
    bay.keeps_in(bay.other, COUPE[0], way(3), COUPE[0])
    bay.keeps_in(bay.other, "", way(4), "")
    expect(bay.card).to_contain_text("there 3 runs, here 1 run. ")
    bay.page.evaluate("makeRoom()")
    bay.page.evaluate(TRY_AGAIN, bay.state)
    assert bay.runs() == {COUPE_S: 3, "": 4}
