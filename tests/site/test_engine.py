"""The page's side of the calculators, in Chromium: with a worker of our own making, and the real one."""

import hashlib
import json
import re
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from calculators.release import release
from calculators.site import runtime
from tests.benchmarks.browser import POLICY, serve

ASSETS = runtime.PACKAGE.parent / "docs" / "assets" / "doorcard"
SCRIPTS = (
    *("engine.js", "messages.js", "worker.js", "boot.js"),
    *("kept-start.js", "given-start.js", "memory-pages.js", "waking-note.js"),
    *("take-start.js", "rehearsal.js", "not-brought.js"),
)
PAGE = (
    '<!doctype html><meta charset="utf-8"><title>Engine</title><script type="module" src="page.js"></script>'
)
UNFAILED = json.dumps({"failures": 0})
ENTRY = json.dumps(
    {"Doorcard-Start": UNFAILED, "Doorcard-Start-Sum": hashlib.sha256(UNFAILED.encode()).hexdigest()}
)
"""What a start that was kept is told by, in the headers of its entry."""
PAGE_SCRIPT = """
import { Engine } from "./assets/doorcard/engine.js";
window.states = [];
window.start = (limits) => {
  window.engine = new Engine({ onState: (state) => window.states.push(state), ...limits });
};
"""
# As the name of the calculator says, it answers what it is asked or what it was started for, crashes, or
# stays silent.
PRETENDING_WORKER = """
const behaviour = "BEHAVIOUR";
import { Kind, Step } from "./messages.js";
const tell = (message) => self.postMessage(message);
const kept = new Map();
let startedFor;
let ending = false;
self.onmessage = async ({ data }) => {
  if (behaviour === "silent") return;
  if (data.kind === Kind.START) {
    startedFor = data.calculator;
    const life = `pretending ${Math.random()}`;
    navigator.locks.request(life, () => {
      tell({ kind: Kind.HELD, life });
      return new Promise(() => {});
    });
    if (behaviour === "dies" && data.kept) {
      tell({ kind: Kind.STEP, step: Step.WAKING });
      return self.close();
    }
    if (behaviour === "ends at once") return setTimeout(() => self.close(), 1500); // Once its lock is known.
    if (behaviour === "unable") return tell({ kind: Kind.UNABLE, details: "no memory" });
    if (behaviour === "trickles") {
      for (let loaded = 1; loaded < 9; loaded += 1) {
        tell({ kind: Kind.PROGRESS, loaded, total: 10 });
        await new Promise((settle) => setTimeout(settle, 250));
      }
    }
    if (behaviour === "wakes" && data.kept) tell({ kind: Kind.STEP, step: Step.WAKING });
    tell({ kind: Kind.PROGRESS, loaded: 5, total: 10 });
    return tell({ kind: Kind.READY });
  }
  if (data.kind === Kind.KEEP) kept.set(data.handle, `${data.buffer.byteLength} of ${data.name}`);
  if (data.kind === "end" && ending) return self.close();
  if (data.kind !== Kind.ASK || behaviour === "ends at once") return;
  if (data.calculator === "endless") return;
  if (data.calculator === "ends") return void (ending = true); // When the page says so: it knows the lock.
  if (data.calculator === "busy") for (const end = Date.now() + 2500; Date.now() < end; ) {}
  if (data.calculator === "crash") return tell({ kind: Kind.UNABLE, details: "stack overflow" });
  if (data.calculator === "short") return tell({ kind: Kind.UNABLE, details: "_ArrayMemoryError: 8 MiB" });
  if (data.calculator === "crash-once") {
    const memory = await caches.open("memory");
    if (!(await memory.match("/crashed"))) {
      await memory.put("/crashed", new Response("yes"));
      return tell({ kind: Kind.UNABLE, details: "stack overflow" });
    }
  }
  const told = data.calculator === "started-for" ? startedFor : data.inputs.x;
  const html = kept.get(told) ?? String(told);
  setTimeout(() => tell({ kind: Kind.REPLY, id: data.id, reply: { html } }), 30);
};
"""


def write_page(site: Path) -> None:
    (site / "assets" / "doorcard").mkdir(parents=True, exist_ok=True)
    for script in SCRIPTS:
        shutil.copy(ASSETS / script, site / "assets" / "doorcard")
    (site / "index.html").write_text(PAGE, encoding="utf-8")
    (site / "page.js").write_text(PAGE_SCRIPT, encoding="utf-8")


