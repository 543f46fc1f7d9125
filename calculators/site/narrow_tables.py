"""A page's own tables on a phone: one whose rows do not fit a line is marked to stand as one stack a row."""

import re
from html import unescape

from calculators.presenting.stacking import stack_mark, stacks, with_roles

TABLE = re.compile(r"<table>.*?</table>", re.DOTALL)
ROW = re.compile(r"<tr>.*?</tr>", re.DOTALL)
CELL = re.compile(r"<(t[hd])([^>]*)>(.*?)</\1>", re.DOTALL)
TAG = re.compile(r"<[^>]+>")


def with_stacks(page: str) -> str:
    """The page with its wide tables marked; tables that calculators make are marked where they are made."""
    return TABLE.sub(lambda found: stacked(found[0]), page)


def stacked(table: str) -> str:
    """The table, marked if it is too wide for a phone, each of its cells with the head of its column."""
    rows = [[words(cell[3]) for cell in CELL.finditer(row[0])] for row in ROW.finditer(table)]
    heads, body = rows[0], rows[1:]
    if not stacks(list(zip(*body, strict=True))):
        return table
    marked = ROW.sub(lambda row: with_heads(row[0], heads), table)
    return with_roles(marked).replace("<table ", '<table data-stacks="" ')


def with_heads(row: str, heads: list[str]) -> str:
    """A row whose cells say the heads of their columns; the first is the row's name and needs none."""
    left = iter(heads)

    def cell(found: re.Match[str]) -> str:
        tag, given, inside = found.groups()
        head = next(left)
        mark = (
            ' role="columnheader"'
            if tag == "th"
            else ' role="cell"'
            if head is heads[0]
            else stack_mark(head)
        )
        return f"<{tag}{given}{mark}>{inside}</{tag}>"

    return CELL.sub(cell, row)


def words(html: str) -> str:
    """The words of a cell, as they are read."""
    return unescape(TAG.sub("", html)).strip()
