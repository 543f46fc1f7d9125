"""An answer never stands under other numbers: whatever happens to Python, while a reader types."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Route, expect

from tests.browser.test_calculators import (
    PATIENCE,
    calculator,
    expect_right_answer,
    field,
    reply_to,
    typed,
    wait_until_live,
)
from tests.conftest import watched, without_python

Watched = Callable[[BrowserContext, tuple[str, ...]], BrowserContext]

CABLE, DELAY = "look-up/cable-length/", "look-up/delay-by-distance/"
RUNTIME = re.compile(r"/runtime/")
WORKER = re.compile(r"/doorcard-[^/]+/worker\.js$")
# What a browser says to a page that asks for more than the device has.
NO_MEMORY = """
WebAssembly.Memory = class {
  constructor() { throw new RangeError("WebAssembly.Memory(): could not allocate memory"); }
};
"""
# What goes wrong with which files: how each is answered, and what is told. A host may answer all it does not
# know with a page.
HOME_PAGE: dict[str, Any] = {"body": "<p>Hello", "content_type": "text/html"}
PACKED = re.compile(r"/runtime/.*\.bin$")
PART = r"(python|library|numpy\.[\w.]+|pyodide[\w.]*)\.[0-9a-f]{12}\.\w+"
MEND = r"If that does not help, whoever runs the server can mend it\."
GONE = r"is not on the server: it may have a newer version\. Load the page anew; your values are kept\. "
ALTERED = rf"{PART} was cut off or altered on the way\. Try again\. {MEND}"
FAULTS: dict[str, tuple[re.Pattern[str], dict[str, Any] | None, str]] = {
    "503": (
        RUNTIME,
        {"status": 503},
        rf"The server does not give {PART} as it should \(503\)\. Try again\. {MEND}",
    ),
    "cut": (RUNTIME, None, ALTERED),
    "corrupt": (PACKED, {"body": "not what it was"}, ALTERED),
    "nothing new": (
        PACKED,
        {"status": 304},
        rf"does not give {PART} as it should \(304\)\. Try again\. {MEND}",
    ),
    "half of it": (PACKED, {"status": 206, "body": b"\x78\x5e\xec\xbd"}, ALTERED),
    "a worker of a wrong kind": (
        WORKER,
        {"content_type": "text/plain"},
        rf"The server does not give worker\.js as it should \(text/plain\)\. Try again\. {MEND}",
    ),
    "no memory": (WORKER, {"content_type": "text/javascript"}, r"The calculators could not start here\."),
    "gone": (RUNTIME, {"status": 404}, rf"{PART} {GONE}{MEND}"),
    "gone, worker and all": (WORKER, {"status": 404}, rf"worker\.js {GONE}{MEND}"),
    "gone, the home page in place of the worker": (WORKER, HOME_PAGE, rf"worker\.js {GONE}{MEND}"),
    "gone, the home page in place of each file": (RUNTIME, HOME_PAGE, rf"{PART} {GONE}{MEND}"),
}
ENDS = ("503", "cut")
OUR_SCRIPTS = re.compile(r"/doorcard-[^/]+/(page|calculator)\.js$")
KEYS = ("9", "92", "92.", "92.5", "92.5 A")

# Notes down, at every frame and after every key, what the fields hold and what stands under them.
SAMPLER = """
window.samples = new Map();
window.note = () => {
  for (const element of document.querySelectorAll("doorcard-calculator")) {
    const result = element.querySelector("[data-result]");
    if (!result) continue;
    const fields = [...element.querySelectorAll(".dc-form :is(input, select, textarea)[name]")];
    const typed = Object.fromEntries(fields.map((field) => [field.name, field.value]));
    const marked = result.inert && result.ariaBusy === "true";
    const away = marked || result.hidden || result.querySelector(".dc-waiting");
    const seen = away ? null : words(result);
    const sample = { slug: element.dataset.calculator, typed, seen };
    window.samples.set(JSON.stringify(sample), sample);
  }
};
window.words = (result) =>
  [...result.querySelectorAll(".dc-for, .dc-answers, .dc-table, .dc-advice")]
    .map((part) => part.textContent).join("|");