@pytest.fixture
def pretending(tmp_path: Path, browser: Browser, request: pytest.FixtureRequest) -> Iterator[Page]:
    """A page whose worker only pretends; the parameter is how it behaves."""
    write_page(tmp_path)
    folder = tmp_path / "assets" / "doorcard"
    behaviour = getattr(request, "param", "answers")
    (folder / "worker.js").write_text(PRETENDING_WORKER.replace("BEHAVIOUR", behaviour), encoding="utf-8")
    with serve(tmp_path) as address:
        yield opened_page(browser, address)


def opened_page(browser: Browser, address: str) -> Page:
    page = browser.new_context().new_page()
    page.goto(address)
    return page


def run(page: Page, script: str, limits: dict[str, Any] | None = None) -> Any:
    page.evaluate("(limits) => start(limits)", limits or {})
    return page.evaluate(f"async () => {{ {script} }}")


def wait_for_phase(page: Page, phase: str) -> dict[str, Any]:
    for _ in range(300):
        state = page.evaluate("window.states.at(-1) ?? null")
        if state and state["phase"] == phase:
            return dict(state)
        page.wait_for_timeout(100)
    raise AssertionError(f"never {phase}: {page.evaluate('window.states')}")


def test_only_the_newest_question_of_a_form_is_answered(pretending: Page) -> None:
    script = """
      const ask = (form, x) => engine.ask({ form, calculator: "echo", inputs: { x } });
      const early = [ask("a", 1), ask("b", 2), ask("a", 3)];
      await new Promise((settle) => setTimeout(settle, 10));
      return Promise.all([...early, ask("a", 4)]);
    """
    replies = run(pretending, script)
    assert [reply and reply["html"] for reply in replies] == [None, "2", None, "4"]


def test_progress_is_told_and_ends_in_ready(pretending: Page) -> None:
    run(pretending, 'await engine.ask({ calculator: "echo", inputs: {} })')
    states = pretending.evaluate("window.states")
    assert [(state["phase"], state["loaded"]) for state in states] == [
        ("starting", 0),
        ("starting", 5),
        ("ready", 5),
    ]
    assert states[-1]["message"] == ""


def test_a_file_chosen_in_place_of_another_and_one_that_cannot_be_read(pretending: Page) -> None:
    """A question waits until its bytes are there; the file before leaves no room taken."""
    script = """
      const ask = (x) => engine.ask({ calculator: "echo", inputs: { x } });
      const slowly = (name, size) => ({ name, size, async arrayBuffer() {
        await new Promise((settle) => setTimeout(settle, 200));
        return new ArrayBuffer(3);
      } });
      await ask("ready");
      const one = engine.keep(slowly("one.wav", 60_000_000)).handle;
      const first = ask(one);
      engine.forget(one);
      const two = engine.keep(slowly("two.wav", 60_000_000)).handle;
      const second = await ask(two);
      const lost = { name: "lost.wav", size: 10, arrayBuffer: async () => { throw new Error("moved"); } };
      const unread = await ask(engine.keep(lost).handle);
      return [await first, second, unread, engine.kept.size, await ask("still")];
    """
    first, second, unread, held, still = run(pretending, script)
    assert first is None
    assert second == {"html": "3 of two.wav"}
    assert unread == {"stopped": "The file cannot be read any more. Choose it again."}
    assert held == 1
    assert still == {"html": "still"}


def test_after_a_crash_the_question_is_asked_again(pretending: Page) -> None:
    reply = run(pretending, 'return engine.ask({ calculator: "crash-once", inputs: { x: 7 } })')
    assert reply == {"html": "7"}


def test_a_question_that_crashes_twice_fails_and_the_next_is_answered(pretending: Page) -> None:
    script = """
      const first = await engine.ask({ calculator: "crash", inputs: {} });
      return [first, await engine.ask({ calculator: "echo", inputs: { x: 1 } })];
    """
    first, second = run(pretending, script)
    assert "stopped twice" in first["stopped"]
    assert first["failure"] == "stack overflow"
    assert second == {"html": "1"}


