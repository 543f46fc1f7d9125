"""The real worker with a job open: what it fetches to fill a form, and the start that it keeps anyway."""

from pathlib import Path

from playwright.sync_api import Browser, BrowserContext, Route

from calculators.job.changing import begun
from calculators.job.reading import read_job, write_job
from calculators.stages import slugs_known
from tests.site.test_engine import ASSETS
from tests.site.test_kept_start import ENTRY, EXAMPLES, asked, opened, wait_for_entry

RUNNING = Path("docs/job.json").read_text("utf-8")
FILL = "(inputs) => { window.engine ?? start({}); return engine.ask({ calculator: 'job:fields', inputs }); }"
HOLDS = f"""async (words) => {{ {ENTRY}
  const body = new TextDecoder("latin1").decode(await response.arrayBuffer());
  return words.filter((word) => body.includes(word));
}}"""
NAME = "Wren-of-bay-nine"


def given(slug: str, job: str = RUNNING) -> dict[str, str]:
    """What a form of a page says when it asks what the open job holds for it."""
    return {"job": job, "calculator": slug, "paths": "{}", "another": ""}


def fetched_by(context: BrowserContext) -> list[str]:
    """The stems of the files that its pages ask for from now on."""
    fetched: list[str] = []
    context.on("request", lambda request: fetched.append(request.url.rpartition("/")[2].partition(".")[0]))
    return fetched


def without_memory(route: Route) -> None:
    """Answer with the script whose copy of a memory does not come about."""
    script = (ASSETS / "memory-pages.js").read_text("utf-8")
    begin = "export function pagesOf(heap) {"
    assert begin in script
    failing = script.replace(begin, begin + ' throw new RangeError("Array buffer allocation failed");')
    route.fulfill(body=failing, content_type="text/javascript")


def test_a_form_is_filled_by_the_parts_of_what_it_rests_on(browser: Browser, address: str) -> None:
    """The rest holds every calculator, fifteen times as much: with a job open each page would wait for it."""
    context = browser.new_context()
    fetched, page = fetched_by(context), opened(context, address)
    page.route("**/runtime/rest.*", lambda route: route.abort())
    told = page.evaluate(FILL, given("fuse"))
    assert told["errors"] == []
    assert {entry["name"] for entry in told["inputs"] if entry["from"]} == {"current", "area"}
    assert {*fetched} & {*slugs_known()} == {"fuse", "cable", "current-draw"}
    # A part that does not come ends in words, and is not asked for again for ever.
    page.route("**/runtime/parts/hold-up.*", lambda route: route.abort())
    assert "could not be fetched" in page.evaluate(FILL, given("hold-up"))["stopped"]
    context.close()


def test_the_start_is_taken_before_the_job_is_read(browser: Browser, address: str) -> None:
    """One is open all day; the start holds what fills a form from a job, and nothing of that job."""
    context = browser.new_context()
    job = write_job(begun(read_job(RUNNING.encode()), NAME)).decode()
    first, delay = opened(context, address), {"delay": EXAMPLES["delay"]}
    asked(first, questions=delay)
    assert first.evaluate(FILL, given("delay", job))["errors"] == []
    parts = {name.rpartition("/")[2].partition(".")[0] for name in wait_for_entry(first)["parts"]}
    assert parts == {"delay", "job"}
    # The name of a module stands in the memory as it is, and so would the name of a job.
    assert first.evaluate(HOLDS, ["calculators.job.desk", NAME]) == ["calculators.job.desk"]
    first.close()
    fetched, second = fetched_by(context), opened(context, address)
    assert asked(second, questions=delay)[1]  # Woken.
    assert second.evaluate(FILL, given("delay", job))["errors"] == []
    assert not {"delay", "job"} & {*fetched}
    context.close()


def test_where_no_start_can_be_taken_the_job_is_read_all_the_same(browser: Browser, address: str) -> None:
    """A small device may have no memory for the copy: that ended the worker, and the next one, too."""
    context = browser.new_context()
    context.route("**/memory-pages.js", without_memory)
    page = opened(context, address)
    asked(page, questions={"delay": EXAMPLES["delay"]})
    told = page.evaluate(FILL, given("delay"))
    assert told.get("errors") == [], told
    assert told["inputs"]
    context.close()
