"""Rows of text as a file for a spreadsheet."""

import csv
from collections.abc import Iterable, Sequence
from types import SimpleNamespace

UNSEEN = dict.fromkeys((0xFEFF, 0x200B))
"""Signs without width, behind which a formula would hide."""
FORMULA = "=+-@\t\r\n|%\uff1d\uff0b\uff0d\uff20"
"""What a formula may begin with, full-width signs too."""


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows for a spreadsheet, in which no cell is taken for a formula."""
    parts: list[str] = []
    writer = csv.writer(SimpleNamespace(write=parts.append), lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return "".join(parts)


def harmless(cell: str) -> str:
    """A cell that a spreadsheet reads as text or as a number, never as a formula."""
    cell = cell.translate(UNSEEN)
    starts = cell.lstrip()[:1]
    if starts and starts in FORMULA and not _is_number(cell):
        return f"'{cell}"
    return cell


def _is_number(cell: str) -> bool:
    digits = cell.removeprefix("-")
    return digits.replace(".", "", 1).isascii() and digits.replace(".", "", 1).isdigit()
