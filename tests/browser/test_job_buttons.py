"""The open job: buttons seldom pressed (try again, has none, take a line out), and ways to its forms."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from playwright.sync_api import Browser, Locator, Page, Route, expect

from tests.browser.test_calculators import calculator
from tests.browser.test_open_job import CABLES, SUPPLY, follow, give_reason, line, start
from tests.conftest import watched
from tests.native_worker import answered_beside

JOB = json.loads(Path("docs/job.json").read_text(encoding="utf-8"))
BREAK = """async () => {
  const { src } = [...document.scripts].find(({ src }) => src.endsWith("/page.js"));
  const { engine } = await import(new URL("calculator.js", src));
  engine().ask = async () => ({ stopped: "The calculators could not be fetched." });
  const desk = document.querySelector("doorcard-jobs");
  desk.showNow(desk.shown);
}"""
MEND = """async () => {
  const { src } = [...document.scripts].find(({ src }) => src.endsWith("/page.js"));
  const { engine } = await import(new URL("calculator.js", src));
  delete engine().ask;
}"""
HOLD = """async () => {
  const { src } = [...document.scripts].find(({ src }) => src.endsWith("/page.js"));
  const { engine } = await import(new URL("calculator.js", src));
  const { ask } = Object.getPrototypeOf(engine());
  let held;
  window.hold = () => (held = new Promise((settle) => (window.goOn = settle)));
  engine().ask = async (question) => {
    const { stopped } = question.calculator === "job:fields" ? await held : {};
    return stopped ? { stopped } : ask.call(engine(), question);
  };
  void hold();
}"""
"""What the open job holds for a form is not told until `goOn` is called; with `stopped`, not then either."""
HOSTILE = "<img src=x onerror=alert(1)>, Außenspiegel 左"


def visible(desk: Locator, label: str) -> Locator:
    return desk.get_by_label(label, exact=True).filter(visible=True)


def test_a_job_is_told_again_lacks_an_answer_and_loses_a_line(browser: Browser, server: str) -> None:
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "job/")
        desk = start(page, "Bay 7")
        expect(desk).to_contain_text("H1, survey agreed.")
        # Where it stands could not be told: what is wrong is said, and asked again.
        page.evaluate(BREAK)
        expect(desk).to_contain_text("cannot be told. The calculators could not be fetched.")
        page.evaluate(MEND)
        desk.get_by_role("button", name="Try again").click()
        expect(desk).not_to_contain_text("cannot be told")
        # A line is put in, stands in its list, and is taken out again.
        desk.get_by_text("Lines of the sheets").click()
        desk.get_by_label("Kind of line").select_option("Mark on the vehicle")
        visible(desk, "Where").fill(HOSTILE)
        desk.get_by_role("button", name="Put this line in").filter(visible=True).click()
        expect(desk).to_contain_text("Take back: Mark on the vehicle")
        lines = desk.locator("select[name='condition.marks line'] option")
        expect(lines).to_have_text(["a new one", HOSTILE])
        desk.locator("select[name='condition.marks line']").select_option(index=1)
        desk.get_by_role("button", name="Take this line out").filter(visible=True).click()
        expect(desk).to_contain_text("Take back: Mark on the vehicle taken out")
        expect(lines).to_have_count(1)
        # An answer that this job does not need goes with a reason, and only after it was asked.
        desk.get_by_text("Answers still missing").click()
        press = desk.get_by_role("button", name="This job has none: pre-charge")
        press.click()
        desk.get_by_role("button", name="No, leave it").click()
        press.click()
        desk.get_by_role("button", name="Yes, it has none").click()
        give_reason(desk)
        expect(desk).to_contain_text("Take back: no pre-charge")
        expect(press).to_have_count(0)


@contextmanager
def answers_missing(browser: Browser, server: str) -> Iterator[tuple[Page, Locator]]:
    """The job page on a phone, and there what a new job lacks, unfolded."""
    with watched(
        browser.new_context(service_workers="block", viewport={"width": 390, "height": 844})
    ) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "job/")
        missing = start(page, "Bay 9").locator("details", has_text="Answers still missing")
        missing.locator("summary").click()
        yield page, missing


def test_each_answer_that_is_missing_leads_to_its_form(browser: Browser, server: str) -> None:
    with answers_missing(browser, server) as (page, missing):
        lines = missing.locator("p")
        expect(lines.first).to_contain_text("quote, by the form “Quote with options”")
        assert lines.count() == missing.get_by_role("link").count() == len(JOB["sheet"]["runs"])
        missing.get_by_role("link", name="Cable size", exact=True).click()
        # Two forms stand before it in its section.
        expect(calculator(page, "cable").locator(".dc-title")).to_be_in_viewport()
        expect(calculator(page, "cable").locator(".dc-job")).to_be_visible()


def test_a_way_to_a_form_holds_though_the_page_before_still_scrolls(browser: Browser, server: str) -> None:
    """The theme notes then where the page before stands, as if the next one stood there."""
    with answers_missing(browser, server) as (page, missing):
        way = missing.get_by_role("link", name="Cable size", exact=True)
        expect(way).to_be_visible()
        waiting: list[Route] = []
        page.route("**/" + SUPPLY, lambda route: waiting.append(route))
        with page.expect_request("**/" + SUPPLY):
            way.evaluate("link => { scrollBy(0, 40); link.click(); }")
        page.wait_for_function("() => history.state !== null")
        waiting[0].continue_()
        expect(calculator(page, "cable").locator(".dc-title")).to_be_in_viewport()


def test_a_form_says_that_the_open_job_is_being_read(browser: Browser, server: str) -> None:
    """What stands in it until then is the example's; so it is where the job cannot be read at all."""
    with watched(browser.new_context(service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "job/")
        page.get_by_role("button", name="Open the running job").click()
        expect(page.locator("doorcard-jobs")).to_contain_text("Open: ")
        page.evaluate(HOLD)
        follow(page, server + CABLES)
        cable = calculator(page, "cable")
        said, put = cable.locator(".dc-job-reading"), cable.get_by_role("button", name="Put this answer into")
        expect(said).to_contain_text("and its values are being read: what stands here is not from it yet.")
        expect(put).to_be_hidden()
        page.evaluate("goOn({})")
        expect(put).to_be_visible()
        expect(said).to_be_hidden()
        expect(line(cable)).to_contain_text("From the job “")
        page.evaluate("void hold()")
        follow(page, server + "look-up/torque/")
        follow(page, server + CABLES)
        page.evaluate("goOn({ stopped: 'The calculators could not be fetched.' })")
        expect(said).to_contain_text("and nothing here is from it: The calculators could not be fetched.")
