"""The start that comes with the handbook, in a browser: all answers as without it; without where it fails."""

import zlib
from itertools import pairwise
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, Worker

from tests.site.test_kept_start import ASKED, EXAMPLES, FEW

START = "**/runtime/start.*.bin"
LINEAR_ALGEBRA = "**/runtime/_umath_linalg.*.bin"
ASK = """async (questions) => {
  window.engine ?? start({});
  const replies = {};
  for (const [calculator, inputs] of Object.entries(questions)) {
    const reply = await engine.ask({ calculator, inputs, want: ["html", "answer"] });
    replies[calculator] = reply.html ? [reply.html, reply.answer] : reply;
  }
  return replies;
}"""
ASK_EXAMPLE = ASK.replace('"answer"]', '"answer"], example: true')
NOTE_QUESTIONS = """() => {
  self.asked = { "sound-speed": new Set(), wavelength: new Set(), flatten: new Set() };
  const { stringify } = JSON;
  JSON.stringify = (asked) => {
    const text = stringify(asked);
    self.asked[asked.calculator]?.add(text);
    self.order?.push(asked.calculator);
    return text;
  };
}"""
STOP_CLOCK = "performance.now = () => 0"  # So rehearsing takes no time, and comes to no end by itself.
KEEP_TYPING = """() => {
  const { setTimeout } = self;
  self.setTimeout = (then, wait) => (wait === 300 ? (self.endTyping = then, 0) : setTimeout(then, wait));
}"""
BEGIN_EXAMPLE = """async (inputs) => {
  window.slices = 0;
  const onWorking = ({ step }) => (window.slices += Boolean(step) && !step.startsWith("Fetching"));
  window.engine ?? start({});
  window.example = engine.ask({ calculator: "flatten", inputs, example: true, onWorking });
  while (!window.slices) await new Promise((settle) => setTimeout(settle, 10));
}"""
NOTE_REPLIES = """() => {
  const { postMessage } = self;
  self.postMessage = (message, files) => {
    if (message.reply) self.atReply = self.asked.wavelength.size;
    postMessage(message, files);
  };
}"""
SHARES = """async (inputs) => {
  const shares = [];
  const apart = ({ step }) => /^(Fetching|Writing)/.test(step) || !step;
  const onWorking = (told) => apart(told) || shares.push(told.share);
  await engine.ask({ calculator: "flatten", inputs, onWorking });
  return shares;
}"""
STEPS = 'window.states.filter(({ phase }) => phase === "starting").map(({ message }) => message)'
UNPACKING, PYTHON = "Unpacking the calculators", "Starting Python"
SLOW_LINK = (
    'Object.defineProperty(navigator, "connection", { value: { saveData: false, effectiveType: "3g" } })'
)
AS_ON_A_PHONE = 'Object.defineProperty(navigator, "platform", { value: "iPhone" });'


def asked(context: BrowserContext, address: str, questions: Any) -> tuple[Any, list[str], list[str]]:
    """The replies in a page of its own, the steps that it told, and the files that it asked for."""
    fetched: list[str] = []
    page = context.new_page()
    page.on("request", lambda request: fetched.append(request.url.rpartition("/")[2].partition(".")[0]))
    page.goto(address)
    replies = page.evaluate(ASK, questions)
    steps = page.evaluate(STEPS)
    page.close()
    return replies, steps, fetched


def without_start(browser: Browser) -> BrowserContext:
    context = browser.new_context()
    context.route(START, lambda route: route.fulfill(status=404))
    return context


@pytest.mark.each_calculator
def test_all_answers_are_as_without_it(browser: Browser, address: str) -> None:
    usual, steps, fetched = asked(browser.new_context(), address, ASKED)
    assert UNPACKING in steps
    assert PYTHON not in steps  # It was never started anew: nothing was missing.
    assert "start" in fetched
    assert "library" not in fetched
    plain, steps, fetched = asked(without_start(browser), address, ASKED)
    assert PYTHON in steps
    assert UNPACKING not in steps
    assert "library" in fetched
    assert usual == plain


