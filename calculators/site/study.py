"""The order of study: one file, `docs/study.yml`, for the page of it and for the foot of every page."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from calculators.presenting.escaping import text
from calculators.self_checks import BLOCKS
from calculators.site.yaml_text import from_yaml

DOCS = Path("docs")
FILE = DOCS / "study.yml"
CHECKS_PAGE = "learn/checks"
"""Folder of the pages of self-checks, one for each block."""

TITLE = re.compile(r"^# (.+)$", re.MULTILINE)
FENCE = re.compile(r"^ *```(calculator|worked)\n *([\w-]+)\n(.*?)```", re.MULTILINE | re.DOTALL)
NAME = re.compile(r"^ *as: *(\S+)", re.MULTILINE)


@dataclass(frozen=True)
class StudyBlock:
    """What is studied together: pages in their order, self-checks, practicals."""

    title: str
    weeks: str
    checks: str
    practicals: str
    pages: tuple[str, ...]


@dataclass(frozen=True)
class Order:
    """The whole order: blocks, and what is read before a page where it is not just the one in front of it."""

    blocks: tuple[StudyBlock, ...]
    before: Mapping[str, tuple[str, ...]]

    @property
    def pages(self) -> tuple[str, ...]:
        """All pages, in the order they are studied."""
        return tuple(page for block in self.blocks for page in block.pages)

    def read_before(self, page: str) -> tuple[str, ...]:
        """What a page rests on; nothing for the first."""
        place = self.pages.index(page)
        return self.before.get(page, self.pages[place - 1 : place] if place else ())

    def next(self, page: str) -> str | None:
        """The page after it; None after the last."""
        place = self.pages.index(page) + 1
        return self.pages[place] if place < len(self.pages) else None


@cache
def order() -> Order:
    """The order of study. Raises TypeError for a block that lacks something or has something else."""
    data = from_yaml(FILE.read_text(encoding="utf-8"))
    blocks = tuple(StudyBlock(**{**entry, "pages": tuple(entry["pages"])}) for entry in data["blocks"])
    return Order(blocks, {page: tuple(pages) for page, pages in data["before"].items()})


@cache
def title_of(page: str) -> str:
    """A page's own title."""
    found = TITLE.search((DOCS / page).read_text(encoding="utf-8"))
    return found[1] if found else page


def address(page: str) -> str:
    """A page's address in the built site."""
    inner = page.removesuffix(".md").removesuffix("index")
    return inner if not inner or inner.endswith("/") else f"{inner}/"


@cache
def form_address(calculator: str) -> str:
    """Where a calculator's form stands, on the first page of the order that has one, else on any page.

    Raises KeyError for one that stands nowhere.
    """
    every = (path.relative_to(DOCS).as_posix() for path in sorted(DOCS.rglob("*.md")))
    for page in dict.fromkeys((*order().pages, *every)):
        names: set[str] = set()
        for kind, slug, settings in FENCE.findall((DOCS / page).read_text(encoding="utf-8")):
            named = NAME.search(settings)
            names.add(named[1] if named else slug)
            if (kind, slug) == ("calculator", calculator):
                return f"{address(page)}#{slug}-{len(names)}"
    raise KeyError(f"no page has the form of {calculator}")


def links(pages: Sequence[str], root: str) -> str:
    """Links to pages, in words."""
    return ", ".join(f'<a href="{root}{address(page)}">{text(title_of(page))}</a>' for page in pages)


def foot(page: str, root: str) -> str:
    """What a page of the order says at its foot; nothing on other pages."""
    if page not in order().pages:
        return ""
    parts = []
    if before := order().read_before(page):
        parts.append(f"Read before this: {links(before, root)}.")
    if after := order().next(page):
        parts.append(f"Next: {links([after], root)}.")
    parts.append(f'<a href="{root}learn/order/">Order of study</a>.')
    said = " ".join(parts)
    return f'<nav class="dc-study" aria-label="Order of study" data-search-exclude><p>{said}</p></nav>'


def order_html(root: str) -> str:
    """The whole order, block by block."""
    made = []
    for block in order().blocks:
        asked = BLOCKS[block.checks]
        days = "" if asked.days == 1 else ", all of them on two days"
        checks = " ".join(f"{block.checks}/{name}" for name in asked.checks)
        made.append(
            f"<section><h2>{text(block.title)}</h2><p>Weeks {text(block.weeks)}.</p>"
            f"<ol>{''.join(f'<li>{links([page], root)}</li>' for page in block.pages)}</ol>"
            f'<p><a href="{root}{CHECKS_PAGE}/{block.checks}/">Check yourself: '
            f"{text(block.title.lower())}</a>{days}."
            f'<doorcard-done data-checks="{checks}" data-days="{asked.days}"></doorcard-done> '
            f'Then <a href="{root}learn/sign-off/">{text(block.practicals)}</a>, watched.</p></section>'
        )
    return "".join(made)
