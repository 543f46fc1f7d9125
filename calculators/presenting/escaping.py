"""The one way that text from outside gets into HTML."""

import re
from collections.abc import Sequence
from html import escape

# Control characters and half characters: neither HTML nor XML can hold them.
_BEYOND_ASCII = "\xa0-\ud7ff\ue000-\ufdcf\ufdf0-\ufffd\U00010000-\U0010ffff"
_UNWRITABLE = re.compile(f"[^\t\n\r\x20-\x7e{_BEYOND_ASCII}]")
# Nor what marks HTML up: & < > and both quotes.
_TO_CHANGE = re.compile(f"[^\t\n\r !#-%(-;=?-~{_BEYOND_ASCII}]")


def text(value: object) -> str:
    """Text made safe for HTML content and quoted attributes; what cannot be written shows as �."""
    words = str(value)
    if not _TO_CHANGE.search(words):  # So are nearly all; an answer has some four hundred.
        return words
    return escape(_UNWRITABLE.sub("\ufffd", words), quote=True)


def texts(cells: Sequence[str]) -> Sequence[str]:
    """Several made safe, as ``text`` makes one."""
    return [text(cell) for cell in cells] if _TO_CHANGE.search("".join(cells)) else cells
