"""Which tables a phone shows as one stack a row: its name, then each value after the head of its column.

A phone held upright has about forty letters in a line. Columns that share them are torn into single words, or
the last of them lie out of sight. On a wide screen and on paper the table stays a table.
"""

from collections.abc import Sequence

from calculators.presenting.escaping import text

LINE = 40
"""Letters of a table that a phone shows beside each other."""
LONGEST = 24
"""A longer cell may well break."""
GAP = 2
"""Letters that the space between two columns takes."""
LEAST_COLUMNS = 3
"""Two columns share a phone's width well."""
ROLES = {
    "table": "table",
    "thead": "rowgroup",
    "tbody": "rowgroup",
    "tr": "row",
    'th scope="col"': "columnheader",
    'th scope="row"': "rowheader",
}
"""What each tag of a table begins with, and what it is to a screen reader."""


def stacks(columns: Sequence[Sequence[str]]) -> bool:
    """Whether a table of these columns of cells is too wide for a phone."""
    letters = sum(min(LONGEST, max(map(len, cells), default=0)) + GAP for cells in columns)
    return len(columns) >= LEAST_COLUMNS and letters > LINE


def stack_mark(head: str) -> str:
    """The attributes of a cell that tells its head where stacked, and stays a cell to a screen reader."""
    return f' role="cell" data-head="{text(head)}"'


def with_roles(table: str) -> str:
    """A table whose parts say what they are: laid out as a stack, some browsers tell no table any more."""
    for start, role in ROLES.items():
        tag, _, rest = start.partition(" ")
        for end in " >":
            table = table.replace(f"<{start}{end}", f'<{tag} role="{role}"{rest and " "}{rest}{end}')
    return table