window.wordsOf = (html) => {
  const template = document.createElement("template");
  template.innerHTML = html;
  return words(template.content);
};
const each = () => { if (document.readyState !== "loading") note(); requestAnimationFrame(each); };
requestAnimationFrame(each);
addEventListener("input", note);
"""


@pytest.fixture
def context(browser: Browser) -> Any:
    """A watched phone that notes down what it shows."""
    phone = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, service_workers="block"
    )
    with watched(phone, ("503", "404", "304", "not whole", "MIME", "ERR_FAILED")) as made:
        made.set_default_timeout(PATIENCE)
        made.add_init_script(SAMPLER)
        yield made


@pytest.fixture
def page(context: BrowserContext) -> Page:
    return context.new_page()


def expect_no_answer_under_other_numbers(page: Page, seen_at_least: int = 1) -> None:
    """Every answer that stood unmarked was the one for the fields over it."""
    samples = page.evaluate("note(), [...samples.values()]")  # A busy page draws no frame for a while.
    unmarked = [sample for sample in samples if sample["seen"] is not None]
    assert len(unmarked) >= seen_at_least
    for sample in unmarked:
        wanted = reply_to(sample["slug"], sample["typed"])["html"]
        assert sample["seen"] == page.evaluate("(html) => wordsOf(html)", wanted), sample["typed"]


def type_into(where: Locator, name: str) -> None:
    """Key by key, as a thumb does."""
    for text in KEYS:
        field(where, name).fill(text)
        where.page.wait_for_timeout(30)


def expect_marked(where: Locator) -> None:
    """In words, out of reach of copy and screen reader, said to be busy and pale; out of print."""
    expect(where.locator("[data-state]")).to_contain_text("Not worked out yet for your values")
    answer = where.locator("[data-result]")
    expect(answer).to_have_js_property("inert", True)
    expect(answer).to_have_attribute("aria-busy", "true")
    expect(answer).to_have_css("opacity", "0.35")
    where.page.emulate_media(media="print")
    expect(answer).to_be_hidden()
    where.page.emulate_media(media="screen")
    expect(where.locator("[data-said]")).to_be_empty()


def expect_gone(where: Locator) -> None:
    expect(where.locator("[data-state]")).to_have_text("Not worked out yet for your values.")
    expect(where.locator("[data-result]")).to_be_hidden()


def test_while_python_starts(page: Page, server: str) -> None:
    held: list[Route] = []
    holding = True
    page.route(RUNTIME, lambda route: held.append(route) if holding else route.continue_())
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    expect(cable.locator("[data-engine]")).to_contain_text("worked out for the values shown")
    type_into(cable, "current")
    expect_marked(cable)
    expect(cable.locator("[data-engine]")).not_to_contain_text("worked out for")
    holding = False
    for route in held:
        route.continue_()
    wait_until_live(cable)
    expect(cable.locator("[data-state]")).to_be_empty()
    expect_right_answer(cable)
    expect(cable.locator(".dc-for")).to_contain_text(re.compile("92.5\\s*A"))
    expect_no_answer_under_other_numbers(page, 2)


def test_at_every_key(page: Page, server: str) -> None:
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    wait_until_live(cable)
    for name in ("current", "length"):
        field(cable, name).press("Control+A")
        page.keyboard.type("12.5", delay=20)
        page.keyboard.press("Backspace")
    wait_until_live(cable)
    expect(cable.locator("[data-state]")).to_be_empty()
    assert typed(cable)["length"] == "12."
    expect_no_answer_under_other_numbers(page, 2)


# Types the texts into a field, each as soon as the answer to the one before stands; gives how often an answer
# came back into reach meanwhile.
TYPE_ON = """
async ([form, name, texts]) => {
  const result = form.querySelector("[data-result]");
  const field = form.querySelector(`[name="${name}"]`);
  let back = 0;
  const reach = new MutationObserver(() => { if (!result.inert) back += 1; });
  reach.observe(result, { attributeFilter: ["inert"] });
  for (const text of texts) {
    const answered = new Promise((settle) => {
      new MutationObserver((_, observer) => {
        if (form.dataset.live !== "answer") return;
        observer.disconnect();
        settle();
      }).observe(form, { attributeFilter: ["data-live"] });
    });
    field.value = text;
    field.dispatchEvent(new InputEvent("input", { bubbles: true }));
    await answered;
  }
  reach.disconnect();
  return back;
}
"""


def test_an_answer_comes_back_into_reach_once_keys_rest(page: Page, server: str) -> None:
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    wait_until_live(cable)
    assert page.evaluate(TYPE_ON, [cable.element_handle(), "current", ["91", "92", "93", "94"]]) == 0
    answer = cable.locator("[data-result]")
    expect(answer).to_have_js_property("inert", False)
    expect(answer).to_have_attribute("aria-busy", "false")
    expect(answer).to_have_css("opacity", "1")
    expect_no_answer_under_other_numbers(page, 2)


def test_rows_and_units_mark_the_answer_too(page: Page, server: str) -> None:
    without_python(page)
    page.goto(server + DELAY)
    delay = calculator(page, "delay")
    field(delay, "temperature:unit").select_option("°F")
    expect_marked(delay)
    field(delay, "temperature:unit").select_option("°C")
    expect(delay.locator("[data-state]")).to_be_empty()
    delay.locator(".dc-remove").first.click()
    expect_marked(delay)
    expect_no_answer_under_other_numbers(page)


def test_while_python_hangs_and_after(page: Page, context: BrowserContext, server: str) -> None:
    context.add_init_script(
        "const wait = setTimeout;"
        "self.setTimeout = (f, ms, ...rest) => wait(f, ms === 10000 ? self.limit ?? ms : ms, ...rest);"
    )
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    wait_until_live(cable)
    worker = next(worker for worker in page.workers if "/doorcard-" in worker.url)
    page.evaluate("window.limit = 6000")
    worker.evaluate("setTimeout(() => { for (;;); })")
    field(cable, "current").fill("93")
    expect_marked(cable)
    expect(cable.locator("[data-state]")).to_contain_text("Still working", timeout=5500)
    expect(cable.get_by_role("button", name="Stop")).to_be_visible()
    wait_until_live(cable, "failure")
    expect(cable.locator("[data-result]")).to_contain_text(
        "This took too long and was stopped. Try values that ask for less."
    )
    expect(cable.get_by_role("button", name="Try again")).to_be_visible()
    page.evaluate("window.limit = undefined")
    field(cable, "current").fill("92")
    wait_until_live(cable)
    expect_no_answer_under_other_numbers(page, 2)


def cannot_start(page: Page, server: str, fault: str) -> Locator:
    """A calculator whose Python cannot start, after a number was typed in it: its answer is gone.

    It is told which file is at fault, and what helps.
    """
    files, answer, told = FAULTS[fault]

    def meet(route: Route) -> None:
        if not answer:
            return route.abort()
        body = {"body": NO_MEMORY + route.fetch().text()} if fault == "no memory" else {}
        return route.fulfill(**answer, **body)

    page.route(files, meet)
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    wait_until_live(cable, "unable")
    expect(cable.locator("[data-engine]")).to_contain_text("worked out for the values shown")
    expect(cable.locator("[data-result]")).to_be_visible()
    type_into(cable, "current")
    expect_gone(cable)
    expect(cable.locator("[data-engine]")).not_to_contain_text("worked out for")
    expect(cable.locator("[data-engine]")).to_have_text(re.compile(told))
    expect(cable.locator("[data-engine]").get_by_role("button", name="Copy details")).to_be_visible()
    expect_no_answer_under_other_numbers(page)
    return cable


@pytest.mark.parametrize("fault", [fault for fault in FAULTS if fault not in ENDS])
def test_when_python_cannot_start(page: Page, server: str, fault: str) -> None:
    cannot_start(page, server, fault)


def test_without_webassembly(page: Page, server: str) -> None:
    page.add_init_script("delete window.WebAssembly")
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    expect(cable.locator("[data-engine]")).to_contain_text("this browser does not offer")
    type_into(cable, "current")
    expect_gone(cable)
    expect_no_answer_under_other_numbers(page)


@pytest.mark.parametrize("fault", ENDS)
def test_python_starts_after_all(page: Page, context: BrowserContext, server: str, fault: str) -> None:
    """By the reader's hand, and when the network is back."""
    cable = cannot_start(page, server, fault)
    page.unroute_all()
    if fault == "503":
        cable.get_by_role("button", name="Try again").click()
    else:
        context.set_offline(True)
        context.set_offline(False)
    wait_until_live(cable)
    expect_right_answer(cable)
    expect_no_answer_under_other_numbers(page, 2)


