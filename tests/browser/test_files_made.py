"""A file that a calculator made is a link in the page, and goes when the answer does."""

from pathlib import Path

from playwright.sync_api import Page, Route, expect

from tests.browser.test_calculators import calculator, field

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
NOTE_REVOKED = """
const { revokeObjectURL } = URL;
window.revoked = [];
URL.revokeObjectURL = (address) => { window.revoked.push(address); revokeObjectURL(address); };
"""


def pretend(route: Route) -> None:
    route.fulfill(body=WORKER, content_type="text/javascript")


def test_a_file_made_is_kept_by_a_link(page: Page, server: str) -> None:
    page.context.route("**/worker.js", pretend)
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
