"""The one way that text from outside gets into HTML."""

from html import escape


def text(value: object) -> str:
    """Text made safe for HTML content and quoted attributes."""
    return escape(str(value), quote=True)
