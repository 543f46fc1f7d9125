"""The calculators' start kept on the device: made before anything is typed, and all answers as without it."""

from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route

from calculators.declaring.running import example_fields
from calculators.stages import every_calculator
from tests.conftest import SOAK

SLUGS = ("delay", "cable", "graphic-equaliser", "hold-up", "sound-speed")
"""Lists, tables, linear algebra, iteration and text; the long tests ask every calculator."""
EXAMPLES = {calculator.slug: example_fields(calculator) for calculator in every_calculator()}
FEW = {slug: EXAMPLES[slug] for slug in SLUGS}
ASKED = EXAMPLES if SOAK else FEW
ASK = """async ([asked, example]) => {
  window.engine ?? start({});
  const replies = {};
  for (const [calculator, inputs] of Object.entries(asked)) {
    const reply = await engine.ask({ calculator, inputs, want: ["html", "answer"], example });
    replies[calculator] = [reply.html, reply.answer];
  }
  return [replies, window.states.some(({ message }) => message.startsWith("Waking"))];
}"""
# What stands in the cache; and the same entry with a byte of its body, or a part of its description, changed:
# as it is told by whoever keeps it, or damaged beside the sum of what was told.
ENTRY = """
const [name] = (await caches.keys()).filter((name) => name.startsWith("doorcard-start"));
const cache = name && await caches.open(name);
const [request] = cache ? await cache.keys() : [];
const response = request && await cache.match(request);
const entry = response ? JSON.parse(response.headers.get("Doorcard-Start")) : null;
"""
STANDS = f"async () => {{ {ENTRY} return entry; }}"
WRITE = f"""async (change) => {{ {ENTRY}
  window.body ??= new Uint8Array(await response.clone().arrayBuffer());
  window.entry ??= entry;
  window.request ??= request;
  window.sum ??= response.headers.get("Doorcard-Start-Sum");
  const body = window.body.slice();
  if (change.byte) body[change.byte] ^= 1;
  const told = {{ ...window.entry, failures: entry?.failures ?? 0, ...change.entry, ...change.damaged }};
  const about = change.about ?? JSON.stringify(told);
  const {{ sha256 }} = await import("./assets/doorcard/kept-start.js");
  const sum = change.about || change.damaged ? window.sum : await sha256(new TextEncoder().encode(about));
  const headers = {{ "Doorcard-Start": about, "Doorcard-Start-Sum": sum }};
  await cache.put(window.request, new Response(body, {{ headers }}));
}}"""
FOUND = """async (release) => {
  const { keptStart } = await import("./assets/doorcard/kept-start.js");
  return Boolean(await keptStart(release));
}"""
KEEP = """async ({ bytes, noise, ...start }) => {
  const memory = new Uint8Array(bytes);
  for (let at = 0; at < noise; at += 65_536) crypto.getRandomValues(memory.subarray(at, at + 65_536));
  await (await import('./assets/doorcard/kept-start.js')).keepStart(start.release, { ...start, memory });
}"""
# The entry's memory in pages once more, too large to be kept as it is: with zeros behind it that no page has.
KEEP_LARGE = """async (start) => {
  const memory = new Uint8Array(15_000_000);
  memory.set(window.body);
  await (await import('./assets/doorcard/kept-start.js')).keepStart(start.release, { ...start, memory });
}"""
SILENT = "CacheStorage.prototype.match = () => new Promise(() => {});\n"
DROP_WITHOUT_ROOM = """async () => {
  const { put } = Cache.prototype;
  Cache.prototype.put = () => Promise.reject(new DOMException("", "QuotaExceededError"));
  const { dropStart } = await import("./assets/doorcard/kept-start.js");
  await dropStart().catch(() => {});
  Cache.prototype.put = put;
}"""
MAY = "async () => (await import('./assets/doorcard/kept-start.js')).mayKeepStart()"


def expect_a_silent_browser_is_passed_over(context: BrowserContext, address: str, answers: Any) -> None:
    """What is kept is not blamed for it."""

    def silence(route: Route) -> None:
        response = route.fetch()
        route.fulfill(response=response, body=SILENT + response.text())

    context.route("**/worker.js", silence)
    page = opened(context, address)
    entry = page.evaluate(STANDS)
    assert asked(page, example=False, questions=FEW) == ({slug: answers[slug] for slug in FEW}, False)
    context.unroute("**/worker.js")
    assert page.evaluate(STANDS) == entry
    page.close()
    assert asked_once(context, address) == (answers, True)


def opened(context: BrowserContext, address: str) -> Page:
    page = context.new_page()
    page.goto(address)
    return page


def asked_once(context: BrowserContext, address: str, example: bool = True) -> tuple[Any, bool]:
    """What a page of its own is told; it is closed then, so that its Python is at rest."""
    page = opened(context, address)
    told = asked(page, example)
    page.close()
    return told


def asked(page: Page, example: bool = True, questions: Any = ASKED) -> tuple[Any, bool]:
    """The replies to the questions, and whether they came from a start kept on the device."""
    replies, woken = page.evaluate(ASK, [questions, example])
    return replies, woken


def wait_for_entry(page: Page) -> dict[str, Any]:
    for _ in range(300):
        if entry := page.evaluate(STANDS):
            return dict(entry)
        page.wait_for_timeout(100)
    raise AssertionError("no start was kept")


