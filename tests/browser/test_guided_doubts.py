"""A run of the guided tune that is not what its name says: told once it is kept, recorded again or left."""

import json

from playwright.sync_api import Browser, expect

from tests.browser.test_calculators import STATE, calculator
from tests.browser.test_guided import (
    CHANNELS,
    KEEP,
    NAMES,
    POINTS,
    RUNS,
    guided_page,
    kept,
    measured,
    measured_again,
    now,
    typed,
)
from tests.stages.tuning import test_guided_tune


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


SHEET = {
    "format": "tuning-sheet",
    "version": 1,
    "sample_rate": 48_000,
    "channels": [
        {name: each[name] for name in ("name", "high_pass", "low_pass")}
        | {"polarity": "normal", "delay": 0.0, "gain": 0.0, "filters": []}
        for each in CHANNELS
    ],
}


def test_one_file_kept_as_two_runs_throws_nobody_out(browser: Browser, server: str) -> None:
    """The plan refuses the second: it is said on the card, and that run alone is recorded again."""
    mine, chosen = typed(CHANNELS), json.dumps(SHEET)
    again = measured_again(range(2), SHEET)
    twice = again | {"again[1]": again["again[0]"].replace("Point 1", f"Point {POINTS[1]}", 1)}
    way = {"on": "yes", "ready": "measure again", "channels": json.dumps(mine), "sheet": chosen}
    way |= {"guided-tune": json.dumps(mine | {"level_checked": "yes"}), **measured(RUNS), **twice}
    way["word"] = test_guided_tune.word_of(test_guided_tune.kept(chosen.encode()))
    says = f"Everything at point {POINTS[1]}: This is the curve of “Point 1” too: was one file chosen twice?"
    with guided_page(browser, server) as page:
        page.evaluate(KEEP, [page.evaluate(STATE), 0, way])
        page.reload()
        card = page.locator(".dc-guide").first
        expect(card).to_contain_text(says)
        expect(now(page)).to_have_text("What was kept last does not fit: mend that first")
        expect(calculator(page, "guided-tune")).to_be_hidden()
        expect(page.locator(".dc-guide-bar")).to_be_hidden()
        card.get_by_role("button", name="Record it again").click()
        expect(now(page)).to_contain_text(f"everything together at point {POINTS[1]}")
        expect(card).to_contain_text(f"Thrown away: Everything at point {POINTS[1]}.")
        expect(card).not_to_contain_text(says)
        assert "again[0]" in kept(page)["fields"]
        card.get_by_role("button", name="Undo").click()
        expect(card).to_contain_text(says)
