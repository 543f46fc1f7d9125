"""Files in a form: one that was made is a link, one that was chosen goes to the worker and stays here.

But for the last three tests, the worker only pretends.
"""

import zipfile
from functools import partial
from pathlib import Path

from playwright.sync_api import Download, FilePayload, Locator, Page, Route, expect

from calculators.vocabulary.signal_checksums import CHECKSUMS
from tests.browser.test_calculators import calculator, field
from tests.browser.test_kept_values import KEPT, line

CABLE = "look-up/cable-length/"
# Answers each question with a file that holds the current typed.
WORKER = """
import { Kind } from "./messages.js";
self.onmessage = ({ data }) => {
  if (data.kind === Kind.START) return self.postMessage({ kind: Kind.READY });
  if (data.kind !== Kind.ASK) return;
  const { current } = data.inputs;
  const html = '<p class="dc-file"><a class="dc-button" data-file="sound" download="a.wav">Keep</a></p>';
  const { buffer } = new TextEncoder().encode(current);
  const files = current === "0" ? [] : [{ output: "sound", name: "a.wav", media_type: "audio/wav", buffer }];
  const errors = current === "0" ? [{ field: "current", message: "None." }] : [];
  const reply = { html: errors.length ? "" : html, said: "", advice: [], errors, files };
  self.postMessage({ kind: Kind.REPLY, id: data.id, heap: 0, reply }, files.map((file) => file.buffer));
};
"""
# Names the file with each answer, and makes it once it is asked for: that of 93 never, that of 96 not.
MAKER = """
import { Kind } from "./messages.js";
self.onmessage = ({ data }) => {
  if (data.kind === Kind.START) return self.postMessage({ kind: Kind.READY });
  if (data.kind !== Kind.ASK) return;
  const { current } = data.inputs;
  const link = '<a class="dc-button" data-file="sound" download="a.wav">Keep</a>';
  const html = `<p class="dc-file">${current} ${link}</p>`;
  const { buffer } = new TextEncoder().encode(current);
  const asked = data.want.includes("files");
  const files = asked ? [{ output: "sound", name: "a.wav", media_type: "audio/wav", buffer }] : [];
  const made = { ...(asked ? {} : { html, said: "" }), advice: [], errors: [], files };
  const reply = asked && current === "96" ? { failure: "Traceback" } : made;
  if (!asked || current !== "93") self.postMessage({ kind: Kind.REPLY, id: data.id, heap: 0, reply });
};
"""
NOTE_REVOKED = """
const { revokeObjectURL } = URL;
window.revoked = [];
URL.revokeObjectURL = (address) => { window.revoked.push(address); revokeObjectURL(address); };
"""


# Tells what it keeps, and which of it the form names.
KEEPER = """
import { Kind } from "./messages.js";
const kept = new Map();
self.onmessage = ({ data }) => {
  if (data.kind === Kind.START) return self.postMessage({ kind: Kind.READY });
  if (data.kind === Kind.KEEP) kept.set(data.handle, { name: data.name, size: data.buffer.byteLength });
  if (data.kind === Kind.FORGET) kept.delete(data.handle);
  if (data.kind !== Kind.ASK) return;
  const { name, size } = kept.get(data.inputs.recording) ?? { name: "none", size: 0 };
  const html = `<p>${name} of ${kept.size}, ${size} bytes</p>`;
  const reply = { html, said: "", advice: [], errors: [], files: [] };
  self.postMessage({ kind: Kind.REPLY, id: data.id, heap: 0, reply });
};
"""
FILE_FIELD = """
<div class="dc-field" data-input="recording" data-label="Recording"><input type="file" name="recording">
<p class="dc-error" data-error="recording" hidden></p></div></fieldset><p class="dc-locked">"""


def pretend(worker: str, route: Route) -> None:
    route.fulfill(body=worker, content_type="text/javascript")


def add_field(route: Route) -> None:
    page = route.fetch()
    route.fulfill(response=page, body=page.text().replace('</fieldset><p class="dc-locked">', FILE_FIELD, 1))


def wav(name: str) -> FilePayload:
    return {"name": name, "mimeType": "audio/wav", "buffer": b"abc"}


def test_a_file_made_is_kept_by_a_link(page: Page, server: str) -> None:
    page.context.route("**/worker.js", partial(pretend, WORKER))
    page.add_init_script(NOTE_REVOKED)
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    field(cable, "current").fill("92")
    expect(cable).to_have_attribute("data-live", "answer")
    link = cable.locator("a[data-file=sound]")
    with page.expect_download() as download:
        link.click()
    assert download.value.suggested_filename == "a.wav"
    assert Path(download.value.path()).read_bytes() == b"92"
    address = link.get_attribute("href")
    field(cable, "current").fill("0")
    expect(cable).to_have_attribute("data-live", "errors")
    expect(link).to_have_count(0)
    assert page.evaluate("window.revoked.at(-1)") == address


