"""A job that the device did not keep for a while: kept once that keeps again, over nobody's change."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_calculators import JOBS, STATE, calculator, field
from tests.browser.test_kept_values import line, wait_until_kept
from tests.browser.test_open_job import exported, follow, start
from tests.conftest import watched
from tests.native_worker import answered_beside

MARK = f"""async (mark) => {{
  const jobs = await import({JOBS});
  const {{ open }} = await jobs.recall();
  await jobs.change(open.id, mark, async ({{ file, title }}) => {{
    const job = JSON.parse(file);
    job.brief = {{ ...job.brief, marks: [...(job.brief?.marks ?? []), mark] }};
    return {{ file: JSON.stringify(job), title }};
  }});
}}"""
"""A change of the open job, noted in it."""
SLOW = f"""async (mark) => {{
  const jobs = await import({JOBS});
  const {{ open }} = await jobs.recall();
  const worked = new Promise((work) => (window.work = work));
  window.changed = jobs.change(open.id, mark, async ({{ file, title }}) => {{
    const job = JSON.parse(file);
    window.asked = true;
    await worked;
    job.brief = {{ ...job.brief, marks: [...(job.brief?.marks ?? []), mark] }};
    return {{ file: JSON.stringify(job), title }};
  }});
}}"""
"""A change of the open job that is worked out until `work` is called."""
MARKS = f"""async () => {{
  const {{ withStore }} = await import({STATE});
  const all = await withStore("readonly", (store) => store.getAll());
  const files = all.filter(({{ id }}) => id.startsWith("job:")).map(({{ file }}) => JSON.parse(file));
  return files.map(({{ brief }}) => brief?.marks ?? []).sort();
}}"""
"""The changes that stand in each job on the device."""
REFUSE = """() => {
  const { transaction } = IDBDatabase.prototype;
  window.keepsAgain = () => void (IDBDatabase.prototype.transaction = transaction);
  IDBDatabase.prototype.transaction = function (store, mode) {
    if (mode === "readwrite") throw new DOMException("", "QuotaExceededError");
    return transaction.apply(this, arguments);
  };
}"""
ANOTHER_WRITE = f"""async () => {{
  const {{ forget }} = await import({STATE});
  await forget("nothing");
}}"""
CABLE, SAFE = "look-up/cable-length/", "stages/strip-down/make-safe/"
UNKEPT = "This browser does not keep it"


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    with watched(browser.new_context(service_workers="block")) as made:
        answered_beside(made)
        yield made


def begun(device: BrowserContext, server: str) -> Page:
    """A tab with an open job that has one change, and one that the device did not keep."""
    page = device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Bay 9")
    page.evaluate(MARK, "first")
    page.evaluate(REFUSE)
    page.evaluate(MARK, "refused")
    expect(desk).to_contain_text(UNKEPT)
    assert page.evaluate(MARKS) == [["first"]]
    return page


def test_what_was_refused_is_kept_once_the_device_keeps_again(device: BrowserContext, server: str) -> None:
    page = begun(device, server)
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    expect(page.locator("doorcard-jobs")).not_to_contain_text(UNKEPT)
    assert page.evaluate(MARKS) == [["first", "refused"]]
    assert page.evaluate("dispatchEvent(new Event('beforeunload', { cancelable: true }))"), "nothing is asked"


def test_a_change_goes_over_no_other_tab_s(device: BrowserContext, server: str) -> None:
    page = begun(device, server)
    other = device.new_page()
    other.goto(server + "job/")
    expect(other.locator("doorcard-jobs")).to_contain_text("Open: Bay 9")
    other.evaluate(MARK, "elsewhere")
    page.evaluate("keepsAgain()")
    page.evaluate(MARK, "next")
    desk = page.locator("doorcard-jobs")
    expect(desk).to_contain_text("Another tab changed this job while the browser kept nothing from here")
    assert page.evaluate(MARKS) == [["first", "elsewhere"], ["first", "refused", "next"]]
    expect(desk.locator("li")).to_contain_text(["Bay 9"])
    _, job = exported(desk)
    assert job["brief"]["marks"] == ["first", "refused", "next"]
    expect(other.locator("doorcard-jobs")).to_contain_text("Take back: elsewhere")


def test_a_job_that_another_tab_deleted_comes_back_by_no_refused_change(
    device: BrowserContext, server: str
) -> None:
    page = begun(device, server)
    other = device.new_page()
    other.goto(server + "job/")
    desk = other.locator("doorcard-jobs")
    desk.get_by_role("button", name="Delete it here").click()
    desk.get_by_role("button", name="Yes, delete it").click()
    expect(desk).to_contain_text("Deleted: Bay 9.")
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    expect(page.locator("doorcard-jobs")).to_contain_text("It is no longer on this device: another tab")
    page.evaluate(MARK, "next")
    assert page.evaluate(MARKS) == []
    _, job = exported(page.locator("doorcard-jobs"))
    assert job["brief"]["marks"] == ["first", "refused", "next"]


def test_what_was_put_apart_is_told_after_a_reload_too(device: BrowserContext, server: str) -> None:
    page = begun(device, server)
    other = device.new_page()
    other.goto(server + "job/")
    desk = page.locator("doorcard-jobs")
    expect(other.locator("doorcard-jobs")).to_contain_text("Open: Bay 9")
    other.evaluate(MARK, "elsewhere")
    page.evaluate("keepsAgain()")
    page.evaluate(MARK, "next")
    expect(desk).to_contain_text("Open: Bay 9 (second tab), changed")
    page.reload()
    expect(desk).to_contain_text("Open: Bay 9, changed")
    expect(desk).to_contain_text("“Bay 9 (second tab)” in the list has changes of another tab")
    desk.get_by_role("button", name="Open: Bay 9 (second tab)").click()
    expect(desk).to_contain_text("Another tab changed this job while the browser kept nothing from here")
    page.evaluate(MARK, "later")
    expect(desk).to_contain_text("Take back: later")
    expect(desk).to_contain_text("Open: Bay 9 (second tab), changed")
    # Once one of them is gone nothing is said.
    desk.get_by_role("button", name="Delete: Bay 9", exact=True).click()
    desk.get_by_role("button", name="Yes, delete it").click()
    expect(desk).not_to_contain_text("Another tab changed this job")


def test_a_change_under_work_goes_with_the_job_that_is_put_beside(
    device: BrowserContext, server: str
) -> None:
    page = begun(device, server)
    other = device.new_page()
    other.goto(server + "job/")
    expect(other.locator("doorcard-jobs")).to_contain_text("Open: Bay 9")
    other.evaluate(MARK, "elsewhere")
    page.evaluate(SLOW, "slow")
    page.wait_for_function("() => window.asked")
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    expect(page.locator("doorcard-jobs")).to_contain_text("Another tab changed this job")
    page.evaluate("work()")
    assert page.evaluate("changed")
    assert page.evaluate(MARKS) == [["first", "elsewhere"], ["first", "refused", "slow"]]


@pytest.mark.parametrize("kept_first", [True, False])
def test_what_was_typed_goes_with_the_job_that_is_put_beside(
    device: BrowserContext, server: str, kept_first: bool
) -> None:
    """Whether the device had it before it kept nothing, or only this tab has it."""
    page = device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Bay 9")
    desk.get_by_text("Lines of the sheets").click()
    where = desk.get_by_label("Where", exact=True).filter(visible=True)
    desk.get_by_label("Kind of line").select_option("Mark on the vehicle")
    if kept_first:
        where.fill("Left sill")
    page.evaluate(REFUSE)
    page.evaluate(MARK, "refused")
    expect(desk).to_contain_text(UNKEPT)
    where.fill("Left sill")
    other = device.new_page()
    other.goto(server + "job/")
    expect(other.locator("doorcard-jobs")).to_contain_text("Open: Bay 9")
    other.evaluate(MARK, "elsewhere")
    page.evaluate("keepsAgain()")
    # At one moment: what was refused is written again, and the next change is made.
    page.evaluate(f"(mark) => {{ dispatchEvent(new Event('focus')); return ({MARK})(mark); }}", "next")
    expect(desk).to_contain_text("Open: Bay 9 (second tab), changed")
    expect(where).to_have_value("Left sill")
    page.reload()
    desk.get_by_role("button", name="Open: Bay 9 (second tab)").click()
    expect(where).to_have_value("Left sill")


def test_of_two_changes_at_once_neither_is_lost_while_nothing_is_kept(
    device: BrowserContext, server: str
) -> None:
    page = begun(device, server)
    page.evaluate(SLOW, "slow")
    page.wait_for_function("() => window.asked")
    page.evaluate(MARK, "quick")
    page.evaluate("work()")
    assert page.evaluate("changed")
    page.evaluate("keepsAgain()")
    page.evaluate(ANOTHER_WRITE)
    expect(page.locator("doorcard-jobs")).not_to_contain_text(UNKEPT)
    assert page.evaluate(MARKS) == [["first", "refused", "quick", "slow"]]


def test_a_job_opened_while_nothing_is_kept_takes_over_no_other_vehicle_s_values(
    device: BrowserContext, server: str
) -> None:
    page = device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Red coupe")
    start(page, "Blue van")
    follow(page, server + CABLE)
    cable = calculator(page, "cable")
    expect(cable.locator(".dc-job > button").first).to_have_text(re.compile("“Blue van”"))
    field(cable, "length").fill("6.2")
    wait_until_kept(page, {"length": "6.2"})
    follow(page, server + "job/")
    page.evaluate(REFUSE)
    desk.get_by_role("button", name="Open: Red coupe").click()
    expect(desk).to_contain_text("Open: Red coupe, changed")
    follow(page, server + CABLE)
    expect(line(cable)).to_contain_text("Before the vehicle changed, from ")
    expect(field(cable, "length")).not_to_have_value("6.2")
    follow(page, server + SAFE)
    expect(page.locator(".dc-ticks-foot > span").first).to_contain_text("done on “Red coupe”")
    # Once the device keeps again it is the open one there too.
    other = device.new_page()
    other.goto(server + SAFE)
    count = other.locator(".dc-ticks-foot > span").first
    expect(count).to_contain_text("done on “Blue van”")
    page.evaluate("keepsAgain()")
    page.get_by_role("checkbox", name="Step 1 done", exact=True).check()
    expect(count).to_contain_text("1 of 16 done on “Red coupe”")


@pytest.mark.parametrize("closed", [True, False])
def test_after_a_refusal_a_tab_follows_the_job_that_another_one_opens(
    device: BrowserContext, server: str, closed: bool
) -> None:
    """By then the job that was refused is closed again, or another tab was faster than the device."""
    page, other = device.new_page(), device.new_page()
    page.goto(server + "job/")
    desk = start(page, "Red coupe")
    start(page, "Blue van")
    other.goto(server + "job/")
    page.evaluate(REFUSE)
    desk.get_by_role("button", name="Open: Red coupe").click()
    expect(desk).to_contain_text("Open: Red coupe, changed")
    if closed:
        page.evaluate("keepsAgain()")
        follow(page, server + CABLE)
        field(calculator(page, "cable"), "length").fill("7.7")
        line(calculator(page, "cable")).get_by_role("button", name="Next vehicle").click()
        expect(line(calculator(page, "cable"))).to_contain_text("The example is back")
    start(other, "Hatchback")
    if not closed:
        page.evaluate("keepsAgain()")
        page.evaluate(ANOTHER_WRITE)
        follow(page, server + CABLE)
    expect(calculator(page, "cable").locator(".dc-job > button").first).to_have_text(
        re.compile("“Hatchback”")
    )
