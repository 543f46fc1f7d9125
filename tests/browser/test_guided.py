"""The guided tune: from the first tap to a sheet that was measured again.

What is recorded is a simulated cabin of our own, a new file for each run. The short way has most runs from
another tab, chooses two files and is answered beside; the long one (`SOAK`) records all 27 with a made-up
microphone, without a network: 143 s from the first tap to the sheet, on two cores shared with another job.
"""

import json
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from playwright.sync_api import Browser, BrowserType, Locator, Page, expect
from scipy.signal import fftconvolve

from calculators.declaring import Curve
from calculators.physics import air, simulated_cabin
from calculators.physics.arrays import ComplexArray, FloatArray
from calculators.physics.speaker_system import Setting, chain, grid
from calculators.physics.sweeps import Signal, Sweep, signal_samples
from calculators.vocabulary import guided_way
from calculators.vocabulary.tune_measurements import point_file
from tests.browser.test_accessibility import PHONE
from tests.browser.test_calculators import PATIENCE, STATE, calculator
from tests.browser.test_offline import OFFLINE_WORDS, keep
from tests.browser.test_recorder import RATE, whole
from tests.conftest import SOAK, watched
from tests.native_worker import answered_beside

GUIDED = "stages/tuning/guided/"
MOST = 4 if SOAK else 2
"""Speakers of the vehicle that is gone through whole; other tests have two."""
POINTS = guided_way.POINT_SETS["5"]
DRAWN = simulated_cabin.drawn(0, 0)
CABIN = replace(DRAWN, speakers=tuple(replace(each, reversed=False) for each in DRAWN.speakers))
"""All wired right: a speaker that is not is a danger, and no way goes on past it."""
SHORT = {"sweep_length": "0.5", "pause": "0.3", "lead": "0.5", "markers": "no"}
QUIET = 1.6
"""Seconds of noise before the file's own silence: the microphone hears the file from when it is turned on."""
VOLUME = 0.1
"""Of every run: what each speaker does is on one scale."""
KEPT = """async (address) => {
  const { records } = await (await import(address)).recall();
  return records.find(({ id }) => id.endsWith("#guided"));
}"""
OTHER_TAB = """async ([address, id, record]) => {
  const state = await import(address);
  await (record ? state.keep({ ...record, at: Date.now() }) : state.forget(id));
  new BroadcastChannel(`doorcard ${new URL("../../", address).pathname}`).postMessage("written");
}"""
RECORD = """async (recorder) => {
  const asked = performance.now();
  await recorder.open();
  await recorder.run();
  return performance.now() - asked;
}"""
"""Both presses at once: milliseconds from the first to when it records."""
STOPPED = "form => form.show({ stopped: 'Stopped.' }, JSON.stringify(form.inputs()))"
"""What a form shows once the reader has stopped its work."""
TRIES = 10
"""Runs that a busy machine may begin too late."""
NOTHING_KEPT = """() => {
  IDBDatabase.prototype.transaction = () => { throw new DOMException("", "QuotaExceededError"); };
}"""


def part_of(name: str) -> dict[str, Any]:
    crossed = CABIN.speakers[[one.name for one in CABIN.speakers].index(name)].crossed()
    return {"high_pass": crossed.high_pass, "low_pass": crossed.low_pass}


def names_of(speakers: int) -> dict[str, Any]:
    """What the way asks for with so many speakers: channels, runs, and what plays with the finished sheet.

    The last are what plays, the point's place, and the numbers of the speakers.
    """
    names = [speaker.name for speaker in CABIN.speakers[:speakers]]
    every = tuple(range(speakers))
    sides = [("Left side alone", 0, (0, 1)), ("Right side alone", 0, (2, 3))] if speakers == 4 else []
    return {
        "SPEAKERS": speakers,
        "NAMES": names,
        "CHANNELS": [
            {"name": name, "part": name.split()[1], "side": name.split()[0].lower(), **part_of(name)}
            for name in names
        ],
        "RUNS": [(number, at) for at in range(len(POINTS)) for number in every],
        "AGAIN": sides + [("everything together", at, every) for at in range(len(POINTS))],
    }


SPEAKERS, NAMES, CHANNELS, RUNS, AGAIN = names_of(2).values()


