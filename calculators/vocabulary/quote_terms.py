"""What a quote says in words beside its figures: dates, kinds, notes, and itself as a file."""

import csv
from collections.abc import Iterable, Sequence
from types import SimpleNamespace
from typing import Literal

from calculators.declaring import Advice, InputError

QuoteKind = Literal["fixed", "not-more-than", "estimate"]

KINDS = {
    "fixed": "fixed price",
    "not-more-than": "not more than",
    "estimate": "estimate",
}
KINDS_MEAN = {
    "fixed": "Fixed price: it binds. Time that runs over is the shop's.",
    "not-more-than": "Not more than this: hours used are charged, up to this price.",
    "estimate": "Estimate: told at once, and before it is passed, where it will not hold.",
}


def date_advice(quoted: str, until: str, work: str, tax: str) -> list[Advice]:
    """Dates that do not go together. Raises InputError for a quote that ends before it begins."""
    if quoted and until and until < quoted:
        raise InputError("valid_until", "The quote ends before it is dated.")
    found = []
    if until and work and work > until:
        found.append(Advice("work_on", "The work is done after the quote ends: quote again, or lengthen it."))
    if tax and work and work > tax:
        found.append(
            Advice(
                "tax_until",
                "The tax may change before the work is done: quote again at the rate of that day.",
            )
        )
    return found


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows for a spreadsheet, in which no cell is taken for a formula."""
    parts: list[str] = []
    writer = csv.writer(SimpleNamespace(write=parts.append), lineterminator="\r\n")
    writer.writerows([harmless(cell) for cell in row] for row in rows)
    return "".join(parts)


def harmless(cell: str) -> str:
    """A cell that a spreadsheet reads as text or as a number, never as a formula."""
    starts = cell.lstrip()[:1]
    if starts and starts in "=+-@\t\r\n|%" and not _is_number(cell):
        return f"'{cell}"
    return cell


def _is_number(cell: str) -> bool:
    digits = cell.removeprefix("-")
    return digits.replace(".", "", 1).isascii() and digits.replace(".", "", 1).isdigit()