def test_a_worker_that_ends_without_a_word_is_known_at_once_and_one_that_is_busy_is_left_alone(
    pretending: Page,
) -> None:
    """The page learns of each worker's lock after it has asked, as a page does that has much to do."""
    script = """
      const query = navigator.locks.query.bind(navigator.locks);
      const pause = (wait) => new Promise((settle) => setTimeout(settle, wait));
      navigator.locks.query = () => pause(200).then(query);
      const waits = [];
      let asked = true;
      const end = async () => {
        while (asked && !(engine.listening && engine.life)) await pause(20);
        await pause(400); // The first look, as the lock is known, finds it held.
        const { worker } = engine;
        const began = performance.now();
        for (; asked && worker === engine.worker; await pause(20)) worker.postMessage({ kind: "end" });
        waits.push(performance.now() - began);
      };
      const ended = engine.ask({ calculator: "ends", inputs: {} }).finally(() => (asked = false));
      const [first] = await Promise.all([ended, end().then(end)]);
      const { worker } = engine;
      const busy = await engine.ask({ calculator: "busy", inputs: { x: 1 } });
      return [first, waits, busy, worker === engine.worker];
    """
    ended, waits, busy, same = run(pretending, script)
    assert "short of memory" in ended["stopped"]
    assert len(waits) == 2
    assert max(waits) < 5000  # The limit of an answer is 10 s.
    assert (busy, same) == ({"html": "1"}, True)


def test_an_endless_answer_is_stopped_and_the_next_is_given(pretending: Page) -> None:
    script = """
      const ask = (calculator) => engine.ask({ calculator, inputs: { x: 1 } });
      return Promise.all([ask("endless"), ask("echo")]);
    """
    endless, next_one = run(pretending, script, {"answerLimit": 300})
    assert "too long" in endless["stopped"]
    assert next_one == {"html": "1"}


@pytest.mark.parametrize("pretending", ["wakes"], indirect=True)
def test_a_kept_start_that_has_answered_is_not_blamed_for_a_long_answer_or_a_crash(pretending: Page) -> None:
    """It is there for the next page; one that never answers is let go at once."""
    script = """
      const place = new URL("./assets/doorcard/kept-start", location).href;
      const cache = await caches.open("doorcard-start /");
      await cache.put(place, new Response(null, { headers: ENTRY }));
      const entry = async () => JSON.parse((await cache.match(place)).headers.get("Doorcard-Start"));
      const ask = (calculator) => engine.ask({ calculator, inputs: { x: 1 } });
      const replies = [await ask("echo"), await ask("endless"), await ask("endless"), await ask("crash")];
      const blamed = (await entry()).failures;
      start({ answerLimit: 300 });
      replies.push(await ask("endless"));
      return [replies, blamed, (await entry()).failures];
    """
    (echo, *long, crashed, last), blamed, dropped = run(
        pretending, script.replace("ENTRY", ENTRY), {"answerLimit": 300}
    )
    assert echo == {"html": "1"}
    assert [*long, last] == [{"stopped": long[0]["stopped"]}] * 3
    assert "too long" in long[0]["stopped"]
    assert "stopped twice" in crashed["stopped"]
    assert (blamed, dropped) == (0, 1)


KEPT = """async () => {
  const place = new URL("./assets/doorcard/kept-start", location).href;
  const cache = await caches.open("doorcard-start /");
  await cache.put(place, new Response(null, { headers: ENTRY }));
  start({ wakeLimit: 300 });
  const reply = await engine.ask({ calculator: "echo", inputs: { x: 1 } });
  return [reply, JSON.parse((await cache.match(place)).headers.get("Doorcard-Start")).failures];
}"""


@pytest.mark.parametrize("pretending", ["dies"], indirect=True)
def test_a_kept_start_is_blamed_for_a_worker_that_ends_as_it_wakes(pretending: Page) -> None:
    """Python starts without it."""
    assert pretending.evaluate(KEPT.replace("ENTRY", ENTRY)) == [{"html": "1"}, 1]


@pytest.mark.parametrize(
    ("caches", "timed_out"),
    [
        ('get caches() { throw new DOMException("refused", "SecurityError"); }', "false"),
        ("get caches() { return { match: () => new Promise(() => {}) }; }", "true"),
    ],
    ids=["refuses", "is silent"],
)
def test_a_browser_that_refuses_its_caches_or_says_nothing_of_them_has_no_start_kept(
    pretending: Page, caches: str, timed_out: str
) -> None:
    """Without the time at which it is given up, or once that is over."""
    script = f"""
      Object.defineProperty(self, "caches", Object.getOwnPropertyDescriptor({{ {caches} }}, "caches"));
      const {{ keptStart }} = await import("./assets/doorcard/kept-start.js");
      const waits = [], later = self.setTimeout;
      const never = new Promise((settle) => later(settle, 10_000, "never"));
      self.setTimeout = (settle, wait, ...given) => {{
        waits.push(wait);
        if ({timed_out}) later(settle, 0, ...given);
      }};
      return [await Promise.race([keptStart("a release"), never]), waits];
    """
    assert pretending.evaluate(f"async () => {{ {script} }}") == [None, [3000]]


