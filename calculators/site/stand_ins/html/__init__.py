"""Stands in for the standard library's package, in the browser: `escape` alone.

The package's other half, reading HTML, compiles patterns and loads a table of two thousand
names when it is imported.
"""


def escape(s: str, quote: bool = True) -> str:
    """Return text safe for HTML content and, with `quote`, for quoted attributes."""
    s = s.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return s.replace('"', "&quot;").replace("'", "&#x27;") if quote else s
