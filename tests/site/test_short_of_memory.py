"""A Python that comes to the end of its memory in the middle of its work."""

from playwright.sync_api import Browser, Page

from calculators.declaring import example_fields
from calculators.stages import find_calculator
from tests.site.test_engine import pretending, run

__all__ = ["pretending"]

NO_MORE = "() => { WebAssembly.Memory.prototype.grow = () => { throw new RangeError('full'); }; }"
ASK = "(asked) => engine.ask(asked)"


def test_its_worker_is_replaced_and_asked_again(browser: Browser, address: str) -> None:
    """A memory is never given back, and the next worker begins with little of it."""
    sounds = {"calculator": "hear-equaliser", "inputs": example_fields(find_calculator("hear-equaliser"))}
    page: Page = browser.new_context().new_page()
    page.goto(address)
    with page.expect_event("worker") as begun:
        page.evaluate("start({})")
    assert "html" in page.evaluate(ASK, sounds)
    begun.value.evaluate(NO_MORE)
    with page.expect_event("worker"):
        reply = page.evaluate(ASK, sounds | {"want": ["sound"]})
    page.context.close()
    assert len(reply["files"]) > 1


def test_what_comes_to_the_end_of_memory_twice_is_told_as_that(pretending: Page) -> None:
    told = run(pretending, 'return engine.ask({ calculator: "short", inputs: {} })')
    assert "short of memory" in told["stopped"]
    assert "MemoryError" in told["failure"]
