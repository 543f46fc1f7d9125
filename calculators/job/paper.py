"""A sheet of paper as what stands on it."""

from dataclasses import dataclass, field

NOT_YET = "Not worked out yet."
"""Stands on a sheet in place of a table without an answer."""


@dataclass(frozen=True)
class Table:
    """A table with its heads; an empty cell is a place for the pen."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Words:
    """Lines of text under a title."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Code:
    """A QR code of a link, with what it is under it."""

    title: str
    link: str
    says: str


type Part = Table | Words | Code


@dataclass(frozen=True)
class Paper:
    """One sheet: what it says of itself, whose it is, and its parts."""

    name: str
    title: str
    says: str
    parts: tuple[Part, ...]
    landscape: bool = False
    card: bool = False
    to_customer: bool = field(default=True)
