"""Sounds to compare, in Chromium: played, switched in step, tested blind; the same as native Python's."""

import base64
import re

import numpy as np
from playwright.sync_api import Browser, Locator, Page, expect

from calculators.declaring import run_values
from calculators.stages import find_calculator
from tests.browser.test_calculators import PAGE_SCRIPT, calculator
from tests.conftest import share, watched
from tests.site.test_customer_pages import HEARD, PAGES

LIST = "having-it-done/"
WORKED_OUT = {"ears-battery-warranty": "noise-dose", "which-first": "first-upgrade"}
"""Customers' pages on which nothing sounds, but an answer can be had."""
ROUND = sorted(PAGES, key=lambda name: (name in HEARD or name in WORKED_OUT, name))
"""The customers' pages, those first where there is nothing to press."""
TIMING, AMPLIFIER = "having-it-done/timing/", "having-it-done/amplifier/"
READY = re.compile("answer")
# Presses Play, and gives how many sounds were asked for until they play.
PLAY = """async (element) => {
  const { beside } = element.form;
  let asked = 0;
  element.form.beside = function (...wanted) {
    asked += 1;
    return beside.apply(this, wanted);
  };
  element.querySelector("[data-play]").click();
  while (!element.running) await new Promise((settle) => setTimeout(settle, 5));
  delete element.form.beside;
  return asked;
}"""
INTERRUPTED = "The sound was interrupted: press Play."
COVER = """() => {
  Object.defineProperty(document, "hidden", { value: true, configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
  delete document.hidden;
}"""
# What ends a sound: nobody could stop one that is out of sight, and one that is kept for the way back would
# go on by itself.
ENDS = (
    "() => dispatchEvent(new PageTransitionEvent('pagehide', { persisted: true }))",
    COVER,
    "(element) => element.running.level.context.suspend()",
)
# Presses Play, covers the page at once, and gives what plays once the sounds were read.
PRESSED_AND_LEFT = """async (element) => {
  element.querySelector("[data-play]").click();
  dispatchEvent(new PageTransitionEvent("pagehide", { persisted: true }));
  const files = await element.sounds();
  const audio = new OfflineAudioContext(1, 1, 48000); // What was pressed before is read before.
  await Promise.all(files.map(({ buffer }) => audio.decodeAudioData(buffer.slice(0))));
  await new Promise((settle) => setTimeout(settle));
  return element.running;
}"""
# What the worker tells of what it works on, from the first to the last: number of the question, and step.
NOTE_STEPS = """
globalThis.steps = [];
globalThis.Worker = class extends Worker {
  constructor(...all) {
    super(...all);
    this.addEventListener("message", ({ data: { kind, id, step } }) => {
      if (kind === "working") steps.push([id, step]);
    });
  }
};
"""
# Long enough to be in sight, and to be idle.
SEEN_AND_IDLE = """async () => {
  for (const next of ["requestAnimationFrame", "requestAnimationFrame", "requestIdleCallback"]) {
    await new Promise((settle) => window[next](settle));
  }
}"""
BYTES = """async (element) => {
  const files = await element.sounds();
  return files.map(({ buffer }) => {
    const bytes = new Uint8Array(buffer);
    let text = "";
    for (let at = 0; at < bytes.length; at += 32768)
      text += String.fromCharCode(...bytes.subarray(at, at + 32768));
    return btoa(text);
  });
}"""
# Two sounds side by side, switched at half a second as the page does it, against a straight cross-fade by
# hand: the largest difference before the switch, after it, and all over.
SWITCHED = """async (element, address) => {
  const { ramp } = await import(address);
  const files = await element.sounds();
  const audio = new OfflineAudioContext(1, 48000, 48000);
  const sounds = await Promise.all(files.map(({ buffer }) => audio.decodeAudioData(buffer.slice(0))));
  const gains = sounds.map((buffer, place) => {
    const gain = new GainNode(audio, { gain: place ? 0 : 1 });
    const source = new AudioBufferSourceNode(audio, { buffer, loop: true });
    source.connect(gain).connect(audio.destination);
    source.start(0);
    return gain;
  });
  audio.suspend(0.512).then(() => {
    gains.forEach((gain, place) => ramp(gain.gain, place, audio.currentTime, 0.01));
    audio.resume();
  });
  const mixed = (await audio.startRendering()).getChannelData(0);
  const [before, after] = sounds.map((sound) => sound.getChannelData(0));
  const largest = (from, to) => {
    let most = 0;
    for (let at = from; at < to; at += 1) {
      const share = Math.min(1, Math.max(0, (at / 48000 - 0.512) / 0.01));
      most = Math.max(most, Math.abs(mixed[at] - before[at] * (1 - share) - after[at] * share));
    }
    return most;
  };
  return [largest(0, 24576), largest(25058, 48000), largest(24576, 25058)];
}"""


def demonstration(page: Page, slug: str) -> Locator:
    """The sounds of a calculator that Python has answered once."""
    element = calculator(page, slug)
    element.scroll_into_view_if_needed()
    expect(element).to_have_attribute("data-live", READY, timeout=60_000)
    sounds = element.locator("doorcard-listening")
    expect(sounds.locator(".dc-listen")).to_have_js_property("disabled", False)
    return sounds


