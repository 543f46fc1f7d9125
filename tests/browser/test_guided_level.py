"""The level check of the guided tune: what a run must be before the way goes on."""

import io
import re
from base64 import b64encode
from pathlib import Path

import numpy as np
import soundfile
from playwright.sync_api import Browser, expect

from tests.browser.test_calculators import calculator
from tests.browser.test_guided import CHANNELS, SHORT, Ear, fill, go_on, guided_page, typed
from tests.browser.test_recorder import RATE

FINISHED = """(recorder, [made, level]) => {
  const bytes = Uint8Array.from(atob(made), (sign) => sign.charCodeAt(0));
  recorder.microphone = {
    lost: 0, length: 4, told: { name: "", altering: ["automatic gain"], silent: false }, close() {},
    recording: (name) => new File([bytes], name),
  };
  recorder.recorded = [...Array(20).fill(1e-4), ...Array(20).fill(10 ** (level / 20))];
  recorder.finish();
}"""
"""A run has just ended: its file, and how loud it was."""

OTHER_CHANNEL = """(form, channel) => {
  const field = form.querySelector("[name=recording_channel]");
  field.value = channel;
  field.dispatchEvent(new Event("change", { bubbles: true }));
}"""
"""The screen does not show the field; the whole page does."""


def test_a_first_visitor_is_led_to_what_is_warned_of(browser: Browser, server: str) -> None:
    """It stands far under what the first screen shows."""
    with guided_page(browser, server) as page:
        page.get_by_role("button", name="Begin, one step a screen").click()
        warning = calculator(page, "guided-tune").locator("[data-result] .dc-advice").first
        expect(warning).not_to_be_in_viewport()
        page.locator(".dc-guide-bar").get_by_role(
            "button", name="Read first what the answer warns of"
        ).click()
        expect(warning).to_be_focused()
        expect(warning).to_be_in_viewport(ratio=1)
        read, bar = warning.bounding_box(), page.locator(".dc-guide-bar").bounding_box()
        assert read is not None
        assert bar is not None
        assert read["y"] + read["height"] <= bar["y"]


def test_channels_of_the_example_are_taken_as_that_alone(browser: Browser, server: str) -> None:
    """One tap takes another vehicle's tweeter corner otherwise."""
    with guided_page(browser, server) as page:
        page.get_by_role("button", name="Begin, one step a screen").click()
        go, card = page.locator(".dc-guide-go:visible"), page.locator("section.dc-guide").first
        expect(go).to_have_text("This vehicle has the example’s channels, go on")
        expect(card).to_contain_text("Of the page’s example until you change it: Channels; Points;")
        fill(page, "guided-tune", typed(CHANNELS))
        expect(go).to_have_text("These are this vehicle’s, go on")
        expect(card).to_contain_text("Of the page’s example until you change it: Points;")


def test_nobody_goes_on_past_a_level_that_is_wrong(browser: Browser, server: str, tmp_path: Path) -> None:
    ear = Ear(tmp_path / "run.wav")
    with guided_page(browser, server) as page:
        page.get_by_role("button", name="Begin, one step a screen").click()
        fill(page, "guided-tune", typed(CHANNELS))
        fill(page, "response", SHORT)
        go_on(page, "These are this vehicle’s, go on")
        form = calculator(page, "response")
        told = form.locator("[data-told]")
        go, why = page.locator(".dc-guide-go:visible"), page.locator(".dc-guide-bar > p")
        ear.level()
        good = b64encode(ear.path.read_bytes()).decode()
        short = io.BytesIO()
        soundfile.write(short, np.zeros((RATE, 1)) + 0.1, RATE, "PCM_16", format="WAV")
        for made, level, says, stands in [
            (b64encode(short.getvalue()).decode(), -12, "right", False),
            (good, 0, "too loud", True),
            (good, -12, "right", True),
            (good, -40, "too quiet", True),
        ]:
            form.locator("doorcard-recorder").evaluate(FINISHED, [made, level])
            expect(told).to_contain_text(says)
            expect(form).to_have_attribute("data-live", "answer" if stands else "errors")
            if stands and says == "right":
                expect(go).to_be_enabled()
                expect(why).not_to_contain_text("Record above.")
            else:
                expect(go).to_be_disabled()
                expect(why).to_contain_text("Record above.")
            if stands:  # The device altered the sound.
                expect(why).to_contain_text("Read first what the answer warns of")

        # A file of another recorder is judged alike: by the channel that the form reads.
        samples, _ = soundfile.read(ear.path)
        for name, gain, says in [("soft.wav", 0.1, "too quiet"), ("as-it-should-be.wav", 1.0, "right")]:
            chosen = tmp_path / name
            soundfile.write(chosen, samples * [gain, 1 / gain / 10], RATE, "PCM_24")
            form.locator("[name=recording]").set_input_files(chosen)
            expect(told).to_contain_text(re.compile(rf"Of channel 1 of this file the loudest was .*{says}"))
            expect(form).to_have_attribute("data-live", "answer")
            expect(go).to_be_enabled() if says == "right" else expect(go).to_be_disabled()

        # Another channel is judged as it is, whichever was read first.
        for channel, says in [("2", "too quiet"), ("1", "right")]:
            form.evaluate(OTHER_CHANNEL, channel)
            expect(told).to_contain_text(re.compile(rf"Of channel {channel} of .*{says}"))
            expect(form).to_have_attribute("data-live", "answer")
            expect(go).to_be_enabled() if says == "right" else expect(go).to_be_disabled()

        # While a file is read, nobody may take what stood there before; one too long to be read is not right.
        long, none = tmp_path / "long.wav", tmp_path / "no-numbers.wav"
        soundfile.write(long, np.tile([0.3, 0.001], 4000 * 161), 8000, "PCM_U8")
        soundfile.write(none, np.where(np.arange(len(samples)) == RATE, np.nan, samples[:, 0]), RATE, "FLOAT")
        standing = form.evaluate(
            """(form, made) => {
              const field = form.querySelector("[name=recording]");
              const carrier = new DataTransfer();
              const bytes = Uint8Array.from(atob(made), (sign) => sign.charCodeAt(0));
              carrier.items.add(new File([bytes], "next.wav"));
              field.files = carrier.files;
              field.dispatchEvent(new Event("change", { bubbles: true }));
              return [form.dataset.live, form.answered === JSON.stringify(form.inputs())];
            }""",
            good,
        )
        assert standing == ["stale", False]
        expect(form).to_have_attribute("data-live", "answer")
        for chosen, says in [(none, "no numbers"), (long, "longer than 160 s")]:
            form.locator("[name=recording]").set_input_files(chosen)
            expect(told).to_contain_text(says)
            expect(go).to_be_disabled()
            assert not form.locator("doorcard-recorder").evaluate("(recorder) => recorder.right")
        form.locator("doorcard-recorder").evaluate(FINISHED, [good, -12])
        expect(go).to_be_enabled()
