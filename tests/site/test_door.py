"""The door for large and long work, in Chromium with the real worker and a calculator made for tests."""

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from calculators.release import shipped_sources
from calculators.site import runtime
from calculators.site.parts import DOOR, imports_within, module_name, reached_from
from tests.benchmarks.browser import serve
from tests.conftest import Once
from tests.site.test_engine import run, write_page

SLOW = '''
"""A calculator for tests: it counts bytes and takes its time."""

from dataclasses import dataclass
from time import perf_counter
from typing import Annotated

from calculators.declaring import File, InputError, Kept, Made, Number, Output, OutputFile, Steps, Working
from calculators.declaring import calculator
from calculators.declaring.quantities import COUNT, TIME


@dataclass(frozen=True, kw_only=True)
class Counted:
    """What was counted."""

    total: Annotated[float, Output("Sum of all bytes", COUNT, main=True)]
    runs: Annotated[float, Output("Runs so far", COUNT)]
    copy: Annotated[Made | None, OutputFile("A copy of the beginning")]


RUNS = []


@calculator(title="Slow work", example={"recording": None, "time": 0.0}, sources=("arithmetic",))
def slow_work(
    recording: Annotated[Kept, File("Recording")],
    time: Annotated[float, Number("Time", TIME, 0, 100)] = 0.0,
    step: Annotated[float, Number("Step", TIME, 0, 100)] = 0.005,
    heap: Annotated[float, Number("Python's memory grows to more than", COUNT, 0, 1e9)] = 0.0,
    copy: Annotated[float, Number("Bytes to copy", COUNT, 0, 1e9)] = 0.0,
) -> Steps[Counted]:
    """Sum of all bytes, and so many seconds of work."""
    RUNS.append(1)
    total = 0
    for index, block in enumerate(recording.blocks()):
        total += sum(block[:: 1 << 16])
        yield Working("Reading", index * (1 << 20) / recording.size)
    started = perf_counter()
    while perf_counter() - started < time:
        until = perf_counter() + step
        while perf_counter() < until:
            pass
        yield Working("Working", (perf_counter() - started) / time)
    bytearray(int(heap))
    if total < 0:
        raise InputError("recording", "Never.")
    made = Made.whole("copy.bin", "audio/wav", recording.read(0, int(copy))) if copy else None
    return Counted(total=float(total), runs=float(len(RUNS)), copy=made)
'''

QUICK = "calculators.stages.learn.sound_speed"
SCRIPT = """
  const file = (size, name = "a.wav") => new File([new Uint8Array(size).fill(1)], name);
  const pause = (ms) => new Promise((settle) => setTimeout(settle, ms));
  const speed = (form = "quick") =>
    engine.ask({ form, calculator: "sound-speed", inputs: { temperature: "20" }, want: ["answer"] });
  const slow = (handle, time, { step = "0.005", onWorking, ...more } = {}) =>
    engine.ask({ form: "slow", calculator: "slow-work", want: ["html", "answer"], onWorking,
      inputs: { recording: handle, time: String(time), step, ...more } });
  await speed();
  const said = [];  // By the worker, in order.
  const { worker } = engine, hear = worker.onmessage;
  worker.onmessage = (event) => { said.push(event.data); hear(event); };
  const of = (asked) => said.filter(({ id }) => id === asked).map(({ kind }) => kind);
  const begun = async (asked) => { while (!of(asked).includes("working")) await pause(5); };
  // Of `count` tries that were answered while the work went on: how many slices of it were told meanwhile.
  const beside = async (long, asked, count) => {
    let done = false;
    long.then(() => (done = true));
    await begun(asked);
    const slices = [], answers = [];
    for (let number = 0; number < count; number += 1) {
      const before = of(asked).length;
      answers.push((await speed(`quick-${number % 2}`)).answer.values.speed);
      if (!done) slices.push(of(asked).length - before);
    }
    return [slices, answers];
  };
"""
SOON = 5
"""Slices of long work in which the best of several tries is heard: one at hand, and one in its turn. On a
machine that does other things at the same time a few more are told before the page is awake; without slices
nothing is heard until the work has come to its end."""


@pytest.fixture(scope="session")
def slow_site(once: Once) -> Path:
    """A site whose calculators have one more, which takes its time."""
    return once("slow", build_slow_site)


def build_slow_site(site: Path) -> None:
    """Our package has but what these tests ask: to compile the rest takes longer than they do."""
    package = site / "package" / "calculators"
    needs = imports_within(runtime.PACKAGE)
    asked = reached_from([DOOR, QUICK], needs)
    for source in shipped_sources(runtime.PACKAGE):
        place = source.relative_to(runtime.PACKAGE.parent)
        if module_name(place.as_posix()) in asked:
            (package.parent / place).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(source, package.parent / place)
    (package / "stages" / "learn" / "slow_work.py").write_text(SLOW, encoding="utf-8")
    contents = package / "stages" / "__init__.py"
    text = contents.read_text(encoding="utf-8")
    contents.write_text(text.replace('"sound-speed",', '"sound-speed", "slow-work",'), encoding="utf-8")
    write_page(site)
    runtime.build_runtime(site, package=package)


