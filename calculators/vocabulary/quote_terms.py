"""What a quote says in words beside its figures: dates, kinds, notes, and itself as a file."""

import csv
from collections.abc import Iterable, Sequence
from decimal import Decimal
from types import SimpleNamespace
from typing import Literal

from calculators.declaring import Advice, InputError
from calculators.vocabulary.money import Currency

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


UNSEEN = dict.fromkeys((0xFEFF, 0x200B))
"""Signs without width, behind which a formula would hide."""
FORMULA = "=+-@\t\r\n|%\uff1d\uff0b\uff0d\uff20"
"""What a formula may begin with, full-width signs too."""


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


def payments(total: Decimal, deposit: Decimal, paid: Decimal, money: Currency) -> str:
    """What is to pay when: what is paid already counts towards the deposit first."""
    left = total - max(deposit, paid)
    due = max(Decimal(0), deposit - paid)
    rest = (
        f"Then {money.money(left).words}."
        if left >= 0
        else f"{money.money(-left).words} go back to the customer."
    )
    if not deposit:
        return rest if not paid else f"{money.money(paid).words} is paid. {rest}"
    words = f"Deposit {money.money(deposit).words}"
    if paid:
        words += f", of which {money.money(min(paid, deposit)).words} is paid: now {money.money(due).words}"
    return f"{words}. {rest}"


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
