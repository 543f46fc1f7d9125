"""A tab that is killed while a job is changed: what was kept stays, and the file is never half written."""

import json
from random import Random

from playwright.sync_api import Browser, Error, Page

from tests.browser.test_calculators import JOBS
from tests.conftest import SOAK

KILLS = 200 if SOAK else 3
LONGEST_LIFE = 120
"""Milliseconds from the first change to the kill."""
PLAIN = "sources/"  # A page without a calculator.
BEGIN = """async (address) => {
  const jobs = await import(address);
  await jobs.add({ file: JSON.stringify({ edits: 0 }), title: "Bay 6" });
}"""
EDIT = """async (address) => {
  const jobs = await import(address);
  const { open } = await jobs.recall();
  const filler = "x".repeat(100_000);
  (async () => {
    for (;;) {
      await jobs.change(open.id, "edit", async ({ file }) => {
        const edits = JSON.parse(file).edits + 1;
        begun(edits);
        return { file: JSON.stringify({ edits, filler }), title: "Bay 6" };
      });
      kept(JSON.parse((await jobs.recall()).open.file).edits);
    }
  })();
}"""
READ = """async (address) => (await (await import(address)).recall()).open.file"""


def kill(page: Page) -> None:
    """End a tab's process as a phone does that is short of memory: without a word to the page."""
    try:
        page.goto("chrome://crash")
    except Error:
        page.close()


def test_a_tab_killed_at_any_moment_loses_at_most_its_last_change(browser: Browser, server: str) -> None:
    random, seen = Random(16), {"begun": 0, "kept": 0}
    context = browser.new_context(service_workers="block")
    try:
        for name in seen:
            context.expose_binding(name, lambda _, edits, name=name: seen.update({name: edits}))
        page = context.new_page()
        page.goto(server + PLAIN)
        address = page.evaluate(JOBS)
        page.evaluate(BEGIN, address)
        for _ in range(KILLS):
            page.evaluate(EDIT, address)
            page.wait_for_timeout(random.uniform(0, LONGEST_LIFE))
            kill(page)
            page = context.new_page()
            page.goto(server + PLAIN)
            edits = json.loads(page.evaluate(READ, address))["edits"]
            assert seen["kept"] <= edits <= seen["begun"] + 1, seen
        assert seen["kept"] > KILLS
    finally:
        context.close()
