"""Rows of text as a file for a spreadsheet."""

import csv
import re
from collections.abc import Iterable, Sequence
from types import SimpleNamespace

UNSEEN = dict.fromkeys((0xFEFF, 0x200B))
"""Signs without width, behind which a formula would hide; `keep-chart.js` has the same rules."""
FORMULA = re.compile(r"[\s\x00-\x1f\x7f-\x9f]*[=+\-@|%\uff1d\uff0b\uff0d\uff20]")
"""How a formula may begin, with full-width signs too."""
NUMBER = re.compile(r"-?([0-9]+\.?[0-9]*|\.[0-9]+)")


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows for a spreadsheet, in which no cell is taken for a formula."""
    parts: list[str] = []
    writer = csv.writer(SimpleNamespace(write=parts.append), lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return "".join(parts)


def harmless(cell: str) -> str:
    """A cell that a spreadsheet reads as text or as a number, never as a formula."""
    cell = cell if cell.isascii() else cell.translate(UNSEEN)
    return f"'{cell}" if FORMULA.match(cell) and not NUMBER.fullmatch(cell) else cell
