"""The good-enough card: as many limits as it promises, each standing on the page that it leads to."""

import re

from tests.site.test_electrics_pages import section
from tests.site.test_pages import sources

PAGES = sources()
CARD = PAGES["look-up/good-enough/"]
ROWS = re.findall(r"^\| \[(.+?)\]\(\.\./(.+?)\.md#numbers\) \| (.+?) \|$", CARD, re.MULTILINE)


def test_it_holds_all_its_limits() -> None:
    assert len(ROWS) == 22
    assert len([line for line in CARD.splitlines() if line.startswith("| [")]) == 22
    assert len({what for what, _, _ in ROWS}) == 22


def test_each_limit_stands_on_the_page_it_leads_to() -> None:
    for what, target, limit in ROWS:
        figure = limit.removesuffix(" or more")
        numbers = section(PAGES[f"{target}/"], "Numbers")
        assert re.search(rf"(?<![\d.]){re.escape(figure)}(?![\d.])", numbers), (what, target, limit)


def test_a_line_fits_a_phone() -> None:
    """One screen has room for as many lines as the card has, if none needs two."""
    assert all(len(what) + len(limit) <= 46 for what, _, limit in ROWS), ROWS