def press(target: Locator, touch: bool) -> None:
    """By finger, or by the key that does it."""
    if touch:
        target.tap()
    else:
        target.press("Enter")


def go_through(page: Page, name: str, touch: bool) -> None:
    """From the customers' list to a page; what sounds there is played, what asks is answered; and back.

    A step inside the tab keeps the worker, so Python starts once for all pages. The address changes before
    the page does: whoever goes back at once leaves a page that has not come yet.
    """
    listed, title = page.url, page.locator("article h1")
    of_list = title.inner_text()
    press(page.locator(f"article a[href*='{name}/']").first, touch)
    page.wait_for_url(re.compile(f"/{LIST}{name}/"))
    expect(title).not_to_have_text(of_list)
    expect(title).to_be_visible()
    if name in HEARD:
        play_all(demonstration(page, HEARD[name]), touch)
    elif name in WORKED_OUT:
        change(calculator(page, WORKED_OUT[name]), touch)
    page.go_back()
    page.wait_for_url(listed)
    expect(title).to_have_text(of_list)
    expect(page.locator(f"article a[href*='{name}/']").first).to_be_visible()


def play_all(sounds: Locator, touch: bool) -> None:
    """Play, let each sound through in its turn, and stop."""
    play = sounds.locator("[data-play]")
    press(play, touch)
    expect(play).to_have_text("Stop")
    for place, choice in enumerate(sounds.locator("[data-choose]").all()):
        press(choice, touch)
        expect(choice).to_have_attribute("aria-pressed", "true")
        expect(sounds.locator(".dc-take").nth(place)).to_be_visible()
        assert sounds.evaluate("element => element.at") == place
    press(play, touch)
    expect(play).to_have_text("Play")


def change(form: Locator, touch: bool) -> None:
    """Give the first field of a form something else, and see its answer follow."""
    form.scroll_into_view_if_needed()
    expect(form).to_have_attribute("data-live", READY)
    result, field = form.locator("[data-result]"), form.locator(".dc-form :is(input, select):visible").first
    before = result.inner_text()
    if field.evaluate("field => field.tagName") != "SELECT":
        field.tap() if touch else field.press("Control+a")
        form.page.keyboard.type("97")
    elif touch:
        field.select_option(index=2)
    else:  # The second one down: the next is in the list already.
        field.press("ArrowDown")
        field.press("ArrowDown")
    expect(result).not_to_have_text(before)
    expect(form).to_have_attribute("data-live", READY)


def test_played_switched_and_tested_blind_by_keyboard_without_a_connection(page: Page, server: str) -> None:
    with page.expect_response(re.compile(r"/runtime/rest\.")):  # Once it is quiet.
        page.goto(server + TIMING)
        sounds = demonstration(page, "hear-alignment")
        page.wait_for_function("element => element.files", arg=sounds.element_handle())  # Made while idle.
    page.context.set_offline(True)
    sounds.evaluate("element => element.sounds()")
    play = sounds.locator("[data-play]")
    play.focus()
    page.keyboard.press("Enter")
    expect(play).to_have_text("Stop")
    takes = sounds.locator(".dc-take")
    expect(takes.nth(0)).to_be_visible()
    expect(takes.nth(1)).to_be_hidden()
    assert sounds.evaluate("element => element.motions.length") > 0
    page.keyboard.press("Tab")  # The level: it starts soft.
    assert sounds.evaluate("element => element.level.value") == "-20"
    page.keyboard.press("ArrowRight")
    expect(sounds.locator("[data-level]")).to_have_attribute("aria-valuetext", "−18 dB")
    page.keyboard.press("Tab")
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    expect(sounds.locator("[data-choose='1']")).to_have_attribute("aria-pressed", "true")
    expect(takes.nth(1)).to_be_visible()
    assert sounds.evaluate("element => element.running.gains.length") == 2
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    for _ in range(3):
        page.keyboard.press("Tab")
    page.keyboard.press("Enter")  # X: nothing on the page gives it away.
    expect(sounds.locator("[data-blind=x]")).to_have_attribute("aria-pressed", "true")
    expect(sounds.locator("[data-choose][aria-pressed=true]")).to_have_count(0)
    expect(takes.nth(0)).to_be_hidden()
    expect(takes.nth(1)).to_be_hidden()
    page.keyboard.press("Tab")
    for _ in range(10):
        page.keyboard.press("Enter")
    expect(sounds.locator("[data-score]")).to_have_text(re.compile(r"^\d+ of 10 right: guessing does .*\.$"))
    # A changed field ends the sound: it is no longer the answer's.
    calculator(page, "hear-alignment").locator("[name=louder]").fill("3")
    expect(sounds.locator("[data-play]")).to_have_text("Play")


