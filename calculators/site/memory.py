"""What the pages rest on memory alone: each such line of the handbook, listed for whoever checks it.

A line says so itself, by the words `MARK`; where it stands in a table, its cells are told in a row.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from calculators.presenting.escaping import text

DOCS = Path("docs")
MARK = "from memory"
LIST = Path("sources.md")
"""The page that explains the mark and holds the list."""
NO_FIGURE = "none from memory"
"""A page tells the fitter so of their own records."""

FENCES = re.compile(r"^```.*?^```$", re.MULTILINE | re.DOTALL)
PLAIN = (
    (re.compile(r"`#![^`]*`"), "…"),
    (re.compile(r"\[([^\]]*)\]\([^)]*\)"), r"\1"),
    (re.compile(r"\*\*|`"), ""),
)
SENTENCE = re.compile(r"(?<=[.!?]) +(?=[A-Z])")


def marked(page: str) -> Iterator[str]:
    """The lines of a page that rest on memory, without their Markdown."""
    for paragraph in re.split(r"\n{2,}|\n(?=[|\d-])", FENCES.sub("", page)):
        words = " ".join(paragraph.split())
        for pattern, put in PLAIN:
            words = pattern.sub(put, words)
        if words.startswith("|"):
            cells = [cell.strip() for cell in words.strip("|").split("|")]
            parts = ["; ".join(filter(None, cells))]
        else:
            parts = SENTENCE.split(re.sub(r"^(- |\d+\. )", "", words))
        yield from (part for part in parts if MARK in part and NO_FIGURE not in part)


def listed(root: str) -> str:
    """The list, by page, each with a link to it."""
    items = []
    for path in sorted(DOCS.rglob("*.md")):
        inner = path.relative_to(DOCS)
        lines = list(marked(path.read_text(encoding="utf-8"))) if inner != LIST else []
        if lines:
            title = path.read_text(encoding="utf-8").partition("\n")[0].removeprefix("# ")
            folder = inner.parent if inner.name == "index.md" else inner.with_suffix("")
            said = "".join(f"<dd>{text(line)}</dd>" for line in lines)
            items.append(f'<dt><a href="{root}{folder.as_posix()}/">{text(title)}</a></dt>{said}')
    return f'<dl class="dc-bibliography" data-search-exclude>{"".join(items)}</dl>'