def press(link: Locator, key: str) -> None:
    """Press a key on what stands in an answer, once that can be reached."""
    expect(link.locator("xpath=ancestor::*[@data-result]")).to_have_js_property("inert", False)
    link.press(key)


def test_a_file_is_made_once_its_link_is_pressed(page: Page, server: str) -> None:
    """By a finger or by the keyboard; then it is at hand. What is typed meanwhile overtakes it.

    Until then it is a button: a middle click would give the page under the file's name.
    """
    page.context.route("**/worker.js", partial(pretend, MAKER))
    page.goto(server + CABLE)
    cable, address = calculator(page, "cable"), page.url
    result, link = cable.locator("[data-result]"), cable.locator("a[data-file=sound]")
    field(cable, "current").fill("92")
    expect(result).to_contain_text("92")
    kept: list[Download] = []
    page.on("download", lambda download: kept.append(download))
    link.click(button="middle")
    page.wait_for_timeout(300)  # Nothing may open or be kept.
    assert (kept, len(page.context.pages)) == ([], 1)
    assert link.get_attribute("href") is None
    expect(link).to_have_role("button")
    for way in (link.click, lambda: press(link, "Enter")):
        with page.expect_download() as download:
            way()
        assert Path(download.value.path()).read_bytes() == b"92"
        assert str(link.get_attribute("href")).startswith("blob:")
        expect(link).to_have_role("link")
    field(cable, "current").fill("93")
    expect(result).to_contain_text("93")
    press(link, "Enter")
    field(cable, "current").fill("94")
    expect(result).to_contain_text("94")
    assert page.url == address
    with page.expect_download() as download:
        press(link, "Enter")
    assert Path(download.value.path()).read_bytes() == b"94"
    field(cable, "current").fill("95")
    expect(result).to_contain_text("95")
    with page.expect_download() as download:
        press(link, "Space")
    assert Path(download.value.path()).read_bytes() == b"95"


def test_a_file_that_is_not_made_leaves_the_answer(page: Page, server: str) -> None:
    """What is wrong is said beside its link; the next press tries again."""
    page.context.route("**/worker.js", partial(pretend, MAKER))
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    result, link = cable.locator("[data-result]"), cable.locator("a[data-file=sound]")
    field(cable, "current").fill("96")
    expect(result).to_contain_text("96")
    told = result.get_by_role("status")
    for _ in range(2):
        press(link, "Enter")
        expect(told).to_have_text(
            "Not made. Something went wrong inside this calculator. Your values are still here."
        )
        expect(link).to_be_focused()
        expect(result).to_contain_text("96")
        expect(cable).to_have_attribute("data-live", "answer")
    field(cable, "current").fill("94")
    expect(result).to_contain_text("94")
    expect(told).to_have_count(0)


def test_a_file_chosen_is_this_forms_alone(page: Page, server: str) -> None:
    page.context.route("**/worker.js", partial(pretend, KEEPER))
    page.route("**/" + CABLE, add_field)
    page.goto(server + CABLE)
    cable = calculator(page, "cable")
    result = cable.locator("[data-result]")
    recording = field(cable, "recording")
    recording.set_input_files(wav("a.wav"))
    expect(result).to_have_text("a.wav of 1, 3 bytes")
    recording.evaluate("field => { field.multiple = true; }")
    recording.set_input_files([wav("a.wav"), wav("b.wav")])
    expect(result).to_have_text("2 files of 1, 8 bytes")
    recording.set_input_files(wav("b.wav"))
    expect(result).to_have_text("b.wav of 1, 3 bytes")
    expect(line(cable)).to_contain_text(": Recording. The rest is the example’s.")
    page.wait_for_timeout(300)  # Nothing may be kept.
    assert page.evaluate(KEPT) == []
    line(cable).get_by_role("button", name="Back to the example").click()
    expect(result).to_have_text("none of 0, 0 bytes")
    expect(recording).to_have_value("")
    page.evaluate("Object.defineProperty(Blob.prototype, 'size', { get: () => 100_000_001 })")
    recording.set_input_files(wav("c.wav"))
    expect(cable.locator("[data-error=recording]")).to_have_text("This file has more than 100 MB.")
    field(cable, "current").fill("92")
    expect(result).to_have_text("none of 0, 0 bytes")
    expect(cable.locator("[data-error=recording]")).to_have_text("This file has more than 100 MB.")


def test_a_file_chosen_again_under_its_name_is_read_anew(page: Page, server: str, tmp_path: Path) -> None:
    """As after a run that was measured again. A chooser that is left without a choice changes nothing."""
    page.context.route("**/worker.js", partial(pretend, KEEPER))
    page.route("**/" + CABLE, add_field)
    page.goto(server + CABLE)
    cable, path = calculator(page, "cable"), tmp_path / "a.wav"
    result, recording = cable.locator("[data-result]"), field(cable, "recording")
    for contents in (b"abc", b"abcde"):
        path.write_bytes(contents)
        with page.expect_file_chooser() as chooser:
            recording.click()
        chooser.value.set_files(path)
        expect(result).to_have_text(f"a.wav of 1, {len(contents)} bytes")
    with page.expect_file_chooser():
        recording.click()
    recording.evaluate("field => field.dispatchEvent(new Event('cancel', { bubbles: true }))")
    expect(recording).to_have_value("C:\\fakepath\\a.wav")
    expect(result).to_have_text("a.wav of 1, 5 bytes")


