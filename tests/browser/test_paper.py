"""What is printed, in the PDF that Chromium makes: a section at its true size, an upgrade on one sheet."""

import re
from io import BytesIO
from itertools import pairwise
from math import dist
from typing import Any

import pytest
from playwright.sync_api import Page
from pypdf import PdfReader

from calculators.declaring import run_values
from calculators.presenting.results import result_html
from calculators.stages import find_calculator

PAGE = "stages/fabrication/enclosure/"
# Its section of 220 by 500 mm would lie on six sheets; turned by 90° it lies on four.
BOX = {"shape": "box", "width": 0.4, "depth": 0.22, "height": 0.5, "panel": 0.015, "on_paper": True}
POINT = 25.4 / 72

type Way = list[tuple[float, float]]


def ways(page: Any) -> list[Way]:
    """Every line of a page through its places, in mm."""
    found: list[Way] = []

    def see(operator: bytes, operands: list[Any], at: list[float], _: list[float]) -> None:
        if operator in (b"m", b"l"):
            x, y = map(float, operands)
            place = (at[0] * x + at[2] * y + at[4]) * POINT, (at[1] * x + at[3] * y + at[5]) * POINT
            if operator == b"m":
                found.append([])
            found[-1].append(place)

    page.extract_text(visitor_operand_before=see)
    return found


def test_what_is_printed_measures_right(page: Page, server: str) -> None:
    outcome = run_values(find_calculator("box-volume"), BOX)
    assert outcome.errors == ()
    page.goto(server + PAGE)
    # A page with nothing else on it: the rest takes long to read back.
    page.evaluate(
        "html => { document.querySelector('.md-content__inner').innerHTML = html; }",
        f'<div class="dc-worked">{result_html(outcome)}</div>',
    )
    printed = PdfReader(BytesIO(page.pdf(format="A4")))
    sheets = [sheet for sheet in printed.pages if "Section at 1:1, sheet" in sheet.extract_text()]
    assert len(sheets) == len(outcome.result.paper) == 4  # type: ignore[union-attr]
    for sheet in sheets:
        assert len(set(re.findall(r"sheet (\d) of 4", sheet.extract_text()))) == 1
        drawn = ways(sheet)
        x, y = zip(*(way[1] for way in drawn if len(way) == 3), strict=True)
        assert max(x) - min(x) == pytest.approx(100, abs=0.1), "the check square"
        assert max(y) - min(y) == pytest.approx(100, abs=0.1), "the check square"
    # Turned, the side of 220 mm runs down the first sheet whole; within 0.2 mm over 200.
    sides = [dist(*side) for way in ways(sheets[0]) for side in pairwise(way)]
    assert max(sides) == pytest.approx(220, abs=0.2)


@pytest.mark.parametrize("name", ["treatment", "timing"])
def test_what_an_upgrade_does_prints_on_one_sheet(page: Page, server: str, name: str) -> None:
    """Treatment has the longest text, timing the longest of those with a sound, which paper leaves out."""
    page.goto(f"{server}having-it-done/{name}/")
    (sheet,) = PdfReader(BytesIO(page.pdf(prefer_css_page_size=True))).pages
    words = sheet.extract_text()
    for heading in ("What it can't do", "What it costs you", "Honest limits", "Ask your fitter"):
        assert heading in words
