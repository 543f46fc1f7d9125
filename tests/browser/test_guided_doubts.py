"""A run of the guided tune that another speaker played: told once it is kept, recorded again or kept so."""

import json

from playwright.sync_api import Browser, expect

from tests.browser.test_guided import (
    CHANNELS,
    KEEP,
    NAMES,
    POINTS,
    RUNS,
    STATE,
    guided_page,
    kept,
    measured,
    now,
    typed,
)


def test_a_run_in_doubt_is_recorded_again_or_kept(browser: Browser, server: str) -> None:
    """At the second point the woofer was recorded as the tweeter."""
    mine = typed(CHANNELS)
    fields = measured(RUNS[: len(NAMES)])
    other = measured([(1, 1)])["measured[0]"].replace(NAMES[1], NAMES[0])
    key, curve = other.split("\n", 1)
    way = {"on": "yes", "ready": "measure", "guided-tune": json.dumps(mine | {"level_checked": "yes"})}
    way |= {"channels": json.dumps(mine), **fields, f"measured[{len(fields)}]": f"{key.lower()}\n{curve}"}
    says = f"{NAMES[0]} at point {POINTS[1]}: This sounds like {NAMES[1]}, not like {NAMES[0]}"
    with guided_page(browser, server) as page:
        page.evaluate(KEEP, [page.evaluate(STATE), 0, way])
        page.reload()
        card = page.locator(".dc-guide").first
        expect(now(page)).to_contain_text(f"{NAMES[1]} at point {POINTS[1]}")  # It is no refusal.
        expect(card).to_contain_text(says)

        # Kept: it is not asked again, after a call neither.
        card.get_by_role("button", name="Keep it").click()
        expect(card).not_to_contain_text(says)
        page.reload()
        expect(now(page)).to_contain_text(f"{NAMES[1]} at point {POINTS[1]}")
        expect(card).not_to_contain_text(says)
        page.locator("summary", has_text="Other ways, and the runs so far").click()
        page.get_by_role("button", name="Show the whole page").click()
        expect(page.locator("[data-calculator=guided-tune] [data-result]").first).to_contain_text(says)

        # Another one comes in its place, and is doubted anew.
        assert f"measured[{len(fields)}]" in kept(page)["fields"]
        page.evaluate(KEEP, [page.evaluate(STATE), 0, way])
        page.reload()
        card.get_by_role("button", name="Record it again").click()
        expect(now(page)).to_contain_text(f"{NAMES[0]} at point {POINTS[1]}")
        expect(card).to_contain_text("Thrown away")
        expect(card).not_to_contain_text(says)