def impulses() -> dict[tuple[int, int], FloatArray]:
    """Each speaker at each point through its crossover, by numbers."""
    frequency = np.fft.rfftfreq(8192, 1 / RATE)
    found = {}
    for number in range(MOST):
        speaker = CABIN.speakers[number]
        through = chain(speaker.crossed(), np.maximum(frequency, 1.0))
        for at, point in enumerate(POINTS):
            place = CABIN.heads[0] + CABIN.points[point - 1]
            raw = simulated_cabin.impulse(CABIN, speaker, place, RATE, 8192)
            found[number, at] = np.fft.irfft(np.fft.rfft(raw) * through, 8192)
    return found


def sound_of(plays: list[FloatArray]) -> FloatArray:
    """The file played, each of its plays heard through an impulse response, with a little noise."""
    signal = Signal(Sweep(20.0, 20_000.0, 0.5), 0.5, 0.3, len(plays), markers=False)
    count = int(signal.length * RATE) + RATE // 4
    heard = sum(
        fftconvolve(signal_samples(signal, play, RATE, 0, count), impulse)[:count]
        for play, impulse in enumerate(plays)
    )
    sound = np.concatenate([np.zeros(int(QUIET * RATE)), VOLUME * heard])
    assert np.max(np.abs(sound)) < 0.9
    return np.asarray(sound + np.random.default_rng(3).normal(0, 1e-4, sound.size))


def set_by(sheet: dict[str, Any], number: int, frequency: FloatArray) -> ComplexArray:
    """What a channel's line on a sheet does in the processor, but for its crossover: that was in already."""
    line = sheet["channels"][number]
    peaks = np.array([(f["frequency"], f["gain"], f["q"]) for f in line["filters"]]).reshape(-1, 3)
    sign = -1.0 if line["polarity"] == "reversed" else 1.0
    setting = Setting(gain=line["gain"], delay=line["delay"], sign=sign, filters=peaks)
    return chain(setting, frequency, sheet["sample_rate"])


class Ear:
    """The file that the made-up microphone hears next."""

    def __init__(self, path: Path) -> None:
        self.path, self.impulses = path, impulses()

    def level(self) -> float:
        """Seconds of a run of the reference alone, as loud as the level check wants it: −11 dB at most."""
        return self.hear([0.5 * self.impulses[0, 0]] * 2)

    def hear(self, plays: list[FloatArray]) -> float:
        samples = sound_of(plays)
        soundfile.write(self.path, np.stack([samples, samples], axis=1), RATE, "PCM_16")
        return samples.size / RATE

    def run(self, number: int, at: int) -> float:
        """Seconds of a run: the reference, then a speaker."""
        return self.hear([self.impulses[0, at], self.impulses[number, at]])

    def together(self, at: int, sheet: dict[str, Any], numbers: Sequence[int]) -> float:
        """Seconds of a run with several speakers, as the sheet sets them."""
        frequency = np.maximum(np.fft.rfftfreq(8192, 1 / RATE), 1.0)
        heard = [
            np.fft.rfft(self.impulses[number, at]) * set_by(sheet, number, frequency) for number in numbers
        ]
        total = np.sum(heard, axis=0)
        return self.hear([np.fft.irfft(total, 8192)])


@pytest.fixture(scope="module")
def ear(tmp_path_factory: Any) -> Ear:
    return Ear(tmp_path_factory.mktemp("heard") / "run.wav")


@pytest.fixture(scope="module")
def hearing(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], ear: Ear
) -> Iterator[Browser]:
    """A browser whose microphone hears what the file holds when it is turned on."""
    ear.run(0, 0)
    more = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={ear.path}",
    ]
    launched = browser_type.launch(
        **browser_type_launch_args | {"args": [*browser_type_launch_args["args"], *more]}
    )
    yield launched
    launched.close()


def at_point(number: int, at: int) -> ComplexArray:
    """What a speaker does at a point through its crossover, loud as a recording has it."""
    speaker = CABIN.speakers[number]
    where = CABIN.heads[:1] + CABIN.points[[POINTS[at] - 1]]
    heard = simulated_cabin.response_at(CABIN, speaker, where, grid())[0]
    return np.asarray(VOLUME * heard * chain(speaker.crossed(), grid()))


