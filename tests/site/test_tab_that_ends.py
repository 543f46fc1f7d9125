"""A start that is woken and ends the whole tab, as a browser short of memory does."""

import pytest
from playwright.sync_api import Page

from tests.site.test_engine import ENTRY, pretending

__all__ = ["pretending"]

LEFT = """(told) => {
  if (!told) addEventListener("pagehide", (event) => event.stopImmediatePropagation(), { capture: true });
}"""
WAKING = """async () => {
  const place = new URL("./assets/doorcard/kept-start", location).href;
  const cache = await caches.open("doorcard-start /");
  const has = await cache.match(place);
  if (!has) await cache.put(place, new Response(null, { headers: ENTRY }));
  start({});
  await new Promise((settle) => setInterval(() => engine.state.phase === "ready" && settle(), 20));
  engine.ask({ calculator: "endless", inputs: {} });
}"""
FAILURES = """async () => {
  const told = (await caches.match(new URL("./assets/doorcard/kept-start", location))).headers;
  return [engine.mayWake, JSON.parse(told.get("Doorcard-Start")).failures];
}"""


@pytest.mark.parametrize("pretending", ["wakes"], indirect=True)
def test_a_kept_start_is_blamed_for_a_tab_that_ends_as_it_wakes_and_not_for_one_that_is_left(
    pretending: Page,
) -> None:
    """A tab that ends is told nothing; one that is left is told so."""
    for told, wanted in ((True, [True, 0]), (False, [False, 1]), (True, [True, 1])):
        pretending.evaluate(LEFT, told)
        pretending.evaluate(WAKING.replace("ENTRY", ENTRY))
        pretending.reload()
        pretending.evaluate("start({})")
        for _ in range(100):
            if pretending.evaluate(FAILURES) == wanted:
                break
            pretending.wait_for_timeout(20)
        assert pretending.evaluate(FAILURES) == wanted
        pretending.reload()
