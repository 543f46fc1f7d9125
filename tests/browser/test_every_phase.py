"""Whatever becomes of Python, no calculator shows an unmarked answer whose values differ from its fields.

`test_stale_answers.py` types as a thumb does, into one form; here every field of every form is changed, in
each phase that Python can be in. Without a script fields are locked: `tests/presenting/test_forms.py`.
"""

import re
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Route

from tests.browser.test_calculators import PAGE_SCRIPT
from tests.browser.test_every_form import CHANGE_EACH_FIELD
from tests.conftest import SOAK, watched

RUNTIME = re.compile(r"/runtime/")
WORKER = re.compile(r"/doorcard-[^/]+/worker\.js$")
READY = "postMessage({ kind: 'ready' });"
WORKING = (
    f"{READY} onmessage = ({{ data: {{ kind, id }} }}) => {{"
    " if (kind === 'ask') postMessage({ kind: 'working', id, step: 'Working', share: 0.5 }); };"
)
PHASES: dict[str, tuple[str, re.Pattern[str], dict[str, Any] | None]] = {
    "starting": ("starting", RUNTIME, None),
    "working": ("ready", WORKER, {"body": WORKING, "content_type": "text/javascript"}),
    "hung": ("ready", WORKER, {"body": READY, "content_type": "text/javascript"}),
    "not fetched": ("unable", RUNTIME, {"status": 503}),
    "of a wrong kind": ("unable", WORKER, {"body": READY, "content_type": "text/plain"}),
}
"""Of each: what the engine calls it, and which files are answered otherwise, or never."""
ONE_IN = 60
"""Pages with calculators of which one is looked at in each phase; the long tests look at all."""
REACHED = f"""
async (phase) => {{
  const {{ engine }} = await import(new URL("calculator.js", {PAGE_SCRIPT}).href);
  while (engine().state.phase !== phase) await new Promise(requestAnimationFrame);
}}
"""


@pytest.mark.parametrize("phase", PHASES)
def test_no_answer_stands_unmarked(
    browser: Browser, server: str, page_addresses: list[str], site: Path, phase: str
) -> None:
    called, files, answer = PHASES[phase]

    def answer_otherwise(route: Route) -> None:
        if answer is not None:
            route.fulfill(**answer)

    texts = {
        address: (site / address / "index.html").read_text(encoding="utf-8")
        for address in page_addresses
        if address != "404.html"
    }
    asked = [address for address, text in texts.items() if "<doorcard-calculator" in text]
    context = browser.new_context(service_workers="block")
    with watched(context, ("503", "MIME")):
        page = context.new_page()
        page.route(files, answer_otherwise)
        for address in asked if SOAK else asked[list(PHASES).index(phase) :: ONE_IN]:
            page.goto(server + address)
            page.evaluate(REACHED, called)
            changed = page.evaluate(CHANGE_EACH_FIELD, [])
            assert changed, address
            for slug, name, *marked in changed:
                assert marked == [False, True, True, False], (address, slug, name)
