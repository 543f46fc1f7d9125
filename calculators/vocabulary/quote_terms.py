"""What a quote says in words beside its figures: dates, kinds and notes."""

from decimal import Decimal
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


def what_it_is(kind: QuoteKind, risk: Decimal) -> str:
    """What the price is, and what it is not for: the hours only if needed, where their ``risk`` is not 0."""
    apart = " The hours only if needed are no part of it: they are charged after a yes of their own."
    return KINDS_MEAN[kind] + (apart if risk else "")


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