def test_where_it_is_damaged_or_the_link_is_slow_python_starts_without_it(
    browser: Browser, address: str
) -> None:
    questions = {"sound-speed": EXAMPLES["sound-speed"]}
    plain, _, _ = asked(without_start(browser), address, questions)

    def cut(route: Route) -> None:
        response = route.fetch()
        route.fulfill(response=response, body=response.body()[:-1000])

    damaged = browser.new_context()
    damaged.route(START, cut)
    replies, steps, fetched = asked(damaged, address, questions)
    assert replies == plain
    assert steps.index(UNPACKING) < steps.index(PYTHON)
    assert fetched.count("start") == 1
    altered = browser.new_context()  # Whole as a file, and not the one that was made.
    altered.route(START, lambda route: route.fulfill(body=zlib.compress(bytes(5000))))
    replies, steps, _ = asked(altered, address, questions)
    assert replies == plain
    assert steps.index(UNPACKING) < steps.index(PYTHON)
    silent = browser.new_context()
    silent.route(START, lambda route: None)
    replies, steps, _ = asked(silent, address, questions)
    assert replies == plain
    assert steps[-1] != UNPACKING
    slow = browser.new_context()
    slow.add_init_script(SLOW_LINK)
    replies, steps, fetched = asked(slow, address, questions)
    assert replies == plain
    assert "start" not in fetched
    assert UNPACKING not in steps


def test_a_phone_that_numbers_functions_otherwise_does_not_fetch_it(browser: Browser, address: str) -> None:
    phone = browser.new_context()
    phone.route(
        "**/given-start.js",
        lambda route: route.fulfill(
            body=AS_ON_A_PHONE + route.fetch().text(), content_type="text/javascript"
        ),
    )
    replies, steps, fetched = asked(phone, address, {"sound-speed": EXAMPLES["sound-speed"]})
    assert isinstance(replies["sound-speed"], list)
    assert UNPACKING not in steps
    assert "start" not in fetched
    assert "library" in fetched


def test_a_compiled_module_comes_with_the_first_answer_that_uses_it(browser: Browser, address: str) -> None:
    """Without it that answer says so, others go on, and it is asked for once more with the next."""
    _, _, fetched = asked(browser.new_context(), address, FEW)
    assert fetched.count("_umath_linalg") == 1
    context = browser.new_context()
    context.route(LINEAR_ALGEBRA, lambda route: route.abort())
    page: Page = context.new_page()
    page.goto(address)
    replies = page.evaluate(ASK, FEW)
    assert "could not be fetched" in replies.pop("graphic-equaliser")["stopped"]
    assert all(isinstance(reply, list) for reply in replies.values())
    context.unroute(LINEAR_ALGEBRA)
    again = page.evaluate(ASK, FEW)
    assert isinstance(again["graphic-equaliser"], list)
    steps = page.evaluate(STEPS)
    assert "Fetching the calculators" not in steps[steps.index(UNPACKING) :]  # Python was not started again.
    page.context.close()


@pytest.mark.parametrize("came", [b"altered", zlib.compress(b"altered")], ids=["not packed", "packed"])
def test_a_compiled_module_that_comes_altered_is_not_laid_to_the_network(
    browser: Browser, address: str, came: bytes
) -> None:
    """It cannot be unpacked or compiled; other answers go on, and the next question tries again."""
    context = browser.new_context()
    context.route(LINEAR_ALGEBRA, lambda route: route.fulfill(body=came))
    page: Page = context.new_page()
    page.goto(address)
    replies = page.evaluate(ASK, FEW)
    altered = replies.pop("graphic-equaliser")
    assert "altered on the way" in altered["stopped"]
    assert "network" not in altered["stopped"]
    assert "Error" in altered["failure"]
    assert all(isinstance(reply, list) for reply in replies.values())
    context.unroute(LINEAR_ALGEBRA)
    assert isinstance(page.evaluate(ASK, FEW)["graphic-equaliser"], list)
    context.close()


