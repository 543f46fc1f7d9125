"""The microphone in the page: Chromium's made-up one hears a file, and what is caught is laid over it."""

import io
import re
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import soundfile
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserType, Locator, expect

from calculators.declaring import run_values
from calculators.physics.arrays import FloatArray
from calculators.stages import find_calculator
from tests.browser.test_accessibility import PHONE, SCHEMES
from tests.browser.test_calculators import PATIENCE, calculator, field
from tests.browser.test_form_files import KEEPER, pretend
from tests.conftest import watched
from tests.native_worker import answered_beside

MEASURING = "stages/tuning/measuring/"
RATE = 44_100  # Chromium's made-up microphone has it, so nothing on the way changes the rate.
SETTINGS = {"low": 200.0, "high": 16_000.0, "sweep_length": 0.5, "pause": 0.3, "lead": 0.5, "markers": False}
TYPED = {
    "low": "200", "high": "16", "high:unit": "kHz", "sweep_length": "0.5", "pause": "0.3", "lead": "0.5",
    "markers": "no",
}  # fmt: skip
# What the browser answers next when it is asked for the microphone: a fault by name, or one that alters.
FAULTY = """
const devices = navigator.mediaDevices ?? {}; // An empty frame has none.
const real = devices.getUserMedia?.bind(devices);
window.answers = [];
devices.getUserMedia = async (asked) => {
  window.asked = asked;
  const answer = window.answers.shift();
  if (answer.endsWith("Error")) throw new DOMException("", answer);
  const stream = await real(asked);
  const [track] = stream.getAudioTracks();
  const settings = track.getSettings();
  if (answer === "alters") track.getSettings = () => ({ ...settings, autoGainControl: true });
  if (answer === "silent") track.getSettings = () => ({ sampleRate: settings.sampleRate });
  window.track = track;
  return stream;
};
"""

# A busy machine loses sound of its own; where that is not the point, the run ends as if it had not.
NONE_LOST = (
    "(recorder) => { recorder.microphone.lostBefore = recorder.microphone.lostSoFar; recorder.finish(); }"
)
RUNNING = """(recorder) => {
  recorder.microphone = { length: 1, record() {}, close() {} };
  recorder.show();
  return recorder.run();
}"""
"""A run goes on."""
UNPLAYED = """async (recorder) => {
  recorder.player.value = "this";
  recorder.signal = async () => new ArrayBuffer(1);
  const play = () => Promise.reject(new DOMException("", "EncodingError"));
  recorder.microphone = { length: 1, play, close() { recorder.closed = true; } };
  recorder.show();
  await recorder.run();
}"""
"""The browser cannot unpack the sweep that it is to play."""
PHONES = "form => form.dataset.live === 'answer' && JSON.parse(form.answered).microphone === 'phone'"
"""The answer stands, and is for a phone's microphone."""
BYTES = "async (field) => Array.from(new Uint8Array(await field.files[0].arrayBuffer()))"


def sound() -> FloatArray:
    """The sweep's file with a little noise under it, in 16 bits."""
    made = run_values(
        find_calculator("sweep"), SETTINGS | {"sample_rate": float(RATE), "level": -15.0}
    ).result.file
    samples, _ = soundfile.read(io.BytesIO(made.contents))
    noise = np.random.default_rng(1).normal(0, 1e-4, samples.size)
    return np.asarray(np.round((samples + noise) * 2**15) / 2**15)


def long_and_soft() -> bytes:
    """40 s in 24 bits, more than 10 MB: 1 kHz for a second, soft on the first channel, right on the other."""
    tone = np.zeros(40 * 48_000)
    tone[48_000:96_000] = np.sin(2 * np.pi * np.arange(48_000) / 48)
    written = io.BytesIO()
    soundfile.write(written, np.stack([tone / 200, tone / 2], axis=1), 48_000, "PCM_24", format="WAV")
    return written.getvalue()


