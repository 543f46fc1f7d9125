"""The sheets of the running job, printed: text and pages as a reader of the PDF finds them."""

import io
import re
from functools import cache
from pathlib import Path

import pypdf
import pytest
from playwright.sync_api import Browser

from calculators.job.paper import Paper
from calculators.job.papers import papers
from calculators.job.printing import page
from calculators.job.reading import read_job
from calculators.job.working import work_out
from tests.job.sheet_words import words_of

MOST_PAGES = {
    "order": 3, "condition-record": 2, "bay-plan": 3, "wiring-schedule": 3, "parts-list": 2,
    "tuning-sheet": 2,
    "handover": 2, "guarantee": 1, "glove-box-card": 1,
}  # fmt: skip


@cache
def sheets() -> dict[str, Paper]:
    job = work_out(read_job(Path("docs/job.json").read_bytes()), "0.0.0+test")
    return {paper.name: paper for paper in papers(job)}


def printed(browser: Browser, paper: Paper, large: bool = False) -> pypdf.PdfReader:
    context = browser.new_context()
    try:
        sheet = context.new_page()
        sheet.set_content(page(paper, "Tarnholm", "2031-05-21", "1.0", large))
        return pypdf.PdfReader(io.BytesIO(sheet.pdf(prefer_css_page_size=True)))
    finally:
        context.close()


def letters(text: str) -> str:
    """A text without blanks: a PDF breaks lines where it likes."""
    return re.sub(r"\s", "", text)


def test_there_are_the_sheets_of_a_job() -> None:
    assert set(sheets()) == set(MOST_PAGES)


@pytest.mark.parametrize("name", MOST_PAGES)
def test_every_word_of_a_sheet_is_on_its_paper(browser: Browser, name: str) -> None:
    paper = sheets()[name]
    reader = printed(browser, paper)
    assert len(reader.pages) <= MOST_PAGES[name]
    width, height = (float(side) for side in reader.pages[0].mediabox[2:])
    assert (width > height) == paper.landscape
    assert {round(width), round(height)} == {595, 842}  # A4, in points.
    said = letters("".join(entry.extract_text() for entry in reader.pages))
    assert [word for word in words_of(paper) if letters(word) not in said] == []
    assert "Tarnholm,printed2031-05-21" in said


def test_large_type_is_larger(browser: Browser) -> None:
    plain, large = (len(printed(browser, sheets()["order"], size).pages) for size in (False, True))
    assert large > plain