def measured(runs: list[tuple[int, int]]) -> dict[str, str]:
    """What the device would hold after these runs, as numbers of speakers and points."""
    fields = {}
    for place, (number, at) in enumerate(runs):
        heard = at_point(number, at) * np.exp(2j * np.pi * away(number) * grid())
        level = 20 * np.log10(np.abs(heard))
        curve = Curve(
            tuple(map(float, grid())),
            tuple(map(float, np.maximum(level, np.max(level) - 150))),
            tuple(map(float, np.degrees(np.angle(heard)))),
        )
        text = point_file(NAMES[number], 1, POINTS[at], away(number) - away(0), 1.0, curve).contents.decode()
        fields[f"measured[{place}]"] = f"{NAMES[number]}; seat 1; point {POINTS[at]}\n{text}"
    return fields


def measured_again(points: range, sheet: dict[str, Any]) -> dict[str, str]:
    """What the device would hold of these points with everything as the sheet sets it."""
    fields = {}
    for at in points:
        heard = [at_point(number, at) * set_by(sheet, number, grid()) for number in range(SPEAKERS)]
        total = np.sum(heard, axis=0)
        rows = zip(grid(), 20 * np.log10(np.abs(total)), strict=True)
        text = "\n".join(f"{frequency:.3f} {level:.3f}" for frequency, level in rows)
        fields[f"again[{at}]"] = f"Point {POINTS[at]}\n{text}"
    return fields


def away(number: int) -> float:
    """Seconds from a speaker to the head."""
    place = CABIN.speakers[number].place
    return float(np.linalg.norm(place - CABIN.heads[0])) / air.SPEED_OF_SOUND


def record(page: Page, ear: Ear, length: float) -> None:
    """One run: by the recorder of the page's form, from the file's silence on, or with another recorder."""
    if not SOAK:
        return calculator(page, "response").locator("[name=recording]").set_input_files(ear.path)
    recorder = calculator(page, "response").locator("doorcard-recorder")

    def run() -> None:
        for _ in range(TRIES):
            if recorder.evaluate(RECORD) <= 1000 * QUIET:
                break
            recorder.locator("[data-stop]").click()
        else:
            pytest.fail(f"Each of {TRIES} runs began after its file.")
        page.wait_for_function(
            f"recorder => recorder.microphone?.length > {length - 0.4}", arg=recorder.element_handle()
        )
        recorder.locator("[data-done]").click()

    ready = page.locator(".dc-guide-go:visible")
    for _ in range(TRIES):
        whole(recorder, run)
        try:
            return expect(ready).to_be_enabled(timeout=10_000)
        except AssertionError:  # A busy machine tore a sweep: the page says so, and it is recorded again.
            print(recorder.page.locator(".dc-guide-now").inner_text(), "once more")
    pytest.fail(f"None of {TRIES} recordings was good.")


@contextmanager
def guided_page(browser: Browser, server: str) -> Iterator[Page]:
    """The page of the guided tune on a phone, its calculators answered beside it."""
    device = browser.new_context(viewport=PHONE, service_workers="block")
    with watched(device) as context:
        context.set_default_timeout(PATIENCE)
        answered_beside(context)
        page = context.new_page()
        page.goto(server + GUIDED)
        yield page


def go_on(page: Page, words: str) -> None:
    button = page.locator(".dc-guide-go:visible")
    expect(button).to_have_text(words)
    expect(button).to_be_enabled()
    button.click()


def now(page: Page) -> Locator:
    return page.locator(".dc-guide-now")


def kept(page: Page) -> dict[str, Any]:
    return dict(page.evaluate(KEPT, page.evaluate(STATE)))


def expect_kept(page: Page, holds: Callable[[dict[str, str]], bool]) -> None:
    """Wait until what the device holds of the way is so."""
    for _ in range(int(PATIENCE / 100)):
        if holds(kept(page)["fields"]):
            return
        page.wait_for_timeout(100)
    pytest.fail(f"It is not kept: {kept(page)['fields']}")


def another_tab(page: Page, record: dict[str, Any] | None, says: str) -> None:
    """The record of this way is written as another tab does, or cleared: this one says so."""
    page.evaluate(OTHER_TAB, [page.evaluate(STATE), kept(page)["id"], record])
    expect(page.locator(".dc-guide").first).to_contain_text(says)


def go_on_in_another_tab(page: Page, fields: dict[str, str]) -> None:
    """The same way got farther on this device: this tab takes it up."""
    record = kept(page)
    farther = record | {"fields": record["fields"] | fields}
    another_tab(page, farther, "Another tab of this device has changed this tune: there ")
    expect(page.locator(".dc-guide-go:visible")).to_be_disabled()
    page.get_by_role("button", name="Use what the other tab has").click()