def test_the_pages_test_signals_are_those_of_the_command_line(page: Page, server: str) -> None:
    """Packed in the page, byte for byte; the size is said before a byte is made."""
    page.goto(server + "stages/tuning/test-signals/")
    chosen = calculator(page, "signals")
    field(chosen, "signals[2].signal").select_option("24")
    expect(chosen).to_have_attribute("data-live", "answer", timeout=90_000)
    expect(chosen.locator(".dc-main dd").first).to_have_text("3 signals, 9.6 MB")
    with page.expect_download() as download:
        chosen.locator("a[data-file=file]").click()
    with zipfile.ZipFile(download.value.path()) as packed:
        assert packed.testzip() is None
        sums = {name.partition("-")[0]: packed.getinfo(name).CRC for name in packed.namelist()}
    assert sums == {number: CHECKSUMS[number] for number in ("02", "03", "24")}


def test_a_driver_that_was_kept_is_opened_again(page: Page, server: str) -> None:
    page.goto(server + "look-up/sealed-box/")
    box = calculator(page, "sealed-box")
    field(box, "fs").fill("41")
    expect(box).to_have_attribute("data-live", "answer", timeout=90_000)
    expect(box.locator("a[data-file=driver_file]")).to_have_attribute("download", "driver-41-Hz-Q-0.48.json")
    with page.expect_download() as download:
        box.locator("a[data-file=driver_file]").click()
    field(box, "fs").fill("60")
    field(box, "qms").fill("9")
    opener = box.get_by_role("button", name="Open a driver you kept")
    with page.expect_file_chooser() as chooser:
        opener.click()
    chooser.value.set_files(download.value.path())
    expect(field(box, "fs")).to_have_value("41")
    expect(field(box, "qms")).not_to_have_value("9")
    expect(box.locator("doorcard-open-values [role=status]")).to_contain_text("is in the fields")
    expect(line(box)).to_contain_text("Yours")
    with page.expect_file_chooser() as chooser:
        opener.click()
    chooser.value.set_files(wav("a.wav"))
    expect(box.locator("doorcard-open-values [role=status]")).to_have_text(
        "This is no driver that was kept here."
    )
    expect(field(box, "fs")).to_have_value("41")


# The standard takes every file for UTF-8; Chromium looks at its mark.
TEXT_BY_STANDARD = """() => {
  Blob.prototype.text = async function () {
    return new TextDecoder().decode(await this.arrayBuffer());
  };
}"""


def test_a_curve_is_opened_from_a_text_file(page: Page, server: str) -> None:
    page.goto(server + "stages/survey/signal/")
    form = calculator(page, "level-dependence")
    other = field(form, "other_step")
    examples = other.input_value()
    within = field(form, "middle")
    within.fill(within.input_value() + "\n")  # A change within the example's curve keeps those beside it.
    assert other.input_value() == examples != ""
    opener = form.locator(".dc-field", has=page.locator("[name=middle]")).get_by_role(
        "button", name="Open a text file"
    )
    lines = "Hz,dB\r\n" + "".join(f"{f},{-f / 1000}\r\n" for f in (20, 60, 200, 600, 2000, 6000, 20000))
    with page.expect_file_chooser() as chooser:
        opener.click()
    chooser.value.set_files({"name": "a.csv", "mimeType": "text/csv", "buffer": lines.encode()})
    expect(within).to_have_value(lines.replace("\r\n", "\n"))
    expect(other).to_have_value("")  # It was another vehicle's.
    expect(line(form)).to_contain_text("Yours")
    page.evaluate(TEXT_BY_STANDARD)
    for encoding in ("utf-16", "utf-16-be", "utf-8-sig"):
        within.fill("")
        mark = "\ufeff" if encoding == "utf-16-be" else ""
        with page.expect_file_chooser() as chooser:
            opener.click()
        contents = (mark + lines).encode(encoding)
        chooser.value.set_files({"name": "a.txt", "mimeType": "text/plain", "buffer": contents})
        expect(within).to_have_value(lines.replace("\r\n", "\n"))
    too_long = "too long for a curve: at most 200,000 letters"
    wrong = (("a.wav", b"RIFF\0\0", "no text"), ("b.txt", b"20,0\r\n" * 40_001, too_long))
    for name, contents, words in wrong:
        with page.expect_file_chooser() as chooser:
            opener.click()
        chooser.value.set_files({"name": name, "mimeType": "text/plain", "buffer": contents})
        expect(form.locator("doorcard-open-text [role=status]").filter(has_text=words)).to_be_visible()
        expect(within).to_have_value(lines.replace("\r\n", "\n"))