def two_tones() -> bytes:
    """A tenth of a second: 1 kHz at half on the left, 2 kHz at a quarter on the right, compressed."""
    turns = 2 * np.pi * np.arange(4800) / 48
    sounds = np.stack([np.sin(turns) / 2, np.sin(2 * turns) / 4], axis=1)
    written = io.BytesIO()
    soundfile.write(written, sounds, 48_000, "PCM_16", format="FLAC")
    return written.getvalue()


@pytest.fixture(scope="module")
def made_up(
    browser_type: BrowserType, browser_type_launch_args: dict[str, Any], tmp_path_factory: Any
) -> Iterator[Browser]:
    """A browser whose microphone hears the file over and over."""
    path = tmp_path_factory.mktemp("heard") / "sweep.wav"
    samples = sound()
    soundfile.write(path, np.stack([samples, samples], axis=1), RATE, "PCM_16")
    more = [
        "--use-fake-ui-for-media-stream",
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={path}",
    ]
    launched = browser_type.launch(
        **browser_type_launch_args | {"args": [*browser_type_launch_args["args"], *more]}
    )
    yield launched
    launched.close()


def lag_and_gain(caught: FloatArray, played: FloatArray) -> tuple[float, float, FloatArray]:
    """Where one period of a file lies in what was caught, in samples; dB; and what is left of it (NumPy)."""
    size = caught.size + played.size
    likeness = np.fft.irfft(np.fft.rfft(caught, size) * np.conj(np.fft.rfft(played, size)), size)
    whole = int(np.argmax(likeness[: caught.size - played.size]))
    before, at, after = likeness[[whole - 1, whole, whole + 1]]
    lag = whole + 0.5 * (before - after) / (before - 2 * at + after)
    piece = caught[whole : whole + played.size]
    gain = float(piece @ played / (played @ played))
    return lag - whole, 20 * np.log10(gain), np.asarray(piece - gain * played)


def whole(recorder: Locator, run: Callable[[], None], lost: Callable[[], bool] = lambda: False) -> None:
    """Runs until nothing is lost: a busy machine loses sound, and the page throws such a run away.

    What is lost before it comes to the page only the answer can tell: `lost`.
    """
    told = recorder.locator("[data-told]")
    for _ in range(5):
        run()
        expect(told).to_contain_text(re.compile("^Recorded|thrown away"))
        if "thrown away" not in told.inner_text() and not lost():
            return
    pytest.fail("Sound was lost in each of five runs.")