def typed(channels: list[dict[str, Any]]) -> dict[str, str]:
    return {
        f"channels[{at}].{name}": "" if value is None else f"{value:g}" if isinstance(value, float) else value
        for at, channel in enumerate(channels)
        for name, value in channel.items()
    }


def read_back(sheet: dict[str, Any]) -> dict[str, str]:
    """What is typed off the processor's screen."""
    fields = {"trim_in_front": f"{sheet['trim_in_front']:g}"}
    peaks = []
    for at, line in enumerate(sheet["channels"]):
        fields[f"channels[{at}].delay"] = f"{1000 * line['delay']:.3f}"
        fields[f"channels[{at}].gain"] = f"{line['gain']:.2f}"
        fields[f"channels[{at}].polarity"] = line["polarity"]
        fields[f"channels[{at}].slope"] = "24"
        for name in ("high_pass", "low_pass"):
            fields[f"channels[{at}].{name}"] = "" if line[name] is None else f"{line[name]:g}"
        peaks += line["filters"]
    for at, peak in enumerate(peaks):
        fields |= {f"filters[{at}].{name}": f"{peak[name]:g}" for name in ("frequency", "gain", "q")}
    return fields


def fill(page: Page, name: str, fields: dict[str, str]) -> None:
    """Types into a form of the page."""
    calculator(page, name).evaluate("(form, fields) => { form.fill(fields); form.hasTyped(); }", fields)


@pytest.fixture
def whole_vehicle(monkeypatch: pytest.MonkeyPatch) -> None:
    """All its speakers."""
    for name, value in names_of(MOST).items():
        monkeypatch.setattr(sys.modules[__name__], name, value)