@pytest.fixture(scope="module")
def device(slow_site: Path, browser: Browser) -> Iterator[tuple[BrowserContext, str]]:
    """A browser that fetches the runtime once for all, and the address."""
    context = browser.new_context()
    with serve(slow_site) as address:
        yield context, address
    context.close()


@pytest.fixture
def page(device: tuple[BrowserContext, str]) -> Iterator[Page]:
    context, address = device
    page = context.new_page()
    page.goto(address)
    yield page
    page.close()


def door(page: Page, script: str, limits: dict[str, int] | None = None) -> Any:
    return run(page, SCRIPT + script, limits)


def test_other_forms_are_answered_while_long_work_goes_on_and_it_says_how_far_it_is(page: Page) -> None:
    heard, slices, answers, total = door(
        page,
        """
        const { handle } = await engine.keep(file(3_000_000));
        const heard = [];
        const long = slow(handle, 2, { onWorking: ({ step, share }) => heard.push([step, share]) });
        const [slices, answers] = await beside(long, engine.lastId, 10);
        return [heard, slices, answers, (await long).answer.values.total];
        """,
    )
    assert len(answers) == 10
    assert all(answer == pytest.approx(343.2, abs=0.1) for answer in answers)
    assert min(slices) <= SOON
    assert {step for step, _ in heard} >= {"Working"}
    shares = [share for step, share in heard if step == "Working"]
    assert shares == sorted(shares)
    assert len(shares) > 5
    assert total == 2 * 16 + 14  # One byte in 65,536 of two whole blocks and of the rest.


def test_a_stop_is_heard_at_once_and_the_worker_goes_on(page: Page) -> None:
    replies, told, after, same_worker = door(
        page,
        """
        const { handle } = await engine.keep(file(1000));
        const replies = [], told = [];
        let after;
        for (let count = 0; count < 3; count += 1) {
          const long = slow(handle, 20), asked = engine.lastId;
          await begun(asked);
          const before = of(asked).length;
          engine.stop("slow");
          replies.push(await long);
          after = (await speed()).answer.values.speed;
          told.push(of(asked).slice(before));
        }
        return [replies, told, after, worker === engine.worker];
        """,
        {"stopLimit": 15_000},  # A busy machine is not taken for a worker that does not listen.
    )
    assert replies == [{"stopped": "Stopped."}] * 3
    assert all(kinds[-1] == "stopped" and set(kinds[:-1]) <= {"working"} for kinds in told)
    assert min(map(len, told)) <= SOON
    assert after == pytest.approx(343.2, abs=0.1)
    assert same_worker


def test_a_stop_that_is_not_heard_brings_a_fresh_worker_with_all_that_was_kept(page: Page) -> None:
    fresh, total, runs = door(
        page,
        """
        const { handle } = await engine.keep(file(1000));
        await slow(handle, 0); // Its part is here now.
        const before = engine.worker;
        const long = slow(handle, 20, { step: "20" });
        await begun(engine.lastId);
        engine.stop("slow");
        await long;
        const reply = await slow(handle, 0);
        return [before !== engine.worker, reply.answer.values.total, reply.answer.values.runs];
        """,
    )
    assert fresh
    assert total == 1
    assert runs == 1


def test_a_newer_question_ends_the_work_of_the_older(page: Page) -> None:
    older, newer, told = door(
        page,
        """
        const { handle } = await engine.keep(file(1000));
        const older = [], told = [];
        let newer;
        for (let count = 0; count < 3; count += 1) {
          const long = slow(handle, 20 + count), asked = engine.lastId;
          await begun(asked);
          const before = of(asked).length;
          newer = (await slow(handle, 0)).answer.values.total;
          older.push(await long);
          told.push(of(asked).slice(before));
        }
        return [older, newer, told];
        """,
    )
    assert older == [None] * 3
    assert newer == 1
    assert all(kinds[-1] == "stopped" and set(kinds[:-1]) <= {"working"} for kinds in told)
    assert min(map(len, told)) <= SOON


def test_the_time_limit_counts_from_the_last_sign_of_life(page: Page) -> None:
    alive, silent = door(
        page,
        """
        const { handle } = await engine.keep(file(1000));
        const alive = await slow(handle, 4);
        const silent = await slow(handle, 20, { step: "20" });
        return [alive.answer.values.total, silent];
        """,
        {"answerLimit": 3000},
    )
    assert alive == 1
    assert "too long" in silent["stopped"]