def test_a_sweep_recorded_in_the_page_is_the_one_that_was_heard(made_up: Browser, server: str) -> None:
    with watched(made_up.new_context(viewport=PHONE, service_workers="block")) as context:
        context.set_default_timeout(PATIENCE)
        page = context.new_page()
        page.goto(server + MEASURING)
        form = calculator(page, "response")
        form.evaluate("(form, fields) => form.fill(fields)", TYPED)
        recorder = form.locator("doorcard-recorder")
        lasts = run_values(find_calculator("sweep"), SETTINGS).result.total_time

        def hear() -> None:
            recorder.locator("[data-open]").click()
            expect(recorder.locator("[data-device]")).to_contain_text("leaves the sound as it is")
            recorder.locator("[data-run]").click()
            expect(recorder.locator("[data-done] + [data-needed]")).to_have_text(
                f"after all {lasts:.1f} s of the file, counted from its start"
            )
            expect(recorder.locator("[data-heard]")).to_contain_text("right for a sweep")
            page.wait_for_function(
                "recorder => recorder.microphone.length > 4.3", arg=recorder.element_handle()
            )
            form.evaluate("form => delete form.dataset.live")  # What is told next is of this run.
            recorder.locator("[data-done]").click()

        def lost() -> bool:
            expect(form).to_have_attribute("data-live", re.compile("answer|errors"))
            return "lost pieces" in form.inner_text()

        whole(recorder, hear, lost)
        expect(recorder.locator("[data-told]")).to_contain_text("the loudest was −15 dB, the right level.")
        expect(form).to_have_attribute("data-live", "answer")
        expect(form.locator(".dc-main dd")).to_contain_text("comparisons")  # A phone, not compared.
        with page.expect_download() as download:
            recorder.locator("[data-save]").click()
        assert re.fullmatch(r"recording-\d{4}-\d\d-\d\d-\d{4}\.wav", download.value.suggested_filename)
        caught, rate = soundfile.read(Path(download.value.path()))
        assert rate == RATE
        played = sound()
        lag, level, left = lag_and_gain(caught, played)
        assert abs(level) < 0.05
        assert abs(lag) < 0.5
        assert np.sqrt(np.mean(left**2)) < 1e-3 * np.sqrt(np.mean(played**2)), "none lost, none made up"
        # The device plays the sweep itself: soft first, then 12 dB more.
        louder = recorder.locator("[data-level] option:not(:disabled)")

        def play() -> None:
            recorder.locator("[data-open]").click()
            recorder.locator("[data-player]").select_option("this")
            expect(louder).to_have_count(1)
            recorder.locator("[data-run]").click()
            expect(recorder.locator("[data-stop]")).to_be_visible()
            expect(recorder.locator("[data-needed]")).to_be_hidden()  # It ends by itself.

        whole(recorder, play)
        expect(recorder.locator("[data-told]")).to_contain_text(re.compile(r"Recorded \d"))
        expect(louder).to_have_count(3)
        assert page.evaluate("recorder => recorder.microphone", recorder.element_handle()) is None
        # The next run begins soft; nothing heard, another sweep or a stop takes the louder ones away.
        recorder.locator("[data-open]").click()
        expect(recorder.locator("[data-level]")).to_have_value("-42")
        recorder.locator("[data-run]").click()
        page.wait_for_function("recorder => recorder.microphone.length > 0.2", arg=recorder.element_handle())
        recorder.evaluate(
            "recorder => { recorder.recorded = [...Array(40).fill(0.03), 0.2]; recorder.finish(); }"
        )
        expect(recorder.locator("[data-told]")).to_contain_text("look for the lead, not for more level")
        expect(louder).to_have_count(1)
        recorder.evaluate("recorder => recorder.allow(-30)")
        recorder.locator("[data-open]").click()
        expect(recorder.locator("[data-panel]")).to_be_visible()
        expect(recorder.locator("[data-run]")).to_be_enabled()
        form.evaluate("(form, fields) => form.fill(fields)", {"low": "3000"})
        recorder.locator("[data-run]").click()
        expect(recorder.locator("[data-told]")).to_contain_text("Read this, then press again.")
        expect(recorder.locator("[data-warning]")).to_contain_text("tweeter")
        expect(louder).to_have_count(1)
        recorder.locator("[data-run]").click()
        expect(recorder.locator("[data-stop]")).to_be_visible()
        page.keyboard.press("Escape")
        expect(recorder.locator("[data-told]")).to_have_text("Stopped. Nothing was kept.")


def test_a_simulated_recording_is_never_called_yours(browser: Browser, server: str) -> None:
    with watched(browser.new_context(viewport=PHONE, service_workers="block")) as context:
        context.set_default_timeout(PATIENCE)
        answered_beside(context)
        page = context.new_page()
        page.goto(server + MEASURING)
        form = calculator(page, "response")
        tag, bar = form.locator("[data-tag]"), form.locator(".dc-bar .dc-tag")
        field(form, "microphone").select_option("phone")
        for again in (False, True):
            if again:  # The recording is gone with the page; what the recorder chose stays.
                expect(form.locator(".dc-yours")).to_contain_text("Yours")
                page.reload()
                expect(form.locator(".dc-yours")).to_contain_text("Yours")
            page.wait_for_function(PHONES, arg=form.element_handle())
            expect(tag).to_have_text("Example")
            expect(bar).to_have_text("Example")
            expect(form).to_have_attribute("data-example", "")
        form.evaluate("(form, fields) => form.fill(fields)", TYPED)
        heard = io.BytesIO()
        soundfile.write(heard, sound(), RATE, "PCM_16", format="WAV")
        field(form, "recording").set_input_files(
            {"name": "heard.wav", "mimeType": "audio/wav", "buffer": heard.getvalue()}
        )
        expect(tag).to_have_text(re.compile(r"^Yours, \d\d:\d\d$"))
        expect(bar).to_contain_text("Yours")