def test_by_touch_with_less_movement_and_less_data(browser: Browser, server: str) -> None:
    context = browser.new_context(
        has_touch=True, is_mobile=True, viewport={"width": 390, "height": 844}, reduced_motion="reduce"
    )
    with watched(context):
        page = context.new_page()
        page.add_init_script("Object.defineProperty(navigator, 'connection', { value: { saveData: true } })")
        page.add_init_script(NOTE_STEPS)
        page.goto(server + AMPLIFIER)
        sounds = demonstration(page, "hear-clipping")
        page.evaluate(SEEN_AND_IDLE)
        assert sounds.evaluate("element => element.files") is None
        assert sounds.evaluate(PLAY) == 1
        told = page.evaluate("steps")
        (own,) = {
            number for number, step in told if step.startswith("Writing")
        }  # Others may be asked by now.
        written = [step.startswith("Writing") for number, step in told if number == own]
        assert written == sorted(written), "it was begun again: something that sounds need had not come"
        sounds.locator("[data-play]").tap()
        expect(sounds.locator("[data-play]")).to_have_text("Play")
        assert sounds.evaluate(PLAY) == 0, "what was made is not made again"
        assert sounds.evaluate("element => element.motions.length") == 0
        sounds.locator("[data-choose='1']").tap()
        expect(sounds.locator("[data-choose='1']")).to_have_attribute("aria-pressed", "true")
        page.emulate_media(forced_colors="active")
        grounds = sounds.locator("[data-choose]").evaluate_all(
            "all => all.map((each) => getComputedStyle(each).backgroundColor)"
        )
        assert len(set(grounds)) == 2, "the chosen one looks like the other in the system's own colours"
        native = run_values(find_calculator("hear-clipping"), {"overload": 9.0}).sounds
        for text, (_, made) in zip(sounds.evaluate(BYTES), native, strict=True):
            found, wanted = base64.b64decode(text), made.contents
            assert found[:44] == wanted[:44]
            steps = np.frombuffer(found[44:], "<i2").astype(int) - np.frombuffer(wanted[44:], "<i2")
            assert np.max(np.abs(steps)) <= 1  # A last figure of a sine may round the other way.
            assert np.count_nonzero(steps) <= 5
        script = page.evaluate(f"new URL('listening.js', {PAGE_SCRIPT}).href")
        still, settled, between = sounds.evaluate(SWITCHED, script)
        assert still == 0
        assert settled < 1e-7
        assert between < 1e-3, "a step, or out of step"
        for leave in ENDS:
            expect(sounds.locator("[data-play]")).to_have_text("Stop")
            sounds.evaluate(leave)
            expect(sounds.locator("[data-play]")).to_have_text("Play")
            expect(sounds.locator("[data-told]")).to_have_text(INTERRUPTED)
            assert sounds.evaluate(PRESSED_AND_LEFT) is None, "what was stopped while it was made plays on"
            expect(sounds.locator("[data-told]")).to_have_text(INTERRUPTED)
            sounds.evaluate(PLAY)


def test_from_the_list_to_a_page_and_back_by_touch(browser: Browser, server: str) -> None:
    """A page without a sound; in the long tests every customer's page, each sound played."""
    context = browser.new_context(
        has_touch=True, is_mobile=True, viewport={"width": 390, "height": 844}, service_workers="block"
    )
    with watched(context):
        page = context.new_page()
        page.goto(server + LIST)
        for name in share(ROUND, len(ROUND)):
            go_through(page, name, touch=True)


def test_a_round_counts_only_what_was_heard_and_lost_rounds_are_told(page: Page, server: str) -> None:
    page.goto(server + TIMING)
    sounds = demonstration(page, "hear-alignment")
    play, score, told = (sounds.locator(f"[data-{name}]") for name in ("play", "score", "told"))
    x, say = sounds.locator("[data-blind=x]"), sounds.locator("[data-say='1']")
    sounds.locator("summary").click()
    say.click()
    expect(score).to_have_text("Play X first.")
    assert sounds.evaluate("element => element.round") == 0
    x.click()  # It plays by itself.
    expect(play).to_have_text("Stop")
    say.click()
    expect(score).to_have_text("Round 2 of 10.")
    # A phone rings: the system silences the page.
    sounds.evaluate("element => element.running.level.context.suspend()")
    expect(play).to_have_text("Play")
    expect(told).to_have_text("The sound was interrupted: press Play.")
    say.click()
    expect(score).to_have_text("Play X first.")
    assert sounds.evaluate("element => element.round") == 1
    x.click()
    expect(play).to_have_text("Stop")
    say.click()
    expect(score).to_have_text("Round 3 of 10.")
    # What ends the rounds says so: another value, and a page that was thrown away.
    calculator(page, "hear-alignment").locator("[name=louder]").fill("3")
    expect(told).to_have_text("Test yourself blind: the rounds begin anew.")
    page.reload()
    sounds = demonstration(page, "hear-alignment")
    expect(told).to_have_text("Test yourself blind: the rounds begin anew.")
    play.click()
    expect(play).to_have_text("Stop")
    page.reload()
    demonstration(page, "hear-alignment")
    expect(told).to_have_text("")