@pytest.mark.parametrize("pretending", ["silent"], indirect=True)
def test_a_start_that_stalls_is_given_up_in_words(pretending: Page) -> None:
    reply = run(pretending, 'return engine.ask({ calculator: "echo", inputs: {} })', {"stallLimit": 300})
    assert reply is None
    assert "stopped loading" in wait_for_phase(pretending, "unable")["message"]


@pytest.mark.parametrize("pretending", ["trickles"], indirect=True)
def test_a_start_over_a_slow_network_is_waited_for_as_long_as_something_comes(pretending: Page) -> None:
    """It takes longer than a start may stand still."""
    script = 'return engine.ask({ calculator: "echo", inputs: { x: 1 } })'
    assert run(pretending, script, {"stallLimit": 1500}) == {"html": "1"}


@pytest.mark.parametrize("pretending", ["unable"], indirect=True)
def test_a_start_that_fails_keeps_the_details(pretending: Page) -> None:
    assert run(pretending, 'return engine.ask({ calculator: "echo", inputs: {} })') is None
    state = wait_for_phase(pretending, "unable")
    assert "could not start" in state["message"]
    assert state["details"] == "no memory"


@pytest.mark.parametrize("pretending", ["ends at once"], indirect=True)
def test_a_worker_that_the_browser_ends_as_it_starts_is_told_as_that(pretending: Page) -> None:
    assert run(pretending, 'return engine.ask({ calculator: "echo", inputs: {} })') is None
    assert "short of memory" in wait_for_phase(pretending, "unable")["message"]


@pytest.fixture(scope="module")
def real_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    site = tmp_path_factory.mktemp("real")
    write_page(site)
    runtime.build_runtime(site)
    return site


def test_the_real_worker_answers_and_survives_a_programming_error(real_site: Path, browser: Browser) -> None:
    script = """
      const failed = await engine.ask({ calculator: "no-such-calculator", inputs: {} });
      return [failed, await engine.ask({ calculator: "sound-speed", inputs: { temperature: "20" },
        want: ["answer"] })];
    """
    with serve(real_site) as address:
        failed, answered = run(opened_page(browser, address), script)
    assert list(failed) == ["failure"]
    assert "Traceback" in failed["failure"]
    assert "KeyError" in failed["failure"]
    assert answered["errors"] == []
    assert answered["answer"]["release"] == release()
    assert answered["answer"]["inputs"]["temperature"] == 20
    assert answered["answer"]["values"]["speed"] == pytest.approx(343.2, rel=1e-9)


def test_a_calculator_that_cannot_be_fetched_is_told_and_the_next_key_tries_again(
    real_site: Path, browser: Browser
) -> None:
    ask = 'return engine.ask({ calculator: "sound-speed", inputs: { temperature: "20" } })'
    with serve(real_site) as address:
        page = opened_page(browser, address)
        lost = ("**/runtime/parts/*", "**/runtime/rest.*")
        for broken in lost:
            page.route(broken, lambda route: route.fulfill(status=404))
        assert re.match(r"rest\.\w+\.bin is not on the server", run(page, ask)["stopped"])
        for broken in lost:
            page.unroute(broken)
            page.route(broken, lambda route: route.abort())
        reply = page.evaluate(f"async () => {{ {ask} }}")
        assert list(reply) == ["stopped"]
        assert "could not be fetched" in reply["stopped"]
        page.unroute("**/runtime/rest.*")  # As without a network, where the device keeps the rest alone.
        assert page.evaluate(f"async () => {{ {ask} }}")["errors"] == []