def test_where_data_are_to_be_saved_nothing_is_fetched_ahead_or_kept(browser: Browser, address: str) -> None:
    """The page next to it, asked later and without the reader's wish, shows when both would be done."""
    fetched: dict[str, list[str]] = {}
    pages = []
    for saves in (True, False):
        context = browser.new_context()
        page = opened(context, address)
        override = {"dataSaverEnabled": saves}
        context.new_cdp_session(page).send(
            "Emulation.setDataSaverOverride", override
        )  # Not heard by workers.
        assert page.evaluate("navigator.connection.saveData") == saves
        found = fetched[str(saves)] = []
        context.on("request", lambda request, found=found: found.append(request.url))
        asked(page, questions={"delay": EXAMPLES["delay"]})
        pages.append(page)
    saving, usual = pages
    wait_for_entry(usual)
    for _ in range(100):
        if any("_pocketfft_umath" in url for url in fetched["False"]):
            break
        usual.wait_for_timeout(100)
    assert saving.evaluate(STANDS) is None
    ahead = [url.rpartition("/")[2] for url in set(fetched["False"]) - set(fetched["True"])]
    assert sorted(name.partition(".")[0] for name in ahead) == [
        *("_pocketfft_umath", "_umath_linalg", "job", "rest", "start")
    ], ahead
    for page in pages:
        page.context.close()


@pytest.mark.each_calculator
def test_a_start_gives_the_same_answers_and_a_damaged_or_foreign_one_none(
    browser: Browser, address: str
) -> None:
    context, other = browser.new_context(), browser.new_context()
    typed = opened(other, address)
    answers, woken = asked(typed, example=False)
    assert not woken
    fetched: list[str] = []
    context.on("request", lambda request: fetched.append(request.url.rpartition("/")[2].partition(".")[0]))
    first = opened(context, address)
    # As a reader's first page does: a memory that has answered all is large, and no start is kept of one with
    # modules that came late.
    asked(first, questions={"delay": EXAMPLES["delay"]})
    entry = wait_for_entry(first)
    assert entry["size"] < 11_500_000
    assert not entry["packed"]
    first.evaluate(KEEP, {**entry, "bytes": 13_000_000, "noise": 13_000_000})
    assert first.evaluate(STANDS) == entry
    assert asked(first)[0] == answers  # The one it was made of goes on.
    assert {"python", "python-data"} <= {*fetched}
    fetched.clear()
    assert asked_once(context, address) == (answers, True)
    assert "python" in fetched
    assert "python-data" not in fetched  # What was kept holds them.
    expect_a_silent_browser_is_passed_over(context, address, answers)

    def change(**told: Any) -> None:
        first.evaluate(WRITE, told)

    change()
    first.evaluate(KEEP_LARGE, entry)
    packed = first.evaluate(STANDS)
    assert packed["packed"]
    assert packed["size"] < entry["size"] / 2
    assert asked_once(context, address) == (answers, True)
    change()
    assert first.evaluate(FOUND, entry["release"])
    for misfit in ({"release": "another"}, {"browser": "another"}, {"length": 1000}, {"layout": None}):
        change(entry=misfit)
        assert not first.evaluate(FOUND, entry["release"]), misfit
    for about in ("{not json", "null"):
        change(about=about)
        assert not first.evaluate(FOUND, entry["release"])
        assert first.evaluate(STANDS) is None
        assert first.evaluate(MAY)
        first.evaluate(KEEP, {**entry, "bytes": 1_000_000, "noise": 1_000_000})
        assert first.evaluate(STANDS)["size"] == 1_000_000
    places = [[memory + 4096, table] for memory, table in entry["layout"]["places"]]
    for damage in ({"length": 3e9}, {"parts": 5}, {"layout": entry["layout"] | {"places": places}}):
        change(damaged=damage)
        assert not first.evaluate(FOUND, entry["release"]), damage
        assert first.evaluate(STANDS) is None
    change(damaged={"length": 3e9})
    assert asked_once(context, address, example=False) == (answers, False)
    assert first.evaluate(STANDS) is None
    change(byte=entry["size"] // 2)
    assert asked_once(context, address, example=False) == (
        answers,
        True,
    )  # It was tried, and a fresh one answered.
    stands = first.evaluate(STANDS)
    assert (stands["size"], stands["failures"]) == (0, 1)
    assert first.evaluate(MAY)
    change(entry={"failures": 0, "length": entry["length"] + 64 * 1024})
    assert asked_once(context, address, example=False) == (answers, True)
    assert first.evaluate(STANDS)["failures"] == 1
    layout = entry["layout"] | {"lengths": [length + 1 for length in entry["layout"]["lengths"]]}
    change(entry={"layout": layout})
    assert asked_once(context, address, example=False) == (answers, True)
    assert first.evaluate(STANDS)["failures"] == 2
    assert not first.evaluate(MAY)
    change(entry={"failures": 0, "length": 1e15})  # More than there can be.
    assert asked_once(context, address, example=False) == (answers, True)
    stands = first.evaluate(STANDS)
    assert (stands["size"], stands["failures"]) == (0, 1)
    change()
    first.evaluate(DROP_WITHOUT_ROOM)
    assert first.evaluate(STANDS) is None
    assert typed.evaluate(STANDS) is None  # What was typed stays in the memory, so that is not kept.
    context.close()
    other.close()
