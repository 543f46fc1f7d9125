"""FIR filters in the tune on a phone: chosen, on the sheet, and off again."""

import re
import zipfile

from playwright.sync_api import Browser, expect

from tests.browser.test_calculators import PATIENCE, calculator, field, wait_until_live
from tests.conftest import watched
from tests.native_worker import answered_beside


def test_a_sheet_with_fir_filters_has_its_files_and_without_is_the_old_one(
    browser: Browser, server: str
) -> None:
    made = browser.new_context(viewport={"width": 390, "height": 844}, service_workers="block")
    with watched(made) as context:
        answered_beside(context)
        page = context.new_page()
        page.goto(server + "stages/tuning/tune/")
        tune = calculator(page, "tune")
        wait_until_live(tune)
        result = tune.locator("[data-result]")
        set_up = result.locator(".dc-table-block").first
        before = set_up.inner_text()
        assert "Left woofer" in before
        expect(result).not_to_contain_text("FIR filters to load")
        tune.get_by_text("More settings").first.click()
        field(tune, "fir").select_option("both")
        expect(result).to_contain_text("FIR filters to load", timeout=PATIENCE)
        wait_until_live(tune)
        danger = result.locator(".dc-danger").first
        expect(danger).to_contain_text("A file in the wrong channel can send bass to a tweeter.")
        for name in ("left-tweeter", "left-woofer", "right-tweeter", "right-woofer"):
            called = re.compile(rf"fir-simulated-{name}-[0-9A-F]{{4}}-2048-taps-48000-Hz\.txt")
            expect(result).to_contain_text(called)
        expect(result).to_contain_text("level alone: no excess phase of its own")
        assert page.evaluate("document.documentElement.scrollWidth") <= 390
        with page.expect_download() as kept:
            result.locator("a[data-file=coefficients]").click()
        with zipfile.ZipFile(kept.value.path()) as packed:
            assert [len(packed.read(name).split()) for name in packed.namelist()] == [2048] * 4
        assert set_up.inner_text() != before
        field(tune, "fir").select_option("none")
        expect(result).not_to_contain_text("FIR filters to load", timeout=PATIENCE)
        wait_until_live(tune)
        assert set_up.inner_text() == before