def test_a_form_is_answered_while_somebody_types_though_the_first_one_is_never_asked(
    real_site: Path, browser: Browser
) -> None:
    """As when its page was left while the calculators came; each key takes the question before it back.

    However busy the machine is, one key of many is answered before the next.
    """
    script = """
      const wait = (ms) => new Promise((settle) => setTimeout(settle, ms));
      while (engine.state.phase !== "ready") await wait(10);
      let answered = false;
      for (let key = 0; key < 40 && !answered; key += 1) {
        const asked = engine.ask({ calculator: "sound-speed", inputs: { temperature: String(key) } });
        asked.then((reply) => { answered ||= Boolean(reply); });
        await wait(400);
      }
      return answered;
    """
    with serve(real_site) as address:
        assert run(opened_page(browser, address), script, {"first": "delay"})


def test_the_bytes_told_are_the_bytes_of_the_manifest(real_site: Path, browser: Browser) -> None:
    with serve(real_site) as address:
        page = opened_page(browser, address)
        run(page, 'await engine.ask({ calculator: "sound-speed", inputs: {} })')
        last = page.evaluate("window.states.at(-1)")
    manifest = runtime.read_manifest(real_site / runtime.RUNTIME)
    assert last["loaded"] == last["total"] == manifest["start"]["total"]


def test_where_webassembly_is_refused_the_page_is_told(real_site: Path, browser: Browser) -> None:
    with serve(real_site, policy=POLICY.replace(" 'wasm-unsafe-eval'", "")) as address:
        page = opened_page(browser, address)
        page.evaluate("start({})")
        state = wait_for_phase(page, "unable")
    assert "could not start" in state["message"]
    assert "WebAssembly" in state["details"]


def test_a_file_that_does_not_arrive_is_told(real_site: Path, browser: Browser, tmp_path: Path) -> None:
    site = shutil.copytree(real_site, tmp_path / "site")
    (library,) = (site / runtime.RUNTIME).glob("library.*.bin")
    (given,) = (site / runtime.RUNTIME).glob(
        "start.*.bin"
    )  # Where it does not come, the library is asked for.
    library.unlink()
    given.unlink()
    with serve(site) as address:
        page = opened_page(browser, address)
        page.evaluate("start({})")
        state = wait_for_phase(page, "unable")
    assert library.name in state["details"]


def test_a_tab_out_of_sight_lets_its_worker_go_and_wakes_it(pretending: Page) -> None:
    """What is kept comes along; a question asked out of sight wakes it, too."""
    script = """
      const ask = (x) => engine.ask({ calculator: "echo", inputs: { x } });
      const show = (hidden) => {
        Object.defineProperty(document, "hidden", { value: hidden, configurable: true });
        document.dispatchEvent(new Event("visibilitychange"));
      };
      const wait = (ms) => new Promise((settle) => setTimeout(settle, ms));
      const { handle } = engine.keep(new File(["abc"], "a.wav"));
      const before = await ask(handle);
      show(true);
      await wait(20);
      const soon = engine.worker !== null;
      await wait(150);
      const rested = engine.worker === null;
      const hidden = await ask(handle);
      show(true);
      await wait(150);
      show(false);
      return [before, soon, rested, hidden, engine.worker !== null, await ask("seen")];
    """
    before, soon, rested, hidden, awake, seen = run(pretending, script, {"restAfter": 100})
    assert before == hidden == {"html": "3 of a.wav"}
    assert soon
    assert rested
    assert awake
    assert seen == {"html": "seen"}


def test_a_page_that_is_left_lets_its_worker_go_and_asks_again_when_it_is_back(pretending: Page) -> None:
    """A browser may keep it as it stands, for the way back."""
    script = """
      const early = engine.ask({ calculator: "echo", inputs: { x: 1 } });
      const go = (kind) => dispatchEvent(new PageTransitionEvent(kind, { persisted: true }));
      go("pagehide");
      const gone = engine.worker === null;
      go("pageshow");
      return [gone, await early];
    """
    assert run(pretending, script) == [True, {"html": "1"}]


def test_a_later_start_is_not_for_what_the_first_one_was_for(pretending: Page) -> None:
    """That was known from its page, which may be left by now: every other form would wait for its answer."""
    script = """
      const ready = async () => {
        while (engine.state.phase !== "ready") await new Promise((settle) => setTimeout(settle, 10));
        return engine.ask({ calculator: "started-for", inputs: {} });
      };
      const before = await ready();
      engine.rest();
      engine.endRest();
      return [before, await ready()];
    """
    assert run(pretending, script, {"first": "delay"}) == [{"html": "delay"}, {"html": "undefined"}]