def test_scripts_of_a_wrong_kind_leave_the_fields_locked(page: Page, server: str) -> None:
    page.route(OUR_SCRIPTS, lambda route: route.fulfill(body=route.fetch().text(), content_type="text/plain"))
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    expect(field(cable, "current")).to_be_disabled()
    expect(cable.locator(".dc-locked")).to_be_visible()
    expect(cable.locator(".dc-locked")).to_have_text(
        re.compile(
            r"locked until this page’s script has come; if it does not, load the page anew\..* page\.js, "
            r".* mend it\.$"
        )
    )


def test_without_script_the_fields_are_locked(
    browser: Browser, watched_contexts: Watched, server: str
) -> None:
    page = watched_contexts(browser.new_context(java_script_enabled=False), ()).new_page()
    page.goto(server + CABLE)
    for control in calculator(page, "cable").locator(".dc-form :is(input, select, button)").all():
        expect(control).to_be_disabled()


def test_a_page_of_another_release_loads_its_own_scripts(page: Page, server: str) -> None:
    """Its scripts stay away here, as with a half-spread release: it tries once, and stays locked."""
    loads = []

    def other_release(route: Route) -> None:
        loads.append(route.request.url)
        text = re.sub(
            r'data-scripts="[^"]*"', 'data-scripts="assets/doorcard-0123456789ab/"', route.fetch().text()
        )
        route.fulfill(body=text, content_type="text/html")

    page.route(re.compile(f"{CABLE}$"), other_release)
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    expect(cable.locator("[data-state]")).to_contain_text("of another release")
    expect(field(cable, "current")).to_be_disabled()
    page.wait_for_timeout(500)  # Nothing more may be loaded.
    assert len(loads) == 2


def test_the_first_number_typed_is_spoken_and_its_danger_first(page: Page, server: str) -> None:
    """Focus stays in the field; a metre of cable before the fuse burns when it is chafed through."""
    page.goto(server + "look-up/fuse-sizes/")
    fuse = calculator(page, "fuse")
    wait_until_live(fuse)
    field(fuse, "distance").fill("1 m")
    said = fuse.locator("[data-said]")
    expect(said).to_have_text(re.compile(r"^Danger: .* burn.* Fuse to fit: "))
    expect(field(fuse, "distance")).to_be_focused()