def test_a_run_that_leaving_the_page_cut_off_is_told_of(browser: Browser, server: str) -> None:
    with watched(browser.new_context(viewport=PHONE, service_workers="block")) as context:
        context.set_default_timeout(PATIENCE)
        answered_beside(context)
        page = context.new_page()
        told = page.locator("doorcard-recorder [data-told]")
        for ends, says in {
            "leave": re.compile(r"^The run of \d\d:\d\d was cut off, .*kept\.$"),
            "stop": "",
        }.items():
            page.goto(server + MEASURING)
            recorder = page.locator("doorcard-recorder")
            page.wait_for_function("() => customElements.get('doorcard-recorder')")
            recorder.evaluate(RUNNING)
            if ends == "stop":
                recorder.locator("[data-stop]").click()
            page.goto(server)
            page.goto(server + MEASURING)
            page.wait_for_function("() => customElements.get('doorcard-recorder')")
            expect(told).to_have_text(says)
            page.reload()
            page.wait_for_function("() => customElements.get('doorcard-recorder')")
            expect(told).to_have_text("")  # Once is enough.


def test_a_sweep_that_cannot_be_played_ends_its_run(browser: Browser, server: str) -> None:
    with watched(browser.new_context(viewport=PHONE, service_workers="block")) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + MEASURING)
        recorder = page.locator("doorcard-recorder")
        page.wait_for_function("() => customElements.get('doorcard-recorder')")
        recorder.evaluate(UNPLAYED)
        expect(recorder.locator("[data-told]")).to_have_text(
            re.compile("^The sweep could not be played.*Nothing was kept")
        )
        expect(recorder.locator("[data-panel]")).to_be_hidden()
        assert recorder.evaluate("recorder => recorder.closed && !recorder.running")


def test_a_run_whose_sound_the_device_halts_is_thrown_away(made_up: Browser, server: str) -> None:
    """As in a call: the context stands still and goes on later, and what it missed counts nowhere as lost."""
    with watched(made_up.new_context(service_workers="block")) as context:
        context.route("**/worker.js", partial(pretend, KEEPER))
        page = context.new_page()
        page.goto(server + MEASURING)
        recorder = calculator(page, "response").locator("doorcard-recorder")
        recorder.locator("[data-open]").click()
        recorder.locator("[data-run]").click()
        page.wait_for_function("recorder => recorder.microphone.length > 0.2", arg=recorder.element_handle())
        recorder.evaluate("recorder => recorder.microphone.audio.suspend()")
        expect(recorder.locator("[data-told]")).to_contain_text("or the device put it to sleep")
        expect(recorder.locator("[data-panel]")).to_be_hidden()
        # One that the browser has closed by itself is closed without a word.
        recorder.locator("[data-open]").click()
        expect(recorder.locator("[data-panel]")).to_be_visible()
        recorder.evaluate("recorder => recorder.microphone.audio.close()")
        expect(recorder.locator("[data-panel]")).to_be_hidden()