def test_what_takes_long_is_begun_with_all_modules_and_once(browser: Browser, address: str) -> None:
    """Every compiled module comes before it, and later while it is quiet: then there may be no network."""
    page: Page = browser.new_context().new_page()
    page.goto(address)
    page.evaluate("start({})")
    shares = page.evaluate(SHARES, EXAMPLES["flatten"])
    assert min(shares[shares.index(max(shares)) :]) > 0.5  # Not begun again.
    other, fetched = browser.new_context().new_page(), []
    other.on("request", lambda request: fetched.append(request.url.rpartition("/")[2].partition(".")[0]))
    other.goto(address)
    other.evaluate(ASK, {"sound-speed": EXAMPLES["sound-speed"]})
    for _ in range(100):
        if "_umath_linalg" in fetched:
            break
        other.wait_for_timeout(100)
    assert {"rest", "_umath_linalg", "_pocketfft_umath"} <= {*fetched}
    for opened in (page, other):
        opened.context.close()


def started(browser: Browser, address: str, *notings: str) -> tuple[Page, Worker]:
    """A page and its worker, which notes what it is asked to note."""
    page: Page = browser.new_context().new_page()
    page.goto(address)
    with page.expect_event("worker") as begun:
        page.evaluate("start({})")
    for noting in notings:
        begun.value.evaluate(noting)
    return page, begun.value


def test_forms_are_rehearsed_while_nobody_types(browser: Browser, address: str) -> None:
    """An example, and what stood there from a visit before, with their numbers moved; no long work."""
    page, worker = started(browser, address, STOP_CLOCK, NOTE_QUESTIONS, KEEP_TYPING)
    page.evaluate(ASK_EXAMPLE, {"wavelength": EXAMPLES["wavelength"]})
    until(worker, "self.asked.wavelength.size > 2")  # One is as it was asked.
    page.evaluate(ASK, {slug: EXAMPLES[slug] for slug in ("flatten", "sound-speed")})
    once = worker.evaluate("self.asked.wavelength.size")
    for _ in range(3):
        page.evaluate(ASK, {"sound-speed": EXAMPLES["sound-speed"]})
    assert worker.evaluate("self.asked['sound-speed'].size") == 1, "while somebody types"
    assert worker.evaluate("self.asked.wavelength.size") == once
    # A pause after each of several forms: they are rehearsed in turn, and not once for each pause.
    worker.evaluate("self.order = []; for (let pause = 1; pause <= 3; pause += 1) self.endTyping()")
    until(worker, "self.asked['sound-speed'].size > 2 && self.order.includes('wavelength')")
    order = worker.evaluate("self.order")
    assert all(before != after for before, after in pairwise(order)), order
    assert worker.evaluate("self.asked.flatten.size") == 1
    page.context.close()


def until(worker: Worker, state: str) -> None:
    """Wait until a state is there. Raises RuntimeError if it is not after half a minute."""
    for _ in range(300):
        if worker.evaluate(state):
            return
        worker.evaluate("new Promise((settle) => setTimeout(settle, 100))")
    raise RuntimeError(state)


def test_long_work_on_an_example_waits_while_another_form_is_typed_in(browser: Browser, address: str) -> None:
    """Its answer is on the page already. The pause after a key ends when the test says so."""
    page: Page = browser.new_context().new_page()
    page.goto(address)
    with page.expect_event("worker") as begun:
        page.evaluate(BEGIN_EXAMPLE, EXAMPLES["flatten"])
    begun.value.evaluate(KEEP_TYPING)
    typed = {"sound-speed": EXAMPLES["sound-speed"]}
    page.evaluate(ASK, typed)
    before = page.evaluate("window.slices")
    for _ in range(3):
        page.evaluate(ASK, typed)
        page.wait_for_timeout(100)
    assert page.evaluate("window.slices") == before
    begun.value.evaluate("self.endTyping()")
    assert "html" in page.evaluate("window.example")
    page.context.close()


def test_forms_are_rehearsed_between_slices_of_an_example(browser: Browser, address: str) -> None:
    """The first keys beside a tune would meet a Python that has hardly run; nobody waits for its example."""
    page, worker = started(browser, address, NOTE_QUESTIONS, NOTE_REPLIES, KEEP_TYPING)
    page.evaluate(ASK, {"wavelength": EXAMPLES["wavelength"]})
    page.evaluate(BEGIN_EXAMPLE, EXAMPLES["flatten"])
    assert worker.evaluate("self.atReply") == 1
    worker.evaluate("self.endTyping()")
    assert "html" in page.evaluate("window.example")
    assert worker.evaluate("self.atReply") > 2
    page.context.close()
