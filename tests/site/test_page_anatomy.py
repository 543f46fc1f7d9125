"""What every page where hands are at work, or papers are signed, holds, counted."""

import re

import pytest

from tests.site.test_electrics_pages import section, steps
from tests.site.test_pages import sources

STAGES = (
    "stages/brief/",
    "stages/quote/",
    "stages/strip-down/",
    "stages/treatment/",
    "stages/fabrication/",
    "stages/pick-up/",
    "stages/handover/",
)
BESIDE = (
    "stages/design/mass-and-crash/",
    "stages/survey/signal/",
    "stages/survey/walk-round/",
    "stages/verification/road/",
)
"""Pages of other stages that are held to the same."""

PAGES = {
    address: markdown
    for address, markdown in sources().items()
    if address.startswith(STAGES) or address in BESIDE
}
NO_NUMBER = r"\]\([^)]*\)|\bH\d\w?\b|\b(?:ISO|IEC|EN|UN R) ?\d+"
"""Digits that are no limit: in an address, the name of a hold point, the number of a standard."""

every = pytest.mark.parametrize("address", sorted(PAGES))


def points(markdown: str) -> list[str]:
    """The lines that are signed, each whole."""
    found = re.split(r"^- ", section(markdown, "Accept when"), flags=re.MULTILINE)[1:]
    return [" ".join(line.split()) for line in found]


def table(markdown: str, title: str) -> list[list[str]]:
    """The cells of the first table below a heading, row by row, without its head."""
    rows = re.search(r"(?:^\|.*\n)+", section(markdown, title), re.MULTILINE)
    assert rows, title
    lines = rows[0].splitlines()
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


@every
def test_eight_steps_or_more(address: str) -> None:
    assert len(steps(PAGES[address])) >= 8


@every
def test_every_line_that_is_signed_has_a_figure(address: str) -> None:
    lines = points(PAGES[address])
    assert len(lines) >= 4
    assert [line for line in lines if not re.search(r"\d|#!", re.sub(NO_NUMBER, "", line))] == []


@every
def test_four_mistakes_or_more_each_with_how_it_shows(address: str) -> None:
    rows = table(PAGES[address], "Mistakes, and how each shows")
    assert len(rows) >= 4
    assert all(len(row) == 2 and all(row) for row in rows)


@every
def test_every_limit_says_what_it_rests_on(address: str) -> None:
    rows = table(PAGES[address], "Numbers")
    assert len(rows) >= 5
    assert all(len(row) == 3 and all(row) for row in rows)


@every
def test_it_is_whole(address: str) -> None:
    markdown = PAGES[address]
    assert "Tools:" in section(markdown, "Before you start")
    assert "invented" in section(markdown, "The running job")
    first_step = markdown.index("\n## Steps")
    assert "```caution" in markdown[:first_step], "cautions stand before the first step"