@pytest.mark.usefixtures("whole_vehicle")
def test_from_the_first_tap_to_a_sheet_measured_again(
    request: pytest.FixtureRequest, ear: Ear, server: str
) -> None:
    every = len(RUNS) + len(AGAIN)
    browser: Browser = request.getfixturevalue("hearing" if SOAK else "browser")
    device = browser.new_context(viewport=PHONE, service_workers="allow" if SOAK else "block")
    with watched(device, OFFLINE_WORDS if SOAK else ()) as context:
        context.set_default_timeout(PATIENCE)
        answered_beside(context)
        page = context.new_page()
        if SOAK:  # All of it without a signal, from the handbook that the device keeps.
            keep(page, server)
            context.set_offline(True)
        page.goto(server + GUIDED)
        began = time.monotonic()
        page.get_by_role("button", name="Begin, one step a screen").click()
        assert calculator(page, "tune").is_hidden()
        fill(page, "guided-tune", typed(CHANNELS))
        fill(page, "response", SHORT)
        # All four are the example's.
        go_on(
            page,
            f"{'This vehicle has the example’s channels' if SOAK else 'These are this vehicle’s'}, go on",
        )
        expect(now(page)).to_have_text("check the level, before anything is measured")
        expect(page.locator(".dc-guide li").first).to_contain_text("Crossovers loaded and read back")
        expect(page.locator(".dc-guide-go:visible")).to_be_disabled()  # An example's level is nobody's.
        record(page, ear, ear.level())
        go_on(page, "The level is right, go on")
        expect_kept(page, lambda held: held["finished"] == "no")
        expect(now(page)).to_have_text(f"run 1 of {every}: {NAMES[0]} at point 1")
        if not SOAK:
            go_on_in_another_tab(page, measured(RUNS[:-1]))
        for number, at in RUNS if SOAK else RUNS[-1:]:
            expect(now(page)).to_have_text(
                f"run {at * SPEAKERS + number + 1} of {every}: {NAMES[number]} at point {POINTS[at]}"
            )
            expect(page.locator(".dc-guide-go:visible")).to_be_disabled()  # An example's curve is nobody's.
            record(page, ear, ear.run(number, at))
            go_on(page, "Keep this run, go on")
        expect(now(page)).to_have_text("everything is measured: the tune")
        expect(page.locator(".dc-guide-go:visible")).to_be_enabled()
        # Asked anew and stopped: the sheet that stood there before is not taken for what is seen.
        calculator(page, "tune").evaluate(STOPPED)
        expect(page.locator(".dc-guide-go:visible")).to_be_disabled()
        calculator(page, "tune").get_by_role("button", name="Try again").click()
        go_on(page, "Take this sheet, go on")
        expect(now(page)).to_have_text("type the sheet in, and read it back")
        sheet = json.loads(kept(page)["fields"]["sheet"])
        assert [line["name"] for line in sheet["channels"]] == NAMES
        expect(page.locator(".dc-guide table")).to_contain_text("Trim in front")  # It is typed in from here.
        expect(page.locator(".dc-guide-go:visible")).to_be_disabled()
        shown = read_back(sheet)
        # Polarity stands there as it was found, until it is looked at.
        unread = {name: "unread" for name in shown if name.endswith("polarity")}
        fill(page, "read-back", shown | unread)
        lines = calculator(page, "read-back").locator("[data-result] tr", has_text="look at the processor's")
        expect(lines.first).to_contain_text("polarity")
        assert "not read" in lines.first.inner_text()
        expect(page.locator(".dc-guide-go:visible")).to_be_disabled()
        fill(page, "read-back", shown)
        expect(page.locator(".dc-guide-go:visible")).to_be_enabled()
        expect_kept(page, lambda held: shown.items() <= json.loads(held["read-back"]).items())
        page.reload()  # A call came in: nothing is typed twice.
        go_on(page, "Every line agrees, go on")
        expect(now(page)).to_have_text(f"run {len(RUNS) + 1} of {every}: {AGAIN[0][0]} at point 1")
        if not SOAK:
            go_on_in_another_tab(page, measured_again(range(len(POINTS) - 1), sheet))
        for plays, at, numbers in AGAIN if SOAK else AGAIN[-1:]:
            expect(now(page)).to_contain_text(f"{plays} at point {POINTS[at]}")
            record(page, ear, ear.together(at, sheet, numbers))
            go_on(page, "Keep this run, go on")
        expect(now(page)).to_contain_text("finished: print the sheet")
        print(f"\n{every} runs, {time.monotonic() - began:.0f} s from the first tap to the finished sheet")
        expect(calculator(page, "guided-tune").get_by_label("RMS off the target")).to_be_visible()
        with page.expect_download() as download:
            page.locator(".dc-guide").get_by_role("link", name="Keep the sheet’s file").click()
        assert json.loads(Path(download.value.path()).read_bytes()) == sheet
        expect_kept(page, lambda held: held["finished"] == "yes")

        # Another tab clears it: that takes nothing from this one.
        another_tab(page, None, "This tune was cleared in another tab.")
        expect(page.locator(".dc-guide-large")).to_have_text("Keep what stands here")
        page.locator(".dc-guide-large").click()
        expect(page.locator(".dc-guide-large")).to_have_count(0)
        expect(now(page)).to_contain_text("finished")

        # The device is full: that is said, and what is thrown away can still be had back.
        page.evaluate(NOTHING_KEPT)
        page.locator("summary", has_text="Other ways, and the runs so far").click()
        first = page.locator(".dc-guide li", has_text=f"{NAMES[0]} at point 1").get_by_role("button")
        first.click()
        expect(now(page)).to_have_text(f"run 1 of {every}: {NAMES[0]} at point 1")
        expect(page.locator(".dc-guide").first).to_contain_text("This browser keeps nothing")
        thrown = f"Thrown away: {NAMES[0]} at point 1, the sheet, what was read back and measured again."
        expect(page.locator(".dc-guide").first).to_contain_text(thrown)
        page.get_by_role("button", name="Undo").click()
        expect(now(page)).to_contain_text("finished")

        # Another sheet is chosen by hand: what was measured again was not its.
        page.get_by_role("button", name="Show the whole page").click()
        plan = calculator(page, "guided-tune")
        other = json.dumps(sheet | {"channels": [line | {"gain": -9.0} for line in sheet["channels"]]})
        plan.locator("[name=sheet]").set_input_files(
            {"name": "other.json", "mimeType": "application/json", "buffer": other.encode()}
        )
        expect(plan.locator("[data-rows=again] .dc-row")).to_have_count(0)
        expect(plan.locator(".dc-main dd")).to_have_text("type the sheet in, and read it back")


LINK = """async ([address, fields]) => {
  const { linkTo } = await import(new URL("links.js", address).href);
  const plan = document.querySelector("doorcard-calculator[data-calculator=guided-tune]");
  return linkTo({ calculator: "guided-tune", scripts: plan.dataset.scripts, fields });
}"""
KEEP = """async ([address, ago, fields]) => {
  const { keep } = await import(address);
  const id = `${location.pathname}#guided`;
  await keep({ id, calculator: "guided", title: "", at: Date.now() - ago, fields, values: [] });
}"""
HALF_A_DAY = 43_200_000
