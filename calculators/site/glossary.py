"""Words of the trade: their page, and a link from the first use of each on every other page.

`docs/glossary.yml` holds them. Links are put into finished pages, in running text alone: never into a
heading, the head of a table (a phone hides it where rows are stacked), a link, code, a drawing, a form
or a caution.
"""

import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from itertools import groupby
from pathlib import Path
from typing import Any

from markdown import Markdown
from pymdownx.superfences import SuperFencesException

from calculators.presenting.escaping import text
from calculators.site.fences import reported
from calculators.site.yaml_text import from_yaml

FILE = Path("docs/glossary.yml")
PAGE = "learn/glossary/"
PIECE = re.compile(
    r"<(?P<whole>doorcard-calculator|svg|math)[ >].*?</(?P=whole)>|<!--.*?-->|<[^>]+>|[^<]+", re.DOTALL
)
"""A tag, a text, or whole what never stands in itself and is left alone."""
TAG = re.compile(r"<(?P<end>/?)(?P<name>[a-zA-Z][\w-]*)(?P<rest>[^>]*)>")
WORD = re.compile(r"[^\W_]+")
LEFT_ALONE = frozenset(
    {
        *("a", "h1", "h2", "h3", "h4", "h5", "h6", "code", "pre", "svg", "math", "script", "style"),
        *("button", "label", "summary", "figure", "nav", "option", "caption", "thead", "doorcard-calculator"),
    }
)
"""Elements whose text gets no link."""
LEFT_ALONE_CLASSES = ("dc-cautions", "dc-worked", "dc-look-up", "dc-answer", "dc-given-value", "dc-glossary")
ENDLESS = frozenset(["br", "hr", "img", "input", "meta", "link", "source", "wbr", "col"])


@dataclass(frozen=True)
class Term:
    """A word of the trade. forms: how it is found in text. where, not_in: folders with links, and without."""

    name: str
    says: str
    forms: tuple[str, ...]
    where: tuple[str, ...] = ()
    not_in: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """Its anchor on the glossary's page."""
        return re.sub(r"[^a-z0-9]+", "-", self.name.lower()).strip("-")

    def belongs_to(self, address: str) -> bool:
        """Whether pages of that address link it."""
        allowed = not self.where or address.startswith(self.where)
        return allowed and not (self.not_in and address.startswith(self.not_in))


@cache
def terms() -> tuple[Term, ...]:
    """All terms, by the alphabet."""
    given: Mapping[str, Mapping[str, Any]] = from_yaml(FILE.read_text(encoding="utf-8"))
    read = (
        Term(
            name,
            entry["says"],
            tuple(entry["forms"]) if "forms" in entry else (bare(name), bare(name) + "s"),
            tuple(entry.get("where", ())),
            tuple(entry.get("not", ())),
        )
        for name, entry in given.items()
    )
    return tuple(sorted(read, key=lambda term: term.name.casefold()))


def bare(name: str) -> str:
    """A term without what tells it from its namesake."""
    return re.sub(r" \(.*\)$", "", name)


@reported(SuperFencesException)
def glossary(source: str, markdown: Markdown) -> str:
    """All terms with their definitions, letter by letter."""
    parts = []
    for letter, group in groupby(terms(), key=lambda term: term.name[0].upper()):
        items = "".join(
            f'<dt id="{term.place}">{text(term.name)}</dt> <dd>{text(term.says)}</dd> ' for term in group
        )
        parts.append(f'<h2 id="letter-{letter.lower()}">{letter}</h2><dl class="dc-glossary">{items}</dl>')
    return "".join(parts)


@cache
def by_first_word(folder: str) -> dict[str, list[tuple[str, Term]]]:
    """The forms that pages of a folder link, longest first, by their first word."""
    found: dict[str, list[tuple[str, Term]]] = defaultdict(list)
    for term in terms():
        if term.belongs_to(folder):
            for form in term.forms:
                found[WORD.findall(form.lower())[0]].append((form.lower(), term))
    for forms in found.values():
        forms.sort(key=lambda entry: -len(entry[0]))
    return dict(found)


def with_terms(page: str, address: str) -> str:
    """A page's content with the first use of each term linked to its definition."""
    if address == PAGE:
        return page
    folder = address if "/" not in address else address[: address.rindex("/") + 1]
    forms, to_page = by_first_word(folder), "../" * address.count("/") + PAGE
    linked: set[str] = set()
    pieces = []
    for piece, running in running_text(page):
        pieces.append(linked_piece(piece, forms, linked, to_page) if running else piece)
    return "".join(pieces)


def running_text(page: str) -> Iterator[tuple[str, bool]]:
    """Every piece of a page, tag or text, and whether it is text that a link may stand in."""
    shut: list[str] = []
    for match in PIECE.finditer(page):
        piece = match[0]
        tag = TAG.fullmatch(piece)
        if tag is None:
            yield piece, not shut and not piece.startswith("<")
            continue
        name = tag["name"].lower()
        if name not in ENDLESS and not tag["rest"].endswith("/"):
            if tag["end"]:
                # Only elements inside one that is left alone are counted.
                if shut and name == shut[-1]:
                    shut.pop()
            elif shut or name in LEFT_ALONE or any(mark in tag["rest"] for mark in LEFT_ALONE_CLASSES):
                shut.append(name)
        yield piece, False


def linked_piece(
    piece: str, forms: Mapping[str, list[tuple[str, Term]]], linked: set[str], to_page: str
) -> str:
    """Running text with the terms that were not linked yet."""
    lowered = piece.lower()
    made, done = [], 0
    for word in WORD.finditer(lowered):
        if word.start() < done:
            continue
        for form, term in forms.get(word[0], ()):
            end = word.start() + len(form)
            if term.name in linked or not lowered.startswith(form, word.start()):
                continue
            if end < len(lowered) and (lowered[end].isalnum() or lowered[end] == "-"):
                continue
            if word.start() and lowered[word.start() - 1] in "-_&;":
                continue
            linked.add(term.name)
            made += [piece[done : word.start()], link(piece[word.start() : end], term, to_page)]
            done = end
            break
    return "".join((*made, piece[done:]))


def link(words: str, term: Term, to_page: str) -> str:
    """A term as a link that tells its definition before it is followed."""
    return f'<a class="dc-term" href="{to_page}#{term.place}" title="{text(term.says)}">{words}</a>'