def test_what_can_go_wrong_has_its_own_words(made_up: Browser, server: str) -> None:
    with watched(made_up.new_context(viewport=PHONE, service_workers="block")) as context:
        context.route("**/worker.js", partial(pretend, KEEPER))
        context.add_init_script(FAULTY)
        page = context.new_page()
        page.emulate_media(reduced_motion="reduce")
        page.goto(server + MEASURING)
        form = calculator(page, "response")
        recorder = form.locator("doorcard-recorder")
        opener, told = recorder.locator("[data-open]"), recorder.locator("[data-told]")

        def press(answer: str) -> None:
            page.evaluate("answer => window.answers.push(answer)", answer)
            opener.click()

        expect(recorder.locator("[data-panel]")).to_be_hidden()
        assert page.evaluate("window.asked") is None, "nothing is asked before a press"
        for fault, words in {
            "NotAllowedError": "was not allowed",
            "NotFoundError": "There is no microphone",
            "NotReadableError": "Another program holds",
            "TypeError": "wants a newer one",
        }.items():
            press(fault)
            expect(told).to_contain_text(words)
            expect(recorder.locator("[data-panel]")).to_be_hidden()
        assert {"echoCancellation": False, "noiseSuppression": False, "autoGainControl": False}.items() <= (
            page.evaluate("window.asked.audio").items()
        )
        press("alters")
        expect(recorder.locator("[data-device]")).to_contain_text("alters the sound")
        expect(recorder.locator("[data-device]")).to_contain_text("automatic gain")
        for scheme in SCHEMES:
            page.evaluate("scheme => { document.body.dataset.mdColorScheme = scheme; }", scheme)
            found = Axe().run(page, context="doorcard-recorder", options={"resultTypes": ["violations"]})
            assert found.response["violations"] == []
        assert page.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]
        recorder.locator("[data-run]").click()
        page.wait_for_function("recorder => recorder.microphone.length > 0.2", arg=recorder.element_handle())
        for gone in (
            "window.track.dispatchEvent(new Event('ended'))",
            "dispatchEvent(new PageTransitionEvent('pagehide', { persisted: true }))",
        ):
            page.evaluate(gone)
            expect(told).to_contain_text("The microphone went away")
            expect(recorder.locator("[data-panel]")).to_be_hidden()
            assert page.evaluate("window.track.readyState") == "ended"
            press("real")
            expect(recorder.locator("[data-panel]")).to_be_visible()
        recorder.locator("[data-run]").click()
        recorder.evaluate("recorder => { recorder.microphone.lostBefore = -441; }")
        recorder.locator("[data-done]").click()
        expect(told).to_contain_text(re.compile(r"lost \d+ ms of sound"))
        press("real")
        recorder.locator("[data-run]").click()
        recorder.locator("[data-stop]").click()
        expect(told).to_have_text("Stopped. Nothing was kept.")
        expect(form.locator("[data-result]")).not_to_contain_text("of 1")
        for answer, word in {"alters": "on", "silent": "unknown", "real": "off"}.items():
            press(answer)
            recorder.locator("[data-run]").click()
            expect(recorder.locator("[data-done]")).to_be_visible()
            recorder.evaluate(NONE_LOST)
            expect(form.locator("select[name=functions]")).to_have_value(word)
            expect(form.locator("select[name=microphone]")).to_have_value("phone")
            expect(form.locator("[data-result]")).to_contain_text("of 1")
        # What the browser reads becomes a WAV file, marked as lossy; what it cannot read goes on as it is.
        field, lossy = form.locator("[name=recording]"), form.locator("select[name=declared_lossy]")
        field.set_input_files({"name": "a.flac", "mimeType": "audio/flac", "buffer": two_tones()})
        expect(form.locator("[data-result]")).to_contain_text("a.flac.wav of 1")
        expect(lossy).to_have_value("yes")
        read, rate = soundfile.read(io.BytesIO(bytes(field.evaluate(BYTES))))
        assert (read.shape, rate) == ((4800, 2), 48_000)
        np.testing.assert_allclose(np.sqrt(np.mean(read**2, axis=0)), [0.5**0.5 / 2, 0.5**0.5 / 4], rtol=1e-3)
        field.set_input_files({"name": "b.mp3", "mimeType": "audio/mpeg", "buffer": b"nothing to hear"})
        expect(form.locator("[data-result]")).to_contain_text("b.mp3 of 1")
        expect(lossy).to_have_value("no")
        # A long WAV file is judged like a short one, by the channel that the form reads.
        long = long_and_soft()
        assert len(long) > 10_000_000
        field.set_input_files({"name": "long.wav", "mimeType": "audio/wav", "buffer": long})
        expect(told).to_contain_text(re.compile("channel 1 of .*−46 dB, too quiet"))
        assert recorder.evaluate("recorder => recorder.right") is False
        for channel, right in {"2": True, "-2": False, "0.5": False, "9": True}.items():
            form.evaluate("(form, fields) => form.fill(fields)", {"recording_channel": channel})
            assert recorder.evaluate("recorder => recorder.right") is right
        expect(form.locator("[data-result]")).to_contain_text(f"long.wav of 1, {len(long)} bytes")
