"""Two vehicles on one phone: what was ticked, walked, chosen, measured, typed for one is not the other's."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.test_calculators import PATIENCE, STATE, calculator, field
from tests.browser.test_guided import NOTHING_KEPT
from tests.browser.test_kept_values import (
    CHANGE_KEPT,
    VEHICLE_CAME,
    in_kept,
    line,
    wait_until_kept,
    wait_until_let_go,
)
from tests.browser.test_open_job import start
from tests.browser.test_unkept_job import ANOTHER_WRITE, REFUSE
from tests.conftest import watched, without_python
from tests.native_worker import answered_beside

SAFE, TREE, CHOICE = "stages/strip-down/make-safe/", "stages/faults/image/", "look-up/delay-by-distance/"
CABLE = "look-up/cable-length/"
JOB = "job:1"
VAN, COUPE = (JOB, "Blue van"), ("job:2", "Red coupe")
OPEN = """async ([address, id, title]) => {
  const jobs = await import(new URL("jobs.js", address).href);
  const { jobs: all } = await jobs.recall();
  const job = { id, title, at: Date.now(), file: title, before: "", did: "" };
  if (id && all.every((one) => one.id !== id)) await jobs.put(job);
  await jobs.open(id);
}"""
MAKE = """async ([address, title]) => {
  const jobs = await import(new URL("jobs.js", address).href);
  await jobs.add({ file: title, title });
}"""
DELETE = "async ([address, id]) => (await import(new URL('jobs.js', address).href)).remove(id)"
NEXT = "async (address) => (await import(address)).nextVehicle()"
LOST = in_kept("for (const { id, values } of records) if (values) store.delete(id);")
LONG_AGO = 1_700_000_000_000


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    size = {"width": 390, "height": 844}
    made = browser.new_context(viewport=size, service_workers="block")  # type: ignore[arg-type]
    with watched(made) as context:
        without_python(context)
        yield context.new_page()


def open_job(page: Page, job: tuple[str, str]) -> None:
    """Open a job of this device, a new one if there is none of that id, and come to the page anew."""
    page.evaluate(OPEN, [page.evaluate(STATE), *job])
    page.reload()


def tick(page: Page, *numbers: int) -> None:
    for number in numbers:
        page.get_by_role("checkbox", name=f"Step {number} done", exact=True).check()
        wait_until_kept(page, {f"steps[{number}]": "yes"})


def expect_ticked(page: Page, begins: str, ends: str = "") -> None:
    """The count under the steps, and of which job it is."""
    count = page.locator(".dc-ticks-foot > span").first
    expect(count).to_have_text(re.compile(rf"^{begins} of \d+ done{ends}$"))
    expect(page.locator(".dc-ticked-steps input:checked")).to_have_count(int(begins))


def test_each_job_has_its_own_ticks(phone: Page, server: str) -> None:
    phone.goto(server + SAFE)
    open_job(phone, VAN)
    tick(phone, 1, 2)
    expect_ticked(phone, "2", " on “Blue van”")
    open_job(phone, COUPE)
    expect_ticked(phone, "0", " on “Red coupe”")
    tick(phone, 3)
    phone.evaluate(NEXT, phone.evaluate(STATE))
    phone.reload()
    expect_ticked(phone, "0")
    expect(phone.locator(".dc-ticks-aside").first).to_be_hidden()
    open_job(phone, VAN)
    expect_ticked(phone, "2", " on “Blue van”")
    phone.evaluate(DELETE, [phone.evaluate(STATE), JOB])
    phone.reload()
    expect_ticked(phone, "0")
    phone.evaluate(NEXT, phone.evaluate(STATE))
    open_job(phone, VAN)  # Another one, were it of the same id: the former's ticks are gone.
    expect_ticked(phone, "0", " on “Blue van”")


def test_another_tab_shows_the_ticks_of_the_job_that_was_opened(phone: Page, server: str) -> None:
    phone.goto(server + SAFE)
    open_job(phone, VAN)
    tick(phone, 1)
    other = phone.context.new_page()
    other.goto(server + TREE)
    open_job(other, COUPE)
    expect_ticked(phone, "0", " on “Red coupe”")


def test_a_tick_that_was_refused_is_kept_later_and_hides_no_other_vehicle(phone: Page, server: str) -> None:
    phone.goto(server + SAFE)
    open_job(phone, VAN)
    tick(phone, 1)
    phone.evaluate(REFUSE)
    phone.get_by_role("checkbox", name="Step 2 done", exact=True).check()
    expect_ticked(phone, "2", " on “Blue van”")
    other = phone.context.new_page()
    other.goto(server + TREE)
    open_job(other, COUPE)
    expect_ticked(phone, "0", " on “Red coupe”")
    phone.evaluate("keepsAgain()")
    tick(phone, 3)
    wait_until_kept(phone, {"steps[2]": "yes"})
    open_job(phone, VAN)
    expect_ticked(phone, "2", " on “Blue van”")
    open_job(phone, COUPE)
    expect_ticked(phone, "1", " on “Red coupe”")


def test_ticks_stand_where_the_device_does_not_even_give_them(phone: Page, server: str) -> None:
    phone.goto(server + SAFE)
    tick(phone, 1)
    phone.evaluate(NOTHING_KEPT)
    phone.get_by_role("checkbox", name="Step 2 done", exact=True).check()
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    phone.evaluate("async (address) => { await (await import(address)).recall(); }", phone.evaluate(STATE))
    expect_ticked(phone, "2")


def test_ticks_of_the_vehicle_before_are_told_and_wait_for_a_tap(phone: Page, server: str) -> None:
    phone.goto(server + SAFE)
    tick(phone, 1, 2)
    phone.evaluate(VEHICLE_CAME)
    phone.reload()
    aside = phone.locator(".dc-ticks-aside").first
    expect(aside).to_contain_text(re.compile(r"^2 ticks of \d\d:\d\d, of the vehicle before\. "))
    expect_ticked(phone, "0")
    tick(phone, 2)
    expect(aside).to_contain_text(re.compile(r"^1 tick of "))
    phone.reload()
    expect_ticked(phone, "1")
    aside.get_by_role("button", name="Take it up").click()
    expect(aside).to_be_hidden()
    phone.evaluate(ANOTHER_WRITE)  # Writes end in their order.
    phone.reload()
    expect_ticked(phone, "2")
    phone.evaluate(VEHICLE_CAME)
    phone.reload()
    aside.get_by_role("button", name="Clear").click()
    expect(aside).to_be_hidden()
    wait_until_let_go(phone, "steps[1]")
    phone.reload()
    expect_ticked(phone, "0")
    expect(aside).to_be_hidden()


def test_ticks_of_half_a_day_ago_and_of_no_job_wait(phone: Page, server: str) -> None:
    """As an earlier release kept them, too: without a time for each."""
    phone.goto(server + SAFE)
    tick(phone, 1, 2)
    phone.evaluate(CHANGE_KEPT, {"at": LONG_AGO, "values": []})
    phone.reload()
    aside = phone.locator(".dc-ticks-aside").first
    expect(aside).to_contain_text("2 ticks of 14 Nov")
    expect(aside).to_contain_text(": another vehicle may stand here by now. ")
    expect_ticked(phone, "0")
    phone.evaluate(MAKE, [phone.evaluate(STATE), "Blue van"])
    phone.reload()
    expect(aside).to_contain_text(", of no job. ")
    expect_ticked(phone, "0", " on “Blue van”")
    aside.get_by_role("button", name="Take them up").click()
    expect_ticked(phone, "2", " on “Blue van”")
    open_job(phone, COUPE)
    expect_ticked(phone, "0", " on “Red coupe”")
    expect(aside).to_be_hidden()  # They went to the other one.


def test_ticks_of_the_open_job_wait_after_half_a_day_too(phone: Page, server: str) -> None:
    """The battery goes back on over night, though the job is the same; a page left open is looked at anew."""
    phone.goto(server + SAFE)
    open_job(phone, VAN)
    tick(phone, 1, 2, 3)
    phone.evaluate(CHANGE_KEPT, {"typed": LONG_AGO})
    phone.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    aside = phone.locator(".dc-ticks-aside").first
    expect(aside).to_contain_text(re.compile(r"^3 ticks of 14 Nov.*: it may be so no longer\. "))
    expect_ticked(phone, "0", " on “Blue van”")
    tick(phone, 3)
    phone.reload()
    expect(aside).to_contain_text("2 ticks of 14 Nov")
    expect_ticked(phone, "1", " on “Blue van”")
    aside.get_by_role("button", name="Take them up").click()
    expect(aside).to_be_hidden()
    expect_ticked(phone, "3", " on “Blue van”")
    wait_until_kept(phone, {f"steps[{number}]": "yes" for number in (1, 2, 3)})
    phone.evaluate(CHANGE_KEPT, {"typed": LONG_AGO})
    phone.reload()
    aside.get_by_role("button", name="Clear").click()
    wait_until_let_go(phone, "steps[1]")
    phone.reload()
    expect_ticked(phone, "0", " on “Blue van”")
    expect(aside).to_be_hidden()


def test_a_way_through_a_tree_and_a_choice_are_of_one_vehicle(phone: Page, server: str) -> None:
    phone.goto(server + TREE)
    open_job(phone, VAN)
    on = phone.get_by_role("button", name="Go on where you were")
    phone.get_by_role("button", name="Start with test 1").click()
    phone.locator(".dc-screen:visible .dc-results a").first.click()
    wait_until_kept(phone, {"way[0]": "test-1"})
    phone.goto(server + CHOICE)
    choice = phone.locator(".dc-segments input:not(:checked)").first
    chosen = choice.get_attribute("value") or ""
    choice.check(force=True)
    wait_until_kept(phone, {choice.get_attribute("name") or "": chosen})
    of_van = phone.locator(f".dc-segments input[value='{chosen}']")
    open_job(phone, COUPE)
    expect(phone.locator(".dc-segments input:checked").first).to_be_attached()
    phone.goto(server + TREE)
    expect(phone.get_by_role("button", name="Start with test 1")).to_be_visible()
    phone.evaluate("async (address) => { await (await import(address)).recall(); }", phone.evaluate(STATE))
    expect(on).to_have_count(0)
    open_job(phone, VAN)
    expect(on).to_be_visible()
    phone.goto(server + CHOICE)
    expect(of_van).to_be_checked()


def test_a_choice_follows_the_job_that_another_tab_opened(phone: Page, server: str) -> None:
    phone.goto(server + CHOICE)
    open_job(phone, VAN)
    first = phone.locator(".dc-segments input:checked").first.get_attribute("value") or ""
    choice = phone.locator(".dc-segments input:not(:checked)").first
    name, chosen = choice.get_attribute("name") or "", choice.get_attribute("value") or ""
    choice.check(force=True)
    wait_until_kept(phone, {name: chosen})
    other = phone.context.new_page()
    other.goto(server + SAFE)
    open_job(other, COUPE)
    expect(phone.locator(f"input[name='{name}'][value='{first}']")).to_be_checked()
    phone.locator(f"input[name='{name}'][value='{chosen}']").check(force=True)
    wait_until_kept(phone, {name: chosen})
    phone.evaluate(REFUSE)  # What is chosen while nothing is kept stays, as long as no other vehicle comes.
    phone.locator(f"input[name='{name}'][value='{first}']").check(force=True)
    other.evaluate(ANOTHER_WRITE)
    expect(phone.locator(f"input[name='{name}'][value='{first}']")).to_be_checked()
    open_job(other, VAN)
    expect(phone.locator(f"input[name='{name}'][value='{chosen}']")).to_be_checked()


def test_a_way_says_whose_it_is_and_the_next_one_is_the_open_job_s(phone: Page, server: str) -> None:
    phone.goto(server + TREE)
    open_job(phone, VAN)
    phone.get_by_role("button", name="Start with test 1").click()
    title = phone.locator(".dc-walked strong")
    expect(title).to_have_text("The way so far on “Blue van”")
    other = phone.context.new_page()
    other.goto(server + SAFE)
    open_job(other, COUPE)
    phone.locator(".dc-screen:visible .dc-results a").first.click()
    expect(title).to_have_text("The way so far on “Blue van”")
    wait_until_kept(phone, {"way[0]": "test-1"})
    phone.get_by_role("button", name="Start again").click()
    begin = phone.get_by_role("button", name="Start with test 1")
    begin.click()
    expect(title).to_have_text("The way so far on “Red coupe”")


def test_a_way_of_the_vehicle_before_is_called_so(phone: Page, server: str) -> None:
    phone.goto(server + TREE)
    phone.get_by_role("button", name="Start with test 1").click()
    wait_until_kept(phone, {"way[0]": "test-1"})
    phone.evaluate(VEHICLE_CAME)
    phone.goto("about:blank")
    phone.goto(server + TREE)
    take = phone.get_by_role(
        "button", name=re.compile(r"^Take up the way of \d\d:\d\d, of the vehicle before$")
    )
    take.click()
    expect(phone.locator(".dc-walked li")).to_have_count(1)
    phone.goto("about:blank")
    phone.goto(server + TREE)
    expect(phone.get_by_role("button", name="Go on where you were")).to_be_visible()
    expect(take).to_have_count(0)


@pytest.fixture
def device(browser: Browser) -> Iterator[BrowserContext]:
    with watched(browser.new_context(service_workers="block")) as made:
        made.set_default_timeout(PATIENCE)
        made.add_init_script("window.print = () => {};")
        answered_beside(made)
        yield made


def test_a_value_of_the_vehicle_before_goes_into_no_job_unasked(device: BrowserContext, server: str) -> None:
    desk, page = device.new_page(), device.new_page()
    desk.goto(server + "job/")
    start(desk, "Blue van")
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    put = cable.locator(".dc-job > button").first
    expect(put).to_have_text(re.compile("^Put this answer into “Blue van”"))
    field(cable, "length").fill("6.2")
    wait_until_kept(page, {"length": "6.2"})
    page.evaluate(LOST)  # What the device has lost stands here alone: it stays, and is told.
    start(desk, "Red coupe")
    expect(put).to_have_text(re.compile("^Put this answer into “Red coupe”"))
    expect(line(cable)).to_contain_text("Before the vehicle changed, from ")
    cable.get_by_role("button", name="Print card").click()
    card = page.locator(".dc-card .dc-of-whom")
    expect(card.nth(0)).to_have_text("Job: Red coupe.")
    expect(card.nth(1)).to_have_text(re.compile("^Before the vehicle changed, from .*6.2 m.*"))
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    said = cable.locator(".dc-job [role=status]")
    put.click()
    expect(said).to_contain_text("Is it so on “Red coupe”?")
    said.get_by_role("button", name="Leave it").click()
    expect(said).to_be_empty()
    put.click()
    said.get_by_role("button", name="So here too").click()
    expect(said).to_contain_text("It is in the job “Red coupe”.")
    expect(line(cable)).not_to_contain_text("Before the vehicle changed")


def test_what_was_typed_under_a_job_comes_back_with_it(phone: Page, server: str) -> None:
    phone.goto(server + CABLE)
    open_job(phone, VAN)
    length, said = field(calculator(phone, "cable"), "length"), line(calculator(phone, "cable"))
    length.fill("6.2")
    wait_until_kept(phone, {"length": "6.2"})
    open_job(phone, COUPE)
    expect(said).to_contain_text("Before the vehicle changed, from ")
    expect(length).not_to_have_value("6.2")
    phone.evaluate(CHANGE_KEPT, {"typed": LONG_AGO})
    open_job(phone, VAN)
    expect(length).to_have_value("6.2")
    expect(said).to_contain_text("Yours, from 14 Nov")
