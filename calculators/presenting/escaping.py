"""The one way that text from outside gets into HTML."""

import re
from html import escape

# Control characters and half characters: neither HTML nor XML can hold them.
_UNWRITABLE = re.compile("[^\t\n\r\x20-\x7e\xa0-\ud7ff\ue000-\ufdcf\ufdf0-\ufffd\U00010000-\U0010ffff]")


def text(value: object) -> str:
    """Text made safe for HTML content and quoted attributes; what cannot be written shows as �."""
    return escape(_UNWRITABLE.sub("\ufffd", str(value)), quote=True)
