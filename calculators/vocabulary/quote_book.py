"""A quote's lines as one book: its whole, what one line changes in it, and what to tell of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated

from calculators.declaring import Advice, InputError, Money, OutputMoney, OutputText
from calculators.vocabulary.money import Currency
from calculators.vocabulary.names import name_key
from calculators.vocabulary.quoting import (
    IN,
    Extra,
    Item,
    QuoteLine,
    Reckoned,
    State,
    Terms,
    extra_item,
    needs_of,
    priced,
    reckoned,
    standing,
)

type States = Mapping[str, State]


@dataclass(frozen=True, kw_only=True)
class SectionQuoted:
    """One section, after the discount on the whole."""

    name: Annotated[str, OutputText("Section")]
    net: Annotated[Money, OutputMoney("Without tax")]
    tax: Annotated[Money, OutputMoney("Tax")]
    total: Annotated[Money, OutputMoney("With tax")]


@dataclass(frozen=True, kw_only=True)
class Summand:
    """One step from the lines to what is to pay."""

    what: Annotated[str, OutputText("What")]
    amount: Annotated[Money, OutputMoney("Amount")]


@dataclass(frozen=True)
class Book:
    """The lines with what they need, their prices, and the extras that were agreed."""

    lines: tuple[QuoteLine, ...]
    items: tuple[Item, ...]
    needs: Mapping[str, tuple[str, ...]]
    agreed: tuple[Item, ...]
    terms: Terms

    @property
    def states(self) -> dict[str, State]:
        """How each line stands, by its short name."""
        return {name_key(line.id): line.state for line in self.lines}

    def out(self, states: States) -> dict[str, str]:
        """The lines that do not count, each with the reason."""
        return standing(self.lines, self.needs, states)

    def whole(self, out: Mapping[str, str]) -> Reckoned:
        """All that counts, added up; ``out`` are the lines that do not."""
        counted = [
            item for line, item in zip(self.lines, self.items, strict=True) if name_key(line.id) not in out
        ]
        return reckoned((*counted, *self.agreed), self.terms)

    def change(self, line: QuoteLine, out: Mapping[str, str], total: Decimal) -> Decimal | None:
        """How the total changes when a line is struck, or added with all that it needs; ``out`` do not count.

        None for a shared line, which no option strikes, and where there would be no quote.
        """
        key, states = name_key(line.id), self.states
        if line.shared or (line.state in IN and key in out):
            return None
        if line.state in IN:
            states[key] = "declined"
        else:
            wanted = [key]
            while wanted:
                name = wanted.pop()
                states[name] = "chosen" if states[name] not in IN else states[name]
                wanted += self.needs[name]
        try:
            return self.whole(self.out(states)).total - total
        except InputError:
            return None


def book_of(lines: tuple[QuoteLine, ...], extras: Sequence[Extra], terms: Terms) -> Book:
    """The book of what was typed. Raises InputError, beside the field, for what cannot be priced."""
    items = tuple(priced(place, line, terms) for place, line in enumerate(lines))
    agreed = tuple(
        extra_item(place, extra, terms) for place, extra in enumerate(extras) if _is_agreed(place, extra)
    )
    return Book(lines, items, needs_of(lines), agreed, terms)


def _is_agreed(place: int, extra: Extra) -> bool:
    if extra.asked_on and extra.agreed_on and extra.agreed_on < extra.asked_on:
        raise InputError(f"extras[{place}].agreed_on", "The yes is older than the question.")
    return extra.agreed


def adding_up(book: Book, out: Mapping[str, str], whole: Reckoned, paid: Decimal) -> tuple[Summand, ...]:
    """From the lines that count to the whole, so that every sum can be checked with a pencil."""
    money, inside = book.terms.currency, book.terms.tax_in_prices
    lines = [
        item.amount for line, item in zip(book.lines, book.items, strict=True) if name_key(line.id) not in out
    ]
    steps = [
        ("Lines that count", sum(lines, Decimal(0)), True),
        ("Consumables", whole.consumables, bool(whole.consumables)),
        *((f"Extra agreed: {item.name}", item.amount, True) for item in book.agreed),
        ("Discount on the whole", -whole.discount, bool(whole.discount)),
        ("Without tax", whole.net, not inside),
        ("Tax", whole.tax, not inside),
        ("With tax", whole.total, True),
        ("Tax in it", whole.tax, inside),
        ("Without tax", whole.net, inside),
        ("Paid already", paid, bool(paid)),
    ]
    return tuple(Summand(what=what, amount=money.money(amount)) for what, amount, shown in steps if shown)


def sections_of(whole: Reckoned, money: Currency) -> tuple[SectionQuoted, ...]:
    """Net and tax of each section, in the order in which they come."""
    sums: dict[str, tuple[Decimal, Decimal]] = {}
    for share in whole.shares():
        net, tax = sums.get(share.item.section, (Decimal(0), Decimal(0)))
        sums[share.item.section] = (net + share.net, tax + share.tax)
    return tuple(
        SectionQuoted(name=name, net=money.money(net), tax=money.money(tax), total=money.money(net + tax))
        for name, (net, tax) in sums.items()
    )


def book_advice(
    book: Book, out: Mapping[str, str], total: Decimal, paid: Decimal, extras: Sequence[Extra]
) -> list[Advice]:
    """What the customer is told beside the price."""
    found = []
    for place, (line, item) in enumerate(zip(book.lines, book.items, strict=True)):
        why = out.get(name_key(line.id), "")
        if why.startswith("falls"):
            found.append(
                Advice(f"lines[{place}].state", f"{item.name} {why}: it needs that, and is not in the price.")
            )
        if item.tax == 0 and not item.reason:
            found.append(
                Advice(f"lines[{place}].reason", f"{item.name} bears no tax: say why, the reason is printed.")
            )
        if Decimal(line.hours) < 0:
            words = f"{item.name}: hours below zero make the price less. Not a credit? Take the sign away."
            found.append(Advice(f"lines[{place}].hours", words))
        if line.price is not None and Decimal(line.price) == 0:
            found.append(
                Advice(
                    f"lines[{place}].price", f"{item.name}: the customer's own part, without our guarantee."
                )
            )
    kept = [
        line.name.strip() or line.id for line in book.lines if line.shared and name_key(line.id) not in out
    ]
    if kept and any(why != "offered" for why in out.values()):
        found.append(Advice("lines", f"Shared, and whole whichever line is struck: {', '.join(kept)}."))
    waiting = [extra.name for extra in extras if not extra.agreed]
    if waiting:
        words = f"Not in any total, for there is no yes with name and date: {', '.join(waiting)}."
        found.append(Advice("extras", words))
    if total < 0:
        found.append(Advice("total", "The total is below zero: this is a credit note."))
    elif paid > total:
        found.append(Advice("paid", "More is paid than the total: the rest goes back to the customer."))
    return found