def test_a_long_question_asked_again_does_not_start_over_until_the_bytes_are_forgotten(page: Page) -> None:
    first, again, gone = door(
        page,
        """
        const { handle } = await engine.keep(file(1000));
        const first = await slow(handle, 0.5);
        const again = await slow(handle, 0.5);
        engine.forget(handle);
        return [first.answer.values.runs, again.answer.values.runs, await slow(handle, 0.5)];
        """,
    )
    assert (first, again) == (1, 1)
    assert [error["message"] for error in gone["errors"]] == ["Choose a file for recording."]


def test_100_megabytes_are_read_through_while_another_form_is_answered(page: Page) -> None:
    """They stay out of Python's memory, and go when they are forgotten."""
    total, slices, heap, kept_after = door(
        page,
        """
        const { handle } = await engine.keep(file(100_000_000));
        const long = slow(handle, 1);
        const [slices] = await beside(long, engine.lastId, 5);
        const reply = await long;
        engine.forget(handle);
        await speed();
        const heap = Math.max(...said.map((message) => message.heap ?? 0));
        return [reply.answer.values.total, slices, heap, engine.kept.size];
        """,
    )
    assert total == 95 * 16 + 6  # One byte in 65,536 of 95 whole blocks and of the rest.
    assert min(slices) <= SOON
    assert 0 < heap < 200_000_000
    assert kept_after == 0


def test_more_than_the_device_may_keep_is_refused_before_it_is_read(page: Page) -> None:
    refused, together = run(
        page,
        """
        const arrayBuffer = () => { throw new Error("was read"); };
        const never = (size) => ({ size, name: "a.wav", arrayBuffer });
        const refused = await engine.keep(never(100_000_001));
        engine.kept.set("other", never(60_000_000));
        return [refused, await engine.keep(never(50_000_000))];
        """,
    )
    assert refused == {"refused": "This file has more than 100 MB."}
    assert together == {"refused": "Together with what is open this is more than 100 MB."}


def test_a_device_of_4_gb_keeps_less(slow_site: Path, browser: Browser) -> None:
    with serve(slow_site) as address:
        page = browser.new_context().new_page()
        page.add_init_script("Object.defineProperty(Navigator.prototype, 'deviceMemory', { get: () => 4 })")
        page.goto(address)
        refused = run(page, 'return engine.keep({ size: 32_000_001, name: "a.wav" });')
    assert refused == {"refused": "This file has more than 32 MB."}


def test_a_worker_that_has_grown_is_replaced_and_what_was_kept_comes_along(page: Page) -> None:
    """A file that was made arrives as bytes, and is made again by the new worker."""
    fresh, runs, first, second, answer = door(
        page,
        """
        const { handle } = await engine.keep(file(3000));
        const before = engine.worker;
        const grown = await slow(handle, 0, { heap: "310000000", copy: "5" });
        const fresh = before !== engine.worker;
        const again = await slow(handle, 0, { copy: "3000" });
        const bytes = (reply) => [...new Uint8Array(reply.files[0].buffer)];
        return [fresh, again.answer.values.runs, bytes(grown), bytes(again).length, again.answer.values.copy];
        """,
    )
    assert fresh
    assert runs == 1
    assert first == [1] * 5
    assert second == 3000
    assert answer == {"name": "copy.bin", "media_type": "audio/wav", "size": 3000}


def test_bytes_that_are_forgotten_are_gone(page: Page) -> None:
    """From the worker, even while they are read: the question about them ends."""
    door(page, "window.worker = engine.worker; window.file = (parts) => new File(parts, 'a.wav');")
    (worker,) = page.workers
    worker.evaluate("""() => {
      const { set } = Map.prototype;
      self.keeping = new Promise((settle) => {
        Map.prototype.set = function (key, value) {
          if (value?.byteLength > 1_000_000) settle(void (self.seen = new WeakRef(value)));
          return set.call(this, key, value);
        };
      });
    }""")
    page.evaluate("""() => {
      const { handle } = engine.keep(file([new Uint8Array(30_000_000)]));
      window.handle = handle;
      window.long = engine.ask({ calculator: "slow-work", inputs: { recording: handle, time: "60" } });
    }""")
    worker.evaluate("() => self.keeping")
    ended = page.evaluate("""async () => {
      engine.forget(window.handle);
      return window.long;
    }""")
    assert ended is None
    gone = worker.evaluate("""async () => {
      for (let count = 0; count < 100 && self.seen.deref(); count += 1) {
        await new Promise((settle) => setTimeout(settle, 20));
        gc();
      }
      return self.seen.deref() === undefined;
    }""")
    assert gone is True
