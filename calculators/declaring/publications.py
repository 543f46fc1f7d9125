"""Where a number comes from, and what to beware of: the two kinds of text a calculator points to."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Source:
    """A published source, or ``common practice, no source``."""

    key: str
    text: str
    note: str = ""


@dataclass(frozen=True)
class Caution:
    """A safety caution, printed whole wherever the hand is about to act."""

    key: str
    title: str
    sentences: tuple[str, ...]
